/*
 * Numbers as people type and read them. Reads just like the daemon (server/decimal.h):
 * comma or point, one of them at most, kept as whole millionths.
 * Checked against the same fixtures/decimal.csv as the C side.
 */

/** @typedef {"empty" | "not_a_number" | "two_separators" | "too_large"} DecimalFault */

const LIMIT_E6 = 10n ** 18n;
/* White space around a number, no-break spaces too; just what the daemon takes. */
const BLANKS = /^[ \t-\r\u00a0\u202f]+|[ \t-\r\u00a0\u202f]+$/g;

/**
 * @param {string} text
 * @param {"" | "." | ","} [separator] when only one of them is right
 * @returns {{ok: true, value: number, e6: bigint} | {ok: false, code: DecimalFault}}
 */
export function readDecimal(text, separator = "") {
    const trimmed = text.replace(BLANKS, "");
    if (trimmed === "")
        return { ok: false, code: "empty" };
    const match = /^([+\-\u2212]?)([0-9.,]+)$/.exec(trimmed);
    if (!match)
        return { ok: false, code: "not_a_number" };
    const digits = match[2] ?? "";
    const separators = digits.replace(/[0-9]/g, "");
    if (separators.length > 1)
        return { ok: false, code: "two_separators" };
    if (separators === digits)
        return { ok: false, code: "not_a_number" };
    if (separator !== "" && separators !== "" && separators !== separator)
        return { ok: false, code: "not_a_number" };
    const [whole = "", part = ""] = digits.split(/[.,]/);
    const six = part.slice(0, 6).padEnd(6, "0");
    let e6 = BigInt(whole === "" ? 0 : whole) * 1000000n + BigInt(six);
    if (part.length > 6 && part.charAt(6) >= "5")
        e6 += 1n;
    if (e6 >= LIMIT_E6)
        return { ok: false, code: "too_large" };
    if (match[1] === "-" || match[1] === "\u2212")
        e6 = -e6;
    return { ok: true, value: Number(e6) / 1e6, e6 };
}

/**
 * The number in the site's form: at most `decimals` digits after the separator, no
 * trailing zeros beyond `least`.
 * @param {number} value
 * @param {number} decimals
 * @param {boolean} comma
 * @param {number} [least]
 */
export function writeNumber(value, decimals, comma, least = 0) {
    let text = value.toFixed(decimals);
    while (text.includes(".") && text.length - text.indexOf(".") - 1 > least &&
           text.endsWith("0"))
        text = text.slice(0, -1);
    if (text.endsWith("."))
        text = text.slice(0, -1);
    if (Number(text) === 0)
        text = text.replace("-", "");
    text = text.replace("-", "\u2212");
    return comma ? text.replace(".", ",") : text;
}

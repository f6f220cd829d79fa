/*
 * Gas pressure: kept in pascal, shown in pascal or inches of water, typed in any of the
 * units on a manometer. 1 inH2O (conventional) = 249.0889 Pa, 1 mbar = 100 Pa
 * [nist-sp811].
 */
import { readDecimal, writeNumber } from "./numbers.js";

/** @typedef {import("./types.js").Site} Site */

const INCH_PA = 249.0889;

/** @type {[RegExp, number][]} */
const TYPED = [[/^pa$/i, 1], [/^(hpa|mbar)$/i, 100], [/^kpa$/i, 1000],
    [/^(in|in\.?|inch(es)?|")?\s*(w\.?c\.?|h2o|of water)?$/i, INCH_PA]];

/** @param {Pick<Site, "units">} site */
export const pressureUnit = (site) => site.units === "us" ? "in WC" : "Pa";

/** @param {number} pa @param {Site} site */
export function pressureText(pa, site) {
    return site.units === "us" ? writeNumber(pa / INCH_PA, 2, site.decimal_comma)
        : writeNumber(pa, 0, site.decimal_comma);
}

/**
 * @param {string} text with a unit behind it or not
 * @param {Pick<Site, "units">} site
 * @returns {{ok: true, pa: number} | {ok: false, code: import("./numbers.js").DecimalFault}}
 */
export function readPressure(text, site) {
    const match = /^\s*(.*?[0-9.,])\s*([^0-9.,\s][^]*?)?\s*$/.exec(text);
    const suffix = match?.[2] ?? "";
    const factor = suffix === "" ? (site.units === "us" ? INCH_PA : 1)
        : TYPED.find(([pattern]) => pattern.test(suffix))?.[1];
    if (factor === undefined)
        return { ok: false, code: "not_a_number" };
    const read = readDecimal(match?.[1] ?? text);
    return read.ok ? { ok: true, pa: Math.round(read.value * factor * 1000) / 1000 } : read;
}

/*
 * How much water there is, by a weighed dose and a test before and after it.
 */
import { getWithTag, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, select, setScope, showFaults, textInput, valueOf } from "./form.js";
import { readDecimal } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { treatmentWords } from "./treatmentwords.js";
import { amountToStored, amountUnits, volumeText, volumeUnit } from "./typed.js";
import { byMember } from "./undo.js";
import { shownUnit } from "./units.js";

/** What one more press does with a volume that was found.
 * @typedef {(volume_m3: number) => Promise<void>} Take */

/** @param {HTMLElement} target @param {import("./types.js").Site} site
 * @param {string} path of the water @param {() => void} taken */
export function volumeByDose(target, site, path, taken) {
    setScope("volume");
    const unit = shownUnit("mg/L", site).symbol;
    const number = () => textInput({ inputmode: "decimal" });
    const result = el("p", { role: "status" });
    const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        reckon(form, result, site, async (volume_m3) => {
            await takeOver(path, volume_m3);
            taken();
        });
    } },
    field("product", treatmentWords.volumeProduct, select(treatmentWords.volumeProducts)),
    el("div", { class: "amount" }, field("amount_g", treatmentWords.volumeAmount, number()),
        field("unit", entryWords.unit, select(amountUnits(false, site)
            .map((u) => /** @type {[string, string]} */ ([u, u]))))),
    el("div", { class: "amount" },
        field("before_mg_per_l", treatmentWords.volumeBefore, number(), { unit }),
        field("after_mg_per_l", treatmentWords.volumeAfter, number(), { unit })),
    field("step_mg_per_l", treatmentWords.volumeStep, number(), { unit }),
    el("button", {}, treatmentWords.volumeAsk), result);
    target.replaceChildren(el("details", {}, el("summary", { class: "row" }, treatmentWords.volume),
        el("p", { class: "quiet" }, treatmentWords.volumeLead), form));
}

const NOT_SENT = ["id", "version", "etag", "changed_at"];

/** The water as it is kept, with another volume, in hundredths. @param {string} path
 * @param {number} volume_m3 */
async function takeOver(path, volume_m3) {
    const { body, etag } = await getWithTag(path);
    const kept = Object.entries(body).filter(([name, value]) => value !== null &&
        !NOT_SENT.includes(name));
    await send("PUT", path, { ...Object.fromEntries(kept),
        volume_m3: Math.round(volume_m3 * 100) / 100, ...byMember() }, { match: etag });
}

/** @param {HTMLElement} result @param {string} text @param {number} volume_m3
 * @param {Take} take */
function offer(result, text, volume_m3, take) {
    const button = el("button", { type: "button", onclick: async () => {
        button.disabled = true;
        try {
            await take(volume_m3);
            place(result, text, " ", treatmentWords.volumeTaken);
            announce(treatmentWords.volumeTaken);
        } catch (error) {
            button.disabled = false;
            place(result, text, " ", faultsOf(error, () => null).map((f) => f.text).join(" "),
                " ", button);
        }
    } }, treatmentWords.volumeTake);
    place(result, text, " ", button);
}

/** @param {HTMLFormElement} form @param {HTMLElement} result
 * @param {import("./types.js").Site} site @param {Take} take */
async function reckon(form, result, site, take) {
    /** @type {import("./form.js").FormFault[]} */
    const faults = [];
    clearFaults(form);
    result.textContent = "";
    /** @type {Record<string, number>} */
    const values = {};
    for (const name of ["amount_g", "before_mg_per_l", "after_mg_per_l", "step_mg_per_l"]) {
        const read = readDecimal(valueOf(form, name));
        if (read.ok)
            values[name] = read.value;
        else
            faults.push({ field: name, text: entryWords.faults[read.code] });
    }
    if (faults.length > 0) {
        showFaults(form, faults);
        return;
    }
    try {
        const { body } = await send("POST", "volume/trial", { ...values,
            product: valueOf(form, "product"),
            amount_g: amountToStored(values.amount_g ?? 0, valueOf(form, "unit")) });
        const [volume, low, high] = [body.volume_m3, body.low_m3, body.high_m3].map((v) =>
            `${volumeText(v, site)} ${volumeUnit(site)}`);
        offer(result, treatmentWords.volumeIs(volume ?? "", low ?? "", high ?? ""),
            body.volume_m3, take);
    } catch (error) {
        showFaults(form, faultsOf(error, () => null));
    }
}

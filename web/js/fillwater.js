/*
 * The fill water's own values, needed where only replacing water helps. The house
 * computer keeps them for each water and reckons with them.
 */
import { getWithTag, Problem, send } from "./api.js";
import { el } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { faultsOf } from "./saved.js";
import { treatmentWords } from "./treatmentwords.js";
import { readValue } from "./typed.js";
import { shownUnit, valueText } from "./units.js";

const NEEDED = ["ph", "total_alkalinity_mg_per_l_caco3"];
const ASKED = [...NEEDED, "calcium_hardness_mg_per_l_caco3", "salt_mg_per_l_nacl",
    "copper_mg_per_l", "iron_mg_per_l"];

/**
 * @param {HTMLElement} target
 * @param {import("./types.js").Site} site
 * @param {{key: string, words: string, unit: string}[]} quantities
 * @param {string} path where they are kept, below /api/v1/
 * @param {() => void} changed
 */
export function fillForm(target, site, quantities, path, changed) {
    const asked = quantities.filter((q) => ASKED.includes(q.key));
    /** @type {Record<string, number> | null} */
    let known = null;
    let tag = "";
    setScope("fill");
    const shown = (/** @type {{key: string, unit: string}} */ q) =>
        known?.[q.key] === undefined ? "" : valueText(q.key, known[q.key] ?? 0, q.unit, site);
    const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        save();
    } }, asked.map((q) => field(q.key, q.words, textInput({ inputmode: "decimal" }),
        { unit: shownUnit(q.unit, site).symbol })),
    el("div", { class: "actions" }, el("button", {}, treatmentWords.fillSave),
        el("button", { type: "button", class: "plain",
            onclick: () => store(null) }, treatmentWords.fillForget)));
    const take = (/** @type {{body: any, etag: string}} */ answer) => {
        known = answer.body.values;
        tag = answer.etag;
        for (const q of asked) {
            const input = form.querySelector(`[name="${q.key}"]`);
            if (input instanceof HTMLInputElement)
                input.value = shown(q);
        }
    };
    const read = async () => take(await getWithTag(path));
    /** What the form does not ask for stays as it is.
     * @param {Record<string, number> | null} values */
    const store = async (values) => {
        clearFaults(form);
        try {
            take(await send("PUT", path, { values }, { match: tag }));
            changed();
        } catch (error) {
            if (error instanceof Problem && error.status === 412)
                await read().catch(() => {});
            showFaults(form, faultsOf(error, () => null));
        }
    };
    const save = () => {
        /** @type {Record<string, number>} */
        const found = { ...known };
        /** @type {import("./form.js").FormFault[]} */
        const faults = [];
        clearFaults(form);
        for (const q of asked) {
            const text = valueOf(form, q.key);
            const typed = readValue(q.key, text, q.unit, site);
            delete found[q.key];
            if (typed.ok)
                found[q.key] = typed.stored;
            else if (typed.code !== "empty")
                faults.push({ field: q.key, text: entryWords.faults[typed.code] });
            else if (NEEDED.includes(q.key))
                faults.push({ field: q.key, text: entryWords.required });
        }
        if (faults.length > 0) {
            showFaults(form, faults);
            return;
        }
        store(found);
    };
    target.replaceChildren(el("h2", {}, treatmentWords.fill),
        el("p", { class: "quiet" }, treatmentWords.fillLine), form);
    target.hidden = true;
    return { read, show: (/** @type {boolean} */ yes) => { target.hidden = !yes; } };
}

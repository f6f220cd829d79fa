/*
 * The fill water's own values, needed where only replacing water helps. They stay on
 * this device and go along with each question.
 */
import { el } from "./dom.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { keep, kept } from "./frame.js";
import { readValue, shownUnit, valueText } from "./units.js";
import { words } from "./words.js";

const NEEDED = ["ph", "total_alkalinity_mg_per_l_caco3"];
const ASKED = [...NEEDED, "calcium_hardness_mg_per_l_caco3", "salt_mg_per_l_nacl"];

/**
 * @param {HTMLElement} target
 * @param {import("./types.js").Site} site
 * @param {{key: string, words: string, unit: string}[]} quantities
 * @param {string} name under which it is kept
 * @param {() => void} changed
 */
export function fillForm(target, site, quantities, name, changed) {
    const asked = quantities.filter((q) => ASKED.includes(q.key));
    /** @returns {Record<string, number> | null} */
    const values = () => {
        try {
            return JSON.parse(kept(name) ?? "null");
        } catch {
            return null;
        }
    };
    setScope("fill");
    const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        save();
    } }, asked.map((q) => field(q.key, q.words, textInput({ inputmode: "decimal",
        value: values()?.[q.key] === undefined ? ""
            : valueText(q.key, values()?.[q.key] ?? 0, q.unit, site) }),
    { unit: shownUnit(q.unit, site).symbol })),
    el("div", { class: "actions" }, el("button", {}, words.treatment.fillSave),
        el("button", { type: "button", class: "plain", onclick: () => {
            keep(name, null);
            changed();
        } }, words.treatment.fillForget)));
    const save = () => {
        /** @type {Record<string, number>} */
        const found = {};
        /** @type {import("./form.js").FormFault[]} */
        const faults = [];
        clearFaults(form);
        for (const q of asked) {
            const text = valueOf(form, q.key);
            const read = readValue(q.key, text, q.unit, site);
            if (read.ok)
                found[q.key] = read.stored;
            else if (read.code !== "empty")
                faults.push({ field: q.key, text: words.entry.faults[read.code] });
            else if (NEEDED.includes(q.key))
                faults.push({ field: q.key, text: words.setup.required });
        }
        if (faults.length > 0) {
            showFaults(form, faults);
            return;
        }
        keep(name, JSON.stringify(found));
        changed();
    };
    target.replaceChildren(el("h2", {}, words.treatment.fill),
        el("p", { class: "quiet" }, words.treatment.fillLine), form);
    target.hidden = true;
    return { values, show: (/** @type {boolean} */ yes) => { target.hidden = !yes; } };
}

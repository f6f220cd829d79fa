/*
 * What plans aim for, and the most of one dose: kept for each water, with the defaults and
 * where they come from beside each.
 */
import { getWithTag, Problem, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { treatmentWords } from "./treatmentwords.js";
import { byMember } from "./undo.js";
import { readValue } from "./typed.js";
import { shownUnit, valueText, valueWithUnit } from "./units.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./form.js").FormFault} FormFault */
/** @typedef {{low: number, high: number, source?: string}} Range */
/** @typedef {{key: string, words: string, unit: string}} Quantity */
/** @typedef {{etag: string, wanted: Record<string, Range | null>,
 *   limits: Record<string, number>, defaults: {wanted: Record<string, Range | null>,
 *   limits: Record<string, number>}}} Kept */


export class Wanted {
    /** @param {HTMLElement} target @param {Site} site @param {Quantity[]} quantities
     * @param {string} path @param {() => void} changed */
    constructor(target, site, quantities, path, changed) {
        this.site = site;
        this.quantities = quantities;
        this.path = path;
        this.changed = changed;
        this.tag = "";
        /** @type {Kept | null} */
        this.kept = null;
        this.form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.save();
            } });
        this.status = el("p", { role: "status" });
        target.replaceChildren(el("details", {},
            el("summary", { class: "row" }, treatmentWords.wanted),
            el("p", { class: "quiet" }, treatmentWords.wantedLead), this.form, this.status));
    }

    async read() {
        this.take(await getWithTag(this.path));
    }

    /** @param {{body: any, etag: string}} answer */
    take(answer) {
        this.kept = answer.body;
        this.tag = answer.etag;
        this.draw(answer.body);
    }

    /** @param {Kept} kept */
    draw(kept) {
        setScope("wanted");
        place(this.form, Object.keys(kept.defaults.wanted).map((key) => this.row(kept, key)),
            el("h3", {}, treatmentWords.limitsHead),
            el("p", { class: "hint" }, treatmentWords.limitsLead),
            Object.keys(kept.defaults.limits).map((name) => this.limit(kept, name)),
            el("div", { class: "actions" }, el("button", {}, treatmentWords.wantedSave),
                el("button", { type: "button", class: "plain",
                    onclick: () => this.store({}, {}) }, treatmentWords.wantedReset)));
    }

    /** What plans aim at. @param {string} key @returns {Range | null} */
    range(key) {
        const kept = this.kept?.wanted[key];
        return kept === undefined ? this.kept?.defaults.wanted[key] ?? null : kept;
    }

    /** @param {string} key */
    quantity(key) {
        return this.quantities.find((q) => q.key === key) ?? { key, words: key, unit: "" };
    }

    /** @param {Kept} kept @param {string} key */
    row(kept, key) {
        const quantity = this.quantity(key);
        const usual = kept.defaults.wanted[key] ?? null;
        const range = key in kept.wanted ? kept.wanted[key] ?? null : usual;
        const unit = shownUnit(quantity.unit, this.site).symbol;
        /** @param {"low" | "high"} end */
        const shown = (end) => range
            ? valueText(key, range[end], quantity.unit, this.site) : "";
        const low = textInput({ inputmode: "decimal", value: shown("low") });
        const high = textInput({ inputmode: "decimal", value: shown("high") });
        const off = check(`off.${key}`, treatmentWords.wantedOff, range === null);
        const lock = () => { low.disabled = high.disabled = off.input.checked; };
        off.input.addEventListener("change", lock);
        lock();
        return el("fieldset", { class: "field" }, el("legend", {}, quantity.words),
            el("div", { class: "amount" },
                field(`wanted.${key}.low`, treatmentWords.wantedLow, low, { unit }),
                field(`wanted.${key}.high`, treatmentWords.wantedHigh, high, { unit })),
            off.row, el("p", { class: "hint" }, this.usual(key, usual)));
    }

    /** @param {string} key @param {Range | null} usual */
    usual(key, usual) {
        const { unit } = this.quantity(key);
        const sources = /** @type {Record<string, string>} */ (treatmentWords.sources);
        return usual === null ? treatmentWords.wantedNoDefault : treatmentWords.wantedDefault(
            `${valueText(key, usual.low, unit, this.site)} – ${valueWithUnit(key, usual.high,
                unit, this.site)}`, sources[usual.source ?? ""] ?? usual.source ?? "");
    }

    /** @param {Kept} kept @param {string} name */
    limit(kept, name) {
        const usual = kept.defaults.limits[name] ?? 0;
        const { symbol } = shownUnit("mg/L", this.site);
        const text = (/** @type {number} */ v) => writeNumber(v, 1, this.site.decimal_comma);
        return field(`limits.${name}`, treatmentWords.limitNames[name] ?? name,
            textInput({ inputmode: "decimal", value: text(kept.limits[name] ?? usual) }),
            { unit: symbol, hint: treatmentWords.limitDefault(`${text(usual)} ${symbol}`) });
    }

    /* ---- saving ---- */

    save() {
        /** @type {FormFault[]} */
        const faults = [];
        /** @type {Record<string, Range | null>} */
        const wanted = {};
        /** @type {Record<string, number>} */
        const limits = {};
        clearFaults(this.form);
        for (const [key, usual] of Object.entries(this.kept?.defaults.wanted ?? {}))
            this.readRange(key, usual, wanted, faults);
        for (const [name, usual] of Object.entries(this.kept?.defaults.limits ?? {})) {
            const read = readDecimal(valueOf(this.form, `limits.${name}`));
            if (!read.ok)
                faults.push({ field: `limits.${name}`, text: entryWords.faults[read.code] });
            else if (read.value !== usual)
                limits[name] = read.value;
        }
        if (faults.length > 0)
            showFaults(this.form, faults);
        else
            this.store(wanted, limits);
    }

    /** What equals its default is not kept, so that a better default counts later.
     * @param {string} key @param {Range | null} usual
     * @param {Record<string, Range | null>} wanted @param {FormFault[]} faults */
    readRange(key, usual, wanted, faults) {
        const { unit } = this.quantity(key);
        if (valueOf(this.form, `off.${key}`) !== "") {
            if (usual !== null)
                wanted[key] = null;
            return;
        }
        const [low, high] = ["low", "high"].map((end) => {
            const name = `wanted.${key}.${end}`;
            const read = readValue(key, valueOf(this.form, name), unit, this.site);
            if (!read.ok)
                faults.push({ field: name, text: entryWords.faults[read.code] });
            return read.ok ? read.stored : NaN;
        });
        if (low === undefined || high === undefined || Number.isNaN(low + high))
            return;
        if (low > high)
            faults.push({ field: `wanted.${key}.high`, text: treatmentWords.contradicts });
        else if (usual === null || low !== usual.low || high !== usual.high)
            wanted[key] = { low, high };
    }

    /** @param {Record<string, Range | null>} wanted @param {Record<string, number>} limits */
    async store(wanted, limits) {
        clearFaults(this.form);
        try {
            this.take(await send("PUT", this.path, { wanted, limits, ...byMember() },
                { match: this.tag }));
            this.status.textContent = treatmentWords.wantedSaved;
            announce(treatmentWords.wantedSaved);
            this.changed();
        } catch (error) {
            if (error instanceof Problem && error.status === 412)
                await this.read().catch(() => {});
            showFaults(this.form, faultsOf(error, () => null));
        }
    }
}

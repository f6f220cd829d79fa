/*
 * A test, typed with wet hands: large fields, the last value beside each, everything
 * that is rarely needed folded away. Also corrects a test that was kept before.
 */
import { el } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, clearFaults, field, idOf, select, setScope, showFaults,
    textInput, valueOf } from "./form.js";
import { keep, kept, now } from "./frame.js";
import { dropDraft, faultsOf, keepAndSend, keepDraft, onceAtATime, restoreDraft, showSaved,
    showWaiting, typedTime } from "./saved.js";
import { ageText, fullText, momentText } from "./time.js";
import { readValue } from "./typed.js";
import { shownUnit, valueText, valueWithUnit } from "./units.js";
import { inSentence, words } from "./words.js";
import { When } from "./when.js";

/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Reading} Reading */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").Water} Water */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {import("./form.js").FormFault} FormFault */

/** @type {Record<string, string[]>} */
const MAIN = {
    chlorine: ["ph", "free_chlorine_mg_per_l"],
    salt_chlorine: ["ph", "free_chlorine_mg_per_l"],
    bromine: ["ph", "bromine_mg_per_l"],
    biguanide: ["ph"],
};

/** @returns {[string, string][]} */
function methodChoices() {
    return Object.entries(words.methods);
}

export class TestEntry {
    /**
     * @param {HTMLElement} target
     * @param {Place} where with a water
     * @param {Quantity[]} quantities
     * @param {Record<string, KnownValue>} last newest value of each quantity
     * @param {{correct?: Reading, changed: () => void, leave?: () => void}} options
     */
    constructor(target, where, quantities, last, options) {
        this.target = target;
        this.where = where;
        this.site = where.site;
        this.water = /** @type {Water} */ (where.water);
        this.quantities = quantities;
        this.last = last;
        this.options = options;
        this.correct = options.correct ?? null;
        this.draft = this.correct ? `correct.${this.correct.id}`
            : `draft.test.${this.water.id}`;
        /** @type {Set<string>} values that the person said are so */
        this.confirmed = new Set();
        setScope(this.correct ? "correct" : "test");
        this.when = new When(this.site.zone, this.correct ? this.correct.at : null);
        this.saved = el("div", {});
        this.form = this.build();
        target.replaceChildren(this.saved, this.form);
        this.restore();
        keepDraft(this.draft, this.form);
    }

    build() {
        const main = MAIN[this.water.sanitiser] ?? ["ph"];
        const named = (/** @type {string[]} */ keys) => keys.map((key) =>
            this.quantities.find((quantity) => quantity.key === key)).filter((q) => !!q);
        const first = named(main);
        const rest = this.quantities.filter((quantity) => !main.includes(quantity.key));
        const more = el("details", { class: "more-values" },
            el("summary", { class: "row" }, entryWords.more),
            rest.map((quantity) => this.valueField(quantity)));
        if (this.correct && rest.some((q) => q.key in (this.correct?.values ?? {})))
            more.open = true;
        const form = el("form", { class: "wide", novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.submit();
            } },
        el("div", {}, first.map((quantity) => this.valueField(quantity)), more),
        el("div", {}, this.circumstances()));
        return form;
    }

    circumstances() {
        const fact = this.correct;
        const method = select(methodChoices(), fact?.method ?? kept("method") ?? "unknown");
        const by = textInput({ value: fact?.by ?? kept("by") ?? "", autocomplete: "name",
            maxlength: 60 });
        return [
            field("method", entryWords.method, method),
            this.when.node,
            field("by", entryWords.by, by),
            fact ? field("reason", entryWords.reason, textInput({ maxlength: 400 })) : null,
            field("note", entryWords.note, textInput({ value: fact?.note ?? "",
                maxlength: 400 })),
            el("div", { class: "save" },
                el("button", { class: "strong" }, fact ? entryWords.saveCorrection
                    : entryWords.save), " ",
                fact ? el("button", { type: "button", class: "plain", onclick: () => {
                    dropDraft(this.draft);
                    this.options.leave?.();
                } }, entryWords.cancel) : null)];
    }

    /** @param {Quantity} quantity */
    valueField(quantity) {
        const name = `values.${quantity.key}`;
        const id = idOf(name);
        const unit = shownUnit(quantity.unit, this.site).symbol;
        const before = this.correct?.values[quantity.key];
        const signed = quantity.possible[0] < 0;
        const input = el("input", { type: "text", id, name, autocomplete: "off",
            inputmode: signed ? null : "decimal", enterkeyhint: "next",
            "aria-describedby": `${id}-last`,
            value: before === undefined ? "" : valueText(quantity.key, before,
                quantity.unit, this.site) });
        input.dataset.hint = `${id}-last`;
        input.addEventListener("input", () => this.confirmed.delete(quantity.key));
        const echo = el("span", { class: "echo" });
        input.addEventListener("change", () => this.echo(quantity, input, echo));
        return el("div", { class: "value-field" },
            el("label", { for: id }, quantity.words, unit === "" ? null
                : el("span", { class: "unseen" }, `, ${unit}`)),
            el("div", { class: "withunit" }, input,
                el("span", { "aria-hidden": "true" }, unit)),
            el("p", { class: "last", id: `${id}-last` }, echo,
                this.lastText(quantity)),
            el("div", { class: "message", id: `${id}-error` }),
            this.aboutField(quantity));
    }

    /** @param {Quantity} quantity */
    lastText(quantity) {
        const last = this.last[quantity.key];
        if (!last || last.value === null || last.at === null)
            return entryWords.noLast;
        return entryWords.last(valueWithUnit(quantity.key, last.value, quantity.unit,
            this.site), ageText(now() - last.at));
    }

    /** Method, over-range and diluted of one value, folded away. @param {Quantity} q */
    aboutField(q) {
        const detail = this.correct?.details?.[q.key];
        const own = detail && detail.method !== this.correct?.method
            ? detail.method ?? "" : "";
        const base = `details.${q.key}`;
        const method = select([["", entryWords.sameMethod], ...methodChoices()], own);
        const over = check(`${base}.over_range`, entryWords.overRange,
            detail?.over_range === true);
        const diluted = check(`${base}.diluted`, entryWords.diluted,
            detail?.diluted === true);
        return el("details", { open: own !== "" || over.input.checked ||
            diluted.input.checked },
        el("summary", {}, entryWords.aboutShort,
            el("span", { class: "unseen" }, ` (${q.words})`)),
        over.row, diluted.row,
        field(`${base}.method`, entryWords.ownMethod, method));
    }

    /** A number typed in another unit is said back as it is understood.
     * @param {Quantity} quantity @param {HTMLInputElement} input @param {Element} echo */
    echo(quantity, input, echo) {
        const read = readValue(quantity.key, input.value, quantity.unit, this.site);
        echo.textContent = read.ok && read.converted ? entryWords.converted(
            valueWithUnit(quantity.key, read.stored, quantity.unit, this.site)) : "";
    }

    restore() {
        const found = restoreDraft(this.draft, this.form, ["values.", "reason"]);
        if (!found)
            return;
        if (found.stale)
            this.when.write(found.at);
        else
            this.when.update();
        const rest = this.form.querySelector(".more-values");
        if (rest instanceof HTMLDetailsElement && [...rest.querySelectorAll("input")]
            .some((input) => input.type === "text" && input.value !== ""))
            rest.open = true;
        const note = el("p", { class: "kept full" }, entryWords.draft, " ",
            el("button", { type: "button", class: "plain", onclick: () => this.again() },
                entryWords.clear));
        this.form.prepend(note);
    }

    /** An empty form. */
    again() {
        dropDraft(this.draft);
        const next = new TestEntry(this.target, this.where, this.quantities, this.last,
            this.options);
        return next;
    }

    /** @param {Quantity} quantity */
    nameOf(quantity) {
        return `values.${quantity.key}`;
    }

    /**
     * @param {FormFault[]} faults
     * @returns {Record<string, number>}
     */
    readValues(faults) {
        /** @type {Record<string, number>} */
        const values = {};
        let typed = 0;
        for (const quantity of this.quantities) {
            const text = valueOf(this.form, this.nameOf(quantity));
            if (text.trim() === "")
                continue;
            typed++;
            const fault = this.readOne(quantity, text, values);
            if (fault)
                faults.push(fault);
        }
        if (typed === 0)
            faults.push({ field: this.nameOf(/** @type {Quantity} */ (
                this.quantities.find((q) => q.key === "ph"))), text: entryWords.nothing });
        return values;
    }

    /**
     * @param {Quantity} quantity
     * @param {string} text
     * @param {Record<string, number>} values receives it
     * @returns {FormFault | null}
     */
    readOne(quantity, text, values) {
        const name = this.nameOf(quantity);
        const read = readValue(quantity.key, text, quantity.unit, this.site);
        if (!read.ok)
            return { field: name, text: `${quantity.words}: ` +
                `${entryWords.faults[read.code]} ${entryWords.seen(text.trim())}` };
        values[quantity.key] = read.stored;
        const shown = this.shown(quantity, read.stored);
        const [low, high] = quantity.possible;
        if (!(read.stored >= low && read.stored <= high))
            return { field: name, text: entryWords.impossible(quantity.words,
                this.shown(quantity, low), this.shown(quantity, high)) };
        if (this.confirmed.has(quantity.key))
            return null;
        const ask = this.asker(quantity, shown);
        if (read.stored < quantity.plausible[0] || read.stored > quantity.plausible[1])
            return { field: name, text: entryWords.really(quantity.words, shown), ask };
        if (read.thousands)
            return { field: name, text: entryWords.thousands(shown,
                text.trim().replace(/[.,]/, "")), ask };
        return null;
    }

    /** @param {Quantity} quantity @param {number} stored */
    shown(quantity, stored) {
        return valueWithUnit(quantity.key, stored, quantity.unit, this.site);
    }

    /** @param {Quantity} quantity @param {string} shown */
    asker(quantity, shown) {
        return { label: entryWords.yes(shown), action: () => {
            this.confirmed.add(quantity.key);
            this.submit();
        } };
    }

    /** @param {Record<string, number>} values @param {boolean} sameTime */
    readDetails(values, sameTime) {
        /** @type {Record<string, any>} */
        const details = {};
        for (const key of Object.keys(values)) {
            const base = `details.${key}`;
            const method = valueOf(this.form, `${base}.method`);
            const over_range = valueOf(this.form, `${base}.over_range`) !== "";
            const diluted = valueOf(this.form, `${base}.diluted`) !== "";
            const day_only = sameTime && this.correct?.details?.[key]?.day_only === true;
            if (method !== "" || over_range || diluted || day_only)
                details[key] = { ...(method === "" ? {} : { method }), over_range, diluted,
                    ...(day_only ? { day_only } : {}) };
        }
        return Object.keys(details).length === 0 ? {} : { details };
    }

    async submit() {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(this.form);
        const values = this.readValues(faults);
        const time = this.when.read(this.form, faults);
        const reason = valueOf(this.form, "reason").trim();
        if (this.correct && reason === "")
            faults.push({ field: "reason", text: entryWords.required });
        if (faults.length > 0) {
            showFaults(this.form, faults);
            return;
        }
        const by = valueOf(this.form, "by").trim();
        const note = valueOf(this.form, "note").trim();
        const method = valueOf(this.form, "method");
        if (!this.correct) {
            keep("by", by === "" ? null : by);
            keep("method", method);
        }
        const confirmed = [...this.confirmed].filter((key) => key in values);
        await this.send({ water: this.water.id, method, values,
            ...this.readDetails(values, "at" in time), ...time, ...(by ? { by } : {}),
            ...(note ? { note } : {}), ...(reason ? { reason } : {}),
            ...(confirmed.length > 0 ? { confirmed } : {}) });
    }

    /** @param {any} body */
    send(body) {
        const said = [...valueParts(body.values, this.quantities, this.site),
            ...typedTime(body, this.site.zone)].join(", ");
        return onceAtATime(this.form, async () => {
            try {
                this.done(await keepAndSend({ draft: this.draft, body, said,
                    zone: this.site.zone,
                    path: this.correct ? `readings/${this.correct.id}/correction` : "readings",
                    ...(this.correct ? { match: this.correct.etag } : {}) }), said);
            } catch (error) {
                showFaults(this.form, faultsOf(error, (fault) => this.translate(fault)));
            }
        });
    }

    /** @param {import("./types.js").Fault} fault @returns {FormFault | null} */
    translate(fault) {
        const quantity = this.quantities.find((q) => this.nameOf(q) === fault.field);
        if (fault.code === "value_doubtful" && quantity)
            return { field: fault.field, text: fault.detail,
                ask: this.asker(quantity, valueOf(this.form, fault.field).trim()) };
        if (fault.code === "time_twice") {
            this.when.askFold();
            return { field: "local.fold", text: entryWords.twice };
        }
        if (fault.field === "local" || fault.field === "at")
            return { field: "local.time", text: fault.detail };
        return null;
    }

    /** @param {Reading | null} reading null: it waits to be sent @param {string} said */
    done(reading, said) {
        this.options.changed();
        if (this.correct) {
            this.options.leave?.();
            return;
        }
        if (!reading) {
            showWaiting(this.again().saved, said);
            return;
        }
        for (const [key, value] of Object.entries(reading.values)) {
            const quantity = this.quantities.find((q) => q.key === key);
            if (quantity)
                this.last[key] = { quantity: key, words: quantity.words,
                    unit: quantity.unit, value, at: reading.at, method: reading.method,
                    decides: false, low: null, high: null, high_is_limit: false };
        }
        const next = this.again();
        showSaved(next.saved, "readings", reading, [
            ...valueParts(reading.values, this.quantities, this.site),
            momentText(this.site.zone, reading.at, now())].join(", "), this.where, this.options.changed);
    }
}

/**
 * Values in words: "pH 7.4", "free chlorine 2.5 ppm".
 * @param {Record<string, number>} values @param {Quantity[]} quantities
 * @param {import("./types.js").Site} site
 */
function valueParts(values, quantities, site) {
    return quantities.filter((q) => q.key in values).map((q) => `${inSentence(q.words)} ` +
        valueWithUnit(q.key, values[q.key] ?? 0, q.unit, site));
}

/** Heading of a correction. @param {Place} where @param {Reading} reading */
export function correctionLead(where, reading) {
    return entryWords.correcting(fullText(where.site.zone, reading.at));
}


/*
 * A dose: what was added, how much, how strong, where it went in.
 */
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { keep, kept, now } from "./frame.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { dropDraft, faultsOf, keepAndSend, keepDraft, onceAtATime, restoreDraft, showSaved,
    showWaiting, typedTime } from "./saved.js";
import { momentText } from "./time.js";
import { amountText, amountToStored, amountUnits } from "./typed.js";
import { When } from "./when.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").Product} Product */
/** @typedef {import("./types.js").Dose} Dose */
/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {import("./form.js").FormFault} FormFault */

export class DoseEntry {
    /**
     * @param {HTMLElement} target
     * @param {Place} where with a water
     * @param {Product[]} products
     * @param {{correct?: Dose, changed: () => void, leave?: () => void}} options
     */
    constructor(target, where, products, options) {
        this.target = target;
        this.where = where;
        this.site = where.site;
        this.water = /** @type {import("./types.js").Water} */ (where.water);
        this.products = products;
        this.options = options;
        this.correct = options.correct ?? null;
        this.draft = this.correct ? `correct.dose.${this.correct.id}`
            : `draft.dose.${this.water.id}`;
        setScope(this.correct ? "correct" : "dose");
        this.when = new When(this.site.zone, this.correct ? this.correct.at : null);
        this.saved = el("div", {});
        this.product = this.productSelect();
        this.unit = el("select", {});
        this.strength = textInput({ inputmode: "decimal" });
        this.boost = check("super_chlorination", entryWords.superChlorination,
            this.correct?.super_chlorination === true);
        this.place = select(Object.entries(entryWords.places),
            this.correct?.entry ?? "pool");
        this.warning = el("p", { class: "hint" });
        this.form = this.build();
        target.replaceChildren(this.saved, this.form);
        this.choose(true);
        if (this.correct)
            this.fillIn(this.correct);
        const found = restoreDraft(this.draft, this.form, ["amount", "product", "reason"]);
        if (found) {
            this.choose(false);
            restoreDraft(this.draft, this.form, ["amount", "product", "reason"]);
            if (found.stale)
                this.when.write(found.at);
            else
                this.when.update();
        }
        keepDraft(this.draft, this.form);
    }

    productSelect() {
        const groups = Object.entries(entryWords.groups).map(([kind, label]) =>
            el("optgroup", { label }, this.products.filter((p) => p.kind === kind)
                .map((p) => el("option", { value: p.key }, p.words))));
        const node = el("select", { onchange: () => this.choose(true) },
            el("option", { value: "" }, entryWords.choose), groups);
        if (this.correct)
            node.value = this.correct.product;
        return node;
    }

    chosen() {
        return this.products.find((p) => p.key === this.product.value) ?? null;
    }

    /** Units, strength and flags that fit the product. @param {boolean} afresh */
    choose(afresh) {
        const product = this.chosen();
        const units = amountUnits(product?.liquid ?? true, this.site);
        const before = this.unit.value;
        place(this.unit, units.map((unit) => el("option", { value: unit }, unit)));
        this.unit.value = units.includes(before) ? before : units[0] ?? "";
        if (afresh)
            this.strength.value = product?.strength_percent
                ? writeNumber(product.strength_percent, 2, this.site.decimal_comma) : "";
        this.boost.row.hidden = product?.kind !== "sanitiser" &&
            product?.key !== "monopersulfate";
        this.warn();
    }

    warn() {
        const warnings = /** @type {Record<string, string>} */ (entryWords.placeWarning);
        this.warning.textContent = warnings[this.place.value] ?? "";
    }

    build() {
        const fact = this.correct;
        this.place.addEventListener("change", () => this.warn());
        const amount = textInput({ inputmode: "decimal" });
        return el("form", { class: "wide", novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.submit();
            } },
        el("div", {}, field("product", entryWords.product, this.product),
            el("div", { class: "amount" }, field("amount", entryWords.amount, amount),
                field("unit", entryWords.unit, this.unit)),
            field("strength_percent", entryWords.strength, this.strength,
                { hint: entryWords.strengthHint, unit: "%" }),
            this.boost.row,
            field("entry", entryWords.place, this.place), this.warning),
        el("div", {}, this.when.node,
            field("by", entryWords.byDose, textInput({ value: fact?.by ?? kept("by") ?? "",
                autocomplete: "name", maxlength: 60 })),
            fact ? field("reason", entryWords.reason, textInput({ maxlength: 400 })) : null,
            field("note", entryWords.note, textInput({ value: fact?.note ?? "",
                maxlength: 400 })),
            el("p", { class: "quiet" }, entryWords.doseSafety),
            el("div", { class: "save" }, el("button", { class: "strong" }, fact
                ? entryWords.saveCorrection : entryWords.saveDose), " ",
            fact ? el("button", { type: "button", class: "plain", onclick: () => {
                dropDraft(this.draft);
                this.options.leave?.();
            } }, entryWords.cancel) : null)));
    }

    /** @param {Dose} dose */
    fillIn(dose) {
        const liquid = this.chosen()?.liquid ?? false;
        const [number = "", ...unit] = amountText(dose.amount, liquid, this.site).split(" ");
        /** @type {HTMLInputElement} */ (this.form.querySelector("[name=amount]")).value =
            number;
        this.unit.value = unit.join(" ");
        this.amountBefore = { text: number, unit: unit.join(" "), stored: dose.amount };
        this.strength.value = dose.strength_percent === null ? ""
            : writeNumber(dose.strength_percent, 2, this.site.decimal_comma);
    }

    async submit() {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(this.form);
        if (this.product.value === "")
            faults.push({ field: "product", text: entryWords.required });
        const amount = this.number("amount", faults, true);
        const strength = this.number("strength_percent", faults, false);
        const time = this.when.read(this.form, faults);
        const reason = valueOf(this.form, "reason").trim();
        if (this.correct && reason === "")
            faults.push({ field: "reason", text: entryWords.required });
        if (faults.length > 0 || amount === null) {
            showFaults(this.form, faults);
            return;
        }
        const by = valueOf(this.form, "by").trim();
        const note = valueOf(this.form, "note").trim();
        if (!this.correct)
            keep("by", by === "" ? null : by);
        await this.send({ water: this.water.id, product: this.product.value,
            amount: this.stored(amount),
            ...(strength === null ? {} : { strength_percent: strength }),
            entry: this.place.value,
            super_chlorination: !this.boost.row.hidden && this.boost.input.checked,
            ...time, ...(by ? { by } : {}), ...(note ? { note } : {}),
            ...(reason ? { reason } : {}) });
    }

    /** The old amount stays exact when nobody touched it. @param {number} amount */
    stored(amount) {
        const before = this.amountBefore;
        if (before && before.unit === this.unit.value &&
            before.text === valueOf(this.form, "amount").trim())
            return before.stored;
        return amountToStored(amount, this.unit.value);
    }

    /** @param {string} name @param {FormFault[]} faults @param {boolean} needed */
    number(name, faults, needed) {
        const text = valueOf(this.form, name);
        const read = readDecimal(text.replace(/%\s*$/, ""));
        if (read.ok)
            return read.value;
        if (needed || read.code !== "empty")
            faults.push({ field: name, text: read.code === "empty"
                ? entryWords.faults.empty
                : `${entryWords.faults[read.code]} ${entryWords.seen(text.trim())}` });
        return null;
    }

    /** @param {any} body */
    send(body) {
        const said = [this.amountSaid(body), ...typedTime(body, this.site.zone)].join(", ");
        return onceAtATime(this.form, async () => {
            try {
                this.done(await keepAndSend({ draft: this.draft, body, said,
                    zone: this.site.zone,
                    path: this.correct ? `doses/${this.correct.id}/correction` : "doses",
                    ...(this.correct ? { match: this.correct.etag } : {}) }), said);
            } catch (error) {
                showFaults(this.form, faultsOf(error, (fault) => this.translate(fault)));
            }
        });
    }

    /** @param {import("./types.js").Fault} fault @returns {FormFault | null} */
    translate(fault) {
        if (fault.code === "time_twice") {
            this.when.askFold();
            return { field: "local.fold", text: entryWords.twice };
        }
        return fault.field === "local" || fault.field === "at"
            ? { field: "local.time", text: fault.detail } : null;
    }

    /** "480 g of baking soda". @param {Pick<Dose, "product" | "amount">} dose */
    amountSaid(dose) {
        const product = this.products.find((p) => p.key === dose.product);
        return words.amountOf(amountText(dose.amount, product?.liquid ?? false, this.site),
            inSentence(product?.words ?? dose.product));
    }

    /** @param {Dose | null} dose null: it waits to be sent @param {string} said */
    done(dose, said) {
        this.options.changed();
        if (this.correct) {
            this.options.leave?.();
            return;
        }
        const next = new DoseEntry(this.target, this.where, this.products, this.options);
        if (dose)
            showSaved(next.saved, "doses", dose, [this.amountSaid(dose),
                momentText(this.site.zone, dose.at, now())].join(", "), this.where,
                this.options.changed);
        else
            showWaiting(next.saved, said);
    }
}

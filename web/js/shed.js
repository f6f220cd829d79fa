/*
 * The shed: what is there, something new, what is used up.
 */
import { get, makeKey, send } from "./api.js";
import { readDay } from "./dates.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, select, setScope, showFaults, textInput, valueOf }
    from "./form.js";
import { now } from "./frame.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { civil, dayStart } from "./time.js";
import { treatmentWords } from "./treatmentwords.js";
import { amountText, amountToStored, amountUnits, readValue } from "./typed.js";
import { byMember } from "./undo.js";
import { shownUnit, valueWithUnit } from "./units.js";
import { inSentence } from "./words.js";

/** @typedef {import("./types.js").ShedItem} ShedItem */
/** @typedef {import("./types.js").Product} Product */

export class Shed {
    /**
     * @param {HTMLElement} target
     * @param {import("./types.js").Site} site
     * @param {Product[]} products
     * @param {() => void} changed
     */
    constructor(target, site, products, changed) {
        this.site = site;
        this.products = products;
        this.changed = changed;
        this.list = el("div", {});
        this.choose = () => {};
        this.adder = this.form();
        target.replaceChildren(el("h2", {}, treatmentWords.shed), this.list, el("details", {},
            el("summary", { class: "row" }, treatmentWords.shedAdd), this.adder));
        /** @type {ShedItem[]} */
        this.items = [];
    }

    async read() {
        this.items = (await get("shed")).shed;
        this.draw();
    }

    /** @param {string} key */
    nameOf(key) {
        return this.products.find((p) => p.key === key)?.words ?? key;
    }

    draw() {
        place(this.list, this.items.length === 0
            ? el("p", { class: "quiet" }, treatmentWords.shedEmpty)
            : el("ul", { class: "shed-list" }, this.items.map((item) => this.row(item))));
    }

    /** @param {ShedItem} item */
    row(item) {
        const name = item.name || this.nameOf(item.product);
        const text = treatmentWords.shedLeft(
            amountText(item.amount_left, item.unit === "mL", this.site),
            inSentence(this.nameOf(item.product)),
            writeNumber(item.strength_percent, 2, this.site.decimal_comma));
        return el("li", {}, item.name ? el("b", {}, item.name, ": ") : null, text, " ",
            el("button", { type: "button", class: "plain",
                "aria-label": treatmentWords.goneLabel(name),
                onclick: () => this.put(item, { amount_left: 0, gone: true }) },
            treatmentWords.gone), this.age(item));
    }

    /** What time left of it. @param {ShedItem} item */
    age(item) {
        if (!item.aged)
            return null;
        const { strength_percent, age_d, temp_c, temp_is_assumed } = item.aged;
        return el("p", { class: "quiet" }, treatmentWords.agedTo(
            writeNumber(strength_percent, 1, this.site.decimal_comma), age_d,
            valueWithUnit("water_temp_c", temp_c, "°C", this.site), temp_is_assumed));
    }

    /**
     * A new version of a thing.
     * @param {ShedItem} item @param {Partial<ShedItem>} change
     */
    async put(item, change) {
        const { product, strength_percent, amount_left, name, bought_at, opened_at,
            stored_temp_c, measure } = item;
        try {
            await send("PUT", `shed/${item.id}`, { product, strength_percent, amount_left,
                bought_at, opened_at, stored_temp_c, measure, ...(name ? { name } : {}),
                ...byMember(), ...change },
            { match: item.etag });
        } catch (error) {
            console.info(error);
        }
        await this.read();
        this.changed();
    }

    /** Takes out what a dose used, or puts it back. @param {number | null | undefined} id
     * @param {number} amount below 0 puts back */
    async take(id, amount) {
        const item = this.items.find((one) => one.id === id);
        if (item)
            await this.put(item, { amount_left: Math.max(0,
                Math.round((item.amount_left - amount) * 1e6) / 1e6) });
    }

    form() {
        setScope("shed");
        const product = select([["", entryWords.choose], ...this.products
            .filter((p) => p.key !== "other").map((p) =>
                /** @type {[string, string]} */ ([p.key, p.words]))]);
        const unit = el("select", {}), label = el("select", {}), sizeUnit = el("select", {});
        const strength = textInput({ inputmode: "decimal" });
        const measure = select(Object.entries(treatmentWords.measures));
        const size = el("div", { class: "amount" },
            field("measure.size", treatmentWords.measureSize,
                textInput({ inputmode: "decimal" })),
            field("measure.unit", entryWords.unit, sizeUnit));
        const age = el("div", { class: "choices" },
            field("bought_at", treatmentWords.bought, textInput(),
                { hint: treatmentWords.boughtHint }),
            field("stored_temp_c", treatmentWords.storedTemp,
                textInput({ inputmode: "decimal" }),
                { unit: shownUnit("°C", this.site).symbol }));
        const choose = () => {
            const found = this.products.find((p) => p.key === product.value);
            const units = amountUnits(found?.liquid ?? false, this.site);
            for (const one of [unit, sizeUnit])
                place(one, units.map((u) => el("option", { value: u }, u)));
            place(label, (treatmentWords.labels[product.value] ??
                [["strength_percent", "%"]]).map(([value, text]) =>
                el("option", { value }, text)));
            for (const one of [unit, sizeUnit, label])
                one.selectedIndex = 0;
            strength.value = found?.strength_percent
                ? writeNumber(found.strength_percent, 2, this.site.decimal_comma) : "";
            age.hidden = product.value !== "sodium_hypochlorite";
            size.hidden = measure.value === "";
        };
        product.addEventListener("change", choose);
        measure.addEventListener("change", () => { size.hidden = measure.value === ""; });
        choose();
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.add(form);
            } },
        field("product", treatmentWords.product, product),
        el("div", { class: "amount" },
            field("amount_left", treatmentWords.left, textInput({ inputmode: "decimal" })),
            field("unit", entryWords.unit, unit)),
        el("div", { class: "amount" },
            field("strength_percent", treatmentWords.strengthLabel, strength),
            field("label", treatmentWords.labelAs, label)),
        age, field("measure.kind", treatmentWords.measure, measure), size,
        field("name", treatmentWords.name, textInput({ maxlength: 60 })),
        el("button", {}, treatmentWords.save));
        this.choose = choose;
        return form;
    }

    /** A number of the form, or a fault. @param {HTMLFormElement} form @param {string} name
     * @param {import("./form.js").FormFault[]} faults @returns {number} */
    number(form, name, faults) {
        const read = readDecimal(valueOf(form, name));
        if (!read.ok)
            faults.push({ field: name, text: entryWords.faults[read.code] });
        return read.ok ? read.value : NaN;
    }

    /** Age and measure, where they are said. @param {HTMLFormElement} form
     * @param {import("./form.js").FormFault[]} faults */
    extras(form, faults) {
        /** @type {Record<string, any>} */
        const found = {};
        const day = valueOf(form, "bought_at").trim(), temp = valueOf(form, "stored_temp_c");
        const kind = valueOf(form, "measure.kind");
        if (kind !== "")
            found.measure = { kind, size: amountToStored(
                this.number(form, "measure.size", faults), valueOf(form, "measure.unit")) };
        if (valueOf(form, "product") !== "sodium_hypochlorite")
            return found;
        if (day !== "") {
            const read = readDay(day, civil(this.site.zone, now()));
            if (read.ok)
                found.bought_at = dayStart(this.site.zone, read.day.year, read.day.month,
                    read.day.day);
            else
                faults.push({ field: "bought_at", text: treatmentWords.dayFault });
        }
        if (temp.trim() !== "") {
            const read = readValue("water_temp_c", temp, "°C", this.site);
            if (read.ok)
                found.stored_temp_c = read.stored;
            else
                faults.push({ field: "stored_temp_c", text: entryWords.faults[read.code] });
        }
        return found;
    }

    /** @param {HTMLFormElement} form */
    async add(form) {
        /** @type {import("./form.js").FormFault[]} */
        const faults = [];
        clearFaults(form);
        const product = valueOf(form, "product"), name = valueOf(form, "name").trim();
        if (product === "")
            faults.push({ field: "product", text: entryWords.required });
        const amount = this.number(form, "amount_left", faults);
        const strength = this.number(form, "strength_percent", faults);
        const extras = this.extras(form, faults);
        if (faults.length > 0) {
            showFaults(form, faults);
            return;
        }
        try {
            await send("POST", "shed", { product, [valueOf(form, "label")]: strength,
                amount_left: amountToStored(amount, valueOf(form, "unit")), ...extras,
                ...(name ? { name } : {}), ...byMember() }, { key: makeKey() });
            form.reset();
            this.choose();
            await this.read();
            this.changed();
        } catch (error) {
            showFaults(form, faultsOf(error, (fault) => fault.field.startsWith("strength_")
                ? { field: "strength_percent", text: fault.detail } : null));
        }
    }
}

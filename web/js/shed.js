/*
 * The shed: what is there, something new, what is used up.
 */
import { get, makeKey, send } from "./api.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { treatmentWords } from "./treatmentwords.js";
import { byMember } from "./undo.js";
import { amountText, amountToStored, amountUnits } from "./units.js";
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
            treatmentWords.gone));
    }

    /**
     * A new version of a thing.
     * @param {ShedItem} item @param {Partial<ShedItem>} change
     */
    async put(item, change) {
        const { product, strength_percent, amount_left, name, bought_at, opened_at } = item;
        try {
            await send("PUT", `shed/${item.id}`, { product, strength_percent, amount_left,
                bought_at, opened_at, ...(name ? { name } : {}), ...byMember(), ...change },
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
        const product = el("select", {}, el("option", { value: "" }, entryWords.choose),
            this.products.filter((p) => p.key !== "other").map((p) =>
                el("option", { value: p.key }, p.words)));
        const unit = el("select", {});
        const strength = textInput({ inputmode: "decimal" });
        const choose = () => {
            const found = this.products.find((p) => p.key === product.value);
            const units = amountUnits(found?.liquid ?? false, this.site);
            place(unit, units.map((u) => el("option", { value: u }, u)));
            unit.value = units[0] ?? "";
            strength.value = found?.strength_percent
                ? writeNumber(found.strength_percent, 2, this.site.decimal_comma) : "";
        };
        product.addEventListener("change", choose);
        choose();
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.add(form, product.value, unit.value);
            } },
        field("product", treatmentWords.product, product),
        el("div", { class: "amount" },
            field("amount_left", treatmentWords.left, textInput({ inputmode: "decimal" })),
            field("unit", entryWords.unit, unit)),
        field("strength_percent", treatmentWords.strengthLabel, strength, { unit: "%" }),
        field("name", treatmentWords.name, textInput({ maxlength: 60 })),
        el("button", {}, treatmentWords.save));
        return form;
    }

    /** @param {HTMLFormElement} form @param {string} product @param {string} unit */
    async add(form, product, unit) {
        /** @type {import("./form.js").FormFault[]} */
        const faults = [];
        clearFaults(form);
        const amount = readDecimal(valueOf(form, "amount_left"));
        const strength = readDecimal(valueOf(form, "strength_percent"));
        const name = valueOf(form, "name").trim();
        if (product === "")
            faults.push({ field: "product", text: entryWords.required });
        if (!amount.ok)
            faults.push({ field: "amount_left", text: entryWords.faults[amount.code] });
        if (!strength.ok)
            faults.push({ field: "strength_percent",
                text: entryWords.faults[strength.code] });
        if (faults.length > 0 || !amount.ok || !strength.ok) {
            showFaults(form, faults);
            return;
        }
        try {
            await send("POST", "shed", { product, strength_percent: strength.value,
                amount_left: amountToStored(amount.value, unit),
                ...(name ? { name } : {}), ...byMember() }, { key: makeKey() });
            form.reset();
            await this.read();
            this.changed();
        } catch (error) {
            showFaults(form, faultsOf(error, () => null));
        }
    }
}

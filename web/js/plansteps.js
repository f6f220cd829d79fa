/*
 * The steps of a plan as ordered sentences.
 */
import { el } from "./dom.js";
import { writeNumber } from "./numbers.js";
import { treatmentWords } from "./treatmentwords.js";
import { amountText, volumeText, volumeUnit } from "./typed.js";
import { valueText, valueWithUnit } from "./units.js";
import { inSentence } from "./words.js";

/** @typedef {import("./types.js").TreatmentStep} Step */
/** @typedef {import("./types.js").Site} Site */
/** @typedef {{key: string, words: string, unit: string}} Quantity */

/** Smallest change that is worth a word. @type {Record<string, number>} */
const WORTH = { ph: 0.02, free_chlorine_mg_per_l: 0.1, total_alkalinity_mg_per_l_caco3: 1,
    calcium_hardness_mg_per_l_caco3: 2, cyanuric_acid_mg_per_l: 1,
    salt_mg_per_l_nacl: 20, borate_mg_per_l_b: 1 };

/** @type {Record<string, string>} how a product goes in */
const WAYS = { hydrochloric_acid: "hydrochloric_acid", cyanuric_acid: "cyanuric_acid",
    sodium_chloride: "sodium_chloride", sodium_hypochlorite: "sodium_hypochlorite",
    dichlor: "granules", lithium_hypochlorite: "granules", trichlor: "feeder",
    chlorine_gas: "feeder", carbon_dioxide: "feeder" };

export class StepWords {
    /** @param {Site} site @param {Quantity[]} quantities
     * @param {{key: string, words: string}[]} products */
    constructor(site, quantities, products) {
        this.site = site;
        this.quantities = quantities;
        this.products = products;
    }

    /** @param {string} key @param {number | null | undefined} value */
    text(key, value) {
        const quantity = this.quantities.find((q) => q.key === key);
        return value === null || value === undefined ? "–"
            : valueText(key, value, quantity?.unit ?? "", this.site);
    }

    /** @param {string} key @param {number} value */
    withUnit(key, value) {
        const unit = this.quantities.find((q) => q.key === key)?.unit ?? "";
        return valueWithUnit(key, value, unit, this.site);
    }

    /** @param {string} key */
    nameOf(key) {
        return this.quantities.find((q) => q.key === key)?.words ?? key;
    }

    /** @param {number} amount @param {string | undefined} unit */
    amount(amount, unit) {
        return amountText(amount, unit === "mL", this.site);
    }

    /** What to do. @param {Step} step */
    sentence(step) {
        const say = treatmentWords;
        if (step.kind === "replace")
            return say.replace(`${volumeText(step.volume_m3 ?? 0, this.site)} ${
                volumeUnit(this.site)}`);
        if (step.kind === "aerate")
            return say.aerate(this.text("ph", step.after.ph));
        if (step.kind === "wait")
            return say.wait(this.text("free_chlorine_mg_per_l",
                step.after.free_chlorine_mg_per_l));
        const product = this.products.find((p) => p.key === step.product);
        const amount = say.amount(this.measured(step),
            inSentence(product?.words ?? step.product ?? ""),
            say.strength(writeNumber(step.strength_percent ?? 0, 2,
                this.site.decimal_comma)));
        const ways = /** @type {Record<string, (a: string) => string>} */ (say.doses);
        const way = ways[WAYS[step.product ?? ""] ?? "other"];
        return way ? way(amount) : amount;
    }

    /** In scoops or marks where the shed says so, and always as an amount. @param {Step} step */
    measured(step) {
        const amount = this.amount(step.amount ?? 0, step.unit);
        const found = step.measure;
        if (!found)
            return amount;
        const whole = Math.floor(found.count + 1e-6);
        const isHalf = found.count - whole > 0.25;
        const count = `${whole > 0 || !isHalf ? whole : ""}${isHalf ? "½" : ""}`;
        return treatmentWords.counted[found.kind](count, amount);
    }

    /** Where, when, what beside it. @param {Step} step */
    around(step) {
        const say = treatmentWords;
        return [step.part_count > 1 ? say.part(step.part, step.part_count) : "",
            step.other_place ? say.otherPlace : "",
            step.heater === "off_line" ? say.offLine : say.burnerOff,
            step.kind === "dose" && step.wait_h > 0 ? say.waitHours(step.wait_h) : "",
            step.test_after ? say.testAfter : ""].filter((text) => text !== "").join(" ");
    }

    /** What it changes. @param {Step} step @param {number | null} half of the index */
    changes(step, half) {
        const moved = Object.keys(WORTH).filter((key) =>
            Math.abs((step.after[key] ?? 0) - (step.before[key] ?? 0)) >= (WORTH[key] ?? 0))
            .map((key) => treatmentWords.changes(this.nameOf(key),
                this.text(key, step.before[key]), this.text(key, step.after[key])));
        if (step.after.saturation_surface !== null)
            moved.push(treatmentWords.changes(treatmentWords.surface,
                this.band(step.before.saturation_surface ?? null, half),
                this.band(step.after.saturation_surface ?? null, half)));
        return moved.join("; ");
    }

    /** @param {number | null | undefined} value */
    index(value) {
        if (value === null || value === undefined)
            return "–";
        const text = writeNumber(value, 1, this.site.decimal_comma, 1);
        return value >= 0.05 ? `+${text}` : text;
    }

    /** "-0.1 ± 0.2" @param {number | null} value @param {number | null} half */
    band(value, half) {
        return half === null ? this.index(value)
            : `${this.index(value)} ± ${writeNumber(Math.max(half, 0.1), 1,
                this.site.decimal_comma, 1)}`;
    }

    /** What the shed lacks. @param {Step} step */
    lack(step) {
        if (step.kind !== "dose")
            return "";
        if (step.shed === null)
            return treatmentWords.toBuy;
        return (step.short_by ?? 0) > 0
            ? treatmentWords.short(this.amount(step.short_by ?? 0, step.unit)) : "";
    }

    /** @param {Step} step @param {import("./dom.js").Child} action @param {boolean} done
     * @param {number | null} half of the index at the hot surface */
    item(step, action, done, half) {
        const lack = this.lack(step);
        return el("li", { class: done ? "done" : null },
            el("p", { class: "do" }, this.sentence(step)),
            el("p", {}, this.around(step)),
            el("p", { class: "quiet" }, this.changes(step, half)),
            lack ? el("p", {}, lack) : null,
            done ? null : step.cautions.map((text) => el("p", { class: "caution" }, text)),
            el("div", { class: "tick" }, action));
    }
}

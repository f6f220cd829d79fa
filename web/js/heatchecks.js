/*
 * A technician's quick checks: typed, computed, kept nowhere.
 */
import { Problem, send } from "./api.js";
import { byId, el, place } from "./dom.js";
import { clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { heatWords } from "./heatwords.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { ageText, dateText } from "./time.js";
import { now } from "./frame.js";
import { inputText, inputUnit, readValue } from "./typed.js";
import { shownUnit } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").HeaterChecks} HeaterChecks */
/** @typedef {import("./form.js").FormFault} FormFault */

const TEMP = "water_temp_c";
const GPM = 3.785411784 / 60; /* L/s */
const INCH_MM = 25.4;

export class HeatChecks {
    /** @param {import("./frame.js").Place} where @param {string} unit of the meter */
    constructor(where, unit) {
        this.site = where.site;
        this.heater = where.heater?.id;
        this.us = where.site.units === "us";
        this.unit = unit;
    }

    start() {
        const say = heatWords.checks;
        const degree = shownUnit("°C", this.site).symbol;
        const number = () => textInput({ inputmode: "decimal" });
        setScope("checks");
        this.form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            this.ask();
        } },
        el("h3", {}, say.meterHead), el("p", { class: "hint" }, say.meterHint),
        el("div", { class: "pair" },
            field("meter.used", say.used, number()),
            field("meter.unit", say.unit, select(Object.entries(heatWords.units), this.unit)),
            field("meter.duration_s", say.seconds, number()),
            field("meter.step", say.step, number())),
        el("h3", {}, say.riseHead),
        el("div", { class: "pair" },
            field("rise.inlet_temp_c", say.inlet, number(), { unit: degree }),
            field("rise.outlet_temp_c", say.outlet, number(), { unit: degree }),
            field("rise.flow_l_per_s", say.flow, number(),
                { unit: this.us ? "gal/min" : "L/s" }),
            field("scale.thickness_mm", say.scale, number(),
                { unit: this.us ? "in" : "mm" })),
        el("p", { class: "save" }, el("button", { class: "strong" }, say.ask)),
        el("div", { id: "check-answer", "aria-live": "polite" }));
        setScope("");
        place(byId("checks"), el("h2", {}, say.head), el("p", {}, say.caution),
            el("details", {}, el("summary", { class: "row" }, say.open), this.form));
    }

    /** @param {FormFault[]} faults */
    read(faults) {
        const form = /** @type {HTMLFormElement} */ (this.form);
        /** @param {string} name @param {number} [factor] 0 a temperature
         * @returns {number | undefined} */
        const number = (name, factor = 1) => {
            const text = valueOf(form, name);
            if (text.trim() === "")
                return undefined;
            const read = factor === 0 ? readValue(TEMP, text, "°C", this.site)
                : readDecimal(text);
            if (!read.ok) {
                faults.push({ field: name, text: heatWords.notNumber });
                return undefined;
            }
            return "stored" in read ? read.stored
                : Math.round(read.value * factor * 1e6) / 1e6;
        };
        const used = number("meter.used");
        const inlet = number("rise.inlet_temp_c", 0);
        const outlet = number("rise.outlet_temp_c", 0);
        const flow = number("rise.flow_l_per_s", this.us ? GPM : 1);
        const scale = number("scale.thickness_mm", this.us ? INCH_MM : 1);
        const step = number("meter.step");
        const seconds = number("meter.duration_s");
        return { heater: this.heater,
            ...(used === undefined && seconds === undefined ? {} : { meter: { used,
                unit: valueOf(form, "meter.unit"),
                duration_s: seconds === undefined ? undefined : Math.round(seconds),
                step } }),
            ...(outlet === undefined && flow === undefined ? {} : { rise: {
                inlet_temp_c: inlet, outlet_temp_c: outlet, flow_l_per_s: flow } }),
            ...(inlet === undefined ? {} : { condensing: { inlet_temp_c: inlet } }),
            ...(scale === undefined ? {} : { scale: { thickness_mm: scale } }) };
    }

    async ask() {
        const form = /** @type {HTMLFormElement} */ (this.form);
        /** @type {FormFault[]} */
        const faults = [];
        const body = this.read(faults);
        clearFaults(form);
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            const answer = await send("POST", "heater-checks", body);
            place(byId("check-answer"), ...this.lines(answer.body));
        } catch (error) {
            showFaults(form, error instanceof Problem ? error.faults.map((fault) =>
                ({ field: fault.field, text: fault.detail }))
                : [{ field: "", text: words.unreachable }]);
        }
    }

    /** @param {NonNullable<HeaterChecks["condensing"]>} condensing */
    dewPoint(condensing) {
        const { dew_point_from: from, flue_test_at: at } = condensing;
        return at !== null ? heatWords.checks.dewPointOf(dateText(this.site.zone, at, now()))
            : from === "given" ? heatWords.checks.dewPoint.given
                : heatWords.checks.dewPoint.usual;
    }

    /** @param {HeaterChecks} answer */
    lines(answer) {
        const say = heatWords.checks;
        const comma = this.site.decimal_comma;
        /** @param {number} v @param {number} [d] */
        const n = (v, d = 0) => writeNumber(v, d, comma);
        /** @param {number} k */
        const kelvin = (k) => this.us ? `${n(k * 1.8, 0)} °F` : `${n(k, 1)} K`;
        const { meter, rise, condensing, scale, cycling } = answer;
        const lines = [
            meter && say.meter(`${inputText(meter.input_w, this.site)} ${inputUnit(this.site)}`,
                n(meter.ratio * 100), n(2 * meter.u_ratio * 100), say.verdicts[meter.verdict]),
            rise && say.rise(kelvin(rise.rise_k), kelvin(rise.expected_rise_k),
                say.verdicts[rise.verdict]),
            condensing && `${condensing.condenses ? say.condenses(kelvin(-condensing.margin_k))
                : say.dry(kelvin(condensing.margin_k))} ${this.dewPoint(condensing)}`,
            scale && say.scaleLoss(n(scale.fuel_loss_percent, 1), kelvin(scale.wall_rise_k)),
            cycling && (cycling.is_short ? say.short(n(cycling.runs_per_h, 1),
                n(cycling.median_run_s / 60, 0)) : say.notShort(
                ageText(now() - cycling.last_run_at), String(cycling.runs)))];
        const said = lines.filter((line) => line);
        return [el("ul", {}, said.map((line) => el("li", {}, line))),
            said.length === 0 ? el("p", {}, say.nothing) : null,
            el("p", { class: "quiet" }, say.none)];
    }
}

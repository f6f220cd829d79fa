/*
 * The Heat page's look back: efficiency over the years with its alarm, and metal in
 * grams.
 */
import { get } from "./api.js";
import { byId, el, place } from "./dom.js";
import { efficiencyDrawing } from "./efficiencychart.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { now } from "./frame.js";
import { HeatLog } from "./heatlog.js";
import { heatWords } from "./heatwords.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { dateText, momentText } from "./time.js";
import { readVolume, volumeUnit } from "./typed.js";

/** @typedef {import("./types.js").Efficiency} Efficiency */
/** @typedef {import("./types.js").Metal} Metal */
/** @typedef {import("./form.js").FormFault} FormFault */

const LISTED = 12;

export class HeatPast {
    /** @param {import("./frame.js").Place} where @param {string} unit of the meter */
    constructor(where, unit) {
        this.site = where.site;
        this.isPump = where.heater?.fuel === "heat_pump";
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        this.listed = LISTED;
        /** @type {Efficiency | null} */
        this.answer = null;
        /** What was said for the metal balance. @type {Record<string, number>} */
        this.said = {};
        this.log = new HeatLog(where, unit, async () => {
            await this.load();
            return this.answer;
        });
    }

    async start() {
        this.drawMetalForm();
        if (this.isPump) {
            place(byId("efficiency"), el("h2", {}, heatWords.efficiencyHead),
                el("p", {}, heatWords.pumpEfficiency));
            return this.loadMetal();
        }
        await Promise.all([this.load(), this.loadMetal()]);
        this.log.start();
        let width = 0;
        new ResizeObserver(() => {
            if (byId("efficiency").clientWidth !== width) {
                width = byId("efficiency").clientWidth;
                this.draw();
            }
        }).observe(byId("efficiency"));
    }

    async load() {
        this.answer = await get("efficiency", { heater: this.pair.heater });
        this.draw();
    }

    /** @param {number} fraction @param {number} [decimals] */
    percent(fraction, decimals = 0) {
        return writeNumber(fraction * 100, decimals, this.site.decimal_comma);
    }

    /** @param {number} value @param {number} [decimals] */
    number(value, decimals = 0) {
        return writeNumber(value, decimals, this.site.decimal_comma);
    }

    /* ---- efficiency ---- */

    draw() {
        const answer = this.answer;
        if (!answer)
            return;
        const say = heatWords;
        const { alarm } = answer;
        const width = Math.min(640, byId("efficiency").clientWidth);
        const used = answer.warm_ups.filter((w) => w.efficiency !== null);
        place(byId("efficiency"), el("h2", {}, say.efficiencyHead),
            el("p", { class: alarm.is_alarm ? "lead doubt" : "lead" }, alarm.is_alarm
                ? say.alarm : answer.now === null ? say.noEfficiency
                    : say.efficiencyNow(this.percent(answer.now))),
            el("p", {}, alarm.reason), ...this.costPart(answer),
            alarm.is_alarm ? el("p", {}, say.alarmDo) : null,
            used.length > 0 && width > 150 ? efficiencyDrawing({ answer, now: now(),
                zone: this.site.zone, label: say.efficiencyLabel,
                text: (v) => `${this.percent(v)} %` }, width) : null,
            used.length > 0 ? el("p", { class: "quiet" }, say.efficiencyBand) : null,
            ...this.seasonTable(answer), ...this.warmUpList(answer));
    }

    /** @param {Efficiency} answer */
    costPart(answer) {
        const { cost } = answer;
        if (!answer.alarm.is_alarm || !cost.lost_fuel_per_year)
            return [];
        const fuel = `${this.number(cost.lost_fuel_per_year)} ` +
            (heatWords.units[cost.unit] ?? cost.unit);
        return [el("p", {}, heatWords.lossCosts(cost.lost_cost_per_year === null ? fuel
            : `${fuel}, ${this.number(cost.lost_cost_per_year)} ${cost.currency}`))];
    }

    /** @param {Efficiency} answer */
    seasonTable(answer) {
        if (answer.seasons.length === 0)
            return [];
        return [el("table", {}, el("thead", {}, el("tr", {},
            heatWords.seasonColumns.map((text, i) => el("th", { scope: "col",
                class: i > 0 ? "num" : null }, text)))),
        el("tbody", {}, answer.seasons.map((s) => el("tr", {},
            el("th", { scope: "row" }, s.season),
            el("td", { class: "num" }, `${this.percent(s.efficiency)} %`),
            el("td", { class: "num" }, heatWords.range(this.percent(s.low),
                this.percent(s.high), "%"))))))];
    }

    /** What was logged, newest first, each to be corrected. @param {Efficiency} answer */
    warmUpList(answer) {
        const logged = [...answer.warm_ups].reverse();
        if (logged.length === 0)
            return [];
        const doubted = logged.filter((w) => w.flaws.length > 0 || w.lacks !== null).length;
        const open = document.querySelector("#efficiency details")?.hasAttribute("open");
        return [el("details", { open: open === true },
            el("summary", { class: "row" }, heatWords.logged(logged.length, doubted)),
            el("ul", { class: "logged" }, logged.slice(0, this.listed).map((w) => el("li", {},
                `${momentText(this.site.zone, w.at, now())}: `,
                w.efficiency === null ? "" : `${this.percent(w.efficiency)} %. `,
                w.lacks === null ? "" : heatWords.warmUpLacks,
                w.flaws.map((f) => f.text).join(" "), " ",
                el("button", { type: "button", onclick: () => this.log.correct(w.id) },
                    heatWords.change)))),
            logged.length <= this.listed ? null : el("p", {}, el("button", { type: "button",
                onclick: () => {
                    this.listed += LISTED;
                    this.draw();
                } }, heatWords.older)))];
    }

    /* ---- metal ---- */

    /** Asks for what no reading tells; what is left empty is assumed, and said so. */
    drawMetalForm() {
        const say = heatWords;
        const number = () => textInput({ inputmode: "decimal" });
        setScope("metal");
        const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            this.askMetal(form);
        } }, el("p", {}, say.metalAskHint),
        field("out_l", say.metalOut, number(), { unit: volumeUnit(this.site) }),
        field("dosed_g", say.metalDosed, number(), { unit: "g", hint: say.metalDosedHint }),
        el("p", {}, el("button", {}, say.metalAsk)));
        setScope("");
        place(byId("metal"), el("h2", {}, say.metalHead),
            el("div", { id: "metal-answer", "aria-live": "polite" }), el("details", {},
                el("summary", { class: "row" }, say.metalAskHead), form));
    }

    /** @param {HTMLFormElement} form */
    async askMetal(form) {
        /** @type {FormFault[]} */
        const faults = [];
        /** @type {Record<string, number>} */
        const said = {};
        clearFaults(form);
        for (const name of ["out_l", "dosed_g"]) {
            const text = valueOf(form, name);
            if (text.trim() === "")
                continue;
            const read = name === "out_l" ? readVolume(text, this.site) : readDecimal(text);
            if (!read.ok)
                faults.push({ field: name, text: heatWords.notNumber });
            else
                said[name] = "stored" in read ? read.stored * 1000 : read.value;
        }
        if (faults.length > 0)
            return showFaults(form, faults);
        this.said = said;
        try {
            await this.loadMetal();
        } catch (error) {
            showFaults(form, faultsOf(error, () => null));
        }
    }

    async loadMetal() {
        const answers = await Promise.all(["copper", "iron"].map((metal) =>
            get("metal", { ...this.pair, ...this.said, metal,
                dosed_g: metal === "copper" ? this.said.dosed_g : undefined })));
        place(byId("metal-answer"), answers.flatMap((answer) => this.metalPart(answer)),
            el("p", { class: "quiet" }, heatWords.metalNote));
    }

    /** @param {Metal} answer */
    metalPart(answer) {
        const say = heatWords;
        const name = say.metals[answer.metal] ?? answer.metal;
        const b = answer.balance;
        if (!b)
            return [el("p", {}, `${name}: `, say.metalLacks[answer.lacks ?? "tests"] ?? "")];
        const found = b.verdict === "unexplained";
        const time = (/** @type {number} */ at) => dateText(this.site.zone, at, now());
        return [el("p", { class: found ? "lead doubt" : null }, found
            ? say.metalFound(name, this.number(b.at_least_g, 1)) : say.metalNone(name)),
        el("p", {}, say.metalGrams(time(b.before.at), time(b.after.at),
            this.number(b.unexplained_g, 1), this.number(1.645 * b.u_unexplained_g, 1)),
        found && answer.metal === "copper" ? ` ${say.metalCopper}` : ""),
        b.assumed.length === 0 ? null : el("p", { class: "quiet" }, say.assumed(
            b.assumed.map((key) => say.metalAssumed[key] ?? key).join(", "))),
        answer.signs.length === 0 ? null : el("p", {}, say.signs(answer.signs
            .map((key) => say.signNames[key] ?? key).join(", ")))];
    }
}

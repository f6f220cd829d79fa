/*
 * The Heat page's look back: efficiency over the years with its alarm, metal in grams,
 * and the form that logs a warm-up.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { readDay, readTime, dayText } from "./dates.js";
import { announce, byId, el, place } from "./dom.js";
import { efficiencyDrawing } from "./efficiencychart.js";
import { entryWords } from "./entrywords.js";
import { check, clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { now } from "./frame.js";
import { heatWords } from "./heatwords.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { civil, dateText, momentText } from "./time.js";
import { byMember, undoButton } from "./undo.js";
import { readValue } from "./typed.js";
import { shownUnit } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Efficiency} Efficiency */
/** @typedef {import("./types.js").Metal} Metal */
/** @typedef {import("./form.js").FormFault} FormFault */

const TEMP = "water_temp_c";
const LISTED = 12;
/** Fields of the API as this form has them. @type {Record<string, string>} */
const FIELDS = { at: "time", local: "time", ended_at: "end_time", ended_local: "end_time" };

export class HeatPast {
    /** @param {import("./frame.js").Place} where @param {string} unit of the meter */
    constructor(where, unit) {
        this.site = where.site;
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        this.unit = unit;
        /** @type {Efficiency | null} */
        this.answer = null;
    }

    async start() {
        await Promise.all([this.load(), this.loadMetal()]);
        this.drawForm();
        this.drawChange();
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
            ...this.seasonTable(answer), ...this.flawList(answer));
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

    /** What was flagged, newest first. @param {Efficiency} answer */
    flawList(answer) {
        const flawed = answer.warm_ups.filter((w) => w.flaws.length > 0 ||
            w.lacks !== null).reverse().slice(0, LISTED);
        if (flawed.length === 0)
            return [];
        return [el("details", {}, el("summary", { class: "row" }, heatWords.flagged),
            el("ul", {}, flawed.map((w) => el("li", {},
                `${momentText(this.site.zone, w.at, now())}: `,
                w.efficiency === null ? "" : `${this.percent(w.efficiency)} %. `,
                w.lacks === null ? "" : heatWords.warmUpLacks,
                w.flaws.map((f) => f.text).join(" ")))))];
    }

    /* ---- metal ---- */

    async loadMetal() {
        const answers = await Promise.all(["copper", "iron"].map((metal) =>
            get("metal", { ...this.pair, metal })));
        place(byId("metal"), el("h2", {}, heatWords.metalHead),
            answers.flatMap((answer) => this.metalPart(answer)),
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

    /* ---- a new warm-up ---- */

    drawForm() {
        const say = heatWords;
        const degree = shownUnit("°C", this.site).symbol;
        const number = (/** @type {string} */ value = "") =>
            textInput({ inputmode: "decimal", value });
        setScope("log");
        const shared = check("meter_is_shared", say.shared);
        const sun = check("probe_in_sun", say.inSun);
        const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            this.save(form);
        } },
        field("day", say.logDay, textInput({ value: "today" })),
        el("div", { class: "pair" },
            field("time", say.logStart, textInput()),
            field("end_time", say.logEnd, textInput()),
            field("start_temp_c", say.tempBefore, number(), { unit: degree }),
            field("end_temp_c", say.tempAfter, number(), { unit: degree }),
            field("meter_start", say.meterBefore, number()),
            field("meter_end", say.meterAfter, number()),
            field("unit", say.meterUnit, select(Object.entries(say.units), this.unit)),
            field("burner_h", say.burnerHours, number()),
            field("air_temp_c", say.logAir, number(), { unit: degree }),
            field("cover", say.logCover, select(/** @type {[string, string][]} */ (
                Object.entries(say.covers).filter(([key]) => key !== "own")), "bubble"))),
        shared.row, sun.row,
        el("p", { class: "save" }, el("button", { class: "strong" }, say.save)));
        setScope("");
        place(byId("log"), el("h2", {}, say.logHead), el("p", {}, say.logWhy),
            el("details", {}, el("summary", { class: "row" }, say.logOpen), form));
    }

    /** Start and end as local times. @param {HTMLFormElement} form
     * @param {FormFault[]} faults */
    readTimes(form, faults) {
        const day = readDay(valueOf(form, "day"), civil(this.site.zone, now()));
        const start = readTime(valueOf(form, "time"));
        const end = readTime(valueOf(form, "end_time"));
        if (!day.ok)
            faults.push({ field: "day", text: entryWords.dayFaults[day.code] });
        if (!start.ok)
            faults.push({ field: "time", text: entryWords.timeFaults[start.code] });
        if (!end.ok)
            faults.push({ field: "end_time", text: entryWords.timeFaults[end.code] });
        if (!day.ok || !start.ok || !end.ok)
            return {};
        /* An end before the start on the clock is the next morning's. */
        const later = new Date(Date.UTC(day.day.year, day.day.month - 1, day.day.day +
            (end.time <= start.time ? 1 : 0)));
        return { local: { date: dayText(day.day), time: start.time },
            ended_local: { date: later.toISOString().slice(0, 10), time: end.time } };
    }

    /** @param {HTMLFormElement} form @param {FormFault[]} faults */
    read(form, faults) {
        /** @param {string} name @param {boolean} needed @param {boolean} is_temp */
        const number = (name, needed, is_temp) => {
            const text = valueOf(form, name);
            if (text.trim() === "" && !needed)
                return undefined;
            const read = is_temp ? readValue(TEMP, text, "°C", this.site) : readDecimal(text);
            if (!read.ok)
                faults.push({ field: name, text: is_temp ? heatWords.notTemp
                    : heatWords.notNumber });
            return read.ok ? "stored" in read ? read.stored : read.value : undefined;
        };
        const byHours = valueOf(form, "burner_h").trim() !== "" &&
            valueOf(form, "meter_end").trim() === "";
        const flags = new FormData(form);
        return { ...this.pair, ...this.readTimes(form, faults),
            start_temp_c: number("start_temp_c", true, true),
            end_temp_c: number("end_temp_c", true, true),
            ...(byHours ? { source: "burner_hours", burner_h: number("burner_h", true, false) }
                : { source: "meter", unit: valueOf(form, "unit"),
                    meter_start: number("meter_start", true, false),
                    meter_end: number("meter_end", true, false),
                    meter_is_shared: flags.has("meter_is_shared") }),
            air_temp_c: number("air_temp_c", false, true),
            cover: valueOf(form, "cover"), probe_in_sun: flags.has("probe_in_sun"),
            ...byMember() };
    }

    /** @param {HTMLFormElement} form */
    async save(form) {
        /** @type {FormFault[]} */
        const faults = [];
        const body = this.read(form, faults);
        clearFaults(form);
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            const saved = await send("POST", "warm-ups", body, { key: makeKey() });
            await this.load();
            this.said(saved.body);
        } catch (error) {
            this.refused(form, error);
        }
    }

    /** @param {HTMLFormElement} form @param {unknown} error */
    refused(form, error) {
        showFaults(form, error instanceof Problem ? error.faults.map((fault) => ({
            field: FIELDS[fault.field.split(".")[0] ?? ""] ?? fault.field,
            text: fault.detail })) : [{ field: "", text: words.unreachable }]);
    }

    /** What the new warm-up says. @param {import("./types.js").Fact} fact */
    said(fact) {
        const one = this.answer?.warm_ups.find((w) => w.id === fact.id);
        const text = !one || one.efficiency === null ? heatWords.saved
            : heatWords.warmUpSaid(this.percent(one.efficiency),
                one.flaws.map((f) => f.text).join(" "));
        this.drawForm();
        byId("log").append(el("div", { class: "saved" }, el("p", {}, text),
            undoButton("warm-ups", fact, () => this.load())));
        announce(text);
    }

    /* ---- another meter ---- */

    drawChange() {
        const say = heatWords;
        setScope("change");
        const form = el("form", { novalidate: true, onsubmit: async (
            /** @type {Event} */ event) => {
            event.preventDefault();
            try {
                await send("POST", "meter-changes", { heater: this.pair.heater,
                    what: valueOf(form, "what"), ...byMember() }, { key: makeKey() });
                await this.load();
                announce(say.saved);
                form.append(el("p", { class: "saved" }, say.saved));
            } catch (error) {
                this.refused(form, error);
            }
        } },
        field("what", say.changeWhat, select([["meter", say.changeMeter],
            ["thermometer", say.changeThermometer]])),
        el("p", {}, el("button", {}, say.changeSave)));
        setScope("");
        place(byId("change"), el("details", {},
            el("summary", { class: "row" }, say.changeHead),
            el("p", {}, say.changeWhy), form));
    }
}

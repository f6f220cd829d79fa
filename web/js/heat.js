/*
 * The Heat page: when to light the heater so that the water is warm in time, what that
 * needs and costs, with other covers and winds beside it.
 */
import { get, getWithTag, Problem, send } from "./api.js";
import { byId, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, select, showFaults, textInput, valueOf } from "./form.js";
import { readTime } from "./dates.js";
import { keep, kept, now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { HeatChecks } from "./heatchecks.js";
import { HeatPast } from "./heatpast.js";
import { heatWords } from "./heatwords.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { ageText, civil, instants, momentText, shortDayText, spanText } from "./time.js";
import { byMember } from "./undo.js";
import { readValue } from "./typed.js";
import { shownUnit, valueWithUnit } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").WarmBy} WarmBy */
/** @typedef {import("./types.js").WarmUpWay} WarmUpWay */
/** @typedef {import("./types.js").Tariff} Tariff */
/** @typedef {import("./form.js").FormFault} FormFault */

const TEMP = "water_temp_c";
const DAYS_AHEAD = 8;
const TEN_MINUTES_S = 600;
const WINDS = /** @type {Record<string, number>} */ ({ still: 0.5, light: 1, windy: 3 });
const SKIES = /** @type {Record<string, number>} */ ({ clear: 0.1, half: 0.5, grey: 1 });

/** Days from today on, by the number of days ahead. @param {string} zone */
function dayChoices(zone) {
    return Array.from({ length: DAYS_AHEAD }, (_, ahead) => /** @type {[string, string]} */ (
        [String(ahead), ahead === 0 ? words.days[0] : ahead === 1 ? words.days[1]
            : shortDayText(zone, now() + ahead * 86400)]));
}

class HeatPage {
    /** @param {import("./frame.js").Place} where */
    constructor(where) {
        this.site = where.site;
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        /** @type {HTMLFormElement} */
        this.form = /** @type {HTMLFormElement} */ (byId("ask"));
        /** @type {WarmBy | null} */
        this.answer = null;
        /** @type {import("./types.js").Permit | null} */
        this.permit = null;
        /** @type {Tariff | null} */
        this.tariff = null;
        this.turn = 0;
    }

    async start() {
        const [permit, tariff] = await Promise.all([
            get("permit", this.pair).catch(() => null),
            getWithTag(`heaters/${this.pair.heater}/tariff`).then((a) => a.body)]);
        this.permit = permit?.permit ?? null;
        this.tariff = tariff;
        this.drawForm(permit?.values.find((/** @type {any} */ v) => v.quantity === TEMP));
        this.drawTariff();
        this.form.addEventListener("submit", (event) => {
            event.preventDefault();
            this.submit();
        });
        await this.ask(this.read([]));
    }

    /* ---- the question ---- */

    get degree() {
        return shownUnit("°C", this.site).symbol;
    }

    /** @param {string} name @param {string} otherwise */
    old(name, otherwise) {
        return kept(`heat.${name}`) ?? otherwise;
    }

    /** @param {{value: number, at: number} | undefined} last */
    drawForm(last) {
        const say = heatWords;
        const us = this.site.units === "us";
        const temp = () => textInput({ inputmode: "decimal" });
        const wanted = textInput({ inputmode: "decimal",
            value: this.old("wanted", us ? "82" : "28") });
        const hint = last ? say.nowTempHint(`${valueWithUnit(TEMP, last.value, "°C",
            this.site)}, ${ageText(now() - last.at)}`) : say.nowTempNone;
        /** @param {Record<string, string>} names @returns {[string, string][]} */
        const choices = (names) => Object.entries(names);
        place(this.form,
            field("wanted_temp_c", say.wanted, wanted, { unit: this.degree }),
            el("div", { class: "pair" },
                field("day", say.day, select(dayChoices(this.site.zone), "1")),
                field("by", say.hour, textInput({ value: this.old("hour", "15:00") }))),
            el("details", {}, el("summary", { class: "row" }, say.weather),
                el("p", { class: "hint" }, say.weatherHint),
                el("div", { class: "pair" },
                    field("air_low_c", say.night, temp(), { unit: this.degree }),
                    field("air_high_c", say.dayHigh, temp(), { unit: this.degree }),
                    field("wind_m_per_s", say.wind, select(choices(say.winds))),
                    field("cloud_fraction", say.sky, select(choices(say.skies))),
                    field("cover", say.cover, select(choices(say.covers)))),
                field("temp_c", say.nowTemp, temp(), { unit: this.degree, hint })),
            el("p", { class: "save" }, el("button", { class: "strong" }, say.ask)));
    }

    /** The instant asked for. @param {FormFault[]} faults */
    readBy(faults) {
        const time = readTime(valueOf(this.form, "by"));
        if (!time.ok) {
            faults.push({ field: "by", text: entryWords.timeFaults[time.code] });
            return 0;
        }
        const day = civil(this.site.zone, now());
        const [hour = 0, minute = 0] = time.time.split(":").map(Number);
        const at = instants(this.site.zone, day.year, day.month,
            day.day + Number(valueOf(this.form, "day")), hour, minute)[0];
        if (at === undefined)
            faults.push({ field: "by", text: heatWords.noHour });
        else if (at < now() + 120)
            faults.push({ field: "by", text: heatWords.pastTime });
        return at ?? 0;
    }

    /** @param {string} name @param {FormFault[]} faults @returns {number | null} */
    readTemp(name, faults) {
        const text = valueOf(this.form, name);
        if (text.trim() === "" && name !== "wanted_temp_c")
            return null;
        const read = readValue(TEMP, text, "°C", this.site);
        if (read.ok)
            return read.stored;
        faults.push({ field: name, text: heatWords.notTemp });
        return null;
    }

    /** @param {FormFault[]} faults receives what is wrong */
    read(faults) {
        const cover = valueOf(this.form, "cover");
        return {
            by: this.readBy(faults),
            wanted_temp_c: this.readTemp("wanted_temp_c", faults),
            air_low_c: this.readTemp("air_low_c", faults),
            air_high_c: this.readTemp("air_high_c", faults),
            temp_c: this.readTemp("temp_c", faults),
            wind_m_per_s: WINDS[valueOf(this.form, "wind_m_per_s")] ?? null,
            cloud_fraction: SKIES[valueOf(this.form, "cloud_fraction")] ?? null,
            cover: cover === "own" ? null : cover,
        };
    }

    submit() {
        /** @type {FormFault[]} */
        const faults = [];
        const query = this.read(faults);
        clearFaults(this.form);
        if (faults.length > 0)
            return showFaults(this.form, faults);
        keep("heat.wanted", valueOf(this.form, "wanted_temp_c"));
        keep("heat.hour", valueOf(this.form, "by"));
        return this.ask(query);
    }

    /** @param {Record<string, any>} query */
    async ask(query) {
        const turn = ++this.turn;
        try {
            const answer = await get("warm-by", { ...this.pair, ...query });
            if (turn !== this.turn)
                return;
            this.answer = answer;
            this.draw();
        } catch (error) {
            if (turn !== this.turn)
                return;
            if (error instanceof Problem && error.status === 400)
                showFaults(this.form, error.faults.map((fault) =>
                    ({ field: fault.field, text: fault.detail })));
            else
                place(byId("answer"), el("p", { class: "message" },
                    error instanceof Problem ? error.message : words.unreachable));
        }
    }

    /* ---- the answer ---- */

    draw() {
        const answer = /** @type {WarmBy} */ (this.answer);
        place(byId("answer"), ...this.lead(answer));
        place(byId("beside"), ...this.besidePart(answer));
        place(byId("losses"), ...this.lossPart(answer));
    }

    /** @param {number} at down to ten minutes: a start must not be late */
    startText(at) {
        const start = Math.floor(at / TEN_MINUTES_S) * TEN_MINUTES_S;
        return start <= now() ? heatWords.now : this.moment(start);
    }

    /** @param {number} at */
    moment(at) {
        return momentText(this.site.zone, at, now());
    }

    /** @param {number} value */
    number(value) {
        return writeNumber(value, value < 10 ? 1 : 0, this.site.decimal_comma);
    }

    /** @param {number} low @param {number} high @param {string} unit */
    range(low, high, unit) {
        const [a, b] = [this.number(low), this.number(high)];
        return a === b ? heatWords.about(a, unit) : heatWords.range(a, b, unit);
    }

    /** @param {WarmBy} answer */
    unit(answer) {
        return heatWords.units[answer.unit] ?? answer.unit;
    }

    /** @param {WarmBy} answer @param {WarmUpWay} way */
    needs(answer, way) {
        const fuel = this.range(way.easy.fuel, way.hard.fuel, this.unit(answer));
        if (way.easy.cost === null || way.hard.cost === null)
            return heatWords.needs(fuel);
        return heatWords.costs(fuel,
            this.range(way.easy.cost, way.hard.cost, answer.currency));
    }

    /** @param {WarmBy} answer */
    lead(answer) {
        const say = heatWords;
        const plan = answer.plan;
        if (!plan)
            return this.lackPart(answer);
        const by = this.moment(answer.by);
        const { likely, easy, hard } = plan;
        if (!easy.in_time || !likely.in_time)
            return [el("p", { class: "lead" }, likely.reached_at === null ? say.never
                : say.late(by, this.moment(likely.reached_at))),
            likely.reached_at === null ? null : el("p", {}, this.needs(answer, plan)),
            this.permitLine(), ...this.basisPart(answer)];
        if (likely.firing_h === 0)
            return [el("p", { class: "lead" }, say.warmAlready(by)),
                hard.firing_h > 0 ? el("p", {}, say.warmLikely) : null,
                ...this.basisPart(answer)];
        return [el("p", { class: "lead" }, say.start(by, this.startText(hard.start_at))),
            el("p", { class: "sentence" }, this.needs(answer, plan)),
            el("p", {}, hard.in_time ? say.safe(this.startText(easy.start_at),
                this.startText(likely.start_at)) : say.tight, " ",
            say.burns(spanText(likely.firing_h * 3600)), " ", this.holdText(answer)),
            this.permitLine(), ...this.basisPart(answer)];
    }

    /** @param {WarmBy} answer */
    holdText(answer) {
        if (answer.hold_fuel_per_day === null)
            return "";
        const fuel = heatWords.about(this.number(answer.hold_fuel_per_day),
            this.unit(answer));
        return heatWords.hold(answer.hold_cost_per_day === null ? fuel
            : `${fuel}, ${heatWords.about(this.number(answer.hold_cost_per_day),
                answer.currency)}`);
    }

    permitLine() {
        if (this.permit === "run")
            return null;
        const text = heatWords.permit[this.permit ?? "unknown"];
        return el("p", { class: "doubt" }, el("a", { href: "./" }, text));
    }

    /** @param {WarmBy} answer */
    lackPart(answer) {
        const lacks = /** @type {import("./heatwords.js").Lack[]} */ (answer.lacks);
        const setup = lacks.some((name) => name !== "temp_c");
        return [el("p", { class: "lead" }, heatWords.lackHead),
            el("ul", {}, lacks.map((name) => el("li", {}, heatWords.lacks[name]))),
            setup ? el("p", {}, el("a", { class: "button", href: "setup" },
                heatWords.toSetup)) : null];
    }

    /** @param {WarmBy} answer */
    basisPart(answer) {
        const { basis } = answer;
        const air = `${valueWithUnit(TEMP, basis.air_low_c, "°C", this.site)} – ` +
            valueWithUnit(TEMP, basis.air_high_c, "°C", this.site);
        const names = basis.assumed.map((name) => heatWords.assumedNames[name] ?? name);
        return [names.length === 0 ? null : el("p", { class: "quiet" },
            heatWords.assumed(names.join(", ")), basis.assumed.includes("air_low_c")
                ? ` (${air})` : ""),
        basis.out_of_range ? el("p", { class: "quiet" }, heatWords.outOfRange) : null];
    }

    /** @param {WarmBy} answer */
    besidePart(answer) {
        if (!answer.plan)
            return [];
        const say = heatWords;
        const rows = [answer.plan, ...answer.beside].map((way, i) => el("tr", {},
            el("td", {}, say.covers[way.cover], i === 0 ? ` (${say.asked})` : ""),
            el("td", {}, say.windWord(way.wind_m_per_s)),
            el("td", {}, way.hard.in_time ? this.startText(way.hard.start_at)
                : way.likely.in_time ? say.now : say.tooLate),
            el("td", { class: "num" }, this.range(way.easy.fuel, way.hard.fuel, ""))));
        return [el("h2", {}, say.besideHead), el("table", {},
            el("thead", {}, el("tr", {}, say.besideColumns.map((text) =>
                el("th", { scope: "col" }, text)),
            el("th", { scope: "col", class: "num" }, this.unit(answer)))),
            el("tbody", {}, rows))];
    }

    /** @param {WarmBy} answer */
    lossPart(answer) {
        if (!answer.plan)
            return [];
        const say = heatWords;
        const comma = this.site.decimal_comma;
        const litres = this.site.units === "us"
            ? `${writeNumber(answer.evaporation_l_per_h / 3.785411784, 1, comma)} gal`
            : `${writeNumber(answer.evaporation_l_per_h, 1, comma)} L`;
        const rows = [...answer.losses].sort((a, b) => b.mean_w - a.mean_w)
            .map((loss) => el("tr", {}, el("th", { scope: "row" },
                say.losses[loss.part] ?? loss.part),
            el("td", { class: "num" }, loss.mean_w > 0
                ? `${writeNumber(loss.share * 100, 0, comma)} %` : "–"),
            el("td", { class: "num" }, `${writeNumber(loss.mean_w / 1000, 1, comma)} kW`)));
        return [el("h2", {}, say.lossHead), el("table", {},
            el("thead", {}, el("tr", {}, el("td", {}), say.lossColumns.slice(1).map((text) =>
                el("th", { scope: "col", class: "num" }, text)))),
            el("tbody", {}, rows)),
        el("p", { class: "quiet" }, say.evaporates(litres), " ", say.lossNote)];
    }

    /* ---- the tariff ---- */

    drawTariff() {
        const say = heatWords;
        const t = this.tariff;
        const comma = this.site.decimal_comma;
        const known = t && t.unit !== null && t.price_per_unit !== null;
        /** @param {number | null | undefined} value */
        const text = (value) => typeof value === "number" ? writeNumber(value, 4, comma) : "";
        const unit = t?.unit ?? this.answer?.unit ??
            (this.site.units === "us" ? "therm" : "m3");
        const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            this.saveTariff(form);
        } },
        el("div", { class: "pair" },
            field("unit", say.tariffUnit, select(Object.entries(say.units), unit)),
            field("price_per_unit", say.price, textInput({ inputmode: "decimal",
                value: text(t?.price_per_unit) })),
            field("currency", say.currency, textInput({ maxlength: "8",
                value: t?.currency ?? "" })),
            field("mj_per_unit", say.heating, textInput({ inputmode: "decimal",
                value: text(t?.mj_per_unit) }), { hint: say.heatingHint })),
        el("p", {}, el("button", {}, say.save)));
        place(byId("tariff"), el("h2", {}, say.tariffHead),
            el("p", {}, known ? say.tariffNow(say.about(text(t.price_per_unit), t.currency),
                say.units[t.unit ?? ""] ?? "") : say.tariffNone),
            el("details", {}, el("summary", { class: "row" }, say.tariffChange), form));
    }

    /** @param {HTMLFormElement} form */
    async saveTariff(form) {
        /** @type {FormFault[]} */
        const faults = [];
        /** @param {string} name */
        const number = (name) => {
            const text = valueOf(form, name);
            if (text.trim() === "" && name === "mj_per_unit")
                return null;
            const read = readDecimal(text);
            if (!read.ok)
                faults.push({ field: name, text: heatWords.notNumber });
            return read.ok ? read.value : null;
        };
        const body = { unit: valueOf(form, "unit"), currency: valueOf(form, "currency"),
            price_per_unit: number("price_per_unit"), mj_per_unit: number("mj_per_unit"),
            ...byMember() };
        clearFaults(form);
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            const saved = await send("PUT", `heaters/${this.pair.heater}/tariff`, body,
                { match: this.tariff?.etag ?? "" });
            this.tariff = saved.body;
            this.drawTariff();
            await this.submit();
        } catch (error) {
            showFaults(form, error instanceof Problem ? error.faults.map((fault) =>
                ({ field: fault.field, text: fault.detail }))
                : [{ field: "", text: words.unreachable }]);
        }
    }
}

/** @param {import("./frame.js").Place} where */
async function startAll(where) {
    const page = new HeatPage(where);
    await page.start();
    const meter = where.site.units === "us" ? "ft3" : "m3";
    new HeatChecks(where, meter).start();
    await new HeatPast(where, meter).start();
}

try {
    const where = await openPlace();
    if (!where.water || !where.heater)
        showNotSetUp(byId("main"));
    else
        await startAll(where);
    document.body.dataset.ready = "yes";
} catch (error) {
    showFailure(byId("main"), error);
}

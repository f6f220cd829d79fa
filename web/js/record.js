/*
 * The Record page: the heater's life in an interval, first a summary with a drawing for
 * each value, then every part; to print, and as files.
 */
import { apiUrl, get, Problem } from "./api.js";
import { dateText, civil, dayStart, fullText } from "./time.js";
import { readDay } from "./dates.js";
import { byId, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { addFigure } from "./figure.js";
import { drawDrift } from "./flue.js";
import { clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { writeNumber } from "./numbers.js";
import { RecordParts } from "./recordparts.js";
import { recordWords as say } from "./recordwords.js";
import { askWalls } from "./trendask.js";
import { shownUnit, toShown, valueText } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").RecordAnswer} RecordAnswer */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./form.js").FormFault} FormFault */

const YEAR_S = 365 * 86400;
const COLUMNS = 400;
const VALUES_MOST = 12;

class RecordPage {
    /** @param {import("./frame.js").Place} where @param {Record<string, string>} kinds
     * names of signs */
    constructor(where, kinds) {
        this.where = where;
        this.site = where.site;
        this.heater = where.heater?.id ?? 0;
        this.kinds = kinds;
        this.turn = 0;
        const query = new URLSearchParams(location.search);
        this.until = Number(query.get("until")) || Math.floor(now());
        this.from = Number(query.get("from")) || this.until - YEAR_S;
        this.files = el("div", { class: "actions" });
        this.drawAsk();
    }

    /* ---- which interval ---- */

    drawAsk() {
        setScope("record");
        const { heaters } = this.where;
        const form = /** @type {HTMLFormElement} */ (byId("ask"));
        const from = textInput({ value: this.day(this.from) });
        const until = textInput({ value: this.day(this.until) });
        form.replaceChildren(el("div", { class: "ask" },
            heaters.length < 2 ? "" : field("heater", say.heater, select(heaters.map((one) =>
                [String(one.id), one.name]), String(this.heater))),
            field("from", say.from, from, { hint: say.dayHint }),
            field("until", say.until, until, { hint: say.dayHint }),
            el("button", { class: "strong" }, say.show)),
        el("div", { class: "actions" }, el("button", { type: "button", onclick: () => {
            from.value = this.day(now() - YEAR_S);
            until.value = this.day(now());
            form.requestSubmit();
        } }, say.year), el("button", { type: "button", onclick: () => {
            from.value = this.day(this.site.first_value_at ?? now() - YEAR_S);
            until.value = this.day(now());
            form.requestSubmit();
        } }, say.whole)), this.files);
        form.addEventListener("submit", (event) => {
            event.preventDefault();
            this.submit(form);
        });
    }

    /** @param {number} at */
    day(at) {
        return dateText(this.site.zone, at, 0); /* with its year */
    }

    /** @param {HTMLFormElement} form */
    submit(form) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        const [from, until] = ["from", "until"].map((name) => {
            const read = readDay(valueOf(form, name), civil(this.site.zone, now()));
            if (!read.ok)
                faults.push({ field: name, text: entryWords.dayFaults[read.code] });
            return read.ok ? read.day : null;
        });
        if (!from || !until)
            return showFaults(form, faults);
        const zone = this.site.zone;
        const start = dayStart(zone, from.year, from.month, from.day);
        const end = dayStart(zone, until.year, until.month, until.day + 1);
        if (end <= start)
            return showFaults(form, [{ field: "until", text: say.endFirst }]);
        this.from = start;
        this.until = Math.min(end, Math.floor(now()));
        this.heater = Number(valueOf(form, "heater")) || this.heater;
        const url = new URL(location.href);
        url.searchParams.set("from", String(this.from));
        url.searchParams.set("until", String(this.until));
        history.replaceState(null, "", url);
        return this.load();
    }

    /* ---- the answer ---- */

    async load() {
        const turn = ++this.turn;
        const query = { heater: this.heater, from: this.from, until: this.until };
        place(byId("summary"), el("p", { class: "quiet" }, say.asking));
        try {
            const record = await get("record", query);
            if (turn !== this.turn)
                return;
            record.kinds = this.kinds;
            this.draw(record);
            this.drawFiles(query);
            await this.drawValues(record, turn);
        } catch (error) {
            if (turn === this.turn)
                place(byId("summary"), el("p", { class: "message" },
                    error instanceof Problem ? error.message : words.unreachable));
        }
    }

    /** @param {Record<string, number>} query */
    drawFiles(query) {
        const name = `${this.where.heaters.find((h) => h.id === this.heater)?.name ?? ""
        } ${this.day(this.from)} ${this.day(this.until)}`;
        place(this.files, el("button", { type: "button", onclick: () => print() }, say.print),
            el("a", { class: "button", href: apiUrl("record", { ...query, format: "csv" }),
                download: `${name}.csv` }, say.csv),
            el("a", { class: "button", href: apiUrl("record", query),
                download: `${name}.json` }, say.json));
    }

    /** @param {RecordAnswer} record */
    draw(record) {
        byId("record-head").textContent = say.heading(record.installation.name,
            record.site);
        place(byId("summary"), el("p", { class: "lead" }, say.stretch(
            fullText(this.site.zone, record.from), fullText(this.site.zone, record.until))),
        el("ul", { class: "reasons" }, this.summary(record).map((text) =>
            el("li", {}, text))));
        byId("parts").replaceChildren(...new RecordParts(record, this.site).all()
            .filter((part) => part !== null));
        const drift = document.getElementById("drift");
        if (drift && record.flue.tests.length > 1)
            drawDrift(drift, record.flue, this.site);
    }

    /** @param {number} value @param {number} decimals */
    number(value, decimals) {
        return writeNumber(value, decimals, this.site.decimal_comma);
    }

    /** @param {RecordAnswer} record */
    summary(record) {
        /** @param {"days" | "days_tested" | "days_in_band"} what */
        const sum = (what) => record.in_band.reduce((all, month) => all + month[what], 0);
        const tested = sum("days_tested");
        const done = record.care.filter((visit) => visit.outcome === "done");
        const cleaning = [...done].reverse().find((visit) =>
            visit.kind === "cleaning" && visit.technician);
        return [tested === 0 ? say.bandNone : say.bandLine(
            `${this.number(100 * sum("days_in_band") / tested, 0)} %`, tested, sum("days")),
        cleaning ? say.cleaned(dateText(this.site.zone, cleaning.at, 0),
            cleaning.done_by || cleaning.by) : say.notCleaned,
        say.careLine(done.length, record.care.length - done.length),
        say.exposureLine(this.hours(record, "low_ph"), this.hours(record, "high_chlorine"),
            this.hours(record, "both")),
        say.superLine(record.super_chlorinations.length),
        ...record.unknown];
    }

    /** @param {RecordAnswer} record @param {"low_ph" | "high_chlorine" | "both"} cause */
    hours(record, cause) {
        /** @param {"likely" | "at_least" | "at_most"} bound */
        const sum = (bound) => this.number(record.exposures.reduce((all, year) =>
            all + year.hours[cause][bound], 0), 0);
        return say.exposureHours(sum("likely"), sum("at_least"), sum("at_most"));
    }

    /* ---- a drawing for each value ---- */

    /** @param {RecordAnswer} record @param {number} turn */
    async drawValues(record, turn) {
        const pair = { heater: this.heater, water: record.water };
        const { from, until } = record;
        const { values } = await get("permit", pair);
        const keys = values.map((/** @type {KnownValue} */ v) => v.quantity)
            .slice(0, VALUES_MOST);
        if (keys.length === 0)
            return byId("figures").replaceChildren();
        const [answer, walls] = await Promise.all([get("series", { water: record.water,
            values: keys.join(","), from, until, columns: COLUMNS }),
        askWalls({ heater: this.heater, water: record.water }, { from, until }, values)]);
        if (turn !== this.turn)
            return undefined;
        byId("figures").replaceChildren(el("h2", {}, say.values));
        for (const value of values.slice(0, VALUES_MOST))
            this.drawValue(value, answer.series[value.quantity], walls, record);
        return undefined;
    }

    /** @param {KnownValue} known
     * @param {{facts: number, time_s: number[], value: (number | null)[]} | undefined} series
     * @param {(quantity: string) => import("./walls.js").Wall[]} walls
     * @param {RecordAnswer} record */
    drawValue(known, series, walls, record) {
        const seen = series?.value.filter((v) => v !== null) ?? [];
        if (!series || seen.length === 0)
            return;
        const unit = shownUnit(known.unit, this.site);
        const of_time = walls(known.quantity);
        const has_walls = of_time.some((wall) => wall.low !== null || wall.high !== null);
        /** @param {number | null} v */
        const shown = (v) => v === null ? null : toShown(unit, v);
        /** @param {number} v stored */
        const text = (v) => valueText(known.quantity, v, known.unit, this.site);
        addFigure(byId("figures"), { name: unit.symbol === "" ? known.words
            : `${known.words}, ${unit.symbol}`, label: say.valueChart(known.words),
        said: [say.valueSaid(series.facts, text(Math.min(...seen)),
            text(Math.max(...seen))), has_walls ? say.channel : ""].join(" ").trim(),
        zone: this.site.zone, time_s: series.time_s, value: series.value.map(shown),
        from: record.from, until: record.until, now: now(),
        walls: of_time.map((wall) => ({ ...wall, low: shown(wall.low),
            high: shown(wall.high) })),
        text: (v) => text((v - unit.zero) * unit.factor) });
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || !where.heater) {
        showNotSetUp(byId("main"));
    } else {
        const { kinds } = await get("symptom-kinds");
        await new RecordPage(where, Object.fromEntries(kinds.map(
            (/** @type {import("./types.js").SymptomKind} */ kind) =>
                [kind.kind, kind.name]))).load();
        document.body.dataset.ready = "yes";
    }
} catch (error) {
    showFailure(byId("main"), error);
}

/*
 * The Trends page: values over time against the heater-safe band. The address keeps the
 * view; a sentence and a table say what the drawings show.
 */
import { get, Problem } from "./api.js";
import { endOf, TrendChart } from "./chart.js";
import { readDay } from "./dates.js";
import { announce, byId, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { clearFaults, field, showFaults, textInput, valueOf } from "./form.js";
import { now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { picture, savePicture } from "./picture.js";
import { hoursOf, shares, strip } from "./strip.js";
import { civil, dateText, dayStart, fullText, momentText } from "./time.js";
import { askMarks, askOffLine, askPermits, askRuns, askWalls, EXPOSURE_LONGEST_S,
    yearBefore } from "./trendask.js";
import { exportLink, permitTable, valueTable } from "./trendtable.js";
import { pastSentence, sentence, trendWords } from "./trendwords.js";
import { amountText } from "./typed.js";
import { shownUnit, toShown, valueText, valueWithUnit } from "./units.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").SeriesAnswer} SeriesAnswer */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Dose} Dose */
/** @typedef {import("./chart.js").ChartData} ChartData */
/** @typedef {import("./walls.js").Wall} Wall */
/** @typedef {keyof typeof trendWords.spans} Span */

const DAY = 86400;
/** @type {Record<Exclude<Span, "all">, number>} */
const SPANS = { hour: 3600, day: DAY, week: 7 * DAY, month: 30 * DAY, season: 120 * DAY,
    year: 365 * DAY };
const SHORTEST_S = 600;
const REST_MS = 400;
const DOSES_ASKED = 500;
const DOSES_LISTED = 10;
const MARKS_LISTED = 10;
/** Values that are forecast, and how much of the view's width lies ahead. */
const AHEAD = ["free_chlorine_mg_per_l", "ph"];
const AHEAD_PART = 0.2;

class TrendsPage {
    /**
     * @param {import("./frame.js").Place} where
     * @param {{quantities: Quantity[], products: import("./types.js").Product[]}} lists
     * @param {KnownValue[]} values known ones, deciding first
     */
    constructor(where, lists, values) {
        this.where = where;
        this.site = where.site;
        this.pair = { heater: where.heater?.id ?? 0, water: where.water?.id ?? 0 };
        this.lists = lists;
        this.values = values;
        /** @type {Map<string, TrendChart>} */
        this.charts = new Map();
        /** @type {Map<string, ChartData>} what each drawing shows */
        this.current = new Map();
        /** @type {SeriesAnswer | null} */
        this.series = null;
        /** @type {SeriesAnswer | null} of a year before */
        this.past = null;
        this.shift = 0; /* seconds from then to its place in the drawing */
        /** @type {Dose[]} */
        this.doses = [];
        /** @type {{from: number, until: number, text: string}[]} */
        this.offLine = [];
        /** @type {any} */
        this.forecast = null;
        /** @type {import("./chart.js").Mark[]} */
        this.marks = [];
        /** @type {(quantity: string) => Wall[]} */
        this.walls = () => [];
        /** @type {import("./trendtable.js").Permit[]} */
        this.permits = [];
        this.permits_end = 0;
        this.permits_come = false; /* still being worked out */
        /** @type {Awaited<ReturnType<typeof askRuns>>} */
        this.runs = { pump: [], burner: [], is_all: true };
        this.asked = 0;
        this.readAddress();
    }

    start() {
        addEventListener("popstate", () => { this.readAddress(); this.load(); });
        matchMedia("(prefers-color-scheme: dark)").addEventListener("change",
            () => this.redraw());
        addEventListener("beforeprint", () => {
            document.documentElement.dataset.palette = "print";
            const table = /** @type {HTMLDetailsElement} */ (byId("table"));
            table.open = true;
            this.drawTable();
            this.redraw();
        });
        addEventListener("afterprint", () => {
            delete document.documentElement.dataset.palette;
            this.redraw();
        });
        byId("table").addEventListener("toggle", () => this.drawTable());
        let width = byId("figures").clientWidth;
        new ResizeObserver(() => {
            if (byId("figures").clientWidth !== width && this.series)
                this.drawStrip();
            width = byId("figures").clientWidth;
        }).observe(byId("figures"));
        this.drawOwn();
        return this.load();
    }

    redraw() {
        for (const chart of this.charts.values())
            chart.redraw();
    }

    /* ---- what is looked at ---- */

    readAddress() {
        const query = new URLSearchParams(location.search);
        const from = Number(query.get("from"));
        const until = Number(query.get("until"));
        const span = query.get("span");
        this.compare = query.get("compare") === "year";
        /** @type {Span | "own"} */
        this.span = span !== null && span in trendWords.spans
            ? /** @type {Span} */ (span) : "month";
        if (query.get("from") && until - from >= SHORTEST_S) {
            this.span = "own";
            this.from = Math.round(from);
            this.until = Math.round(until);
        } else {
            this.setSpan(/** @type {Span} */ (this.span));
        }
        const wanted = (query.get("values") ?? "").split(",").filter((key) =>
            this.lists.quantities.some((quantity) => quantity.key === key));
        const deciding = this.values.filter((value) => value.decides);
        this.shown = wanted.length > 0 ? wanted : deciding.map((value) => value.quantity);
    }

    /** @param {Span} span */
    setSpan(span) {
        const end = Math.floor(now());
        this.span = span;
        this.until = end;
        this.from = span === "all" ? Math.min(this.site.first_value_at ?? end - SPANS.month,
            end - DAY) : end - SPANS[span];
    }

    /** Moves to another view, with a step back in the browser. */
    go() {
        const query = new URLSearchParams(location.search);
        for (const name of ["span", "from", "until", "values", "compare"])
            query.delete(name);
        if (this.span === "own") {
            query.set("from", String(this.from));
            query.set("until", String(this.until));
        } else {
            query.set("span", this.span ?? "month");
        }
        if (this.shown)
            query.set("values", this.shown.join(","));
        if (this.compare)
            query.set("compare", "year");
        history.pushState(null, "", `?${query.toString().replace(/%2C/g, ",")}`);
        return this.load();
    }

    /** @param {number} from @param {number} until */
    window(from, until) {
        const width = Math.max(until - from, SHORTEST_S);
        const end = Math.min(Math.round(from + width), Math.floor(now()));
        this.span = "own";
        this.until = end;
        this.from = Math.max(0, Math.round(end - width));
        return this.go();
    }

    get time() {
        return { from: this.from ?? 0, until: this.until ?? 0 };
    }

    /* ---- asking ---- */

    /** Asks and draws; what goes wrong is said above the drawings, which stay. */
    async load() {
        const turn = ++this.asked;
        this.drawControls();
        try {
            await this.askAndDraw(turn);
        } catch (error) {
            if (turn !== this.asked)
                return;
            if (!this.series)
                throw error; /* nothing to look at yet: the page says it as a whole */
            console.info(error);
            place(byId("when"), words.failed,
                error instanceof Problem ? error.message : words.unreachable);
        }
    }

    /** @param {number} turn */
    async askAndDraw(turn) {
        const { time, pair } = this;
        const { from, until } = time;
        const end = Math.floor(now());
        const columns = Math.min(2000, Math.max(200, byId("figures").clientWidth));
        const ask = { water: pair.water, values: (this.shown ?? []).join(","), columns };
        const past = this.compare ? yearBefore(this.site.zone, until) : 0;
        const found = await Promise.all([
            get("series", { ...ask, from, until }),
            this.compare ? get("series", { ...ask, from: Math.max(0, past - (until - from)),
                until: past }) : null,
            get("doses", { water: pair.water, from, until, limit: DOSES_ASKED }),
            askOffLine(pair.heater, time, end), askWalls(pair, time, this.values),
            this.askForecast(until), askRuns(pair, time)]);
        if (turn !== this.asked)
            return; /* somebody moved on meanwhile */
        this.shift = until - past;
        this.doses = found[2].doses;
        [this.series, this.past, , this.offLine, this.walls, this.forecast,
            this.runs] = found;
        this.marks = [];
        this.permits = [];
        this.permits_end = from;
        this.permits_come = true;
        this.draw();
        await this.loadSlow(turn, end);
    }

    /** What the daemon has to work out comes when all else is there, and not before the
     * person rests: the next tap must not wait for it. @param {number} turn
     * @param {number} end now */
    async loadSlow(turn, end) {
        const { time, pair } = this;
        const { from, until } = time;
        await new Promise((rested) => { setTimeout(rested, REST_MS); });
        if (turn !== this.asked)
            return;
        const marks = await askMarks(pair, time, end);
        if (turn !== this.asked)
            return;
        this.marks = marks;
        if (marks.length > 0)
            this.draw();
        const permits_end = await askPermits(pair, { from, until: Math.min(until, end) },
            (permits) => {
                if (turn !== this.asked)
                    return false;
                this.permits = permits;
                this.permits_end = permits[permits.length - 1]?.until ?? from;
                this.drawStrip();
                return true;
            }).catch(() => this.permits_end);
        if (turn !== this.asked)
            return;
        this.permits_end = permits_end;
        this.permits_come = false;
        this.drawStrip();
        this.drawTable();
    }

    /** What lies ahead, when the view ends now. @param {number} until */
    async askForecast(until) {
        const end = Math.floor(now());
        const width = (this.until ?? 0) - (this.from ?? 0);
        if (until < end - 120 ||
            !(this.shown ?? []).some((/** @type {string} */ key) => AHEAD.includes(key)))
            return null;
        const ahead = Math.min(14 * DAY, Math.max(600, Math.round(width * AHEAD_PART)));
        return get("forecast", { water: this.where.water?.id, from: end,
            until: end + ahead, step_s: Math.max(60, Math.ceil(ahead / 48)) })
            .catch(() => null); /* the values are worth drawing without it */
    }

    /* ---- controls ---- */

    drawControls() {
        const spans = /** @type {[Span, string][]} */ (Object.entries(trendWords.spans));
        /** @param {string} text @param {() => void} onclick @param {any} [more] */
        const button = (text, onclick, more = {}) => el("button",
            { type: "button", onclick, ...more }, text);
        const { from, until } = this.time;
        const width = until - from;
        const focus = document.activeElement?.textContent;
        byId("spans").replaceChildren(...spans.map(([span, text]) => button(text, () => {
            this.setSpan(span);
            this.go();
        }, { "aria-pressed": String(this.span === span) })),
        button(trendWords.compare, () => {
            this.compare = !this.compare;
            this.go();
        }, { "aria-pressed": String(this.compare) }),
        el("div", { class: "moves" }, button(trendWords.earlier,
            () => this.window(from - width / 2, until - width / 2)),
        button(trendWords.later, () => this.window(from + width / 2, until + width / 2),
            { disabled: until >= now() - 60 }),
        button(trendWords.in, () => this.window(from + width / 4, until - width / 4)),
        button(trendWords.out, () => this.window(from - width / 2, until + width / 2))));
        for (const node of byId("spans").querySelectorAll("button"))
            if (node.textContent === focus)
                node.focus();
        place(byId("when"), this.span === "own" ? this.stretchText() : null);
        this.drawChoice();
    }

    stretchText() {
        return `${fullText(this.site.zone, this.from ?? 0)} \u2013 ` +
            fullText(this.site.zone, this.until ?? 0);
    }

    /** Days typed, for a time that no button names. */
    drawOwn() {
        const { zone } = this.site;
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                clearFaults(form);
                /** @type {import("./form.js").FormFault[]} */
                const faults = [];
                const [first, last] = ["first_day", "last_day"].map((name) => {
                    const read = readDay(valueOf(form, name), civil(zone, now()));
                    if (!read.ok)
                        faults.push({ field: name, text: entryWords.dayFaults[read.code] });
                    return read.ok ? read.day : null;
                });
                const from = first ? dayStart(zone, first.year, first.month, first.day) : 0;
                const until = last ? dayStart(zone, last.year, last.month, last.day + 1) : 0;
                if (faults.length === 0 && until <= from)
                    faults.push({ field: "last_day", text: trendWords.daysTurned });
                if (faults.length > 0) {
                    showFaults(form, faults);
                    return;
                }
                this.span = "own";
                this.from = from;
                this.until = Math.min(until, Math.floor(now()));
                this.go();
            } }, el("div", { class: "pair" },
            field("first_day", trendWords.firstDay, textInput(),
                { hint: trendWords.dayHint }),
            field("last_day", trendWords.lastDay, textInput({ value: "today" }),
                { hint: trendWords.dayHint })),
        el("button", {}, trendWords.show));
        place(byId("own-body"), form);
    }

    drawChoice() {
        const known = new Set(this.values.filter((value) => value.value !== null)
            .map((value) => value.quantity));
        for (const key of this.shown ?? [])
            known.add(key);
        const rows = this.lists.quantities.filter((q) => known.has(q.key)).map((q) => {
            const input = el("input", { type: "checkbox",
                checked: (this.shown ?? []).includes(q.key), onchange: () => {
                    this.shown = this.lists.quantities.map((other) => other.key)
                        .filter((key) => key === q.key ? input.checked
                            : (this.shown ?? []).includes(key));
                    this.go();
                } });
            return el("label", { class: "check" }, input, el("span", {}, q.words));
        });
        place(byId("choice"), el("fieldset", {},
            el("legend", { class: "unseen" }, trendWords.values), rows));
    }

    /* ---- drawing ---- */

    draw() {
        const series = /** @type {SeriesAnswer} */ (this.series);
        for (const [key, chart] of this.charts)
            if (!(this.shown ?? []).includes(key)) {
                chart.destroy();
                this.charts.delete(key);
                document.getElementById(`figure-${key}`)?.remove();
            }
        for (const key of this.shown ?? []) {
            const quantity = this.lists.quantities.find((q) => q.key === key);
            const column = series.series[key];
            if (quantity && column)
                this.drawFigure(quantity, column);
        }
        this.drawStrip();
        place(byId("doses"), ...this.markList(), ...this.doseList());
        this.drawTable();
    }

    /** @param {Quantity} quantity @param {import("./types.js").SeriesColumn} column */
    drawFigure(quantity, column) {
        const unit = shownUnit(quantity.unit, this.site);
        /** @param {number | null | undefined} v */
        const shown = (v) => v === null || v === undefined ? null : toShown(unit, v);
        const past = this.past?.series[quantity.key];
        /** @type {ChartData} */
        const data = { time_s: column.time_s, value: column.value.map(shown),
            ...this.time, now: Math.floor(now()), offLine: this.offLine, marks: this.marks,
            walls: this.walls(quantity.key).map((wall) => ({ ...wall,
                low: shown(wall.low), high: shown(wall.high) })),
            ahead: this.aheadOf(quantity.key, shown),
            past: past ? { time_s: past.time_s.map((t) => t + this.shift),
                value: past.value.map(shown) } : null,
            doses: this.doses.map((dose) => ({ at: dose.at,
                is_large: dose.super_chlorination })) };
        let figure = document.getElementById(`figure-${quantity.key}`);
        if (!figure) {
            figure = this.makeFigure(quantity);
            byId("figures").append(figure);
        }
        const chart = /** @type {TrendChart} */ (this.charts.get(quantity.key));
        this.current.set(quantity.key, data);
        chart.show(data);
        place(/** @type {Element} */ (figure.querySelector("figcaption")),
            this.sentenceOf(quantity, data));
    }

    /** @param {Quantity} quantity @param {ChartData} data */
    sentenceOf(quantity, data) {
        /** @param {number} v */
        const text = (v) => this.text(quantity, v);
        const said = sentence(data, this.site.zone,
            trendWords.lastSpans[this.span ?? "own"], text);
        return data.past ? `${said} ${pastSentence(data.past.value, text)}` : said;
    }

    /** @param {string} key @param {(v: number | null) => number | null} shown
     * @returns {import("./chart.js").Ahead | null} */
    aheadOf(key, shown) {
        const band = this.forecast?.[key];
        if (!AHEAD.includes(key) || !band || band.likely[0] === null)
            return null;
        return { time_s: this.forecast.time_s, likely: band.likely.map(shown),
            low: band.low.map(shown), high: band.high.map(shown) };
    }

    /** A shown value with its unit. @param {Quantity} quantity @param {number} v */
    text(quantity, v) {
        const unit = shownUnit(quantity.unit, this.site);
        return valueWithUnit(quantity.key, (v - unit.zero) * unit.factor, quantity.unit,
            this.site);
    }

    /** @param {Quantity} quantity */
    makeFigure(quantity) {
        const unit = shownUnit(quantity.unit, this.site);
        const readout = el("p", { class: "readout", "aria-hidden": "true" });
        const figure = el("figure", { id: `figure-${quantity.key}` },
            el("h2", {}, quantity.words, unit.symbol === "" ? null
                : el("span", { class: "quiet" }, `, ${unit.symbol}`)),
            el("figcaption", {}));
        const holder = el("div", {});
        figure.append(holder, readout, el("p", { class: "actions" }, el("button", {
            type: "button", class: "plain", "aria-label": trendWords.pictureOf(quantity.words),
            onclick: () => this.savePicture(quantity) }, trendWords.picture)));
        /** @param {number} index */
        const pointText = (index) => {
            const at = this.current.get(quantity.key);
            const value = at?.value[index];
            return !at || value === null || value === undefined ? ""
                : trendWords.point(fullText(this.site.zone, at.time_s[index] ?? 0),
                    this.text(quantity, value));
        };
        this.charts.set(quantity.key, new TrendChart(holder, {
            zone: this.site.zone, label: trendWords.chart(quantity.words),
            text: (v) => valueText(quantity.key, (v - unit.zero) * unit.factor,
                quantity.unit, this.site),
            onpoint: (index) => {
                readout.textContent = index === null ? "" : pointText(index);
            },
            onzoom: (from, until) => this.window(from, until),
            onspeak: announce, pointText }));
        return figure;
    }

    /** @param {Quantity} quantity */
    savePicture(quantity) {
        const drawing = this.charts.get(quantity.key)?.canvas();
        const data = this.current.get(quantity.key);
        if (!drawing || !data)
            return;
        const symbol = shownUnit(quantity.unit, this.site).symbol;
        savePicture(picture(drawing, {
            title: symbol === "" ? quantity.words : `${quantity.words}, ${symbol}`,
            text: this.sentenceOf(quantity, data),
            foot: `${this.site.name}, ${this.where.water?.name ?? ""}. ${this.stretchText()}`,
        }), `${quantity.words} ${dateText(this.site.zone, this.until ?? 0, 0)}`);
    }

    drawStrip() {
        const { from, until } = this.time;
        const data = [...this.current.values()].filter((one) => one.from === from);
        const end = data[0] ? Math.max(...data.map(endOf)) : until;
        const share = shares(this.permits, from, until);
        const ends_early = this.permits_end < Math.min(until, now() - 60);
        const said = [this.permits.length === 0 ? null
            : trendWords.shares(share.run, share.hold, share.test, ends_early),
        this.permits_come ? trendWords.permitsComing
            : ends_early ? trendWords.permitsCut : null].filter((text) => text).join(" ");
        const hours = [this.runs.pump, this.runs.burner].map((runs) =>
            Math.round(hoursOf(runs, from, Math.min(until, now()))));
        place(byId("strip"), el("h2", {}, trendWords.stripHead),
            el("figcaption", {}, said, " ", trendWords.hours(hours[0] ?? 0, hours[1] ?? 0),
                this.runs.is_all ? null : ` ${trendWords.runsCut}`),
            strip(Math.max(240, byId("figures").clientWidth), { from, end, label: said,
                permits: this.permits, permitName: trendWords.permit,
                runs: [{ name: trendWords.pump, runs: this.runs.pump },
                    { name: trendWords.burner, runs: this.runs.burner }] }),
            el("p", { class: "quiet" }, trendWords.stripLegend, " ",
                el("a", { href: "readings#run" }, trendWords.enterRun)));
    }

    markList() {
        const { zone } = this.site;
        const long = (this.until ?? 0) - (this.from ?? 0) > EXPOSURE_LONGEST_S;
        if (this.marks.length === 0 && !this.forecast && !long)
            return [];
        return [this.forecast ? el("p", { class: "quiet" }, trendWords.ahead) : null,
            long ? el("p", { class: "quiet" }, trendWords.noExposures) : null,
            this.marks.length === 0 ? null : el("h2", {}, trendWords.marks),
            this.marks.length === 0 ? null : el("ul", {}, this.marks.slice(-MARKS_LISTED)
                .map((mark) => el("li", {}, trendWords.mark(mark.text,
                    momentText(zone, mark.from, now()),
                    momentText(zone, mark.until, now())))))];
    }

    doseList() {
        if (this.doses.length === 0)
            return [];
        return [el("h2", {}, trendWords.doses), el("ul", {},
            this.doses.slice(0, DOSES_LISTED).map((dose) => {
                const product = this.lists.products.find((p) => p.key === dose.product);
                return el("li", {}, `${momentText(this.site.zone, dose.at, now())}: `,
                    words.amountOf(amountText(dose.amount, product?.liquid ?? false,
                        this.site), inSentence(product?.words ?? dose.product)),
                    dose.super_chlorination ? `, ${trendWords.superChlorination}`
                        : null);
            })),
        this.doses.length <= DOSES_LISTED ? null : el("p", { class: "quiet" },
            trendWords.moreDoses, this.doses.length < DOSES_ASKED ? null
                : ` ${trendWords.newestDoses}`)];
    }

    drawTable() {
        const table = /** @type {HTMLDetailsElement} */ (byId("table"));
        const body = byId("table-body");
        if (!table.open || !this.series) {
            place(body);
            return;
        }
        const quantities = this.lists.quantities.filter((q) =>
            (this.shown ?? []).includes(q.key));
        const { from, until } = this.time;
        body.replaceChildren(exportLink(this.pair.water, from, until),
            ...valueTable(this.series, quantities, this.site, this.stretchText()),
            ...(this.past ? valueTable(this.past, quantities, this.site,
                trendWords.pastTable) : []),
            ...permitTable(this.permits, this.site));
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || !where.water || !where.heater) {
        showNotSetUp(byId("main"));
    } else {
        const [lists, permit] = await Promise.all([get("quantities"),
            get("permit", { heater: where.heater.id, water: where.water.id })]);
        if (where.site.first_value_at === null)
            place(byId("when"), trendWords.noneEver);
        await new TrendsPage(where, lists, permit.values).start();
        document.body.dataset.ready = "yes";
    }
} catch (error) {
    showFailure(byId("main"), error);
}

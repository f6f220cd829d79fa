/*
 * The Trends page: values over time against the heater-safe band. The address keeps the
 * view; a sentence and a table say what the drawings show.
 */
import { get } from "./api.js";
import { TrendChart } from "./chart.js";
import { announce, byId, el, place } from "./dom.js";
import { now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { historyWords } from "./historywords.js";
import { dateText, fullText, isoText, momentText } from "./time.js";
import { sentence, trendWords } from "./trendwords.js";
import { amountText, shownUnit, toShown, valueText, valueWithUnit } from "./units.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").SeriesAnswer} SeriesAnswer */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Dose} Dose */
/** @typedef {import("./types.js").HeaterState} HeaterState */
/** @typedef {import("./chart.js").ChartData} ChartData */
/** @typedef {keyof typeof trendWords.spans} Span */

const DAY = 86400;
/** @type {Record<Exclude<Span, "all">, number>} */
const SPANS = { day: DAY, week: 7 * DAY, month: 30 * DAY, season: 120 * DAY,
    year: 365 * DAY };
const SHORTEST_S = 600;
const TABLE_ROWS = 3000;
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
        this.lists = lists;
        this.values = values;
        /** @type {Map<string, TrendChart>} */
        this.charts = new Map();
        /** @type {SeriesAnswer | null} */
        this.series = null;
        /** @type {Dose[]} */
        this.doses = [];
        /** @type {{from: number, until: number, text: string}[]} */
        this.offLine = [];
        /** @type {any} */
        this.forecast = null;
        /** @type {import("./chart.js").Mark[]} */
        this.marks = [];
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
        /** @type {Span | "own"} */
        this.span = span !== null && span in trendWords.spans
            ? /** @type {Span} */ (span) : "month";
        if (query.get("from") && until - from >= SHORTEST_S) {
            this.span = "own";
            this.from = from;
            this.until = until;
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

    /** Moves to another stretch, with a step back in the browser. */
    go() {
        const query = new URLSearchParams(location.search);
        for (const name of ["span", "from", "until", "values"])
            query.delete(name);
        if (this.span === "own") {
            query.set("from", String(this.from));
            query.set("until", String(this.until));
        } else {
            query.set("span", this.span ?? "month");
        }
        if (this.shown)
            query.set("values", this.shown.join(","));
        history.pushState(null, "", `?${query.toString().replace(/%2C/g, ",")}`);
        return this.load();
    }

    /** @param {number} from @param {number} until */
    window(from, until) {
        const width = Math.max(until - from, SHORTEST_S);
        const end = Math.min(Math.round(from + width), Math.floor(now()));
        this.span = "own";
        this.from = Math.max(0, Math.round(end - width));
        this.until = end;
        return this.go();
    }

    /* ---- asking ---- */

    async load() {
        const turn = ++this.asked;
        this.drawControls();
        const { water, heater } = this.where;
        const from = this.from ?? 0;
        const until = this.until ?? 0;
        const columns = Math.min(2000, Math.max(200, byId("figures").clientWidth));
        const [series, doses, states, before] = await Promise.all([
            get("series", { water: water?.id, values: (this.shown ?? []).join(","), from,
                until, columns }),
            get("doses", { water: water?.id, from, until, limit: DOSES_ASKED }),
            heater ? get("heater-states", { heater: heater.id, from, until, limit: 500 })
                : { heater_states: [] },
            heater ? get("heater-states", { heater: heater.id, until: from, limit: 1 })
                : { heater_states: [] }]);
        if (turn !== this.asked)
            return; /* somebody moved on meanwhile */
        this.series = series;
        [this.forecast, this.marks] = await Promise.all([
            this.askForecast(until), this.askMarks(from, until)]);
        if (turn !== this.asked)
            return;
        this.doses = doses.doses;
        this.offLine = offLineTimes([...before.heater_states, ...states.heater_states],
            Math.floor(now()));
        this.draw();
    }

    /** What lies ahead, when the view ends now. @param {number} until */
    async askForecast(until) {
        const end = Math.floor(now());
        const width = (this.until ?? 0) - (this.from ?? 0);
        if (until < end - 120 || !(this.shown ?? []).some((/** @type {string} */ key) => AHEAD.includes(key)))
            return null;
        const ahead = Math.min(14 * DAY, Math.max(7200, Math.round(width * AHEAD_PART)));
        return get("forecast", { water: this.where.water?.id, from: end,
            until: end + ahead, step_s: Math.max(900, Math.ceil(ahead / 48)) })
            .catch(() => null); /* the values are worth drawing without it */
    }

    /** Super-chlorinations and exposures in the view. @param {number} from
     * @param {number} until @returns {Promise<import("./chart.js").Mark[]>} */
    async askMarks(from, until) {
        const { water, heater } = this.where;
        if (!heater || !water)
            return [];
        const earliest = Math.max(from, until - 390 * DAY);
        const [plans, exposure] = await Promise.all([
            get("super-chlorinations", { water: water.id, from, until })
                .catch(() => ({ plans: [] })),
            get("exposure", { heater: heater.id, water: water.id, from: earliest,
                until: Math.min(until, Math.floor(now())) }).catch(() => ({ events: [] }))]);
        /** @param {{from: number, until: number | null}} plan */
        const planned = (plan) => ({ from: plan.from, until: plan.until ??
            Math.floor(now()), text: trendWords.plan, kind: /** @type {const} */ ("plan") });
        /** @param {{from: number, until: number}} event */
        const exposed = (event) => ({ from: event.from, until: event.until,
            text: trendWords.exposure, kind: /** @type {const} */ ("exposure") });
        return [...plans.plans.map(planned), ...exposure.events.map(exposed)];
    }

    /* ---- drawing ---- */

    drawControls() {
        const spans = /** @type {[Span, string][]} */ (Object.entries(trendWords.spans));
        /** @param {string} text @param {() => void} onclick @param {any} [more] */
        const button = (text, onclick, more = {}) => el("button",
            { type: "button", onclick, ...more }, text);
        const width = (this.until ?? 0) - (this.from ?? 0);
        const focus = document.activeElement?.textContent;
        byId("spans").replaceChildren(...spans.map(([span, text]) => button(text, () => {
            this.setSpan(span);
            this.go();
        }, { "aria-pressed": String(this.span === span) })),
        el("div", { class: "moves" }, button(trendWords.earlier,
            () => this.window((this.from ?? 0) - width / 2,
                (this.until ?? 0) - width / 2)),
        button(trendWords.later, () => this.window((this.from ?? 0) + width / 2,
            (this.until ?? 0) + width / 2), { disabled: (this.until ?? 0) >= now() - 60 }),
        button(trendWords.in, () => this.window((this.from ?? 0) + width / 4,
            (this.until ?? 0) - width / 4)),
        button(trendWords.out, () => this.window((this.from ?? 0) - width / 2,
            (this.until ?? 0) + width / 2))));
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
        place(byId("doses"), ...this.markList(), ...this.doseList());
        this.drawTable();
    }

    /** @param {Quantity} quantity @param {import("./types.js").SeriesColumn} column */
    drawFigure(quantity, column) {
        const unit = shownUnit(quantity.unit, this.site);
        const known = this.values.find((value) => value.quantity === quantity.key);
        /** @param {number | null | undefined} v */
        const shown = (v) => v === null || v === undefined ? null : toShown(unit, v);
        /** @type {ChartData} */
        const data = { time_s: column.time_s, value: column.value.map(shown),
            from: this.from ?? 0, until: this.until ?? 1, low: shown(known?.low),
            high: shown(known?.high), high_is_limit: known?.high_is_limit ?? false,
            now: Math.floor(now()), offLine: this.offLine, marks: this.marks,
            ahead: this.aheadOf(quantity.key, shown),
            doses: this.doses.map((dose) => ({ at: dose.at,
                is_large: dose.super_chlorination })) };
        let figure = document.getElementById(`figure-${quantity.key}`);
        if (!figure) {
            figure = this.makeFigure(quantity, data);
            byId("figures").append(figure);
        }
        const chart = /** @type {TrendChart} */ (this.charts.get(quantity.key));
        this.current.set(quantity.key, data);
        chart.show(data);
        const span = trendWords.lastSpans[this.span ?? "own"];
        place(/** @type {Element} */ (figure.querySelector("figcaption")),
            sentence(data, this.site.zone, span, (v) => this.text(quantity, v)));
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

    /** @type {Map<string, ChartData>} */
    current = new Map();

    /** A shown value with its unit. @param {Quantity} quantity @param {number} v */
    text(quantity, v) {
        const unit = shownUnit(quantity.unit, this.site);
        return valueWithUnit(quantity.key, (v - unit.zero) * unit.factor, quantity.unit,
            this.site);
    }

    /** @param {Quantity} quantity @param {ChartData} data */
    makeFigure(quantity, data) {
        const unit = shownUnit(quantity.unit, this.site);
        const readout = el("p", { class: "readout", "aria-hidden": "true" });
        const figure = el("figure", { id: `figure-${quantity.key}` },
            el("h2", {}, quantity.words, unit.symbol === "" ? null
                : el("span", { class: "quiet" }, `, ${unit.symbol}`)),
            el("figcaption", {}));
        const holder = el("div", {});
        figure.append(holder, readout);
        /** @param {number} index */
        const pointText = (index) => {
            const at = this.current.get(quantity.key) ?? data;
            const value = at.value[index];
            return value === null || value === undefined ? ""
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

    markList() {
        const { zone } = this.site;
        if (this.marks.length === 0 && !this.forecast)
            return [];
        return [this.forecast ? el("p", { class: "quiet" }, trendWords.ahead) : null,
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
                    dose.super_chlorination ? `, ${historyWords.superChlorination}`
                        : null);
            })),
        this.doses.length <= DOSES_LISTED ? null : el("p", { class: "quiet" },
            trendWords.moreDoses, this.doses.length < DOSES_ASKED ? null
                : ` ${trendWords.newestDoses}`)];
    }

    /* ---- the same as a table ---- */

    /** Every instant shown, newest first, with the values measured then. */
    rows() {
        /** @type {Map<number, Record<string, number>>} */
        const rows = new Map();
        for (const key of this.shown ?? []) {
            const column = this.series?.series[key];
            column?.time_s.forEach((at, i) => {
                const value = column.value[i];
                if (value !== null && value !== undefined)
                    rows.set(at, { ...rows.get(at), [key]: value });
            });
        }
        return [...rows].sort(([a], [b]) => b - a);
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
        const rows = this.rows();
        const columns = quantities.map((q) => this.series?.series[q.key]);
        const facts = columns.reduce((sum, c) => sum + (c?.facts ?? 0), 0);
        const points = columns.reduce((sum, c) => sum +
            (c?.value.filter((v) => v !== null).length ?? 0), 0);
        body.replaceChildren(el("p", { class: "quiet" }, trendWords.points(points, facts)),
            el("p", { class: "actions" }, el("button", { type: "button",
                onclick: () => this.save(quantities) }, trendWords.csv)),
            el("div", { class: "scroll", tabindex: "0", role: "region",
                "aria-label": trendWords.table }, el("table", {},
                el("caption", {}, this.stretchText()),
                el("thead", {}, el("tr", {}, el("th", { scope: "col" }, trendWords.when),
                    quantities.map((q) => {
                        const symbol = shownUnit(q.unit, this.site).symbol;
                        return el("th", { scope: "col", class: "num" }, q.words,
                            symbol === "" ? null : `, ${symbol}`);
                    }))),
                el("tbody", {}, rows.slice(0, TABLE_ROWS).map(([at, values]) =>
                    el("tr", {}, el("th", { scope: "row" }, fullText(this.site.zone, at)),
                        quantities.map((q) => el("td", { class: "num" },
                            values[q.key] === undefined ? "" : valueText(q.key,
                                values[q.key] ?? 0, q.unit, this.site)))))))));
    }

    /** Canonical units and plain points, as the API has them.
     * @param {Quantity[]} quantities */
    save(quantities) {
        const lines = [["time_utc_s", `local (${this.site.zone})`,
            ...quantities.map((q) => q.key)].join(",")];
        for (const [at, values] of this.rows().reverse())
            lines.push([at, isoText(this.site.zone, at),
                ...quantities.map((q) => values[q.key] ?? "")].join(","));
        const url = URL.createObjectURL(new Blob([lines.join("\r\n"), "\r\n"],
            { type: "text/csv" }));
        const link = el("a", { href: url,
            download: `trends ${dateText(this.site.zone, this.until ?? 0, 0)}.csv` });
        document.body.append(link);
        link.click();
        link.remove();
        setTimeout(() => URL.revokeObjectURL(url), 10000);
    }
}

/**
 * When the heater was not in line.
 * @param {HeaterState[]} states in any order
 * @param {number} until of a time that is not over
 */
function offLineTimes(states, until) {
    const known = new Map(states.map((state) => [state.id, state]));
    const ordered = [...known.values()].sort((a, b) => a.at - b.at || a.id - b.id);
    /** @type {{from: number, until: number, text: string}[]} */
    const times = [];
    ordered.forEach((state, i) => {
        if (state.withdrawn || state.state === "in_line")
            return;
        const next = ordered[i + 1];
        times.push({ from: state.at, until: next ? next.at : until,
            text: trendWords.states[state.state] });
    });
    return times;
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

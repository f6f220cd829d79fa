/*
 * The trends as tables: every instant drawn, the same of a year before, and the permits.
 */
import { apiUrl } from "./api.js";
import { el } from "./dom.js";
import { fullText } from "./time.js";
import { trendWords } from "./trendwords.js";
import { shownUnit, valueText } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").SeriesAnswer} SeriesAnswer */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./strip.js").PermitSpan & {rules: string[]}} Permit */

const ROWS = 3000;
const PERMIT_ROWS = 300;

/** Every instant of a series, newest first, with the values measured then.
 * @param {SeriesAnswer} series @param {readonly string[]} keys
 * @returns {[number, Record<string, number>][]} */
export function rowsOf(series, keys) {
    /** @type {Map<number, Record<string, number>>} */
    const rows = new Map();
    for (const key of keys) {
        const column = series.series[key];
        column?.time_s.forEach((at, i) => {
            const value = column.value[i];
            if (value === null || value === undefined)
                return;
            const row = rows.get(at);
            if (row)
                row[key] = value;
            else
                rows.set(at, { [key]: value });
        });
    }
    return [...rows].sort(([a], [b]) => b - a);
}

/** @param {string} label @param {HTMLTableElement} table */
function scroller(label, table) {
    return el("div", { class: "scroll", tabindex: "0", role: "region",
        "aria-label": label }, table);
}

/**
 * @param {SeriesAnswer} series @param {readonly Quantity[]} quantities
 * @param {Site} site @param {string} caption
 */
export function valueTable(series, quantities, site, caption) {
    const rows = rowsOf(series, quantities.map((q) => q.key));
    const columns = quantities.map((q) => series.series[q.key]);
    const facts = columns.reduce((sum, c) => sum + (c?.facts ?? 0), 0);
    const points = columns.reduce((sum, c) => sum +
        (c?.value.filter((v) => v !== null).length ?? 0), 0);
    return [el("p", { class: "quiet" }, trendWords.points(points, facts),
        rows.length > ROWS ? ` ${trendWords.cut(ROWS, rows.length)}` : null),
    scroller(caption, el("table", { class: "values" }, el("caption", {}, caption),
        el("thead", {}, el("tr", {}, el("th", { scope: "col" }, trendWords.when),
            quantities.map((q) => {
                const symbol = shownUnit(q.unit, site).symbol;
                return el("th", { scope: "col", class: "num" }, q.words,
                    symbol === "" ? null : `, ${symbol}`);
            }))),
        el("tbody", {}, rows.slice(0, ROWS).map(([at, values]) =>
            el("tr", {}, el("th", { scope: "row" }, fullText(site.zone, at)),
                quantities.map((q) => el("td", { class: "num" },
                    values[q.key] === undefined ? "" : valueText(q.key,
                        values[q.key] ?? 0, q.unit, site))))))))];
}

/** @param {readonly Permit[]} permits @param {Site} site */
export function permitTable(permits, site) {
    if (permits.length === 0)
        return [];
    const newest = [...permits].reverse().slice(0, PERMIT_ROWS);
    return [scroller(trendWords.permits, el("table", {},
        el("caption", {}, trendWords.permits,
            permits.length > PERMIT_ROWS ? ` ${trendWords.cut(PERMIT_ROWS, permits.length)}`
                : null),
        el("thead", {}, el("tr", {}, [trendWords.from, trendWords.until,
            trendWords.permit].map((text) => el("th", { scope: "col" }, text)))),
        el("tbody", {}, newest.map((span) => el("tr", {},
            el("th", { scope: "row" }, fullText(site.zone, span.from)),
            el("td", {}, fullText(site.zone, span.until)),
            el("td", {}, words.permit[span.permit]))))))];
}

/** All facts of the time as the daemon exports them, canonical units.
 * @param {number} water @param {number} from @param {number} until */
export function exportLink(water, from, until) {
    return el("p", { class: "actions" }, el("a", { class: "button", download: true,
        href: apiUrl("export", { what: "readings", water, from, until, format: "csv" }) },
    trendWords.csv));
}

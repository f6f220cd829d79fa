/*
 * What a drawing says, as sentences: the newest value, the range, how often and how long
 * it left its channel, whether the heater was off line then, gaps.
 */
import { outside } from "./channel.js";
import { ageText, momentText, spanText } from "./time.js";
export const trendWords = {
    title: "Trends: Coilkeep",
    head: "Trends",
    spans: { day: "Day", week: "Week", month: "Month", season: "Season",
        year: "Year", all: "All" },
    lastSpans: { day: "in the last day", week: "in the last week",
        month: "in the last month", season: "in the last season",
        year: "in the last year", all: "since the first test", own: "in this time" },
    earlier: "Earlier",
    later: "Later",
    in: "Zoom in",
    out: "Zoom out",
    values: "Values shown",
    none: "No values in this time.",
    noneEver: "No values yet. Enter a test, then its trend is here.",
    now: /** @param {string} value @param {string} age */
        (value, age) => `${value}, ${age}.`,
    range: /** @param {string} low @param {string} high @param {string} span */
        (low, high, span) => low === high ? `Always ${low} ${span}.`
            : `Between ${low} and ${high} ${span}.`,
    never: "Always inside its channel.",
    left: /** @param {number} n @param {string} last @param {string} time */
        (n, last, time) => n === 1
            ? `Outside its channel once, from ${last}, for about ${time}.`
            : `Outside its channel ${n} times, last from ${last}; about ${time} in all.`,
    offLine: "The heater was off line then.",
    ahead: "Right of now: the forecast. The area is where nine of ten tests will lie, if nothing is added.",
    marks: "Super-chlorinations and exposures",
    plan: "Super-chlorination (bar above)",
    exposure: "Water outside the heater’s limits in the heater (bar below)",
    mark: /** @param {string} what @param {string} from @param {string} until */
        (what, from, until) => `${what}: ${from} to ${until}`,
    gaps: /** @param {number} n */
        (n) => n === 1 ? "One gap of more than a week."
            : `${n} gaps of more than a week.`,
    help: "Arrow keys move from point to point, plus and minus zoom, Home and End " +
        "go to the ends. Drag across the drawing to zoom in.",
    chart: /** @param {string} name */ (name) => `Drawing of ${name} over time`,
    point: /** @param {string} when @param {string} value */
        (when, value) => `${when}: ${value}`,
    table: "The same as a table",
    csv: "Save as CSV",
    when: "When",
    states: { off_line_flushed: "off line", off_line_standing: "off line, water in it",
        drained: "drained" },
    legend: "Hatched: outside the channel. Triangle: a dose. Bracket: the heater " +
        "was off line.",
    from: "From",
    until: "To",
    points: /** @param {number} n @param {number} facts */
        (n, facts) => n === facts ? `${n} values.`
            : `${n} points stand for ${facts} values: first, lowest, highest and ` +
              "last of each short stretch.",
    doses: "Doses in this time",
    moreDoses: "Older ones are under Readings, History.",
    newestDoses: "The newest 500 are marked in the drawings.",
};

/** @typedef {import("./chart.js").ChartData} ChartData */

/**
 * Times outside the channel, one after the other. A single reading outside, with
 * nothing known around it, counts too.
 * @param {ChartData} data
 * @returns {{from: number, until: number}[]}
 */
export function spells(data) {
    return outside(data.time_s, data.value, data.low, data.high).map((piece) => ({
        from: piece.points[0]?.[0] ?? 0,
        until: piece.points[piece.points.length - 1]?.[0] ?? 0 }));
}

/**
 * @param {ChartData} data
 * @param {string} zone
 * @param {string} span how the time shown is called
 * @param {(value: number) => string} text a value with its unit
 */
export function sentence(data, zone, span, text) {
    const known = data.value.flatMap((v, i) => v === null ? []
        : [{ at: data.time_s[i] ?? 0, value: v }]);
    const last = known[known.length - 1];
    if (!last)
        return trendWords.none;
    const values = known.map((point) => point.value);
    const parts = [trendWords.now(text(last.value), ageText(data.now - last.at)),
        trendWords.range(text(Math.min(...values)), text(Math.max(...values)), span)];
    if (data.low !== null || data.high !== null)
        parts.push(...outsideWords(data, zone));
    const gaps = data.value.filter((v) => v === null).length;
    if (gaps > 0)
        parts.push(trendWords.gaps(gaps));
    return parts.join(" ");
}

/** @param {ChartData} data @param {string} zone */
function outsideWords(data, zone) {
    const found = spells(data);
    const last = found[found.length - 1];
    if (!last)
        return [trendWords.never];
    const total = found.reduce((sum, spell) => sum + spell.until - spell.from, 0);
    const parts = [trendWords.left(found.length,
        momentText(zone, last.from, data.now), spanText(total))];
    if (data.offLine.some((time) => time.from <= last.until && time.until >= last.from))
        parts.push(trendWords.offLine);
    return parts;
}

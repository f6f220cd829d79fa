/*
 * What a drawing says, as sentences: the newest value, the range, how often and how long
 * it left its channel, whether the heater was off line then, gaps.
 */
import { ageText, momentText, spanText } from "./time.js";
import { outsideWalls } from "./walls.js";
export const trendWords = {
    title: "Trends: Coilkeep",
    head: "Trends",
    spans: { hour: "Hour", day: "Day", week: "Week", month: "Month", season: "Season",
        year: "Year", all: "All" },
    lastSpans: { hour: "in the last hour", day: "in the last day", week: "in the last week",
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
    noExposures: "Exposures are marked in times of up to a season.",
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
    csv: "Download all tests of this time (CSV)",
    cut: /** @param {number} shown @param {number} all */
        (shown, all) => `The newest ${shown} of ${all} rows are listed.`,
    picture: "Save as picture",
    pictureOf: /** @param {string} name */ (name) => `Save as picture: ${name}`,
    compare: "Compare with last year",
    past: /** @param {string} low @param {string} high */
        (low, high) => low === high ? `A year before (dotted line): always ${low}.`
            : `A year before (dotted line): between ${low} and ${high}.`,
    pastNone: "No values a year before.",
    pastTable: "A year before",
    own: "Choose the days",
    firstDay: "First day",
    lastDay: "Last day",
    dayHint: "24 Nov 2025, or Tuesday",
    daysTurned: "The last day must not come before the first.",
    show: "Show",
    stripHead: "The heater",
    permit: "Permit",
    permits: "Permits of this time",
    pump: "Pump",
    burner: "Burner",
    permitsComing: "Working out the permits of this time …",
    shares: /** @param {number} run @param {number} hold @param {number} test
        @param {boolean} part */
        (run, hold, test, part) => `May run ${run} % of ` +
            `${part ? "the part shown" : "this time"}, keep off ${hold} %, ` +
            `test first ${test} %.`,
    hours: /** @param {number} pump @param {number} burner */
        (pump, burner) => pump === 0 && burner === 0 ? "No runs are entered for it."
            : `The pump ran ${pump} h, the burner ${burner} h.`,
    permitsCut: "The strip ends early: a shorter time shows it whole.",
    runsCut: "Only the newest 2000 runs are drawn.",
    stripLegend: "Line: may run. Frame: test first. Hatched: keep off.",
    enterRun: "Enter a run",
    superChlorination: "super-chlorination",
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
    return outsideWalls(data.time_s, data.value, data.walls).map(({ piece }) => ({
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
    if (data.walls.some((wall) => wall.low !== null || wall.high !== null))
        parts.push(...outsideWords(data, zone));
    const gaps = data.value.filter((v) => v === null).length;
    if (gaps > 0)
        parts.push(trendWords.gaps(gaps));
    return parts.join(" ");
}

/** @param {readonly (number | null)[]} value of a year before
 * @param {(value: number) => string} text */
export function pastSentence(value, text) {
    const known = value.filter((v) => v !== null);
    return known.length === 0 ? trendWords.pastNone : trendWords.past(
        text(Math.min(...known)), text(Math.max(...known)));
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

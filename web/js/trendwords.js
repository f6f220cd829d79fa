/*
 * What a drawing says, as sentences: the newest value, the range, how often and how long
 * it left its channel, whether the heater was off line then, gaps.
 */
import { outside } from "./channel.js";
import { ageText, momentText, spanText } from "./time.js";
import { words } from "./words.js";

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
        return words.trends.none;
    const values = known.map((point) => point.value);
    const parts = [words.trends.now(text(last.value), ageText(data.now - last.at)),
        words.trends.range(text(Math.min(...values)), text(Math.max(...values)), span)];
    if (data.low !== null || data.high !== null)
        parts.push(...outsideWords(data, zone));
    const gaps = data.value.filter((v) => v === null).length;
    if (gaps > 0)
        parts.push(words.trends.gaps(gaps));
    return parts.join(" ");
}

/** @param {ChartData} data @param {string} zone */
function outsideWords(data, zone) {
    const found = spells(data);
    const last = found[found.length - 1];
    if (!last)
        return [words.trends.never];
    const total = found.reduce((sum, spell) => sum + spell.until - spell.from, 0);
    const parts = [words.trends.left(found.length,
        momentText(zone, last.from, data.now), spanText(total))];
    if (data.offLine.some((time) => time.from <= last.until && time.until >= last.from))
        parts.push(words.trends.offLine);
    return parts;
}

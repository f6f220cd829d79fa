/*
 * Lengths, areas and angles as people type them: metres or feet by the site, another unit
 * behind the number understood. Stored are metres, square metres and degrees.
 */
import { readDecimal, writeNumber } from "./numbers.js";

/** @typedef {Pick<import("./types.js").Site, "units" | "decimal_comma">} Form */
/** @typedef {{ok: true, stored: number} |
 *   {ok: false, code: import("./numbers.js").DecimalFault}} Read */

const FOOT_M = 0.3048;

/** To metres. @type {[RegExp, number][]} */
const LENGTHS = [[/^(m|met(re|er)s?)$/i, 1], [/^cm$/i, 0.01],
    [/^(ft|foot|feet|'|\u2032|\u2019)$/i, FOOT_M],
    [/^(in|inch|inches|"|\u2033|\u201d)$/i, FOOT_M / 12]];
/** To square metres. @type {[RegExp, number][]} */
const AREAS = [[/^(m2|m²|sq\.? ?m)$/i, 1], [/^(ft2|ft²|sq\.? ?ft)$/i, FOOT_M * FOOT_M]];

/** @param {Form} site */
export function lengthUnit(site) {
    return site.units === "us" ? "ft" : "m";
}

/** @param {Form} site */
export function areaUnit(site) {
    return site.units === "us" ? "ft²" : "m²";
}

/** @param {number} stored m @param {Form} site */
export function lengthText(stored, site) {
    return writeNumber(site.units === "us" ? stored / FOOT_M : stored, 2,
        site.decimal_comma);
}

/** @param {number} stored m² @param {Form} site */
export function areaText(stored, site) {
    return writeNumber(site.units === "us" ? stored / (FOOT_M * FOOT_M) : stored,
        site.units === "us" ? 1 : 2, site.decimal_comma);
}

/** @param {number} value */
function millionths(value) {
    return Math.round(value * 1e6) / 1e6;
}

/**
 * @param {string} text @param {[RegExp, number][]} units @param {number} usual
 * @returns {Read}
 */
function readWithUnit(text, units, usual) {
    const match = /^\s*(.*?[0-9.,])\s*([^0-9.,\s+\-].*?)?\s*$/u.exec(text);
    const suffix = match?.[2];
    const factor = suffix === undefined ? usual
        : units.find(([pattern]) => pattern.test(suffix))?.[1];
    if (factor === undefined)
        return { ok: false, code: "not_a_number" };
    const read = readDecimal(match ? match[1] ?? "" : text);
    return read.ok ? { ok: true, stored: millionths(read.value * factor) } : read;
}

/** "10", "10 m", "33 ft", "12 ft 6 in". @param {string} text @param {Form} site
 * @returns {Read} */
export function readLength(text, site) {
    const both = /^\s*(\d+)\s*(?:ft|foot|feet|'|\u2032|\u2019)\s*(\d.*?)\s*(?:in|inches|"|\u2033|\u201d)?\s*$/i
        .exec(text);
    if (both) {
        const inches = readDecimal(both[2] ?? "");
        return !inches.ok ? inches : inches.value >= 12 ? { ok: false, code: "not_a_number" }
            : { ok: true, stored: millionths((Number(both[1]) + inches.value / 12) * FOOT_M) };
    }
    return readWithUnit(text, LENGTHS, site.units === "us" ? FOOT_M : 1);
}

/** @param {string} text @param {Form} site @returns {Read} */
export function readArea(text, site) {
    return readWithUnit(text, AREAS, site.units === "us" ? FOOT_M * FOOT_M : 1);
}

/**
 * Degrees: "-77.1", "77.1 W", "77.1° W".
 * @param {string} text @param {"NS" | "EW"} ends the letters that may stand behind
 * @returns {Read}
 */
export function readAngle(text, ends) {
    const match = /^\s*(.*?)\s*°?\s*([NSEW])?\s*$/i.exec(text);
    const letter = (match?.[2] ?? "").toUpperCase();
    const read = readDecimal(match?.[1] ?? "");
    if (!read.ok)
        return read;
    if (letter !== "" && (!ends.includes(letter) || read.value < 0))
        return { ok: false, code: "not_a_number" };
    return { ok: true, stored: letter !== "" && letter === ends.charAt(1) ? -read.value
        : read.value };
}

/*
 * What people type, in which unit, and amounts, volumes and powers as they are shown.
 * Conversions are exact definitions [nist-sp811] [nist-hb44], hardness by molar masses
 * [iupac-atomic-weights], as in lib/units.c.
 */
import { readDecimal, writeNumber } from "./numbers.js";
import { shownUnit, toStored } from "./units.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./units.js").Unit} Unit */

/** Other units that may be typed after the number, by the stored unit.
 * @type {Record<string, [RegExp, number, number][]>} pattern, factor, zero */
const TYPED = {
    "mg/L": [[/^(ppm|mg\/l)$/i, 1, 0]],
    "°C": [[/^°?c$/i, 1, 0], [/^°?f$/i, 5 / 9, 32]],
    mV: [[/^mv$/i, 1, 0]],
    "": [[/^ph$/i, 1, 0]],
};

const GERMAN_DEGREE = 10 * 100.0869 / 56.0774; /* 10 mg/L CaO, as CaCO3 */

/** @type {[RegExp, number, number][]} */
const TYPED_AS_CACO3 = [
    [/^°?dh$/i, GERMAN_DEGREE, 0],
    [/^°?fh?$/i, 10, 0],
    [/^gpg$/i, 64.79891 / 3.785411784, 0],
];
/** @type {[RegExp, number, number][]} */
const TYPED_HARDNESS = [[/^mmol\/l$/i, 100.0869, 0]];

/**
 * What a person typed into the field of a value. A unit after the number is understood.
 * @param {string} key
 * @param {string} text
 * @param {string} storedUnit
 * @param {Site} site
 * @returns {{ok: true, stored: number, converted: boolean, thousands: boolean}
 *   | {ok: false, code: import("./numbers.js").DecimalFault}}
 */
export function readValue(key, text, storedUnit, site) {
    const match = /^\s*(.*?[0-9.,])\s*([^0-9.,\s+\-].*?)\s*$/u.exec(text);
    let unit = shownUnit(storedUnit, site);
    let number = text;
    let converted = false;
    if (match) {
        const typed = typedUnit(key, storedUnit, match[2] ?? "");
        if (!typed)
            return { ok: false, code: "not_a_number" };
        converted = typed.factor !== unit.factor;
        unit = typed;
        number = match[1] ?? "";
    }
    const read = readDecimal(number);
    if (!read.ok)
        return read;
    /* "1,200" is 1.2 here, as everywhere; who writes it may mean 1200. */
    const thousands = /^\s*[+\-\u2212]?[1-9][0-9]{0,2}[.,][0-9]{3}$/.test(number.trim());
    const stored = unit.factor === 1 && unit.zero === 0
        ? read.value : toStored(unit, read.value);
    return { ok: true, stored, converted, thousands };
}

/**
 * @param {string} key
 * @param {string} storedUnit
 * @param {string} suffix
 * @returns {Unit | null}
 */
function typedUnit(key, storedUnit, suffix) {
    const lists = [TYPED[storedUnit] ?? []];
    if (key.endsWith("_caco3"))
        lists.push(TYPED_AS_CACO3);
    if (key.startsWith("calcium_hardness"))
        lists.push(TYPED_HARDNESS);
    const compact = suffix.replace(/\s+/g, "");
    for (const [pattern, factor, zero] of lists.flat())
        if (pattern.test(compact))
            return { symbol: suffix, factor, zero };
    return null;
}

/** Amounts of a product, to mL or g. @type {Record<string, number>} */
const AMOUNT = {
    mL: 1, L: 1000, "fl oz": 29.5735295625, qt: 946.352946, gal: 3785.411784,
    g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237,
};

/** @param {boolean} liquid @param {Site} site */
export function amountUnits(liquid, site) {
    if (site.units === "us")
        return liquid ? ["fl oz", "qt", "gal", "mL", "L"] : ["oz", "lb", "g", "kg"];
    return liquid ? ["mL", "L"] : ["g", "kg"];
}

/** @param {number} amount @param {string} unit to mL or g */
export function amountToStored(amount, unit) {
    return Math.round(amount * (AMOUNT[unit] ?? NaN) * 1e6) / 1e6;
}

/**
 * An amount in the site's handiest unit.
 * @param {number} stored mL or g
 * @param {boolean} liquid
 * @param {Site} site
 */
export function amountText(stored, liquid, site) {
    const unit = handyUnit(stored, liquid, site);
    const shown = stored / (AMOUNT[unit] ?? 1);
    return `${writeNumber(shown, shown < 1 ? 2 : 1, site.decimal_comma)} ${unit}`;
}

/** @param {number} stored @param {boolean} liquid @param {Site} site */
function handyUnit(stored, liquid, site) {
    if (site.units === "si")
        return liquid ? (stored < 1000 ? "mL" : "L") : (stored < 1000 ? "g" : "kg");
    if (liquid) /* nothing below one of its unit, where a smaller one is there */
        return stored < 946 ? "fl oz" : stored < 3785 ? "qt" : "gal";
    return stored < 453 ? "oz" : "lb";
}

/* Volumes of a water, stored in m3. */
const VOLUME = /** @type {Record<string, number>} */ (
    { gal: 0.003785411784, L: 0.001, "m³": 1 });

/** @param {Pick<Site, "units">} site */
export function volumeUnit(site) {
    return site.units === "us" ? "gal" : "m³";
}

/** @param {number} stored m3 @param {Site} site */
export function volumeText(stored, site) {
    const shown = stored / (VOLUME[volumeUnit(site)] ?? 1);
    return writeNumber(shown, site.units === "us" ? 0 : 2, site.decimal_comma);
}

/**
 * @param {string} text with or without gal, L or m³ behind
 * @param {Site} site
 */
export function readVolume(text, site) {
    const match = /^\s*(.*?)\s*(gal|gallons?|l|litres?|liters?|m³|m3)?\s*$/i.exec(text);
    const read = readDecimal(match?.[1] ?? "");
    if (!read.ok)
        return read;
    const suffix = (match?.[2] ?? volumeUnit(site)).toLowerCase();
    const unit = suffix.startsWith("g") ? "gal" : suffix.startsWith("l") ? "L" : "m³";
    const stored = Math.round(read.value * (VOLUME[unit] ?? 1) * 1e6) / 1e6;
    return { ok: /** @type {const} */ (true), stored };
}

/* Rated input, stored in W. 1 Btu (International Table) = 1055.05585262 J. */
const BTU_PER_H = 1055.05585262 / 3600;

/** @param {Pick<Site, "units">} site */
export function inputUnit(site) {
    return site.units === "us" ? "BTU/h" : "kW";
}

/** @param {number} stored W @param {Site} site */
export function inputText(stored, site) {
    return site.units === "us"
        ? writeNumber(stored / BTU_PER_H, 0, site.decimal_comma)
        : writeNumber(stored / 1000, 2, site.decimal_comma);
}

/**
 * @param {string} text with or without kW, W, BTU/h or kBTU/h behind
 * @param {Pick<Site, "units">} site
 */
export function readInput(text, site) {
    const match = /^\s*(.*?)\s*(kw|w|k?btu(?:\/h|h)?)?\s*$/i.exec(text);
    const read = readDecimal(match?.[1] ?? "");
    if (!read.ok)
        return read;
    const unit = (match?.[2] ?? (site.units === "us" ? "btu" : "kw")).toLowerCase();
    const factor = unit === "w" ? 1 : unit === "kw" ? 1000
        : unit.startsWith("k") ? 1000 * BTU_PER_H : BTU_PER_H;
    const stored = Math.round(read.value * factor * 1e6) / 1e6;
    return { ok: /** @type {const} */ (true), stored };
}

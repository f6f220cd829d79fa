/*
 * In which unit a value is shown; typed.js reads what is typed. Stored and sent is always the unit of the
 * value's name; conversions are exact definitions [nist-sp811] [nist-hb44], hardness by
 * molar masses [iupac-atomic-weights], as in lib/units.c.
 */
import { writeNumber } from "./numbers.js";

/** @typedef {import("./types.js").Site} Site */
/**
 * @typedef {object} Unit
 * @property {string} symbol
 * @property {number} factor stored = (shown - zero) * factor
 * @property {number} zero
 */

/** @type {Record<string, {decimals: number, least?: number}>} */
const DIGITS = {
    ph: { decimals: 2, least: 1 },
    free_chlorine_mg_per_l: { decimals: 2 },
    combined_chlorine_mg_per_l: { decimals: 2 },
    total_chlorine_mg_per_l: { decimals: 2 },
    bromine_mg_per_l: { decimals: 2 },
    copper_mg_per_l: { decimals: 2 },
    iron_mg_per_l: { decimals: 2 },
    phosphate_mg_per_l: { decimals: 3 },
    orp_mv: { decimals: 0 },
};

/**
 * @param {string} stored the unit of the value's name
 * @param {Pick<Site, "units" | "ppm">} site
 * @returns {Unit}
 */
export function shownUnit(stored, site) {
    if (stored === "°C" && site.units === "us")
        return { symbol: "°F", factor: 5 / 9, zero: 32 };
    if (stored === "mg/L" && site.ppm)
        return { symbol: "ppm", factor: 1, zero: 0 };
    return { symbol: stored, factor: 1, zero: 0 };
}

/** @param {Unit} unit @param {number} shown */
export function toStored(unit, shown) {
    return Math.round((shown - unit.zero) * unit.factor * 1e6) / 1e6;
}

/** @param {Unit} unit @param {number} stored */
export function toShown(unit, stored) {
    return stored / unit.factor + unit.zero;
}

/**
 * A stored value as text, without its unit.
 * @param {string} key
 * @param {number} stored
 * @param {string} storedUnit
 * @param {Site} site
 */
export function valueText(key, stored, storedUnit, site) {
    const digits = DIGITS[key] ?? { decimals: 1 };
    const shown = toShown(shownUnit(storedUnit, site), stored);
    return writeNumber(shown, digits.decimals, site.decimal_comma, digits.least);
}

/**
 * A stored value as text with its unit.
 * @param {string} key
 * @param {number} stored
 * @param {string} storedUnit
 * @param {Site} site
 */
export function valueWithUnit(key, stored, storedUnit, site) {
    const symbol = shownUnit(storedUnit, site).symbol;
    const text = valueText(key, stored, storedUnit, site);
    return symbol === "" ? text : `${text} ${symbol}`;
}

/*
 * In which unit a number of a line is shown and typed; kept and sent is always the unit
 * of its name. Exact definitions [nist-sp811] [nist-hb44].
 */
import { readDecimal, writeNumber } from "./numbers.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {{symbol: string, factor: number, decimals: number}} FieldUnit */

const GALLON_L = 3.785411784;

/** @param {string} field @param {Site} site @returns {FieldUnit} stored = shown * factor */
export function unitOf(field, site) {
    const us = site.units === "us";
    if (field.endsWith("_l_per_s"))
        return us ? { symbol: "gal/min", factor: GALLON_L / 60, decimals: 1 }
            : { symbol: "m³/h", factor: 1 / 3.6, decimals: 2 };
    if (field === "velocity_m_per_s")
        return us ? { symbol: "ft/s", factor: 0.3048, decimals: 1 }
            : { symbol: "m/s", factor: 1, decimals: 2 };
    if (field === "pressure_loss_pa")
        return us ? { symbol: "psi", factor: 6894.757293168, decimals: 2 }
            : { symbol: "kPa", factor: 1000, decimals: 1 };
    if (field.endsWith("_m"))
        return us ? { symbol: "ft", factor: 0.3048, decimals: 2 }
            : { symbol: "m", factor: 1, decimals: 2 };
    if (field.endsWith("_l"))
        return us ? { symbol: "gal", factor: GALLON_L, decimals: 1 }
            : { symbol: "L", factor: 1, decimals: 1 };
    if (field === "interval_s")
        return { symbol: "h", factor: 3600, decimals: 2 };
    if (field.endsWith("_fraction"))
        return { symbol: "%", factor: 0.01, decimals: 1 };
    if (field.endsWith("_percent"))
        return { symbol: "%", factor: 1, decimals: 1 };
    if (field === "before_g" || field === "after_g")
        return us ? { symbol: "oz", factor: 28.349523125, decimals: 2 }
            : { symbol: "g", factor: 1, decimals: 1 };
    const symbol = field === "rate_g_per_h" ? "g/h" : field === "current_a" ? "A" : "";
    return { symbol, factor: 1, decimals: 2 };
}

/** @param {string} field @param {number} stored @param {Site} site */
export function fieldText(field, stored, site) {
    const { factor, decimals } = unitOf(field, site);
    return writeNumber(stored / factor, decimals, site.decimal_comma);
}

/** @param {string} field @param {number} stored @param {Site} site */
export function fieldWithUnit(field, stored, site) {
    return `${fieldText(field, stored, site)} ${unitOf(field, site).symbol}`.trim();
}

/**
 * @param {string} field @param {string} text @param {Site} site
 * @returns {number | null | undefined} null: empty; undefined: no number
 */
export function readField(field, text, site) {
    const read = readDecimal(text);
    if (!read.ok)
        return read.code === "empty" ? null : undefined;
    return Math.round(read.value * unitOf(field, site).factor * 1e9) / 1e9;
}

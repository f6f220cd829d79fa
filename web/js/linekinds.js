/*
 * The kinds of part of a line: what each is to the flow, which fields it has, what it is
 * when it is added. Pure; the words stand in linewords.js.
 */

/** @typedef {import("./types.js").LinePart} LinePart */
/** @typedef {"suction" | "outlet" | "pool" | "pipe" | "valve" | "pump" | "other"} Role */
/** @typedef {"" | "chlorine" | "acid" | "ozone"} Source */

/** The sizes that pipes come in, nominal inch. */
export const PIPE_SIZES = ["0.5", "0.75", "1", "1.25", "1.5", "2", "2.5", "3", "4", "6",
    "8"];

/** @type {Record<string, {role: Role, source: Source}>} */
const KINDS = {
    skimmer: { role: "suction", source: "" },
    main_drain: { role: "suction", source: "" },
    suction_cleaner: { role: "suction", source: "" },
    pump: { role: "pump", source: "" },
    strainer: { role: "other", source: "" },
    filter: { role: "other", source: "" },
    heater: { role: "other", source: "" },
    pipe: { role: "pipe", source: "" },
    bypass: { role: "pipe", source: "" },
    tee: { role: "other", source: "" },
    two_way_valve: { role: "valve", source: "" },
    three_way_valve: { role: "valve", source: "" },
    check_valve: { role: "other", source: "" },
    flow_switch: { role: "other", source: "" },
    solar_collector: { role: "other", source: "" },
    erosion_feeder: { role: "other", source: "chlorine" },
    salt_cell: { role: "other", source: "chlorine" },
    skimmer_tablets: { role: "other", source: "chlorine" },
    strainer_tablets: { role: "other", source: "chlorine" },
    floating_dispenser: { role: "pool", source: "chlorine" },
    chlorine_injection: { role: "other", source: "chlorine" },
    acid_injection: { role: "other", source: "acid" },
    ozone_unit: { role: "other", source: "ozone" },
    uv_unit: { role: "other", source: "" },
    return: { role: "outlet", source: "" },
    spa_spillway: { role: "outlet", source: "" },
};

/** @param {string} kind */
export const roleOf = (kind) => KINDS[kind]?.role ?? "other";
/** @param {string} kind */
export const sourceOf = (kind) => KINDS[kind]?.source ?? "";
/** Feeds chlorine or acid, so that an amount can be told. @param {string} kind */
export const feeds = (kind) => ["chlorine", "acid"].includes(sourceOf(kind));

/** Is driven, so that it can be wired to stop; the heater, to fire only with flow.
 * @param {string} kind */
export const canBeWired = (kind) => ["heater", "salt_cell", "chlorine_injection",
    "acid_injection", "ozone_unit"].includes(kind);

/** What may be added to the list as one part, in the order of flow. */
export const ADDABLE = Object.keys(KINDS).filter((kind) =>
    kind !== "tee" && kind !== "three_way_valve");

/** Number fields of a kind, beside feed. @param {string} kind @returns {string[]} */
export function numbersOf(kind) {
    if (roleOf(kind) === "pipe")
        return ["length_m"];
    const volume = ["tee", "two_way_valve", "three_way_valve", "check_valve",
        "flow_switch", "return", "skimmer", "main_drain", "suction_cleaner",
        "spa_spillway", "floating_dispenser"].includes(kind) ? [] : ["volume_l"];
    if (kind === "pump")
        return ["flow_l_per_s", ...volume];
    if (kind === "heater")
        return ["min_flow_l_per_s", "max_flow_l_per_s", ...volume];
    return volume;
}

/** Ways to tell what a feeder feeds. @param {string} kind @returns {string[]} */
export function basesOf(kind) {
    if (kind === "salt_cell")
        return ["unknown", "rate", "current"];
    return sourceOf(kind) === "acid" || kind === "chlorine_injection"
        ? ["unknown", "rate"] : ["unknown", "weighed", "rate"];
}

/** Numbers that a basis needs. @type {Record<string, string[]>} */
export const FEED_NUMBERS = {
    unknown: [],
    rate: ["rate_g_per_h"],
    current: ["current_a", "cell_count", "efficiency_fraction"],
    weighed: ["before_g", "after_g", "interval_s", "strength_percent"],
};

/** @type {Record<string, string>} usual product of a feeder */
const PRODUCT = {
    erosion_feeder: "trichlor", skimmer_tablets: "trichlor", strainer_tablets: "trichlor",
    floating_dispenser: "trichlor", chlorine_injection: "sodium_hypochlorite",
    acid_injection: "hydrochloric_acid",
};

/**
 * A part as it is when somebody adds it. Flows, sizes and lengths are guesses that the
 * page asks to replace.
 * @param {string} kind @param {number} id @returns {LinePart}
 */
export function newPart(kind, id) {
    /** @type {LinePart} */
    const part = { id, kind, name: "" };
    if (roleOf(kind) === "pipe")
        Object.assign(part, { material: "plastic", size: "2", length_m: 1 });
    if (kind === "pump")
        part.flow_l_per_s = 2.5;
    if (feeds(kind))
        part.feed = PRODUCT[kind] ? { basis: "unknown", product: PRODUCT[kind] }
            : { basis: "unknown" };
    if (canBeWired(kind))
        part.interlocked = false;
    return part;
}

/** Settings that a part can have, the usual first. @param {string} kind */
export function settingsOf(kind) {
    if (kind === "two_way_valve")
        return ["open", "closed"];
    if (kind === "three_way_valve")
        return ["open", "a", "b", "closed"];
    return kind === "pump" ? ["on", "off"] : [];
}

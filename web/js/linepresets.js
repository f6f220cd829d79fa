/*
 * Usual arrangements to begin with, as lists. Flows, sizes and lengths in them are
 * guesses that the page asks to replace. Common practice, no source.
 */
import { newPart } from "./linekinds.js";
import { rowOf } from "./linelist.js";

/** @typedef {import("./linelist.js").Row} Row */
/** @typedef {import("./types.js").LinePosition} LinePosition */

/** "[" water divides, "[3" by a three-way valve; "|" the other way; "]" the ways join,
 * "3]" in a three-way valve; "kind:name" a part.
 * @type {Record<string, string>} */
const ARRANGEMENTS = {
    plain: "skimmer main_drain strainer pump filter heater return",
    bypass: "skimmer main_drain strainer pump filter [ two_way_valve:heater_in heater " +
        "two_way_valve:heater_out | two_way_valve:bypass_valve bypass ] return",
    salt: "skimmer main_drain strainer pump filter [ two_way_valve:heater_in heater " +
        "two_way_valve:heater_out | two_way_valve:bypass_valve bypass ] check_valve " +
        "salt_cell return",
    feeder: "skimmer main_drain strainer pump filter [ two_way_valve:heater_in heater " +
        "two_way_valve:heater_out | two_way_valve:bypass_valve bypass ] check_valve " +
        "erosion_feeder return",
    injection: "skimmer main_drain strainer pump filter [ two_way_valve:heater_in heater " +
        "two_way_valve:heater_out | two_way_valve:bypass_valve bypass ] check_valve " +
        "acid_injection pipe chlorine_injection return",
    spa: "[ [ skimmer | main_drain:pool_drain ] | main_drain:spa_drain 3] strainer pump " +
        "filter heater check_valve salt_cell [3 return:pool_return | return:spa_return ]",
    solar: "skimmer main_drain strainer pump filter [3 solar_collector check_valve | ] " +
        "heater check_valve salt_cell return",
};

export const PRESETS = Object.keys(ARRANGEMENTS);

/**
 * @param {string} key @param {Record<string, string>} names of parts that need one
 * @returns {{rows: Row[], positions: LinePosition[]}}
 */
export function preset(key, names) {
    /** @type {Row[]} */
    const rows = [];
    /** @type {number[]} */
    const open = [];
    let id = 1;
    for (const word of (ARRANGEMENTS[key] ?? "").split(" ")) {
        const three = word.includes("3") ? "three_way_valve" : "tee";
        if (word.startsWith("[")) {
            open.push(id);
            rows.push(rowOf(newPart(three, id), "split", { share: null }));
        } else if (word === "|") {
            rows.push({ row: "path", id, part: newPart("tee", id),
                of: open[open.length - 1] ?? 0, share: null });
        } else if (word.endsWith("]")) {
            rows.push(rowOf(newPart(three, id), "join", { of: open.pop() ?? 0 }));
        } else {
            const [kind = "", name = ""] = word.split(":");
            rows.push(rowOf({ ...newPart(kind, id), name: names[name] ?? "" }));
        }
        id++;
    }
    return { rows, positions: positionsFor(key, rows) };
}

/** @param {string} key @param {Row[]} rows @returns {LinePosition[]} */
function positionsFor(key, rows) {
    /** @param {string} kind */
    const of = (kind) => rows.filter((row) => row.row !== "path" &&
        row.part.kind === kind).map((row) => row.id);
    const valves = of("two_way_valve");
    const ways = of("three_way_valve");
    /** @param {string} to */
    const all = (to) => ways.map((part) => ({ part, to }));
    if (key === "spa")
        return [position("normal", all("a")), position("spa", all("b"))];
    if (key === "solar")
        return [position("normal", [])];
    const [inlet, outlet, bypass] = valves;
    if (inlet === undefined || outlet === undefined || bypass === undefined)
        return [position("normal", [])];
    return [position("normal", [{ part: bypass, to: "closed" }]),
        position("heater_off_line", [{ part: inlet, to: "closed" },
            { part: outlet, to: "closed" }])];
}

/** @param {string} kind @param {LinePosition["set"]} set @returns {LinePosition} */
export const position = (kind, set) => ({ kind, set, flow_fraction: 1,
    burner_may_fire: kind !== "heater_off_line" && kind !== "cleaning" });

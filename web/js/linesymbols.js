/*
 * Symbols of the parts, in lines, after the open standards for piping diagrams
 * [iso-10628-2] [isa-5.1]: valve as two triangles (filled: shut), pump as circle with the
 * triangle of its direction, heater as circle with the zigzag of an exchanger, filter as
 * box with a broken line, check valve as triangle against a bar, instrument as circle with
 * letters. Each lies around 0,0 within
 * 36 by 32, for flow from left to right.
 */
import { svg } from "./dom.js";

/** @param {string} d @param {string} [kind] */
const path = (d, kind = "sym") => svg("path", { d, class: kind });
/** @param {number} r @param {number} [x] @param {number} [y] @param {string} [kind] */
const circle = (r, x = 0, y = 0, kind = "sym") => svg("circle", { cx: x, cy: y, r,
    class: kind });
/** @param {string} text @param {number} [y] */
const letters = (text, y = 4) => svg("text", { x: 0, y, "text-anchor": "middle",
    class: "sym-text" }, text);

const BOX = "M-16 -14H16V14H-16Z";
const LEFT = "M-16 -10L0 0L-16 10Z";
const RIGHT = "M16 -10L0 0L16 10Z";
const DOWN = "M-10 16L0 0L10 16Z";

/** @param {string} d @param {boolean} shut */
const wing = (d, shut) => path(d, shut ? "sym solid" : "sym");

/** @type {Record<string, (setting: string) => SVGElement[]>} turned with the flow */
const TURNED = {
    pump: (setting) => [circle(15), path("M-7 -13L15 0L-7 13", setting === "off"
        ? "sym thin" : "sym")],
    two_way_valve: (setting) => [wing(LEFT, setting === "closed"),
        wing(RIGHT, setting === "closed")],
    check_valve: () => [path("M-14 -11L10 0L-14 11Z"), path("M12 -12V12")],
    return: () => [path("M-16 0H4M-2 -7L7 0L-2 7M12 -14V14")],
    main_drain: () => [path("M-12 -14V14M-12 0H16M-8 -9H-2M-8 9H-2M-8 -4H-2M-8 4H-2")],
    strainer: () => [path("M-16 -14H16V14H-16Z"), path("M-16 14L16 -14", "sym broken")],
    filter: () => [path(BOX), path("M0 -14V14", "sym broken")],
    skimmer: () => [path("M-16 -10H-6V10H8V0H16"), path("M-16 -4Q-13.5 -7 -11 -4T-6 -4",
        "sym thin")],
    suction_cleaner: () => [path("M-16 8H-2V-2Q-2 -10 6 -10H10V0H16"), circle(3, -12, 11),
        circle(3, -5, 11)],
};

/** @type {Record<string, () => SVGElement[]>} always upright */
const UPRIGHT = {
    heater: () => [circle(16), path("M-16 0H-9L-4 -8L4 8L9 0H16"),
        path("M0 15Q-5 11 0 6Q5 11 0 15Z", "sym solid")],
    pipe: () => [path("M-16 -5H16M-16 5H16")],
    bypass: () => [path("M-16 -5H16M-16 5H16")],
    tee: () => [circle(4, 0, 0, "sym solid")],
    flow_switch: () => [circle(14), letters("FS")],
    solar_collector: () => [path("M-16 14L-8 -4H16L8 14Z"), path("M-4 5H12M-8 -1H14",
        "sym thin"), circle(4, -10, -11)],
    erosion_feeder: () => [path("M-11 -8Q-11 -15 0 -15T11 -8V15H-11Z"),
        path("M-6 -3H6M-6 3H6M-6 9H6")],
    salt_cell: () => [path(BOX), path("M-7 -9V9M0 -9V9M7 -9V9"), letters("+", -16)],
    skimmer_tablets: () => [path("M-14 -12L-9 13H9L14 -12"), path("M-6 -2H6M-6 4H6M-5 9H5")],
    strainer_tablets: () => [path(BOX), path("M-6 -5H6M-6 1H6M-6 7H6")],
    floating_dispenser: () => [circle(9, 0, -3), path("M-3 -5H3M-3 0H3"),
        path("M-16 8Q-12 4 -8 8T0 8T8 8T16 8")],
    chlorine_injection: () => [circle(10, 0, -6), letters("Cl", -2), path("M0 4V13M-4 8L0 14L4 8")],
    acid_injection: () => [circle(10, 0, -6), letters("H+", -2), path("M0 4V13M-4 8L0 14L4 8")],
    ozone_unit: () => [path(BOX), letters("O3")],
    uv_unit: () => [path(BOX), letters("UV")],
    spa_spillway: () => [path("M-16 -6H2Q9 -6 9 4V10"), path("M-2 14Q2 10 6 14T14 14",
        "sym thin")],
};

/** A three-way valve: shut branches filled. straight: port that lies in the line's own
 * direction. @param {string} setting @param {string} straight "a" or "b"
 * @param {boolean} joins two branches come in */
function threeWay(setting, straight, joins) {
    const side = setting === "a" || setting === "b" ? setting : "";
    const straight_shut = side !== "" && side !== straight;
    const turn_shut = side !== "" && side === straight;
    const all = setting === "closed";
    const common = joins ? RIGHT : LEFT;
    const line = joins ? LEFT : RIGHT;
    return [wing(common, all), wing(line, all || straight_shut), wing(DOWN, all || turn_shut)];
}

/**
 * @param {string} kind
 * @param {{setting?: string, vertical?: boolean, straight?: string, joins?: boolean}} [how]
 * @returns {SVGElement}
 */
export function symbol(kind, how = {}) {
    const setting = how.setting ?? "";
    const turned = kind === "three_way_valve"
        ? threeWay(setting, how.straight ?? "a", how.joins ?? false)
        : TURNED[kind]?.(setting);
    if (!turned)
        return svg("g", {}, UPRIGHT[kind]?.() ?? [path(BOX), letters("?")]);
    /* mirrored as well, so that the third branch points to the side of the lanes */
    return svg("g", how.vertical ? { transform: kind === "three_way_valve"
        ? "rotate(90) scale(1,-1)" : "rotate(90)" } : {}, turned);
}

/** A symbol by itself, for a list. @param {string} kind @param {string} [setting] */
export function smallSymbol(kind, setting = "") {
    return svg("svg", { viewBox: "-19 -19 38 38", width: 38, height: 38, class: "symbol",
        "aria-hidden": "true" }, symbol(kind, { setting }));
}

/*
 * Flue tests of a heater as they are shown: the newest one in numbers with what they are
 * uncertain by, what changed, and the drift over the years.
 */
import { el } from "./dom.js";
import { addFigure } from "./figure.js";
import { flueWords as say } from "./fluewords.js";
import { now } from "./frame.js";
import { writeNumber } from "./numbers.js";
import { dateText, fullText } from "./time.js";
import { shownUnit, toShown } from "./units.js";

/** @typedef {import("./types.js").FlueAnswer} FlueAnswer */
/** @typedef {import("./types.js").FlueTest} FlueTest */
/** @typedef {import("./types.js").Site} Site */

const COVERAGE = 2; /* standard uncertainties for about 95 of 100 */
const CO_HOLD_PPM = 400;
const YEAR_S = 31557600;

/** Values of the table: decimals, and the unit behind.
 * @type {[key: string, decimals: number, unit: string][]} */
const SHOWN = [["excess_air_percent", 0, "%"], ["co2_percent", 1, "%"],
    ["loss_net_percent", 1, "%"], ["efficiency_net_percent", 1, "%"],
    ["efficiency_gross_percent", 1, "%"], ["co_air_free_ppm", 0, "ppm"],
    ["co_co2_ratio", 4, ""], ["dew_point_c", 0, "°C"]];

/** Values drawn over the years.
 * @type {[key: string, decimals: number, unit: string][]} */
export const DRAWN = [["o2_percent", 1, "%"], ["co_air_free_ppm", 0, "ppm"],
    ["stack_k", 0, "K"], ["efficiency_gross_percent", 1, "%"]];

/** A number of the API in the site's unit, with it. @param {number} value
 * @param {number} decimals @param {string} unit @param {Site} site */
function text(value, decimals, unit, site) {
    const shown = unit === "°C" ? toShown(shownUnit("°C", site), value)
        : unit === "K" && site.units === "us" ? value * 9 / 5 : value;
    return `${writeNumber(shown, decimals, site.decimal_comma)} ${symbol(unit, site)}`.trim();
}

/** @param {string} unit @param {Site} site */
function symbol(unit, site) {
    return unit === "°C" ? shownUnit("°C", site).symbol
        : unit === "K" && site.units === "us" ? "°F" : unit;
}

/** What a test is in one sentence. @param {FlueTest} test @param {Site} site */
export function leadOf(test, site) {
    const day = dateText(site.zone, test.at, now());
    const values = test.result?.values;
    const co = values?.co_air_free_ppm;
    const gross = values?.efficiency_gross_percent;
    if (!co)
        return say.leadUnsampled(day);
    const co_text = text(co.value, 0, "ppm", site);
    return gross ? say.lead(day, text(gross.value, 1, "%", site), co_text)
        : say.leadCo(day, co_text);
}

/** The numbers of a test as a table. @param {FlueTest} test @param {Site} site */
export function resultTable(test, site) {
    const { values } = test.result ?? { values: /** @type {Record<string, any>} */ ({}) };
    /** @type {[string, string, string][]} */
    const rows = [["o2_percent", test.o2_percent, 1, "%"], ["co_ppm", test.co_ppm, 0, "ppm"],
        ["flue_temp_c", test.flue_temp_c, 0, "°C"]].flatMap(([key, value, decimals, unit]) =>
        typeof value === "number" ? [/** @type {[string, string, string]} */ ([
            say.names[String(key)] ?? "", text(value, Number(decimals), String(unit), site),
            ""])] : []);
    for (const [key, decimals, unit] of SHOWN) {
        const one = values[key];
        if (one)
            rows.push([say.names[key] ?? key, text(one.value, decimals, unit, site),
                one.u === null ? "" : text(one.u * COVERAGE, key === "co_co2_ratio" ? 4
                    : Math.max(decimals, 1), unit === "°C" ? "K" : unit, site)]);
    }
    return el("div", { class: "scroll", tabindex: "0", role: "region",
        "aria-label": say.resultsHead }, el("table", { class: "results" },
        el("thead", {}, el("tr", {}, el("td", {}), say.columns.slice(1).map((name) =>
            el("th", { scope: "col", class: "num" }, name)))),
        el("tbody", {}, rows.map(([name, value, u]) => el("tr", {},
            el("th", { scope: "row" }, name), el("td", { class: "num" }, value),
            el("td", { class: "num" }, u))))));
}

/** What stands beside the numbers. @param {FlueTest} test @param {Site} site */
function besides(test, site) {
    const { result, change, manifold } = test;
    const has_u = Object.values(result?.values ?? {}).some((one) => one && one.u !== null);
    /** @param {string} way */
    const way = (way) => say.ways[way] ?? way;
    return [
        ...test.findings.map((found) => el("p", { class: "stop-when" }, found.text)),
        result?.loss_refusal ? el("p", {}, result.loss_refusal.text) : null,
        change ? el("p", {}, el("b", {}, `${say.changeHead}: `), say.changes(
            way(change.o2), way(change.co), way(change.stack))) : null,
        manifold ? el("p", {}, say.plate(`${manifold.off_plate_percent > 0 ? "+" : ""}${
            writeNumber(manifold.off_plate_percent, 1, site.decimal_comma)} %`)) : null,
        result ? el("p", { class: "quiet" }, has_u ? say.plusMinus : say.noAccuracy) : null];
}

/** A test in the list. @param {FlueTest} test @param {Site} site */
export function testRow(test, site) {
    const marks = [test.result ? "" : say.unsampled, test.soot_seen ? say.sooted : "",
        test.rollout_seen ? say.rolled : "", test.found_safe === true ? say.foundSafe
            : test.found_safe === false ? say.foundUnsafe : "",
        test.sampled && !test.well_sampled ? say.notSteady : ""]
        .filter((mark) => mark !== "");
    return el("li", {}, el("p", { class: "when" }, fullText(site.zone, test.at)),
        el("p", { class: "what" }, leadOf(test, site)),
        el("p", { class: "quiet" }, [test.done_by || test.by, ...marks]
            .filter((part) => part !== "").join(", ")));
}

/** The newest test. @param {FlueAnswer} answer @param {Site} site */
export function newestPart(answer, site) {
    const test = answer.tests[answer.tests.length - 1];
    if (!test)
        return [el("p", { class: "lead" }, say.none), el("p", {}, say.never)];
    const fuel = answer.fuel;
    return [el("p", { class: "lead" }, leadOf(test, site)),
        test.result?.holds_burner || test.soot_seen || test.rollout_seen
            ? el("p", { class: "stop-when" }, say.holds) : null,
        el("p", {}, el("b", {}, say.never)),
        test.result ? el("h2", {}, say.resultsHead) : null,
        test.result ? resultTable(test, site) : null, ...besides(test, site),
        fuel ? el("p", { class: "quiet" }, say.fuel(say.fuels[fuel.name] ?? fuel.name,
            writeNumber(fuel.ultimate_co2_percent, 1, site.decimal_comma)), " ",
        say.net, ".") : null];
}

/** @param {FlueTest} test @param {string} key */
function drawnValue(test, key) {
    if (key === "o2_percent")
        return test.o2_percent;
    if (key === "stack_k")
        return test.flue_temp_c === null || test.air_temp_c === null ? null
            : test.flue_temp_c - test.air_temp_c;
    return test.result?.values[key]?.value ?? null;
}

/** @param {FlueAnswer} answer @param {string} key @param {number} decimals
 * @param {string} unit @param {Site} site */
function driftText(answer, key, decimals, unit, site) {
    const drift = answer.drift.values[key];
    if (!drift || drift.direction === "unknown")
        return say.driftFew(drift?.count ?? answer.tests.length);
    const percent = Math.round(answer.drift.false_alarm * 100);
    if (drift.direction !== "falling" && drift.direction !== "rising")
        return say.driftSteady(percent);
    /** @param {number} slope */
    const slope = (slope) => text(slope, decimals + 1, unit, site);
    return say.driftSaid(say.capital[drift.direction] ?? "",
        slope(drift.slope_per_year ?? 0), percent) +
        (drift.low_per_year === null || drift.high_per_year === null ? ""
            : say.band(slope(drift.low_per_year), slope(drift.high_per_year)));
}

/**
 * A drawing for each value over the years.
 * @param {HTMLElement} target @param {FlueAnswer} answer @param {Site} site
 */
export function drawDrift(target, answer, site) {
    const tests = answer.tests.filter((test) => test.sampled && test.well_sampled);
    const first = tests[0];
    const last = tests[tests.length - 1];
    target.replaceChildren();
    if (!first || !last)
        return;
    target.append(el("h2", {}, say.driftHead), el("p", { class: "quiet" }, say.limitNote));
    const room = Math.max(YEAR_S / 12, (last.at - first.at) * 0.05);
    for (const [key, decimals, unit] of DRAWN) {
        const factor = unit === "K" && site.units === "us" ? 9 / 5 : 1;
        addFigure(target, { name: `${say.names[key]}, ${symbol(unit, site)}`,
            label: say.chart(say.names[key] ?? key),
            said: driftText(answer, key, decimals, unit, site), zone: site.zone,
            time_s: tests.map((test) => test.at),
            value: tests.map((test) => {
                const value = drawnValue(test, key);
                return value === null ? null : value * factor;
            }), from: first.at - room, until: last.at + room, now: now(),
            walls: key === "co_air_free_ppm" ? [{ from: 0, low: null, high: CO_HOLD_PPM,
                high_is_limit: true }] : [{ from: 0, low: null, high: null,
                high_is_limit: false }],
            text: (value) => writeNumber(value, decimals, site.decimal_comma) });
    }
}

/*
 * The answer about a line in words and numbers: what is wrong and what mends it, the
 * water in the heater, what waits in the pipe, how fast it flows, what was taken for
 * granted. Makes elements; changes nothing.
 */
import { el } from "./dom.js";
import { fieldWithUnit } from "./lineunits.js";
import { lineWords } from "./linewords.js";
import { writeNumber } from "./numbers.js";
import { amountText } from "./typed.js";
import { valueText, valueWithUnit } from "./units.js";

/** @typedef {import("./types.js").LineAnswer} LineAnswer */
/** @typedef {import("./types.js").LineFault} LineFault */
/**
 * @typedef {object} Saying
 * @property {import("./types.js").Site} site
 * @property {import("./types.js").Heater} heater
 * @property {LineAnswer} answer
 * @property {LineAnswer | null} saved the answer to the line as it is kept
 * @property {string} position the one looked at
 * @property {(id: number) => string} nameOf
 * @property {(id: number) => boolean} feedUnknown a feeder whose amount is not known
 * @property {(fault: LineFault) => (() => void) | null} mend what does its change
 * @property {(id: number) => void} reveal
 */

const FREE = "free_chlorine_mg_per_l";

/** @param {number} value @param {Saying} say */
const mg = (value, { site }) => value >= 100
    ? `${writeNumber(value, 0, site.decimal_comma)} ${site.ppm ? "ppm" : "mg/L"}`
    : valueWithUnit(FREE, value, "mg/L", site);

/** @param {number} value @param {Saying} say */
const ph = (value, { site }) => valueText("ph", value, "", site);

/** @param {Saying} say */
export const fedHere = ({ answer, position }) =>
    answer.feed.find((feed) => feed.position === position) ?? null;

const BEFORE = ["chlorine_before_heater", "acid_before_heater"];

/** Feeders of unknown amount whose feed comes to the heater here. @param {Saying} say */
const unknownBefore = ({ answer, position, feedUnknown }) => new Set(answer.faults.filter(
    (fault) => BEFORE.includes(fault.code) && fault.positions.includes(position) &&
        fault.part !== null && feedUnknown(fault.part)).map((fault) => fault.part)).size;

/* ---- faults ---- */

/** @param {Saying} say */
export function faultList(say) {
    const { faults, fault_total } = say.answer;
    if (faults.length === 0)
        return [];
    return [el("h2", {}, lineWords.faultsHead), el("ol", { class: "line-faults" },
        faults.map((fault, i) => faultItem(fault, i + 1, say))),
    faults.length > ON_PAPER ? el("p", { class: "paper-only" },
        lineWords.onPaperOnly(ON_PAPER)) : null,
    fault_total > faults.length
        ? el("p", {}, lineWords.moreFaults(fault_total - faults.length)) : null];
}

/** @param {LineFault} fault @param {number} number @param {Saying} say */
function faultItem(fault, number, say) {
    const act = say.mend(fault);
    const positions = fault.positions.map(lineWords.positionName).join(", ");
    return el("li", { class: fault.severity },
        el("p", { class: "do" }, fault.text, fault.part === null ? null
            : el("span", { class: "paper-only" }, ` (${say.nameOf(fault.part)})`)),
        el("p", {}, el("b", {}, lineWords.severity[fault.severity]), ". ", fault.why),
        faultValue(fault, say),
        fault.path.length > 1 ? el("p", { class: "quiet way" },
            lineWords.way_(fault.path.map(say.nameOf).join(" → ")))
            : fault.part === null ? null
                : el("p", { class: "quiet" }, say.nameOf(fault.part)),
        el("p", { class: "quiet" }, lineWords.shown(positions)),
        el("p", { class: "mend" }, el("b", {}, lineWords.mend), " ", fault.change.text),
        act ? null : el("p", { class: "quiet by-hand" }, lineWords.byHand),
        el("div", { class: "actions" },
            act ? el("button", { type: "button", "aria-label": lineWords.doItOf(number),
                onclick: act }, lineWords.doIt) : null,
            showButton(fault.part, say)));
}

/** @param {number | null} part @param {Saying} say */
function showButton(part, say) {
    return part === null ? null : el("button", { type: "button", class: "plain",
        "aria-label": `${lineWords.showIt}: ${say.nameOf(part)}`,
        onclick: () => say.reveal(part) }, lineWords.showIt);
}

/* One page holds so many; line.css hides the others in print. */
const ON_PAPER = 24;

/** @type {Record<string, string>} the field whose unit a fault's value has */
const VALUE_FIELDS = { "L/s": "flow_l_per_s", "m/s": "velocity_m_per_s", m: "length_m" };

/** @param {LineFault} fault @param {Saying} say */
function faultValue(fault, { site }) {
    if (fault.value === null || fault.limit === null)
        return null;
    const key = VALUE_FIELDS[fault.unit];
    /** @param {number} v */
    const text = (v) => key ? fieldWithUnit(key, v, site)
        : `${writeNumber(v, 2, site.decimal_comma)} ${fault.unit}`;
    return el("p", {}, lineWords.isValue(text(fault.value), text(fault.limit)));
}

/* ---- in the heater ---- */

/** @param {Saying} say */
export function heaterPart(say) {
    const fed = fedHere(say);
    const head = el("h2", {}, lineWords.inHeater);
    if (!fed || !fed.computed)
        return [head, el("p", {}, lineWords.notComputed)];
    if (!((fed.heater_flow_l_per_s ?? 0) > 0))
        return [head, el("p", {}, lineWords.barNoFlow)];
    const before = say.saved?.feed.find((feed) => feed.position === say.position) ?? null;
    const { water } = say.answer;
    const unknown = unknownBefore(say);
    return [head, el("p", { class: "quiet" }, lineWords.inPipe),
        el("dl", {}, chlorineRow(say, fed, before), water ? phRow(say, fed, before) : null),
        water ? null : el("p", {}, lineWords.noTests),
        fed.fed_g_per_h === null || fed.to_heater_g_per_h === null ? null
            : el("p", {}, lineWords.fedSays(`${grams(fed.fed_g_per_h, say)}/h`,
                `${grams(fed.to_heater_g_per_h, say)}/h`)),
        fed.extrapolated ? el("p", {}, lineWords.extrapolated) : null,
        unknown > 0 ? el("p", {}, lineWords.unknownFeed(unknown)) : null];
}

/** @param {number} value @param {Saying} say */
const grams = (value, { site }) =>
    `${writeNumber(value, value < 10 ? 2 : 0, site.decimal_comma)} g`;

/** Nothing is called inside its limits where a feed is not known.
 * @param {string} name @param {string} value @param {(string | false | null)[]} said
 * @param {boolean | null} is_beyond @param {boolean} [is_partial] */
function figure(name, value, said, is_beyond, is_partial = false) {
    const judged = is_beyond === null ? null : is_beyond ? lineWords.beyond
        : is_partial ? lineWords.atLeast : lineWords.inside;
    return el("div", { class: is_beyond ? "beyond" : "" }, el("dt", {}, name),
        el("dd", { class: "n" }, value), el("dd", { class: "t" }, [
            judged, ...said].filter((text) => text).join("; ")));
}

/** @param {Saying} say @param {import("./types.js").LineFed} fed
 * @param {import("./types.js").LineFed | null} before */
function chlorineRow(say, fed, before) {
    const limit = say.heater.limits.free_chlorine_high?.value ?? null;
    const value = fed.chlorine_mg_per_l;
    const was = before?.chlorine_mg_per_l ?? null;
    if (value === null)
        return figure(lineWords.chlorine, fed.added_mg_per_l === null ? "–"
            : `+${mg(fed.added_mg_per_l, say)}`, [], null);
    return figure(lineWords.chlorine, mg(value, say), [
        limit === null ? null : lineWords.limitSays(mg(limit, say)),
        say.answer.water && lineWords.poolSays(mg(say.answer.water[FREE], say)),
        fed.added_mg_per_l === null ? null : lineWords.addedSays(mg(fed.added_mg_per_l, say)),
        was !== null && mg(was, say) !== mg(value, say) && lineWords.wasSays(mg(was, say))],
    limit === null ? null : value > limit, unknownBefore(say) > 0);
}

/** @param {Saying} say @param {import("./types.js").LineFed} fed
 * @param {import("./types.js").LineFed | null} before */
function phRow(say, fed, before) {
    const low = say.heater.limits.ph_low?.value ?? null;
    const high = say.heater.limits.ph_high?.value ?? null;
    const was = before?.ph ?? null;
    if (fed.ph === null)
        return null;
    return figure(lineWords.ph, ph(fed.ph, say), [
        low === null ? null : lineWords.limitSays(high === null ? ph(low, say)
            : `${ph(low, say)} – ${ph(high, say)}`),
        say.answer.water && lineWords.poolSays(ph(say.answer.water.ph, say)),
        was !== null && ph(was, say) !== ph(fed.ph, say) && lineWords.wasSays(ph(was, say))],
    low === null ? null : fed.ph < low || high !== null && fed.ph > high,
    unknownBefore(say) > 0);
}

/** One line for the bar. @param {Saying} say */
export function heaterLine(say) {
    const fed = fedHere(say);
    if (!fed || !fed.computed)
        return lineWords.barNone;
    if (!((fed.heater_flow_l_per_s ?? 0) > 0))
        return lineWords.barNoFlow;
    if (fed.chlorine_mg_per_l === null && fed.added_mg_per_l === null)
        return lineWords.barNone;
    const line = fed.chlorine_mg_per_l !== null && fed.ph !== null
        ? lineWords.barHeater(mg(fed.chlorine_mg_per_l, say), ph(fed.ph, say))
        : fed.added_mg_per_l === 0 ? lineWords.barUntested
            : lineWords.barNoPh(`+${mg(fed.added_mg_per_l ?? 0, say)}`);
    return unknownBefore(say) > 0 ? lineWords.barUnknown(line) : line;
}

/* ---- after the pump stops ---- */

/** @param {number} seconds @param {Saying} say */
function lasting(seconds, { site }) {
    return seconds < 120
        ? lineWords.seconds(writeNumber(seconds, seconds < 10 ? 1 : 0, site.decimal_comma))
        : lineWords.minutes(writeNumber(Math.ceil(seconds / 60), 0, site.decimal_comma));
}

/** @param {Saying} say */
export function stoppedPart(say) {
    const standing = say.answer.standing;
    const head = el("h2", {}, lineWords.stoppedHead);
    if (!standing)
        return [head, el("p", {}, lineWords.stoppedNone)];
    const hours = writeNumber(standing.hours, 1, say.site.decimal_comma);
    const unknown = (standing.unknown_feeders ?? 0) > 0
        ? el("p", {}, lineWords.unknownFeed(standing.unknown_feeders ?? 0)) : null;
    if (!standing.computed)
        return [head, el("p", {}, lineWords.stoppedUnknown(hours)),
            el("p", {}, standing.why_not === "volume_not_known" ? lineWords.needVolume
                : lineWords.notComputed), unknown, flushLine(standing, say)];
    return [head, el("p", {}, lineWords.stoppedSays(hours, standing.standing_l === null
        ? lineWords.someWater : fieldWithUnit("volume_l", standing.standing_l, say.site))),
    el("ul", {}, slugItem(lineWords.spread, standing.spread, say),
        slugItem(lineWords.close, standing.close, say)), unknown,
    flushLine(standing, say)];
}

/** @param {import("./types.js").LineStanding} standing @param {Saying} say */
function flushLine(standing, say) {
    return el("p", {}, el("b", {}, standing.stay_out ? lineWords.stayOut
        : standing.flush_s === null ? lineWords.noFlush
            : lineWords.flush(lasting(standing.flush_s, say))));
}

/** @param {string} head @param {import("./types.js").LineSlug | null} slug
 * @param {Saying} say */
function slugItem(head, slug, say) {
    if (!slug)
        return el("li", {}, `${head}: ${lineWords.slugUnknown}.`);
    const peak = mg(slug.peak_mg_per_l, say);
    const amount = amountText(slug.chlorine_g, false, say.site);
    const said = slug.chlorine_g === 0 ? lineWords.slugNone : slug.seconds === null
        ? lineWords.slugStill(peak, amount)
        : lineWords.slug(peak, amount, lasting(slug.seconds, say));
    return el("li", {}, `${head}: ${said}`, slug.ph === null ? "" : lineWords.slugPh(
        ph(slug.ph, say)), slug.saturated ? lineWords.saturated : "",
    slug.extrapolated ? lineWords.beyondConstants : "", ".");
}

/* ---- flow ---- */

/** @param {Saying} say */
export function flowPart(say) {
    const flow = say.answer.flow.find((f) => f.position === say.position);
    if (!flow || !flow.computed || flow.parts.length === 0)
        return [];
    const { site } = say;
    /** @param {string} key @param {number | null} value */
    const cell = (key, value) => el("td", { class: "num" }, value === null ? "–"
        : fieldWithUnit(key, value, site));
    return [el("details", {}, el("summary", { class: "row" }, lineWords.flowHead),
        el("div", { class: "scroll", tabindex: "0", role: "region",
            "aria-label": lineWords.flowHead }, el("table", {}, el("thead", {},
            el("tr", {}, [lineWords.flowPart_, lineWords.flowColumn, lineWords.speedColumn,
                lineWords.lossColumn, lineWords.reynolds].map((text, i) =>
                el("th", { scope: "col", class: i > 0 ? "num" : "" }, text)))),
        el("tbody", {}, flow.parts.map((part) => el("tr", {},
            el("th", { scope: "row" }, say.nameOf(part.id),
                part.copper_limit_m_per_s === null ? null : el("span", { class: "quiet" },
                    ` ${lineWords.copper(fieldWithUnit("velocity_m_per_s",
                        part.copper_limit_m_per_s, site))}`)),
            cell("flow_l_per_s", part.flow_l_per_s),
            cell("velocity_m_per_s", part.velocity_m_per_s),
            cell("pressure_loss_pa", part.pressure_loss_pa),
            el("td", { class: "num" }, part.reynolds === null ? "–"
                : writeNumber(part.reynolds, 0, site.decimal_comma))))))))];
}

/* ---- the rest ---- */

/** @param {Saying} say */
export function lead(say) {
    const { answer } = say;
    if (answer.all_is_well)
        return [el("p", { class: "lead" }, lineWords.wellLead),
            el("p", {}, lineWords.wellMeans, " ",
                answer.assumptions.map((a) => a.text).join(" "))];
    const stops = answer.water_side === "hold" || answer.burner_side === "hold";
    return [el("p", { class: "lead" }, lineWords.faultLead(answer.fault_total)),
        el("p", {}, stops ? lineWords.stops : lineWords.noStop)];
}

/** @param {Saying} say */
export function restPart({ answer, nameOf }) {
    return [answer.notes.length === 0 ? null : el("h2", {}, lineWords.notesHead),
        answer.notes.length === 0 ? null : el("ul", {}, answer.notes.map((note) =>
            el("li", {}, note.text, note.part === null ? null
                : el("span", { class: "quiet" }, ` ${nameOf(note.part)}.`)))),
        answer.notes.length === 0 ? null : el("p", { class: "quiet method" }, answer.notes_method),
        el("h2", {}, lineWords.assumeHead),
        el("ul", {}, answer.assumptions.map((a) => el("li", {}, a.text)))];
}

/** @param {string[]} cautions */
export const cautionPart = (cautions) => [el("h2", {}, lineWords.cautionHead),
    el("ul", { class: "cautions" }, cautions.map((text) => el("li", {}, text)))];

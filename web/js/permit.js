/*
 * What a page may say of the daemon's answer, and how it says it. The answer runs out by
 * itself: past its time, or without news from the daemon, "May run" becomes "Test first".
 * "Keep off" never becomes anything else.
 */
import { el } from "./dom.js";
import { sign } from "./sign.js";
import { ageText, clockText, daysBetween, momentText } from "./time.js";
import { shownUnit, valueText, valueWithUnit } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Permit} Permit */
/** @typedef {import("./types.js").PermitAnswer} PermitAnswer */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").Reason} Reason */
/** @typedef {import("./types.js").Site} Site */

/**
 * @typedef {object} Judged
 * @property {Permit} shown
 * @property {boolean} live the answer has not run out
 * @property {"lost" | "over" | null} turned why "May run" is no longer said
 */

/**
 * @param {PermitAnswer} answer
 * @param {number} seconds since it was asked for; Infinity when clocks went backwards
 * @returns {Judged}
 */
export function judge(answer, seconds) {
    const live = seconds < answer.valid_for_s;
    const over = answer.good_until !== null &&
        answer.at + seconds >= answer.good_until;
    if (answer.permit === "run" && (over || !live))
        return { shown: "test", live, turned: over ? "over" : "lost" };
    return { shown: answer.permit, live, turned: null };
}

/** The page's title. @param {Permit} shown @param {Site} site */
export function titleText(shown, site) {
    const word = words.permit[shown];
    return site.name ? words.permit.title(word, site.name)
        : words.permit.titleAlone(word);
}

/**
 * Word, sign, sentence, and for how long.
 * @param {PermitAnswer} answer @param {Judged} judged @param {Site} site
 * @param {number} now
 */
export function answerBlock(answer, judged, site, now) {
    const sentence = judged.turned === "lost" ? words.permit.lost
        : judged.turned === "over" ? words.permit.over : answer.headline;
    return el("div", { class: `permit ${judged.shown}` },
        sign(judged.shown),
        el("h1", {}, words.permit[judged.shown]),
        el("p", { class: "sentence" }, sentence),
        untilLine(answer, judged, site, now));
}

/** @param {PermitAnswer} answer @param {Judged} judged @param {Site} site
 * @param {number} now */
function untilLine(answer, judged, site, now) {
    if (judged.turned !== null)
        return el("p", { class: "until" }, judged.turned === "lost"
            ? words.permit.notLive(clockText(site.zone, answer.at))
            : [words.permit.lastEnded, el("b", {},
                momentText(site.zone, answer.good_until ?? answer.at, now)), "."]);
    if (!judged.live)
        return el("p", { class: "until" },
            el("b", {}, words.permit.notLive(clockText(site.zone, answer.at))), " ",
            answer.permit === "hold" ? words.permit.holdNotLive : null);
    if (answer.permit === "run" && answer.good_until !== null)
        return el("p", { class: "until" }, words.permit.untilRun,
            el("b", {}, momentText(site.zone, answer.good_until, now)), ". ",
            el("span", {}, words.permit.untilMeans));
    if (answer.likely_back)
        return el("p", { class: "until" }, words.permit.likelyBack,
            el("b", {}, backText(answer.likely_back, site, now)),
            words.permit.mustConfirm);
    if (answer.back_unknown)
        return el("p", { class: "until" }, answer.back_unknown);
    return null;
}

/** @param {{earliest: number, latest: number}} back @param {Site} site
 * @param {number} now */
function backText(back, site, now) {
    if (daysBetween(site.zone, back.earliest, back.latest) === 0)
        return words.permit.betweenSame(
            momentText(site.zone, back.earliest, now).replace(/,? \d\d:\d\d$/, ""),
            clockText(site.zone, back.earliest), clockText(site.zone, back.latest));
    const early = momentText(site.zone, back.earliest, now);
    const late = momentText(site.zone, back.latest, now);
    return words.permit.between(early, late);
}

/**
 * The permit in one line, for other pages.
 * @param {PermitAnswer} answer @param {Site} site @param {number} now
 */
export function shortAnswer(answer, site, now) {
    const judged = judge(answer, 0);
    const until = answer.permit === "run" && answer.good_until !== null
        ? [". ", words.permit.untilRun,
            el("b", {}, momentText(site.zone, answer.good_until, now)), "."]
        : [". ", answer.headline];
    return el("p", { class: `effect ${judged.shown}` }, sign(judged.shown, 48),
        el("span", {}, words.permit.effect,
            el("strong", {}, words.permit[judged.shown]), ...until));
}

/** Where a value stands to its walls. @param {KnownValue} value */
export function position(value) {
    if (value.value === null)
        return null;
    if (value.high !== null && value.value > value.high)
        return "above";
    if (value.low !== null && value.value < value.low)
        return "below";
    return value.low === null && value.high === null ? null : "inside";
}

/**
 * The quiet lines under a value: what is wrong with it, its limit, how and when tested.
 * @param {KnownValue} value @param {PermitAnswer} answer @param {Site} site
 * @param {number} now
 */
export function valueLines(value, answer, site, now) {
    const reasons = [...answer.water_side.reasons, ...answer.burner_side.reasons]
        .filter((reason) => reason.quantity === value.quantity);
    const texts = reasons.map((reason) => reason.text)
        .filter((text) => text !== answer.headline);
    const where = position(value);
    const limit = reasons.find((reason) => reason.limit !== null &&
        reason.limit !== undefined && reason.limit_source);
    const lines = texts.map((text) => el("dd", { class: "t said" }, text));
    if (limit)
        lines.push(el("dd", { class: "t" }, words.permit.limit(
            valueWithUnit(value.quantity, /** @type {number} */ (limit.limit),
                value.unit, site),
            words.sources[/** @type {keyof typeof words.sources} */ (
                limit.limit_source)] ?? limit.limit_source)));
    else if (where)
        lines.push(el("dd", { class: "t" }, words.permit[where]));
    lines.push(el("dd", { class: "t" }, testedText(value, now)));
    return lines;
}

/** @param {KnownValue} value @param {number} now */
export function testedText(value, now) {
    if (value.at === null)
        return words.permit.neverTested;
    const methods = /** @type {Record<string, string>} */ (words.methods);
    const method = value.method === "unknown" ? "" : methods[value.method ?? ""] ?? "";
    const flags = [method, value.diluted ? words.permit.diluted : "",
        value.over_range ? words.permit.overRange : ""].filter((part) => part !== "");
    return words.permit.tested(ageText(now - value.at), flags.join(", "));
}

/** @param {KnownValue} value @param {Site} site */
export function numberCell(value, site) {
    const symbol = shownUnit(value.unit, site).symbol;
    if (value.value === null)
        return el("dd", { class: "n" }, "\u2013");
    return el("dd", { class: "n" },
        valueText(value.quantity, value.value, value.unit, site),
        symbol === "" ? null : [" ", el("small", {}, symbol)]);
}

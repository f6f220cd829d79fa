/*
 * Download of facts: a link that follows the choices, so that the browser's own
 * download takes a file of any length.
 */
import { el } from "./dom.js";
import { fileWords } from "./filewords.js";
import { chips, field, select, setScope, valueOf } from "./form.js";
import { now } from "./frame.js";
import { civil, dayStart, isoText } from "./time.js";

/** @typedef {import("./frame.js").Place} Place */

const MONTH_S = 30 * 86400;

/**
 * From (included) and until (excluded) of a period by its name, as the site's days.
 * @param {string} period
 * @param {string} zone
 * @param {number} at now
 * @returns {{from?: number, until?: number}}
 */
export function periodOf(period, zone, at) {
    const { year, month, day } = civil(zone, at);
    if (period === "month") {
        const then = civil(zone, dayStart(zone, year, month, day) - MONTH_S);
        return { from: dayStart(zone, then.year, then.month, then.day) };
    }
    if (period === "year")
        return { from: dayStart(zone, year, 1, 1) };
    if (period === "before")
        return { from: dayStart(zone, year - 1, 1, 1),
            until: dayStart(zone, year, 1, 1) };
    return {};
}

export class Exporter {
    /** @param {HTMLElement} target @param {Place} where with a water */
    constructor(target, where) {
        this.where = where;
        setScope("give");
        this.link = el("a", { class: "button strong" }, fileWords.give.link);
        const form = el("form", {
            onsubmit: (/** @type {Event} */ event) => event.preventDefault() },
            el("p", { class: "lead" }, fileWords.give.lead),
            chips("what", fileWords.give.what, where.heater ? fileWords.give.whats
                : fileWords.give.whats.filter(([what]) => what !== "heater-states"),
            "readings"),
            field("period", fileWords.give.period,
                select(fileWords.give.periods, "all")),
            chips("form", fileWords.give.form, fileWords.give.forms, "spreadsheet"),
            el("p", { class: "actions" }, this.link));
        const follow = () => this.follow(form);
        form.addEventListener("change", follow);
        this.link.addEventListener("click", follow); /* "last 30 days" of this moment */
        target.replaceChildren(form);
        follow();
    }

    /** @param {HTMLFormElement} form */
    follow(form) {
        const { site, water, heater } = this.where;
        const what = valueOf(form, "what");
        const kind = valueOf(form, "form");
        const { from, until } = periodOf(valueOf(form, "period"), site.zone, now());
        const query = new URLSearchParams({ what });
        const subject = what === "heater-states" ? heater : water;
        query.set(what === "heater-states" ? "heater" : "water", String(subject?.id));
        if (from !== undefined)
            query.set("from", String(from));
        if (until !== undefined)
            query.set("until", String(until));
        if (kind === "json")
            query.set("format", "json");
        else
            query.set("style", kind);
        const day = isoText(site.zone, now()).slice(0, 10);
        this.link.href = `/api/v1/export?${query}`;
        this.link.download = `${subject?.name} ${what} ${day}.` +
            (kind === "json" ? "json" : "csv");
    }
}

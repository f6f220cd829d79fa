/*
 * When something was: now, or a day and a time of the site's zone as text. An hour that
 * clocks showed twice is asked for.
 */
import { dayText, readDay, readTime } from "./dates.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { chips, field, textInput, valueOf } from "./form.js";
import { now } from "./frame.js";
import { civil, clockText, dateText, fullText } from "./time.js";

/** @typedef {import("./form.js").FormFault} FormFault */

export class When {
    /**
     * @param {string} zone
     * @param {number | null} before instant of the fact that is corrected
     */
    constructor(zone, before = null) {
        this.zone = zone;
        this.before = before;
        this.date = textInput({ value: "today" });
        this.time = textInput();
        this.fold = el("div", {});
        this.parts = el("div", { class: "pair", hidden: true },
            field("local.date", entryWords.date, this.date,
                { hint: entryWords.dateHint }),
            field("local.time", entryWords.time, this.time,
                { hint: entryWords.timeHint }));
        /** @type {[string, string][]} */
        const choices = [
            before === null ? ["now", entryWords.now] : ["before", fullText(zone, before)],
            ["earlier", before === null ? entryWords.earlier : entryWords.otherTime]];
        this.node = el("div", {}, chips("when", entryWords.when, choices,
            before === null ? "now" : "before", () => this.update()),
        this.parts, this.fold);
        this.date.addEventListener("input", () => place(this.fold));
        this.time.addEventListener("input", () => place(this.fold));
    }

    /** @param {string} value */
    choose(value) {
        this.node.querySelectorAll("input[name=when]").forEach((node) => {
            const radio = /** @type {HTMLInputElement} */ (node);
            radio.checked = radio.value === value;
        });
        this.update();
    }

    /** Writes an instant into the fields, to be changed from there.
     * @param {number} at */
    write(at) {
        this.choose("earlier");
        this.date.value = dateText(this.zone, at, now());
        this.time.value = clockText(this.zone, at);
    }

    update() {
        const chosen = /** @type {HTMLInputElement | null} */ (
            this.node.querySelector("input[name=when]:checked"))?.value;
        this.parts.hidden = chosen !== "earlier";
        if (chosen !== "earlier")
            place(this.fold);
    }

    /**
     * @param {HTMLFormElement} form
     * @param {FormFault[]} faults receives what is wrong
     * @returns {Record<string, any>} members of the new fact
     */
    read(form, faults) {
        const chosen = valueOf(form, "when");
        if (chosen === "before")
            return { at: this.before };
        if (chosen !== "earlier")
            return {};
        const day = readDay(this.date.value, civil(this.zone, now()));
        const time = readTime(this.time.value);
        if (!day.ok)
            faults.push({ field: "local.date", text: entryWords.dayFaults[day.code] });
        if (!time.ok)
            faults.push({ field: "local.time", text: entryWords.timeFaults[time.code] });
        if (!day.ok || !time.ok)
            return {};
        const fold = valueOf(form, "local.fold");
        return { local: { date: dayText(day.day), time: time.time,
            ...(fold ? { fold } : {}) } };
    }

    /** Asks which of two hours is meant. */
    askFold() {
        place(this.fold, chips("local.fold", entryWords.twice,
            [["first", entryWords.fold.first], ["second", entryWords.fold.second]], ""));
    }
}

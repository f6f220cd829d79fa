/*
 * Closing and opening: the steps, the drained heater as a fact that needs it off and
 * cold, and the days of the season.
 */
import { getWithTag, makeKey, Problem, send } from "./api.js";
import { careWords as say } from "./carewords.js";
import { monthDay } from "./caredue.js";
import { readDayAhead } from "./dates.js";
import { announce, el } from "./dom.js";
import { check, clearFaults, field, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { showSaved } from "./saved.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./form.js").FormFault} FormFault */

const LEAP_YEAR = { year: 2000, month: 1, day: 1 }; /* 29 February is a day, too */

export class Seasons {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where
     * @param {() => void} changed
     */
    constructor(target, where, changed) {
        this.where = where;
        this.changed = changed;
        this.saved = el("div", {});
        this.dates = el("div", {});
        target.replaceChildren(this.saved, el("div", { class: "halves" },
            el("section", {}, ...this.closing()), el("section", {}, ...this.opening())),
        this.dates);
        this.loadDates();
    }

    /** @param {string[]} texts */
    steps(texts) {
        return el("ol", { class: "next" }, texts.map((text) => el("li", {}, text)));
    }

    closing() {
        setScope("drain");
        const ticks = [check("is_off", say.isOff), check("is_gas_shut", say.isGasShut),
            check("is_cold", say.isCold)];
        const key = makeKey();
        const form = el("form", { novalidate: true,
            onsubmit: async (/** @type {Event} */ event) => {
                event.preventDefault();
                clearFaults(form);
                const open = ticks.find(({ input }) => !input.checked);
                if (open)
                    return showFaults(form, [{ field: open.input.name,
                        text: say.drainFirst }]);
                return this.drained(form, key);
            } }, ticks.map(({ row }) => row),
        el("p", { class: "save" }, el("button", {}, say.drained)));
        return [el("h2", {}, say.closeHead), this.steps(say.closeSteps),
            el("p", { class: "quiet" }, say.closeNote), form,
            el("h3", {}, say.standHead), el("p", {}, say.standText)];
    }

    /** @param {HTMLFormElement} form @param {string} key */
    async drained(form, key) {
        try {
            const answer = await send("POST", "heater-states", { heater:
                this.where.heater?.id, state: "drained", ...byMember() }, { key });
            this.changed();
            showSaved(this.saved, "heater-states", answer.body, say.drainedSaid,
                this.where, this.changed);
        } catch (error) {
            showFaults(form, refusals(error));
        }
    }

    opening() {
        return [el("h2", {}, say.openHead), this.steps(say.openSteps),
            el("p", { class: "actions" }, el("a", { class: "button",
                href: "readings#test" }, say.openTest), " ",
            el("a", { class: "button", href: "./" }, say.openPermit))];
    }

    /* ---- the days of the season ---- */

    async loadDates() {
        const id = this.where.water?.id;
        if (!id)
            return;
        const { body, etag } = await getWithTag(`waters/${id}/season`);
        setScope("season");
        const own = body.season;
        const round = check("year_round", say.yearRound, own?.year_round === true);
        const days = el("div", { class: "pair" }, ...["opens", "closes"].map((name) =>
            field(name, name === "opens" ? say.opens : say.closes, textInput(
                { value: own?.[name] ? monthDay(own[name]) : "" }),
            { hint: say.datesHint })));
        days.hidden = round.input.checked;
        round.input.addEventListener("change", () => { days.hidden = round.input.checked; });
        const note = el("p", { class: "note", role: "status" });
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.saveDates(form, etag, note);
            } }, round.row, days, el("p", { class: "save" },
            el("button", {}, say.datesSave)));
        this.dates.replaceChildren(el("h2", {}, say.datesHead), note, form);
    }

    /** @param {HTMLFormElement} form @param {string} etag @param {HTMLElement} note */
    async saveDates(form, etag, note) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        const body = valueOf(form, "year_round") === "on" ? { year_round: true }
            : { year_round: false, opens: readMonthDay(form, "opens", faults),
                closes: readMonthDay(form, "closes", faults) };
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            await send("PUT", `waters/${this.where.water?.id}/season`,
                { ...body, ...byMember() }, { match: etag });
            await this.loadDates();
            note.textContent = say.datesSaved;
            this.dates.querySelector(".note")?.replaceChildren(say.datesSaved);
            announce(say.datesSaved);
            this.changed();
        } catch (error) {
            showFaults(form, refusals(error));
        }
        return undefined;
    }
}

/** "05-01" of "1 May" or "05-01". @param {HTMLFormElement} form @param {string} name
 * @param {FormFault[]} faults */
function readMonthDay(form, name, faults) {
    const text = valueOf(form, name).trim();
    if (/^\d\d-\d\d$/.test(text))
        return text;
    const read = readDayAhead(text, LEAP_YEAR);
    if (!read.ok || /\d{4}/.test(text) || !/\d/.test(text)) {
        faults.push({ field: name, text: say.datesFault });
        return "";
    }
    return [read.day.month, read.day.day].map((n) => String(n).padStart(2, "0")).join("-");
}

/** @param {unknown} error @returns {FormFault[]} */
function refusals(error) {
    return error instanceof Problem ? error.faults.map((fault) =>
        ({ field: fault.field, text: fault.detail })) : [{ field: "", text: words.unreachable }];
}

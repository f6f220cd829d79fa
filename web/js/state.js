/*
 * "Heater is off line now": a report that anybody in the house may make, with undo.
 */
import { makeKey, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { now } from "./frame.js";
import { clockText, momentText } from "./time.js";
import { byMember, undoButton } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").HeaterStateKey} HeaterStateKey */
/** @typedef {import("./types.js").Heater} Heater */
/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./types.js").PermitAnswer} PermitAnswer */

export class StateControl {
    /**
     * @param {Element} target
     * @param {Heater | null} heater
     * @param {Site} site
     * @param {() => void} changed
     */
    constructor(target, heater, site, changed) {
        this.heater = heater;
        this.site = site;
        this.changed = changed;
        this.line = el("p", { class: "state-line" });
        this.actions = el("div", { class: "actions" });
        this.note = el("p", { class: "note", role: "status" });
        this.asking = false;
        /** @type {PermitAnswer["water_side"] | null} */
        this.water = null;
        this.heading = el("h2", { id: "state-head" }, words.state.heading);
        place(target, this.heading, this.line, this.actions, this.note);
    }

    /** @param {PermitAnswer} answer */
    show(answer) {
        const { state, since, bypass_percent_open } = answer.heater_state;
        const parts = [words.state[state]];
        if (state !== "in_line" && this.heater && this.heater.bypass !== "none" &&
            typeof bypass_percent_open === "number" && bypass_percent_open >= 0)
            parts.push(words.state.bypass(bypass_percent_open));
        place(this.line, `${parts.join(", ")}. `,
            el("span", { class: "quiet" }, since
                ? `${capital(words.state.since(momentText(this.site.zone, since, now())))}.`
                : words.state.unsaid));
        this.state = state;
        this.water = answer.water_side;
        if (!this.asking)
            this.offer();
    }

    offer() {
        if (!this.heater)
            return;
        const off = this.state !== "in_line";
        const can_isolate = this.heater.bypass !== "none";
        place(this.actions, el("button", { type: "button", class: "wide",
            onclick: () => off ? this.back()
                : can_isolate ? this.ask() : this.report("drained") },
        off ? words.state.backNow
            : can_isolate ? words.state.offNow : words.state.drainedNow));
    }

    ask() {
        this.asking = true;
        /** @type {HeaterStateKey[]} */
        const keys = ["off_line_flushed", "off_line_standing", "drained"];
        const choices = keys.map((key) => {
            const [name, meaning] = words.state.choices[
                /** @type {keyof typeof words.state.choices} */ (key)];
            return el("button", { type: "button", class: "choice",
                onclick: () => this.report(key) },
            el("b", {}, name), " ", el("span", {}, meaning));
        });
        const group = el("div", { role: "group", "aria-labelledby": "state-ask" },
            el("p", { id: "state-ask" }, words.state.ask), choices,
            el("button", { type: "button", class: "plain", onclick: () => {
                this.asking = false;
                this.offer();
                this.actions.querySelector("button")?.focus();
            } }, words.state.cancel));
        place(this.actions, group);
        choices[0]?.focus();
    }

    /** Back in line: with a warning first while the water would harm it. */
    back() {
        if (this.water?.permit === "run")
            return this.report("in_line");
        this.asking = true;
        const doubt = this.water?.permit === "hold" ? words.state.backHolds
            : words.state.backUntested;
        const yes = el("button", { type: "button",
            onclick: () => this.report("in_line") }, words.state.backAllTheSame);
        const no = el("button", { type: "button", class: "strong", onclick: () => {
            this.asking = false;
            this.offer();
            this.actions.querySelector("button")?.focus();
        } }, words.state.leaveOff);
        place(this.actions, el("div", { role: "group", "aria-labelledby": "state-doubt" },
            el("p", { id: "state-doubt", class: "message" }, doubt,
                (this.water?.reasons ?? []).slice(0, 1).map((reason) =>
                    ` ${reason.text}`)), no, " ", yes));
        no.focus();
        return undefined;
    }

    /** @param {HeaterStateKey} state */
    async report(state) {
        const heater = /** @type {Heater} */ (this.heater);
        this.actions.querySelectorAll("button").forEach((b) => { b.disabled = true; });
        try {
            const { body } = await send("POST", "heater-states",
                { heater: heater.id, state, ...this.bypass(state), ...byMember() },
                { key: makeKey() });
            const said = words.state.noted(lower(words.state[state]),
                clockText(this.site.zone, body.at));
            place(this.note, said, " ", state === "in_line" ? this.reminder() : null,
                undoButton("heater-states", body, this.changed));
            announce(said);
        } catch (error) {
            place(this.note, words.failed,
                error instanceof Error ? error.message : String(error));
        }
        this.asking = false;
        this.offer();
        this.actions.querySelector("button")?.focus();
        this.changed();
    }

    reminder() {
        const percent = this.heater?.bypass_usual_percent;
        return this.heater?.bypass === "part_open" && typeof percent === "number" &&
            percent >= 0 ? `${words.state.usualBypass(percent)} ` : null;
    }

    /** @param {HeaterStateKey} state @returns {{bypass_percent_open?: number}} */
    bypass(state) {
        if (!this.heater || this.heater.bypass === "none")
            return {};
        if (state !== "in_line")
            return { bypass_percent_open: 100 };
        const usual = this.heater.bypass_usual_percent;
        if (this.heater.bypass === "part_open" && typeof usual === "number")
            return { bypass_percent_open: usual };
        return { bypass_percent_open: 0 };
    }
}

/** @param {string} text */
const lower = (text) => text.charAt(0).toLowerCase() + text.slice(1);
/** @param {string} text */
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

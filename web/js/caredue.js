/*
 * What is due on the heaters: a sentence for all, one for each task, and what can be done
 * with it: done, not this time, another day.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { careWords as say } from "./carewords.js";
import { dayWords, typedDayAhead } from "./days.js";
import { announce, el, place } from "./dom.js";
import { check, chips, clearFaults, field, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { readNumber } from "./factform.js";
import { drawFeed } from "./feed.js";
import { now } from "./frame.js";
import { writeNumber } from "./numbers.js";
import { isoText } from "./time.js";
import { byMember } from "./undo.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").CareAnswer} CareAnswer */
/** @typedef {import("./types.js").CareTask} CareTask */
/** @typedef {import("./form.js").FormFault} FormFault */

const ORDER = ["overdue", "due", "due_soon", "later", "nothing"];
const TURN_DAYS = /** @type {Record<string, string>} */ ({ before_season: "30",
    super_chlorination: "3", exposure: "3" });

/** @param {CareTask} a @param {CareTask} b */
function byUrgency(a, b) {
    return ORDER.indexOf(a.due.state) - ORDER.indexOf(b.due.state) ||
        (a.due.day ?? "9").localeCompare(b.due.day ?? "9");
}

export class DueList {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where
     * @param {(task: CareTask) => void} done opens the visit of that task
     */
    constructor(target, where, done) {
        this.where = where;
        this.site = where.site;
        this.done = done;
        this.heater = where.heater?.id ?? 0; /* that a new task is for */
        /** @type {CareAnswer | null} */
        this.answer = null;
        this.lead = el("div", {});
        this.note = el("p", { class: "note", role: "status" });
        this.list = el("ol", { class: "tasks" });
        this.season = el("div", {});
        this.adder = el("div", {});
        const feed = el("div", {});
        place(target, el("p", { class: "gas" }, el("a", { href: "#gas" }, say.gasFirst)),
            this.lead, this.note, this.list,
            el("p", {}, el("a", { class: "button", href: "#signs" }, say.noticed)),
            this.season, this.adder, feed);
        this.drawAdder();
        drawFeed(feed);
    }

    async load() {
        const answer = await get("care");
        this.answer = answer;
        this.draw(answer);
    }

    /** @param {CareAnswer} answer */
    draw(answer) {
        const tasks = answer.tasks.filter((task) => !task.ended).sort(byUrgency);
        place(this.lead, el("p", { class: "lead" }, this.sentence(answer, tasks)));
        place(this.list, tasks.map((task) => this.row(task)));
        place(this.season, answer.heaters.map((heater) => el("p", { class: "quiet" },
            this.seasonText(heater), " ", say.burner(writeNumber(heater.burner_h, 0,
                this.site.decimal_comma)))),
        answer.hemisphere_is_assumed ? el("p", { class: "quiet" }, say.assumed) : null);
    }

    /** @param {CareAnswer} answer @param {CareTask[]} tasks by urgency */
    sentence(answer, tasks) {
        const { overdue, due, due_soon } = answer.counts;
        const parts = [overdue > 0 ? say.overdue(overdue) : "", due > 0 ? say.due(due) : "",
            due_soon > 0 ? say.soon(due_soon) : ""].filter((text) => text !== "");
        if (parts.length > 0)
            return parts.join(" ");
        const next = tasks.find((task) => task.due.day !== null);
        return `${say.nothingDue} ${next?.due.day ? say.nextIs(inSentence(next.name),
            dayWords(next.due.day)) : say.noneAhead}`;
    }

    /** @param {CareAnswer["heaters"][number]} heater */
    seasonText(heater) {
        const { season } = heater;
        const name = this.where.heaters.length > 1 ? `${heater.name}: ` : "";
        const text = season.year_round ? say.yearRound
            : say.season(monthDay(season.opens), monthDay(season.closes));
        return `${name}${text}${season.source === "usual" ? say.usual : "."}`;
    }

    /** @param {CareTask} task */
    when(task) {
        const { due } = task;
        if (due.state === "nothing")
            return say.waits;
        if (due.day === null)
            return say.noRate(writeNumber(due.burner_h_left ?? 0, 0,
                this.site.decimal_comma));
        const span = say.days(Math.abs(due.days_left ?? 0));
        return [say.states[due.state](dayWords(due.day), span),
            due.is_estimate ? say.estimate : "", due.is_moved ? say.moved : ""]
            .filter((text) => text !== "").join(" ");
    }

    /** @param {CareTask} task */
    last(task) {
        if (!task.last)
            return say.never;
        const day = dayWords(task.last.day);
        return task.last.outcome === "done" ? say.lastDone(day) : say.lastSkipped(day);
    }

    /** @param {CareTask} task */
    row(task) {
        const heater = this.where.heaters.length > 1
            ? `${this.where.heaters.find((h) => h.id === task.heater)?.name ?? ""}: ` : "";
        const more = el("div", {});
        const actions = el("div", { class: "actions" },
            el("button", { type: "button", class: task.due.state === "later" ? ""
                : "strong", "aria-label": `${say.done}: ${task.name}`,
            onclick: () => this.done(task) }, say.done),
            task.due.day === null ? null : el("button", { type: "button", class: "plain",
                "aria-label": `${say.skip}: ${task.name}`,
                onclick: () => this.askSkip(task, more) }, say.skip),
            task.due.day === null ? null : el("button", { type: "button", class: "plain",
                "aria-label": `${say.move}: ${task.name}`,
                onclick: () => this.askMove(task, more) }, say.move),
            task.stays ? null : el("button", { type: "button", class: "plain",
                "aria-label": `${say.endTask}: ${task.name}`,
                onclick: () => this.change(task, { ended: true }, say.taskEnded(task.name),
                    null) }, say.endTask));
        return el("li", { class: task.due.state },
            el("h2", {}, heater, task.name),
            el("p", { class: "when" }, this.when(task)),
            el("p", { class: "quiet" }, this.last(task), task.stays ? ` ${say.stays}` : ""),
            actions, more);
    }

    /* ---- not this time, another day ---- */

    /** A small form under a task. @param {HTMLElement} target @param {string} save
     * @param {HTMLElement} part @param {(form: HTMLFormElement) => void} submit */
    ask(target, save, part, submit) {
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                clearFaults(form);
                submit(form);
            } }, part, el("p", { class: "actions" }, el("button", {}, save),
            el("button", { type: "button", class: "plain",
                onclick: () => target.replaceChildren() }, say.cancel)));
        target.replaceChildren(form);
        form.querySelector("input")?.focus();
    }

    /** @param {CareTask} task @param {HTMLElement} target */
    askSkip(task, target) {
        const key = makeKey();
        setScope(`skip-${task.id}`);
        this.ask(target, say.skipSave, field("note", say.skipWhy,
            textInput({ maxlength: 400 })), (form) => {
            const note = valueOf(form, "note").trim();
            if (note === "")
                return showFaults(form, [{ field: "note", text: say.required }]);
            return this.tell(form, () => send("POST", "visits", { heater: task.heater,
                task: task.id, kind: "other", outcome: "skipped", note, ...byMember() },
            { key }), say.skipped(task.name));
        });
    }

    /** @param {CareTask} task @param {HTMLElement} target */
    askMove(task, target) {
        setScope(`move-${task.id}`);
        this.ask(target, say.moveSave, field("moved_to", say.moveTo,
            textInput(), { hint: say.moveHint }), (form) => {
            const read = typedDayAhead(valueOf(form, "moved_to"), this.site.zone);
            if (!read.ok)
                return showFaults(form, [{ field: "moved_to", text: read.text }]);
            return this.change(task, { moved_to: read.day },
                say.movedTo(task.name, dayWords(read.day)), form);
        });
    }

    /** @param {CareTask} task @param {Record<string, any>} changes
     * @param {string} said @param {HTMLFormElement | null} form */
    change(task, changes, said, form) {
        const { name, timing, soon_days, waits_for_season, moved_to, ended } = task;
        return this.tell(form, () => send("PUT", `care-tasks/${task.id}`, { name, timing,
            soon_days, waits_for_season, moved_to, ended, ...changes },
        { match: task.etag }), said);
    }

    /** @param {HTMLFormElement | null} form where a refusal is shown
     * @param {() => Promise<any>} act @param {string} said */
    async tell(form, act, said) {
        try {
            await act();
            this.note.textContent = said;
            announce(said);
            await this.load();
            this.note.scrollIntoView({ block: "nearest" });
        } catch (error) {
            const faults = error instanceof Problem ? error.faults.map((fault) =>
                ({ field: fault.field, text: fault.detail }))
                : [{ field: "", text: words.unreachable }];
            if (form)
                showFaults(form, faults);
            else
                this.note.textContent = faults[0]?.text ?? "";
        }
    }

    /* ---- a new task ---- */

    drawAdder() {
        setScope("task");
        const hours = field("every_burner_h", say.turnHours, textInput(
            { inputmode: "numeric", value: "500" }));
        const days = field("days", say.turnDays, textInput({ inputmode: "numeric" }));
        const season = check("waits_for_season", say.waitsForSeason, true);
        const follow = (/** @type {string} */ turn) => {
            hours.hidden = turn !== "burner_hours";
            days.hidden = !(turn in TURN_DAYS);
            /** @type {HTMLInputElement} */ (days.querySelector("input")).value =
                TURN_DAYS[turn] ?? "";
        };
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.add(form);
            } },
        field("name", say.taskName, textInput({ maxlength: 100 })),
        chips("turn", say.taskTurn, say.turns, "month", follow), hours, days, season.row,
        el("p", { class: "save" }, el("button", {}, say.addSave)));
        follow("month");
        this.adder.replaceChildren(el("details", {}, el("summary", { class: "row" }, say.addHead),
            form));
    }

    /** @param {HTMLFormElement} form @param {FormFault[]} faults */
    timing(form, faults) {
        const turn = valueOf(form, "turn");
        const whole = (/** @type {string} */ name) => {
            const read = readNumber(form, name, faults, { needed: true });
            if (read !== null && !Number.isInteger(read))
                faults.push({ field: name, text: say.notNumber });
            return read;
        };
        const start = isoText(this.site.zone, now()).slice(0, 10);
        const rules = /** @type {Record<string, string>} */ ({ month: "FREQ=MONTHLY",
            quarter: "FREQ=MONTHLY;INTERVAL=3", year: "FREQ=YEARLY" });
        const rrule = rules[turn];
        if (rrule)
            return { kind: "calendar", rrule, start };
        if (turn === "burner_hours")
            return { kind: turn, every_burner_h: whole("every_burner_h") };
        if (turn === "before_season")
            return { kind: turn, lead_days: whole("days") };
        return { kind: "after_event", event: turn, after_days: whole("days") };
    }

    /** @param {HTMLFormElement} form */
    add(form) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        const name = valueOf(form, "name").trim();
        if (name === "")
            faults.push({ field: "name", text: say.required });
        const timing = this.timing(form, faults);
        if (faults.length > 0)
            return showFaults(form, faults);
        const key = makeKey();
        return this.tell(form, async () => {
            await send("POST", "care-tasks", { heater: this.heater, name, timing,
                soon_days: 14, waits_for_season: valueOf(form, "waits_for_season") === "on",
                ...byMember() }, { key });
            this.drawAdder();
        }, say.added(name));
    }
}

/** "1 May" of "05-01" @param {string} text */
export function monthDay(text) {
    return dayWords(`${new Date(now() * 1000).getUTCFullYear()}-${text}`);
}

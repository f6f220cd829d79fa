/*
 * A run of the pump or the burner, typed: the day, when it started, when it ended. An end
 * earlier than the start is of the next day.
 */
import { dayText, readDay, readTime } from "./dates.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { chips, clearFaults, field, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { keep, kept, now } from "./frame.js";
import { faultsOf, keepAndSend, keepDraft, onceAtATime, restoreDraft, showSaved,
    showWaiting } from "./saved.js";
import { civil, clockText, momentText } from "./time.js";

/** @typedef {import("./form.js").FormFault} FormFault */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {import("./types.js").Run} Run */

const texts = entryWords.run;

/** @param {import("./dates.js").Day} day @returns {import("./dates.js").Day} */
function nextDay(day) {
    const date = new Date(Date.UTC(day.year, day.month - 1, day.day + 1));
    return { year: date.getUTCFullYear(), month: date.getUTCMonth() + 1,
        day: date.getUTCDate() };
}

export class RunEntry {
    /** @param {HTMLElement} target @param {Place} where with a water
     * @param {() => void} changed */
    constructor(target, where, changed) {
        this.target = target;
        this.where = where;
        this.zone = where.site.zone;
        this.changed = changed;
        this.draft = `draft.run.${where.water?.id}`;
        this.saved = el("div", {});
        this.folds = { local: el("div", {}), ended_local: el("div", {}) };
        setScope("run");
        this.form = this.build();
        target.replaceChildren(this.saved, this.form);
        restoreDraft(this.draft, this.form, ["started", "ended"]);
        keepDraft(this.draft, this.form);
    }

    build() {
        /** @type {[string, string][]} */
        const machines = this.where.heater
            ? [["pump", texts.pump], ["burner", texts.burner]] : [["pump", texts.pump]];
        return el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.submit();
            } },
        chips("machine", texts.machine, machines, "pump"),
        field("day", entryWords.date, textInput({ value: "today" }),
            { hint: entryWords.dateHint }),
        el("div", { class: "pair" },
            field("started", texts.started, textInput(), { hint: entryWords.timeHint }),
            field("ended", texts.ended, textInput(), { hint: texts.endedHint })),
        this.folds.local, this.folds.ended_local,
        field("by", texts.by, textInput({ value: kept("by") ?? "", autocomplete: "name",
            maxlength: 60 })),
        el("div", { class: "save" }, el("button", { class: "strong" }, texts.save)));
    }

    async submit() {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(this.form);
        const day = readDay(valueOf(this.form, "day"), civil(this.zone, now()));
        if (!day.ok)
            faults.push({ field: "day", text: entryWords.dayFaults[day.code] });
        const [started, ended] = ["started", "ended"].map((name) => {
            const time = readTime(valueOf(this.form, name));
            if (!time.ok)
                faults.push({ field: name, text: entryWords.timeFaults[time.code] });
            return time.ok ? time.time : "";
        });
        if (faults.length > 0 || !day.ok || !started || !ended) {
            showFaults(this.form, faults);
            return;
        }
        const machine = valueOf(this.form, "machine");
        const by = valueOf(this.form, "by").trim();
        keep("by", by === "" ? null : by);
        const last = ended <= started ? nextDay(day.day) : day.day;
        await this.send({ water: this.where.water?.id, machine,
            ...(machine === "burner" ? { heater: this.where.heater?.id } : {}),
            local: this.local("local", dayText(day.day), started),
            ended_local: this.local("ended_local", dayText(last), ended),
            ...(by ? { by } : {}) });
    }

    /** @param {string} member @param {string} date @param {string} time */
    local(member, date, time) {
        const fold = valueOf(this.form, `${member}.fold`);
        return { date, time, ...(fold ? { fold } : {}) };
    }

    /** @param {any} body */
    send(body) {
        const said = texts.said(texts[/** @type {"pump" | "burner"} */ (body.machine)],
            `${body.local.date} ${body.local.time}`, body.ended_local.time);
        return onceAtATime(this.form, () => this.sendOnce(body, said));
    }

    /** @param {any} body @param {string} said */
    async sendOnce(body, said) {
        try {
            this.done(await keepAndSend({ draft: this.draft, path: "runs", body, said,
                zone: this.zone }), said);
        } catch (error) {
            showFaults(this.form, faultsOf(error, (fault) => {
                const member = fault.field === "ended_local" || fault.field === "ended_at"
                    ? "ended_local" : "local";
                if (fault.code === "time_twice") {
                    place(this.folds[member], chips(`${member}.fold`, entryWords.twice,
                        [["first", entryWords.fold.first],
                            ["second", entryWords.fold.second]], ""));
                    return { field: `${member}.fold`, text: entryWords.twice };
                }
                return /^(ended_)?(local|at)/.test(fault.field)
                    ? { field: member === "local" ? "started" : "ended",
                        text: fault.detail } : null;
            }));
        }
    }

    /** @param {Run | null} run null: it waits to be sent @param {string} said */
    done(run, said) {
        this.changed();
        const next = new RunEntry(this.target, this.where, this.changed);
        if (run)
            showSaved(next.saved, "runs", run, texts.said(texts[run.machine],
                momentText(this.zone, run.at, now()), clockText(this.zone, run.ended_at)),
            this.where, this.changed);
        else
            showWaiting(next.saved, said);
    }
}

/*
 * A visit: what for, by whom, the checklist with its numbers, findings and cost; and the
 * visits so far.
 */
import { get } from "./api.js";
import { careWords as say } from "./carewords.js";
import { typedDayAhead } from "./days.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { endParts, readEnds, readNumber, showRefusal } from "./factform.js";
import { check, chips, clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { writeNumber } from "./numbers.js";
import { photoAdder } from "./photos.js";
import { pressureText, pressureUnit, readPressure } from "./pressure.js";
import { dropDraft, keepDraft, restoreDraft, sendOnce, showSaved } from "./saved.js";
import { fullText } from "./time.js";
import { When } from "./when.js";

/** @typedef {import("./types.js").CareTask} CareTask */
/** @typedef {import("./types.js").Visit} Visit */
/** @typedef {import("./form.js").FormFault} FormFault */

const MEASURED = ["gas_pressure", "leak_test"];
const LISTED = 20;

/** What was looked at, in words. @param {Visit} visit @param {import("./types.js").Site}
 * site @returns {string[]} */
export function checklistTexts(visit, site) {
    return Object.entries(visit.checklist).map(([item, one]) => {
        const number = one.value === undefined ? ""
            : one.unit === "Pa" ? `, ${pressureText(one.value, site)} ${pressureUnit(site)}`
                : `, ${writeNumber(one.value, 3, site.decimal_comma)} ${one.unit ?? ""}`;
        return `${say.items[item]?.[0] ?? item}: ${
            say.resultNames[one.result] ?? one.result}${number}${
            one.note ? ` (${one.note})` : ""}`;
    });
}

export class VisitEntry {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where with a heater
     * @param {CareTask[]} tasks of that heater
     * @param {{task?: number, changed: () => void}} options
     */
    constructor(target, where, tasks, options) {
        this.target = target;
        this.where = where;
        this.site = where.site;
        this.tasks = tasks.filter((task) => !task.ended);
        this.options = options;
        this.draft = `draft.visit.${where.heater?.id}`;
        this.saved = el("div", {});
        this.list = el("div", {});
        setScope("visit");
        this.when = new When(this.site.zone);
        this.kind = chips("kind", say.kind, say.kinds, "inspection");
        this.technician = check("technician", say.technician);
        this.mayRun = chips("may_run", say.mayRun, say.mayRuns, "");
        this.form = this.build();
        target.replaceChildren(this.saved, el("p", { class: "quiet" }, say.visitLead), this.form,
            this.list);
        restoreDraft(this.draft, this.form, ["result.", "findings", "cost", "value."]);
        this.when.update();
        if (options.task)
            this.choose(options.task);
        this.follow();
        keepDraft(this.draft, this.form);
        this.form.addEventListener("change", () => this.follow());
        this.loadList();
    }

    /** @param {number} task */
    choose(task) {
        const node = /** @type {HTMLSelectElement} */ (
            this.form.querySelector("[name=task]"));
        node.value = String(task);
        this.technician.input.checked = this.task()?.stays === true;
    }

    /** The task the visit is for. */
    task() {
        const id = Number(valueOf(this.form, "task"));
        return this.tasks.find((task) => task.id === id);
    }

    build() {
        /** @type {[string, string][]} */
        const tasks = [...this.tasks.map((task) => /** @type {[string, string]} */ (
            [String(task.id), task.name])), ["", say.otherTask]];
        return el("form", { novalidate: true, class: "wide",
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.submit();
            } },
        el("div", {}, field("task", say.task, select(tasks)), this.kind,
            field("done_by", say.doneBy, textInput({ maxlength: 100 })),
            this.technician.row, this.mayRun, el("h2", {}, say.listHead),
            el("p", { class: "hint" }, say.listLead),
            Object.keys(say.items).map((item) => this.item(item))),
        el("div", {}, this.when.node,
            field("findings", say.findings, el("textarea", { rows: 4, maxlength: 2000 })),
            el("div", { class: "pair" },
                field("cost", say.cost, textInput({ inputmode: "decimal" })),
                field("currency", say.currency, textInput({ maxlength: 3 }),
                    { hint: say.currencyHint })),
            field("next_on", say.nextOn, textInput(), { hint: say.nextHint }),
            endParts(say.loggedBy, say.saveVisit)));
    }

    /** One row of the checklist. @param {string} item */
    item(item) {
        const [name, hint] = say.items[item] ?? [item, ""];
        const row = chips(`result.${item}`, name, say.results, "");
        row.classList.add("item");
        row.querySelector("legend")?.after(el("p", { class: "hint" }, hint));
        const note = field(`note.${item}`, say.itemNote(name),
            textInput({ maxlength: 180 }));
        note.dataset.noteOf = item;
        const number = MEASURED.includes(item) ? field(`value.${item}`, say.number(name),
            textInput({ inputmode: "decimal" }), { unit: pressureUnit(this.site) }) : null;
        return el("div", { class: "item-row" }, row, number, note);
    }

    /** Shows what fits what was chosen. */
    follow() {
        const is_technician = valueOf(this.form, "technician") === "on";
        this.kind.hidden = this.task() !== undefined;
        this.mayRun.hidden = !is_technician;
        this.form.querySelectorAll("[data-note-of]").forEach((node) => {
            const row = /** @type {HTMLElement} */ (node);
            const result = valueOf(this.form, `result.${row.dataset.noteOf}`);
            row.hidden = result !== "bad" && result !== "put_right";
        });
    }

    /** @param {FormFault[]} faults */
    readChecklist(faults) {
        /** @type {Record<string, any>} */
        const list = {};
        for (const item of Object.keys(say.items)) {
            const text = valueOf(this.form, `value.${item}`);
            const result = valueOf(this.form, `result.${item}`);
            const note = valueOf(this.form, `note.${item}`).trim();
            if (result === "" && text.trim() === "")
                continue;
            const read = text.trim() === "" ? null : readPressure(text, this.site);
            if (read && !read.ok)
                faults.push({ field: `value.${item}`, text: say.pressureFault });
            list[item] = { result: result === "" ? "not_checked" : result,
                ...(read?.ok ? { value: read.pa, unit: "Pa" } : {}),
                ...(note !== "" && (result === "bad" || result === "put_right")
                    ? { note } : {}) };
        }
        return list;
    }

    /** @param {FormFault[]} faults */
    read(faults) {
        const task = this.task();
        const technician = valueOf(this.form, "technician") === "on";
        const may_run = technician ? valueOf(this.form, "may_run") : "";
        const cost = readNumber(this.form, "cost", faults, { unit: /(\d)\s*[^\d.,]*$/ });
        const next = valueOf(this.form, "next_on").trim();
        const day = next === "" ? null : typedDayAhead(next, this.site.zone);
        if (day && !day.ok)
            faults.push({ field: "next_on", text: day.text });
        const currency = valueOf(this.form, "currency").trim().toUpperCase();
        const findings = valueOf(this.form, "findings").trim();
        const done_by = valueOf(this.form, "done_by").trim();
        return { heater: this.where.heater?.id, ...(task ? { task: task.id } : {}),
            kind: task ? (task.stays ? "cleaning" : "other") : valueOf(this.form, "kind"),
            outcome: "done", technician,
            ...(may_run === "" ? {} : { may_run: may_run === "yes" }),
            ...(done_by ? { done_by } : {}), ...(findings ? { findings } : {}),
            ...(cost === null ? {} : { cost }), ...(currency ? { currency } : {}),
            ...(day?.ok ? { next_on: day.day } : {}),
            checklist: this.readChecklist(faults),
            ...readEnds(this.form, this.when, faults) };
    }

    async submit() {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(this.form);
        const body = this.read(faults);
        if (faults.length > 0)
            return showFaults(this.form, faults);
        try {
            const answer = await sendOnce(this.draft, "visits", body);
            this.done(answer.body);
        } catch (error) {
            showRefusal(this.form, this.when, error, (name) => {
                const part = /^checklist\.(\w+)(?:\.(\w+))?$/.exec(name);
                return part ? `${part[2] ?? "result"}.${part[1]}` : name;
            });
        }
        return undefined;
    }

    /** @param {Visit} visit */
    done(visit) {
        dropDraft(this.draft);
        this.options.changed();
        const next = new VisitEntry(this.target, this.where, this.tasks,
            { changed: this.options.changed });
        showSaved(next.saved, "visits", visit, say.visitSaved(this.name(visit),
            fullText(this.site.zone, visit.at)), this.where, this.options.changed);
        next.saved.append(photoAdder("visit", visit.id));
    }

    /** @param {Visit} visit */
    name(visit) {
        const task = this.tasks.find((one) => one.id === visit.task);
        return task?.name ?? say.kinds.find(([key]) => key === visit.kind)?.[1] ?? "";
    }

    /* ---- visits so far ---- */

    async loadList() {
        const answer = await get("visits", { heater: this.where.heater?.id, limit: LISTED })
            .catch(() => ({ visits: [] }));
        place(this.list, el("h2", {}, say.visitsHead), answer.visits.length === 0
            ? el("p", { class: "quiet" }, say.noVisits)
            : el("ul", { class: "facts" }, answer.visits.map(
                (/** @type {Visit} */ visit) => this.row(visit))));
    }

    /** @param {Visit} visit */
    row(visit) {
        const texts = checklistTexts(visit, this.site);
        const who = visit.done_by || visit.by;
        return el("li", {}, el("p", { class: "when" }, fullText(this.site.zone, visit.at)),
            el("p", { class: "what" }, el("b", {}, this.name(visit)),
                visit.outcome === "skipped" ? `, ${say.skippedVisit}` : "",
                who ? `, ${say.visitBy(who)}` : "",
                visit.technician ? ` (${say.byTechnician})` : ""),
            visit.findings || visit.note
                ? el("p", { class: "what" }, visit.findings || visit.note) : null,
            visit.may_run === null ? null : el("p", { class: "what" },
                visit.may_run ? say.saidRun : say.saidOff),
            visit.cost === null ? null : el("p", { class: "quiet" }, say.costText(
                writeNumber(visit.cost, 2, this.site.decimal_comma),
                visit.currency ?? "")),
            texts.length === 0 ? null : el("details", {}, el("summary", { class: "row" },
                say.checked(texts.length)), el("ul", {}, texts.map((text) =>
                el("li", {}, text)))));
    }
}

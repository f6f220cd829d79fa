/*
 * The Line page: the list of parts, the drawing made from it, and the answer, asked again
 * after every change without saving anything.
 */
import { getWithTag, get, makeKey, Problem, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, chips, clearFaults, field, select, showFaults } from "./form.js";
import { keep, kept, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { mended } from "./linechange.js";
import { LineDraft } from "./linedraft.js";
import { lineDrawing } from "./linedrawing.js";
import { numberField } from "./linefields.js";
import { settingsOf } from "./linekinds.js";
import { graphOf } from "./linelist.js";
import { position, preset, PRESETS } from "./linepresets.js";
import { isSettable, LineRows } from "./linerows.js";
import { cautionPart, faultList, flowPart, heaterLine, heaterPart, lead, restPart,
    stoppedPart } from "./linesaid.js";
import { fieldAt } from "./lineplace.js";
import { lineWords } from "./linewords.js";
import { byMember } from "./undo.js";

/** @typedef {import("./types.js").LineAnswer} LineAnswer */
/** @typedef {import("./types.js").LineFault} LineFault */
/** @typedef {import("./types.js").Heater} Heater */

const TRIAL_WAIT_MS = 120;
const HOURS = [1, 8, 24, 72, 168, 744];
const KINDS = ["normal", "heater_off_line", "spa", "cleaning"];
const WIDE_PX = 700; /* from here on the water flows from left to right */
const PAPER_PX = 900;
const DENSE = 26; /* parts, and faults three times: more need small print */

class LinePage {
    /** @param {import("./types.js").Site} site @param {Heater} heater
     * @param {import("./types.js").Product[]} products */
    constructor(site, heater, products) {
        this.site = site;
        this.heater = heater;
        this.rows = new LineRows(/** @type {HTMLFormElement} */ (byId("line-form")), site,
            products, () => this.changed());
        this.position = "normal";
        /** @type {LineAnswer | null} */
        this.answer = null;
        /** @type {LineAnswer | null} of the line as it is kept */
        this.savedAnswer = null;
        this.problem = "";
        this.problem_row = 0;
        this.note = "";
        this.conflict = false;
        this.guessed = false;
        this.timer = 0;
        this.hours = 8;
        this.asked = 0;
        this.key = makeKey();
        this.draft = new LineDraft({ heater: heater.id, version: 0, parts: [], edges: [],
            positions: [], answer: null });
        this.etag = "";
    }

    get kept_name() {
        return `line.${this.heater.id}`;
    }

    async start() {
        await this.load();
        this.restoreKept();
        this.rows.show(this.draft);
        this.drawHours();
        this.draw();
        this.listen();
        if (this.draft.is_changed)
            this.ask();
    }

    async load() {
        const { body, etag } = await getWithTag(
            `line?heater=${this.heater.id}&hours=${this.hours}`);
        this.etag = etag;
        this.draft = new LineDraft(body);
        this.answer = body.answer ?? null;
        this.savedAnswer = this.answer;
        this.position = this.draft.positions[0]?.kind ?? "normal";
        this.problem = "";
        this.rows.wrong.clear();
    }

    restoreKept() {
        const text = kept(this.kept_name);
        if (!text)
            return;
        const before = this.draft.state();
        if (this.draft.restore(text) && this.draft.is_changed) {
            this.draft.past.push(before);
            this.note = lineWords.keptDraft;
        }
    }

    listen() {
        byId("undo").addEventListener("click", () => this.step("undo"));
        byId("redo").addEventListener("click", () => this.step("redo"));
        byId("save").addEventListener("click", () => this.save());
        byId("discard").addEventListener("click", () => this.discard());
        document.addEventListener("keydown", (event) => {
            const typing = event.target instanceof HTMLInputElement &&
                event.target.type === "text";
            if (!(event.ctrlKey || event.metaKey) || typing || event.altKey)
                return;
            const key = event.key.toLowerCase();
            if (key === "z" || key === "y") {
                event.preventDefault();
                this.step(key === "y" || event.shiftKey ? "redo" : "undo");
            }
        });
        let width = 0;
        new ResizeObserver(() => {
            if (byId("drawing").clientWidth !== width) {
                width = byId("drawing").clientWidth;
                this.drawPicture();
            }
        }).observe(byId("drawing"));
        addEventListener("beforeprint", () => this.drawPicture(PAPER_PX));
        addEventListener("afterprint", () => this.drawPicture());
    }

    /* ---- changing ---- */

    changed() {
        const { draft } = this;
        if (!draft.positions.some((p) => p.kind === this.position))
            this.position = draft.positions[0]?.kind ?? "normal";
        keep(this.kept_name, draft.is_changed ? draft.state() : null);
        this.note = "";
        this.key = makeKey();
        clearTimeout(this.timer);
        this.timer = setTimeout(() => this.ask(), TRIAL_WAIT_MS);
        this.draw();
    }

    /** @param {"undo" | "redo"} which */
    step(which) {
        if (!this.draft.step(which))
            return announce(lineWords.noMore);
        announce(which === "undo" ? lineWords.undone : lineWords.redone);
        this.rows.render();
        this.changed();
    }

    async discard() {
        keep(this.kept_name, null);
        await this.load();
        this.conflict = false;
        this.guessed = false;
        this.note = lineWords.discarded;
        this.rows.show(this.draft);
        this.draw();
        announce(lineWords.discarded);
    }

    /** Asks what would be, without saving. */
    async ask() {
        if (this.draft.is_empty || this.draft.typed.size > 0)
            return;
        const nth = ++this.asked;
        const body = this.draft.body();
        try {
            const { body: answer } = await send("POST", "line/trial", body,
                { query: { heater: this.heater.id, hours: this.hours } });
            if (nth !== this.asked)
                return;
            this.answer = answer;
            this.setProblem("", 0);
        } catch (error) {
            if (nth !== this.asked)
                return;
            if (error instanceof Problem && error.status === 422)
                this.setProblem(error.message, fieldAt(error.field, this.draft).row);
            else {
                console.info(error);
                this.setProblem(error instanceof Problem ? error.message
                    : lineWords.notAnswered, 0);
            }
        }
        this.draw();
    }

    /** @param {string} text @param {number} row */
    setProblem(text, row) {
        this.problem = text;
        this.problem_row = row;
        const before = [...this.rows.wrong.keys()].join();
        this.rows.wrong.clear();
        if (text !== "" && row > 0)
            this.rows.wrong.set(row, text);
        if (before !== [...this.rows.wrong.keys()].join())
            this.rows.markWrong();
    }

    async save() {
        clearFaults(this.rows.form);
        const typed = [...this.draft.typed.keys()].map((name) =>
            ({ field: name, text: lineWords.notANumber }));
        if (typed.length > 0)
            return this.showRefusal(typed);
        const button = /** @type {HTMLButtonElement} */ (byId("save"));
        button.disabled = true;
        try {
            await send("PUT", "line", { ...this.draft.body(), ...byMember() },
                { key: this.key, match: this.etag, query: { heater: this.heater.id } });
            keep(this.kept_name, null);
            await this.load();
            this.conflict = false;
            this.guessed = false;
            this.note = lineWords.savedSaid;
            this.rows.draft = this.draft;
            this.rows.render();
            announce(lineWords.savedSaid);
        } catch (error) {
            this.refused(error);
        }
        button.disabled = false;
        this.draw();
    }

    /** @param {unknown} error */
    refused(error) {
        this.key = makeKey();
        if (error instanceof Problem && error.status === 412) {
            this.conflict = true;
            announce(lineWords.conflict);
        } else if (error instanceof Problem) {
            this.showRefusal(error.faults.map((fault) => ({ text: fault.detail,
                field: fieldAt(fault.field, this.draft).control })));
        } else {
            console.info(error);
            this.note = entryWords.kept;
            announce(entryWords.kept);
        }
    }

    /** @param {import("./form.js").FormFault[]} faults */
    showRefusal(faults) {
        for (const fault of faults) {
            const id = Number(/^row\.(\d+)\./.exec(fault.field)?.[1] ?? 0);
            if (id > 0)
                this.rows.opened.add(id);
        }
        this.rows.render();
        showFaults(this.rows.form, faults);
    }

    async loadTheirs() {
        await this.discard();
    }

    async saveOver() {
        const { etag } = await getWithTag(`line?heater=${this.heater.id}`);
        this.etag = etag;
        this.conflict = false;
        await this.save();
    }

    /* ---- drawing ---- */

    draw() {
        this.drawBar();
        if (this.rows.dragged)
            return; /* nothing above may grow and push the list away under a finger */
        this.drawLead();
        this.drawPositions();
        this.drawPicture();
        this.drawSaid();
        this.drawSettings();
        this.drawPresets();
    }

    drawBar() {
        const { draft } = this;
        const is_changed = draft.is_changed;
        place(byId("heater-line"), this.answer && !draft.is_empty
            ? heaterLine(this.saying()) : lineWords.barNone);
        place(byId("unsaved"), is_changed ? lineWords.notSavedYet
            : draft.version === 0 ? lineWords.neverSaved : lineWords.saved);
        byId("bar").classList.toggle("changed", is_changed);
        byId("bar").hidden = draft.is_empty && !is_changed && draft.past.length === 0;
        byId("undo").toggleAttribute("disabled", draft.past.length === 0);
        byId("redo").toggleAttribute("disabled", draft.future.length === 0);
        byId("discard").hidden = !is_changed || draft.version === 0;
        byId("save").toggleAttribute("disabled", !is_changed);
    }

    /** @returns {import("./linesaid.js").Saying} */
    saying() {
        return { site: this.site, heater: this.heater, position: this.position,
            answer: /** @type {LineAnswer} */ (this.answer),
            saved: this.draft.is_changed ? this.savedAnswer : null,
            feedUnknown: (id) => this.draft.rows.some((row) => row.id === id &&
                (row.part.feed?.basis ?? "unknown") === "unknown"),
            nameOf: (id) => this.rows.nameOf(id), reveal: (id) => this.rows.reveal(id),
            mend: (fault) => this.mender(fault) };
    }

    /** @param {LineFault} fault */
    mender(fault) {
        const next = this.problem === "" ? mended(this.draft, fault) : null;
        if (!next)
            return null;
        return () => {
            this.draft.change(next);
            this.rows.render();
            this.changed();
            this.note = lineWords.done;
            this.drawLead();
            announce(lineWords.done);
            byId("lead").focus();
        };
    }

    drawLead() {
        const parts = [];
        if (this.note !== "")
            parts.push(el("p", { class: "saved-note" }, this.note));
        if (this.conflict)
            parts.push(el("div", { class: "doubt" }, el("p", {}, lineWords.conflict),
                el("div", { class: "actions" },
                    el("button", { type: "button", onclick: () => this.loadTheirs() },
                        lineWords.loadTheirs),
                    el("button", { type: "button", onclick: () => this.saveOver() },
                        lineWords.saveOver))));
        if (this.draft.is_empty)
            parts.push(el("p", { class: "lead" }, lineWords.emptyLead));
        else if (this.problem !== "")
            parts.push(el("p", { class: "lead" }, lineWords.cannotJudge, " ", this.problem),
                el("p", {}, lineWords.stale), this.problem_row > 0 ? el("p", {},
                    el("button", { type: "button", onclick: () =>
                        this.rows.reveal(this.problem_row) }, lineWords.showIt)) : null);
        else if (this.answer)
            parts.push(...lead(this.saying()));
        if (this.guessed)
            parts.push(el("p", { class: "quiet guess" }, lineWords.guess));
        place(byId("lead"), ...parts);
    }

    drawPositions() {
        const { positions } = this.draft;
        byId("picture").hidden = this.draft.is_empty;
        byId("settings").hidden = this.draft.is_empty;
        place(byId("on-paper"), el("ul", {}, positions.map((p) => el("li", {},
            lineWords.onPaper(lineWords.positionName(p.kind), p.kind === this.position,
                p.set.map(({ part, to }) => `${this.rows.nameOf(part)} ${
                    lineWords.settingName("", to)}`))))));
        const load = this.draft.rows.length + 3 * (this.answer?.faults.length ?? 0);
        document.body.classList.toggle("dense", load > DENSE);
        document.body.classList.toggle("denser", load > 1.5 * DENSE);
        document.body.classList.toggle("packed", load > 2.3 * DENSE);
        place(byId("positions"), positions.length < 2 ? null : chips("position",
            lineWords.positionHead, positions.map((p) =>
                [p.kind, lineWords.positionName(p.kind)]), this.position, (kind) => {
                this.position = kind;
                this.drawBar();
                this.drawPicture();
                this.drawSaid();
                this.drawSettings();
            }));
    }

    /** @param {number} [width] of paper */
    drawPicture(width) {
        if (this.draft.is_empty)
            return place(byId("drawing"));
        const room = width ?? byId("drawing").clientWidth;
        const { parts, edges } = graphOf(this.draft.rows);
        const faults = (this.answer?.faults ?? []).map((fault, i) => ({ ...fault,
            number: i + 1, part: fault.part ?? 0 })).filter((fault) =>
            fault.positions.includes(this.position));
        if (room >= 120)
            byId("drawing").replaceChildren(lineDrawing({ graph: { parts, edges },
                position: this.draft.positions.find((p) => p.kind === this.position) ?? null,
                faults, width: room, vertical: room < WIDE_PX && width === undefined }));
    }

    drawSaid() {
        const has = this.answer !== null && !this.draft.is_empty;
        const say = this.saying();
        place(byId("faults"), ...(has ? faultList(say) : []));
        place(byId("water"), ...(has ? heaterPart(say) : []));
        place(byId("stopped"), ...(has ? stoppedPart(say) : []));
        byId("hours").hidden = !has || say.answer.standing === null;
        const open = byId("flow").querySelector("details")?.open ?? false;
        place(byId("flow"), ...(has ? flowPart(say) : []));
        byId("flow").querySelector("details")?.toggleAttribute("open", open);
        place(byId("rest"), ...(has ? restPart(say) : []));
        place(byId("cautions"), ...cautionPart(this.answer?.cautions ?? lineWords.cautions));
    }

    /** How long the pump stands. */
    drawHours() {
        const control = select(HOURS.map((n) => [String(n), lineWords.hoursOf(n)]),
            String(this.hours));
        control.addEventListener("change", () => {
            this.hours = Number(control.value);
            this.ask();
        });
        byId("hours").replaceChildren(field("hours", lineWords.hours, control));
    }

    /* ---- valve positions ---- */

    drawSettings() {
        const at = this.draft.positions.findIndex((p) => p.kind === this.position);
        const here = this.draft.positions[at];
        if (!here || byId("settings").contains(document.activeElement) &&
            document.activeElement instanceof HTMLInputElement &&
            document.activeElement.type === "text")
            return; /* somebody types in it */
        const focus = document.activeElement?.getAttribute("name");
        const had = byId("settings").contains(document.activeElement);
        byId("settings").replaceChildren(
            el("h2", {}, lineWords.settingHead(lineWords.positionName(here.kind))),
            el("div", { class: "fields" }, this.valveFields(here)),
            ...this.positionFields(here, at), this.positionAdder(here));
        if (had && focus) {
            const node = byId("settings").querySelector(`[name="${focus}"]`);
            if (node instanceof HTMLElement)
                node.focus();
        }
    }

    /** @param {import("./types.js").LinePosition} here */
    valveFields(here) {
        const numbers = new Set(this.draft.body().parts.map((part) => part.id));
        const valves = this.draft.rows.filter((row) => isSettable(row) &&
            numbers.has(row.id));
        if (valves.length === 0)
            return [el("p", {}, lineWords.noValves)];
        return valves.map(({ id, part }) => {
            const to = here.set.find((set) => set.part === id)?.to ??
                settingsOf(part.kind)[0] ?? "";
            const control = select(settingsOf(part.kind).map((setting) =>
                [setting, lineWords.settingName(part.kind, setting)]), to);
            control.addEventListener("change", () => {
                this.draft.setSetting(here.kind, id, control.value);
                this.changed();
            });
            return field(`set.${id}`, this.rows.nameOf(id), control);
        });
    }

    /** @param {import("./types.js").LinePosition} here @param {number} at */
    positionFields(here, at) {
        const box = check(`positions.${at}.burner_may_fire`, lineWords.burner,
            here.burner_may_fire);
        box.input.disabled = here.kind === "heater_off_line";
        box.input.addEventListener("change", () => {
            this.draft.setPosition(here.kind, { burner_may_fire: box.input.checked });
            this.changed();
        });
        return [el("div", { class: "field" }, box.row), numberField(
            { ...this.rows.editor(), typed: () => this.changed() },
            `positions.${at}.flow_fraction`, "flow_fraction", here.flow_fraction,
            (flow_fraction) => this.draft.setPosition(here.kind,
                { flow_fraction: flow_fraction ?? 1 }, `flow ${here.kind}`))];
    }

    /** @param {import("./types.js").LinePosition} here */
    positionAdder(here) {
        const { draft } = this;
        const free = KINDS.filter((kind) => !draft.positions.some((p) => p.kind === kind));
        /** @param {import("./types.js").LinePosition[]} positions @param {string} kind */
        const put = (positions, kind) => {
            draft.change({ positions });
            this.position = kind;
            this.changed();
        };
        const kinds = select(free.map((kind) => [kind, lineWords.positionName(kind)]));
        return el("div", {}, free.length === 0 ? null : el("div", {},
            field("positions", lineWords.addPosition, kinds),
            el("p", {}, el("button", { type: "button", onclick: () => put([...draft.positions,
                position(kinds.value, here.set)], kinds.value) },
            lineWords.addPositionButton))),
        draft.positions.length < 2 ? null : el("p", {}, el("button", { type: "button",
            onclick: () => put(draft.positions.filter((p) => p !== here),
                draft.positions.find((p) => p !== here)?.kind ?? "normal") },
        lineWords.removePosition(lineWords.positionName(here.kind)))));
    }

    /* ---- arrangements ---- */

    drawPresets() {
        const list = el("div", {}, PRESETS.map((key) => {
            const [name, what] = lineWords.presets[
                /** @type {keyof typeof lineWords.presets} */ (key)];
            return el("button", { type: "button", class: "choice", onclick: () =>
                this.take(key, name ?? key) }, el("b", {}, name), el("span", {}, what));
        }));
        byId("list-help").textContent = this.draft.is_empty ? lineWords.empty
            : lineWords.listHelp;
        if (this.draft.is_empty)
            return byId("presets").replaceChildren(el("h2", {}, lineWords.presetHead), list);
        const open = byId("presets").querySelector("details")?.open ?? false;
        byId("presets").replaceChildren(el("details", { open },
            el("summary", { class: "row" }, lineWords.presetAgain), list));
    }

    /** @param {string} key @param {string} name */
    take(key, name) {
        this.draft.change(preset(key, lineWords.names));
        this.position = this.draft.positions[0]?.kind ?? "normal";
        this.guessed = true;
        this.rows.opened.clear();
        this.rows.show(this.draft);
        byId("presets").querySelector("details")?.removeAttribute("open");
        this.changed();
        announce(lineWords.presetTaken(name));
        byId("lead").focus();
    }
}

try {
    const where = await openPlace();
    if (!where.heater)
        showNotSetUp(byId("main"));
    else {
        const { products } = await get("quantities");
        await new LinePage(where.site, where.heater, products).start();
    }
    document.body.dataset.ready = "yes";
} catch (error) {
    showFailure(byId("main"), error);
}

/*
 * Readings from a file: a dry run says what would be taken and what not, by line, and
 * how the file was understood, to be changed; then all or nothing, with a way to stop it;
 * and a whole import can be taken back.
 */
import { get, makeKey, Problem, send, Unreachable } from "./api.js";
import { announce, el, place } from "./dom.js";
import { fileWords } from "./filewords.js";
import { field, select, setScope } from "./form.js";
import { kept } from "./frame.js";
import { columnTable, lineTable, previewTable } from "./importtables.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").ImportReport} ImportReport */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./frame.js").Place} Place */

const GUESSES = /** @type {const} */ (
    ["separator", "decimal", "dates", "zone", "method"]);
const LARGEST = 64 * 1024 * 1024;
const LOOK_MS = 400;

export class Importer {
    /**
     * @param {HTMLElement} target
     * @param {Place} where with a water
     * @param {Quantity[]} quantities
     */
    constructor(target, where, quantities) {
        this.where = where;
        this.quantities = quantities;
        /** @type {Blob | null} */
        this.file = null;
        this.name = "";
        /** @type {Record<string, string>} chosen instead of the guesses */
        this.chosen = {};
        /** @type {Map<string, string>} */
        this.units = new Map();
        setScope("import");
        this.input = el("input", { type: "file", accept: ".csv,.txt,.tsv,text/csv",
            onchange: () => this.choose() });
        this.pasted = el("textarea", { rows: 6, spellcheck: "false" });
        this.status = el("p", { class: "note", role: "status" });
        this.progress = el("div", {});
        this.report = el("div", {});
        place(target, el("p", { class: "lead" }, fileWords.lead),
            field("file", fileWords.choose, this.input), this.pasteBox(), this.status,
            this.progress, this.report);
    }

    pasteBox() {
        return el("details", {}, el("summary", { class: "row" }, fileWords.pasteHead),
            field("paste", fileWords.paste, this.pasted),
            el("p", { class: "actions" }, el("button", { type: "button",
                onclick: () => this.takePasted() }, fileWords.pasteLook)));
    }

    choose() {
        const file = this.input.files?.[0];
        if (file)
            this.start(file, file.name);
    }

    takePasted() {
        if (this.pasted.value.trim() === "") {
            place(this.status, fileWords.pasteNothing);
            this.pasted.focus();
            return;
        }
        this.input.value = "";
        this.start(new Blob([this.pasted.value]), fileWords.pasteName);
    }

    /** @param {Blob} file @param {string} name */
    async start(file, name) {
        this.chosen = {};
        this.units.clear();
        place(this.report);
        this.file = null;
        if (file.size > LARGEST) {
            place(this.status, words.failed, fileWords.tooLarge);
            return;
        }
        try {
            await file.slice(0, 1).arrayBuffer();
        } catch {
            place(this.status, words.failed, fileWords.unreadable);
            return;
        }
        this.file = file.slice(0, file.size, "text/csv");
        this.name = name;
        await this.ask();
    }

    /** @param {boolean} dry_run */
    query(dry_run) {
        const units = [...this.units].map(([key, unit]) => `${key}:${unit}`).join(",");
        return { water: this.where.water?.id, dry_run: dry_run ? "true" : null,
            by: kept("by"), file: this.name.slice(0, 60), units, ...this.chosen };
    }

    /** Sends the file and shows how far it is. @param {boolean} dry_run */
    async post(dry_run) {
        const abort = new AbortController();
        const watch = new Watch(this.progress, abort);
        this.lock(true);
        try {
            const { body } = await send("POST", "import", this.file,
                { key: makeKey(), query: this.query(dry_run), signal: abort.signal });
            return /** @type {ImportReport} */ (body);
        } finally {
            watch.end();
            this.lock(false);
        }
    }

    /** While something runs nothing else can be asked for. @param {boolean} locked */
    lock(locked) {
        const all = [this.input, this.pasted, ...this.report.querySelectorAll(
            "button, select"), ...this.report.parentElement?.querySelectorAll(
            "details button") ?? []];
        for (const node of all)
            /** @type {HTMLButtonElement} */ (node).disabled = locked;
    }

    /** @param {string} [stopped] what to say before the rest */
    async ask(stopped) {
        const focused = document.activeElement?.getAttribute("name");
        place(this.status, fileWords.looking);
        try {
            const report = await this.post(true);
            place(this.status, stopped ? `${stopped} ` : null, fileWords.rows(report));
            this.show(report);
            if (focused)
                /** @type {HTMLElement | null} */ (this.report.querySelector(
                    `[name="${CSS.escape(focused)}"]`))?.focus();
        } catch (error) {
            this.fail(error);
        }
    }

    /** @param {unknown} error */
    fail(error) {
        if (error instanceof Problem && error.code === "import_cancelled" ||
            error instanceof Unreachable && error.wanted) {
            place(this.status, fileWords.stopped);
            return;
        }
        const report = error instanceof Problem ? error.body.report : undefined;
        place(this.status, words.failed,
            error instanceof Problem ? error.message : words.unreachable);
        if (report)
            this.show(report);
    }

    /** @param {ImportReport} report */
    show(report) {
        const button = el("button", { type: "button", class: "strong",
            onclick: () => this.commit() }, fileWords.take(report.take));
        const next = report.refused > 0
            ? el("p", { class: "message" }, fileWords.allOrNothing)
            : el("p", { class: "actions" },
                report.take === 0 ? fileWords.nothing : button);
        const parts = [next, report.dialect.dates_guessed
            ? el("p", { class: "message asks" }, fileWords.guessed) : null,
        lineTable(report), this.understood(report),
        previewTable(report, this.quantities, this.where.site)];
        this.report.replaceChildren(...parts.filter((part) => part !== null));
    }

    /** @param {ImportReport} report */
    understood(report) {
        const { dialect } = report;
        const zones = Intl.supportedValuesOf("timeZone");
        /** @type {Record<string, [string, [string, string][], string]>} */
        const guesses = {
            separator: [fileWords.separator, Object.entries(fileWords.separators),
                dialect.separator],
            decimal: [fileWords.decimal, Object.entries(fileWords.decimals),
                dialect.decimal],
            dates: [fileWords.dates, Object.entries(fileWords.dateOrders),
                dialect.dates],
            zone: [fileWords.zone, [...new Set([dialect.zone, ...zones])].map(
                (zone) => [zone, zone]), dialect.zone],
            method: [fileWords.method, Object.entries(words.methods),
                this.chosen.method ?? "unknown"],
        };
        setScope("import");
        return el("div", {}, el("h2", {}, fileWords.understood),
            el("div", { class: "choices" }, GUESSES.map((name) => {
                const [label, choices, now] = /** @type {[string, [string, string][],
                    string]} */ (guesses[name]);
                const node = select(choices, now);
                node.addEventListener("change", () => {
                    this.chosen[name] = node.value;
                    this.ask();
                });
                return field(`import.${name}`, label, node);
            })),
            columnTable(report, this.quantities, (key, unit) => {
                this.units.set(key, unit);
                this.ask();
            }));
    }

    async commit() {
        place(this.status, fileWords.working);
        try {
            this.done(await this.post(false));
        } catch (error) {
            /* Stopped on the way there: only another look tells whether it arrived. */
            if (error instanceof Unreachable && error.wanted)
                await this.ask(fileWords.stoppedLook);
            else
                this.fail(error);
        }
    }

    /** @param {ImportReport} report */
    done(report) {
        place(this.status, fileWords.taken(report));
        announce(fileWords.taken(report));
        this.input.value = "";
        this.pasted.value = "";
        this.file = null;
        const key = makeKey();
        const button = el("button", { type: "button", onclick: async () => {
            button.disabled = true;
            try {
                await send("POST", `import/${report.batch}/withdrawal`,
                    { reason: fileWords.backReason, ...byMember() }, { key });
                place(this.status, fileWords.backDone);
                place(this.report);
            } catch (error) {
                button.disabled = false;
                place(this.status, words.failed,
                    error instanceof Problem ? error.message : words.unreachable);
            }
        } }, fileWords.back);
        this.report.replaceChildren(el("p", { class: "actions" }, button,
            el("a", { class: "button", href: "trends" }, fileWords.seeTrends)));
        button.focus();
    }
}

/** How far an import is, and the button that stops it. */
class Watch {
    /** @param {HTMLElement} target @param {AbortController} abort stops what is on its
     *  way and has not begun there */
    constructor(target, abort) {
        this.target = target;
        this.abort = abort;
        this.seen = false;
        this.bar = el("progress", { "aria-label": fileWords.working });
        this.text = el("span", {}, fileWords.sending);
        this.timer = setInterval(() => this.look(), LOOK_MS);
    }

    async look() {
        try {
            const now = await get("import/progress");
            this.seen = this.seen || now.running;
            if (this.seen && now.total_bytes > 0) {
                this.bar.max = now.total_bytes;
                this.bar.value = now.bytes;
                place(this.text, fileWords.far(now.rows,
                    (100 * now.bytes / now.total_bytes).toFixed(0)));
            }
        } catch (error) {
            console.info(error);
        }
        if (this.timer !== 0 && !this.target.hasChildNodes())
            this.target.replaceChildren(el("p", { class: "progress" }, this.bar,
                this.text, el("button", { type: "button",
                    onclick: () => this.stop() }, fileWords.stop)));
    }

    async stop() {
        try {
            await send("POST", "import/cancel", {});
        } catch (error) {
            if (!(error instanceof Problem && error.code === "nothing_runs"))
                console.info(error);
            if (!this.seen)
                this.abort.abort();
        }
    }

    end() {
        clearInterval(this.timer);
        this.timer = 0;
        this.target.replaceChildren();
    }
}

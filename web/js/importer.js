/*
 * Readings from a file: a dry run says what would be taken and what not, by line; then
 * all or nothing, and a whole import can be taken back.
 */
import { makeKey, Problem, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { fileWords } from "./filewords.js";
import { field, select, setScope } from "./form.js";
import { kept } from "./frame.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").ImportReport} ImportReport */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./frame.js").Place} Place */

const GUESSES = /** @type {const} */ (["separator", "decimal", "dates", "zone", "method"]);

export class Importer {
    /**
     * @param {HTMLElement} target
     * @param {Place} where with a water
     * @param {Quantity[]} quantities
     * @param {() => void} changed
     */
    constructor(target, where, quantities, changed) {
        this.where = where;
        this.quantities = quantities;
        this.changed = changed;
        /** @type {Blob | null} */
        this.file = null;
        this.name = "";
        /** @type {Record<string, string>} what the person chose instead of the guess */
        this.chosen = {};
        setScope("import");
        this.input = el("input", { type: "file", accept: ".csv,.txt,.tsv,text/csv",
            onchange: () => this.take() });
        this.status = el("p", { class: "note", role: "status" });
        this.report = el("div", {});
        place(target, el("p", { class: "lead" }, fileWords.lead),
            field("file", fileWords.choose, this.input), this.status, this.report);
    }

    take() {
        const file = this.input.files?.[0];
        if (!file)
            return;
        this.file = file.slice(0, file.size, "text/csv");
        this.name = file.name;
        this.chosen = {};
        this.ask();
    }

    /** @param {boolean} dry_run */
    query(dry_run) {
        return { water: this.where.water?.id, dry_run: dry_run ? "true" : null,
            by: kept("by"), file: this.name.slice(0, 60), ...this.chosen };
    }

    async ask() {
        place(this.status, fileWords.looking);
        place(this.report);
        const file = this.file;
        try {
            const { body } = await send("POST", "import", file,
                { key: makeKey(), query: this.query(true) });
            if (file !== this.file)
                return;
            place(this.status, fileWords.rows(body.rows, body.take, body.already_there,
                body.refused));
            this.show(body);
        } catch (error) {
            this.fail(error);
        }
    }

    /** @param {unknown} error */
    fail(error) {
        const report = error instanceof Problem ? error.body.report : undefined;
        place(this.status, words.failed,
            error instanceof Problem ? error.message : words.unreachable);
        if (report)
            this.show(report);
    }

    /** @param {ImportReport} report */
    show(report) {
        this.report.replaceChildren(
            ...(report.refused > 0
                ? [el("p", { class: "message" }, fileWords.allOrNothing)] : []),
            el("p", { class: "actions" }, report.refused > 0 ? null
                : report.take === 0 ? fileWords.nothing
                    : el("button", { type: "button", class: "strong",
                        onclick: () => this.commit() }, fileWords.take(report.take))),
            this.lineTable(report), this.understood(report));
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
        return el("div", {}, el("h2", {}, fileWords.understood),
            dialect.dates_guessed ? el("p", { class: "message asks" }, fileWords.guessed)
                : null,
            el("div", { class: "choices" }, GUESSES.map((name) => {
                const [label, choices, now] = /** @type {[string, [string, string][],
                    string]} */ (guesses[name]);
                const node = select(choices, now);
                node.addEventListener("change", () => {
                    this.chosen[name] = node.value;
                    this.ask();
                });
                return field(`import.${name}`, label, node);
            })), this.columnTable(report));
    }

    /** @param {ImportReport} report */
    columnTable(report) {
        const roles = fileWords.roles;
        return el("div", { class: "scroll", tabindex: "0", role: "region",
            "aria-label": fileWords.columns },
        el("table", {}, el("caption", {}, fileWords.columns),
            el("thead", {}, el("tr", {}, el("th", { scope: "col" }, fileWords.column),
                el("th", { scope: "col" }, fileWords.meaning))),
            el("tbody", {}, report.columns.map((column) => {
                const quantity = this.quantities.find((q) => q.key === column.as);
                const meaning = quantity ? quantity.words +
                    (column.unit ? `, ${column.unit}` : "")
                    : column.as ? roles[column.as] ?? column.as : fileWords.left;
                return el("tr", {}, el("td", {}, column.header),
                    el("td", { class: column.as ? null : "quiet" }, meaning));
            }))));
    }

    /** @param {ImportReport} report */
    lineTable(report) {
        if (report.lines.length === 0)
            return el("div", {});
        /** @param {string} text */
        const head = (text) => el("th", { scope: "col" }, text);
        return el("div", { class: "scroll", tabindex: "0", role: "region",
            "aria-label": fileWords.lines },
        el("table", { class: "lines" }, el("caption", {}, fileWords.lines,
            report.lines.length >= 200 ? ` (${fileWords.first200})` : null),
        el("thead", {}, el("tr", {}, head(fileWords.line), head(fileWords.verdict),
            head(fileWords.problem), head(fileWords.text))),
        el("tbody", {}, report.lines.map((line) => el("tr", {},
            el("td", { class: "num" }, line.line),
            el("td", {}, fileWords.verdicts[line.verdict] ?? line.verdict),
            el("td", {}, line.detail ?? ""),
            el("td", { class: "raw" }, line.text ?? ""))))));
    }

    async commit() {
        this.report.querySelectorAll("button").forEach((b) => { b.disabled = true; });
        place(this.status, fileWords.working);
        try {
            const { body } = await send("POST", "import", this.file,
                { key: makeKey(), query: this.query(false) });
            this.done(body);
        } catch (error) {
            this.fail(error);
        }
    }

    /** @param {ImportReport} report */
    done(report) {
        place(this.status, fileWords.taken(report.take));
        announce(fileWords.taken(report.take));
        this.input.value = "";
        this.file = null;
        const key = makeKey();
        const button = el("button", { type: "button", onclick: async () => {
            button.disabled = true;
            try {
                await send("POST", `import/${report.batch}/withdrawal`,
                    { reason: fileWords.backReason, ...byMember() }, { key });
                place(this.status, fileWords.backDone);
                place(this.report);
                this.changed();
            } catch (error) {
                button.disabled = false;
                place(this.status, words.failed,
                    error instanceof Problem ? error.message : words.unreachable);
            }
        } }, fileWords.back);
        this.report.replaceChildren(el("p", { class: "actions" }, button,
            el("a", { class: "button", href: "trends" }, fileWords.seeTrends)));
        button.focus();
        this.changed();
    }
}

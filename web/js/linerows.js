/*
 * The list of parts: rows that move by buttons, keys and dragging, open into a panel,
 * and the form that adds another.
 */
import { announce, el, svg } from "./dom.js";
import { field, select } from "./form.js";
import { roleOf } from "./linekinds.js";
import { rowPanel } from "./linefields.js";
import { blockEnd, moved, stepped, without, withPart, withWays } from "./linelist.js";
import { smallSymbol } from "./linesymbols.js";
import { fieldWithUnit } from "./lineunits.js";
import { lineWords } from "./linewords.js";

/** @typedef {import("./linelist.js").Row} Row */
/** @typedef {import("./linedraft.js").LineDraft} LineDraft */

export class LineRows {
    /**
     * @param {HTMLFormElement} form with a place for the list
     * @param {import("./types.js").Site} site
     * @param {import("./linefields.js").Editor["products"]} products
     * @param {() => void} onchange after every change of the draft
     */
    constructor(form, site, products, onchange) {
        this.site = site;
        this.products = products;
        this.onchange = onchange;
        /** @type {LineDraft} */
        this.draft = /** @type {any} */ (null);
        /** @type {Set<number>} */
        this.opened = new Set();
        /** @type {Map<number, string>} what is wrong with a row */
        this.wrong = new Map();
        this.after = -1; /* id of the row after which the next part goes; 0: first */
        this.list = el("ol", { class: "parts" });
        this.adder = el("div", {});
        this.form = form;
        form.addEventListener("submit", (event) => event.preventDefault());
        form.querySelector("#list")?.append(this.list, this.adder);
        /** @type {{id: number, before: string, y: number} | null} */
        this.dragged = null;
        this.list.addEventListener("pointermove", (event) => this.drag(event));
        this.list.addEventListener("pointerup", () => this.drop());
        this.list.addEventListener("pointercancel", () => this.drop());
    }

    /** @param {LineDraft} draft */
    show(draft) {
        this.draft = draft;
        this.after = draft.rows[draft.rows.length - 1]?.id ?? 0;
        this.render();
    }

    /* ---- names ---- */

    /** @param {Row} row */
    rowName(row) {
        const three = row.part.kind === "three_way_valve";
        if (row.row === "split") {
            if (three)
                return row.part.name || lineWords.dividesThree;
            return this.numbers.has(row.id) ? lineWords.divides : lineWords.joinsSources;
        }
        if (row.row === "path")
            return lineWords.way(this.nthWay(row));
        if (row.row === "join")
            return three ? row.part.name || lineWords.joinsThree : lineWords.joins;
        return row.part.name || lineWords.kind(row.part.kind);
    }

    /** @param {Row} path */
    nthWay(path) {
        return this.draft.rows.filter((row) => row.row === "path" && row.of === path.of)
            .findIndex((row) => row.id === path.id) + 2;
    }

    /** @param {number} id */
    nameOf(id) {
        const row = this.draft.rows.find((r) => r.id === id && r.row !== "path");
        const number = this.numbers.get(id);
        return row ? `${number ? `${number} ` : ""}${this.rowName(row)}` : String(id);
    }

    /** The few numbers that tell parts of one kind apart. @param {Row} row */
    glance({ row, part, share }) {
        const texts = [row === "split" ? lineWords.wayOne : "", part.name && part.kind !== "tee" ? lineWords.kind(part.kind) : "",
            part.size ? `${part.size} in` : "",
            ...["length_m", "flow_l_per_s"].map((key) => {
                const value = /** @type {any} */ (part)[key];
                return typeof value === "number" ? fieldWithUnit(key, value, this.site) : "";
            }), share ? `${lineWords.fields.share}: ${share}` : ""];
        return texts.filter((text) => text !== "").join(", ");
    }

    /* ---- drawing ---- */

    /** @param {string} [focus] selector of what gets the focus */
    render(focus) {
        this.numbers = new Map(this.draft.body().parts.map((part, i) => [part.id, i + 1]));
        let depth = 0;
        this.list.replaceChildren(...this.draft.rows.map((row, i) => {
            if (row.row === "path" || row.row === "join")
                depth--;
            const node = this.row(row, i, depth);
            if (row.row === "split" || row.row === "path")
                depth++;
            return node;
        }));
        this.renderAdder();
        if (focus) {
            const node = this.form.querySelector(focus);
            if (node instanceof HTMLElement)
                node.focus({ preventScroll: this.dragged !== null });
        }
    }

    /** @type {Map<number, number>} places in the flow, from 1, by id */
    numbers = new Map();

    /** @param {Row} row @param {number} at @param {number} depth */
    row(row, at, depth) {
        const name = this.rowName(row);
        const open = this.opened.has(row.id);
        const number = row.row === "path" ? undefined : this.numbers.get(row.id);
        const wrong = this.wrong.get(row.id);
        return el("li", { "data-row": row.id, class: [row.row, `depth-${Math.min(depth, 4)}`,
            this.dragged?.id === row.id ? "dragged" : ""].join(" ") },
        el("div", { class: "line-row" }, this.handle(row), el("span", { class: "name" },
            number ? el("small", {}, String(number)) : null, el("b", {}, name),
            el("span", { class: "quiet" }, this.glance(row))),
        this.mover(row, at, -1, name), this.mover(row, at, 1, name),
        el("button", { type: "button", class: "edit", "data-key": `edit-${row.id}`,
            "aria-expanded": String(open), "aria-label": open ? lineWords.closeOf(name)
                : lineWords.editOf(name), onclick: () => this.toggle(row.id) },
        open ? lineWords.shut : lineWords.edit)),
        wrong ? el("p", { class: "wrong" }, wrong) : null,
        open ? rowPanel(this.editor(), row) : null);
    }

    /** Says what is wrong at its row, leaving everything else alone. */
    markWrong() {
        this.list.querySelectorAll(":scope > li > .wrong").forEach((node) => node.remove());
        for (const [id, text] of this.wrong)
            this.list.querySelector(`[data-row="${id}"] > .line-row`)?.after(
                el("p", { class: "wrong" }, text));
    }

    /** @param {Row} row */
    handle(row) {
        const kind = row.row === "path" || row.row === "join" && row.part.kind === "tee" ||
            row.row === "split" && row.part.kind === "tee" ? "tee" : row.part.kind;
        return el("span", { class: "grip", title: lineWords.handle,
            onpointerdown: (/** @type {PointerEvent} */ event) => this.grab(event, row.id) },
        smallSymbol(kind));
    }

    /** @param {Row} row @param {number} at @param {1 | -1} by @param {string} name */
    mover(row, at, by, name) {
        const up = by < 0;
        return el("button", { type: "button", class: "move",
            "data-key": `${up ? "up" : "down"}-${row.id}`,
            "aria-label": up ? lineWords.up(name) : lineWords.down(name),
            onclick: () => this.move(at, by) },
        svg("svg", { viewBox: "0 0 24 24", width: 24, height: 24, "aria-hidden": "true" },
            svg("path", { d: up ? "M4 15L12 7L20 15" : "M4 9L12 17L20 9", class: "sym" })));
    }

    /** @returns {import("./linefields.js").Editor} */
    editor() {
        return { site: this.site, draft: this.draft, products: this.products,
            nameOf: (id) => this.nameOf(id), changed: (focus) => this.after_change(focus),
            typed: () => this.onchange(), remove: (id) => this.remove(id) };
    }

    /** @param {string} [focus] */
    after_change(focus) {
        this.render(focus);
        this.onchange();
    }

    /* ---- acting ---- */

    /** @param {number} id */
    toggle(id) {
        if (!this.opened.delete(id))
            this.opened.add(id);
        this.after = id;
        this.render(`[data-key="edit-${id}"]`);
    }

    /** Opens a row and shows it. @param {number} id */
    reveal(id) {
        this.opened.add(id);
        this.render(`[data-key="edit-${id}"]`);
        this.list.querySelector(`[data-row="${id}"]`)?.scrollIntoView({ block: "center" });
    }

    /** @param {number} at @param {1 | -1} by */
    move(at, by) {
        const row = this.draft.rows[at];
        const rows = stepped(this.draft.rows, at, by);
        if (!row || !rows)
            return announce(lineWords.cannot);
        this.draft.change({ rows });
        this.after_change(`[data-key="${by < 0 ? "up" : "down"}-${row.id}"]`);
        announce(lineWords.place(this.rowName(row),
            rows.findIndex((r) => r.id === row.id) + 1, rows.length));
    }

    /** @param {number} id */
    remove(id) {
        const at = this.draft.rows.findIndex((row) => row.id === id);
        const row = this.draft.rows[at];
        if (!row)
            return;
        const name = this.rowName(row);
        for (const key of this.draft.typed.keys())
            if (key.startsWith(`row.${id}.`))
                this.draft.typed.delete(key);
        this.draft.change({ rows: without(this.draft.rows, at) });
        const next = this.draft.rows[Math.min(at, this.draft.rows.length - 1)];
        if (this.after === id)
            this.after = this.draft.rows[at - 1]?.id ?? 0;
        this.after_change(next ? `[data-key="edit-${next.id}"]` : "[name=parts]");
        announce(lineWords.removed(name));
    }

    /* ---- dragging: the row moves along, so that its effect is seen at once ---- */

    /** @param {PointerEvent} event @param {number} id */
    grab(event, id) {
        if (event.button !== 0)
            return;
        event.preventDefault();
        this.list.setPointerCapture(event.pointerId);
        this.dragged = { id, before: this.draft.state(), y: event.clientY };
        this.render();
    }

    /** @param {PointerEvent} event */
    drag(event) {
        const dragged = this.dragged;
        /* browsers also tell a move when the page moved under a still pointer */
        if (!dragged || event.clientY === dragged.y)
            return;
        dragged.y = event.clientY;
        if (event.clientY < 90)
            scrollBy(0, -14);
        else if (event.clientY > innerHeight - 130)
            scrollBy(0, 14);
        const rows = this.draft.rows;
        const at = rows.findIndex((row) => row.id === dragged.id);
        const nodes = [...this.list.children];
        let target = nodes.findIndex((node) => {
            const box = node.getBoundingClientRect();
            return event.clientY < box.top + box.height / 2;
        });
        if (target < 0)
            target = rows.length;
        const next = at < 0 ? null : moved(rows, at, target);
        if (next && (target < at || target > blockEnd(rows, at))) {
            this.draft.rows = next;
            this.after_change();
        }
    }

    drop() {
        const dragged = this.dragged;
        this.dragged = null;
        if (!dragged)
            return;
        if (this.draft.state() !== dragged.before) {
            const rows = this.draft.rows;
            this.draft.restoreRows(dragged.before);
            this.draft.change({ rows });
        }
        this.after_change(`[data-key="edit-${dragged.id}"]`);
    }

    /* ---- adding ---- */

    renderAdder() {
        const kept = /** @type {HTMLSelectElement | null} */ (
            this.adder.querySelector("[name=parts]"))?.value;
        const what = el("select", {}, lineWords.groups.map(([label, kinds]) =>
            el("optgroup", { label }, kinds.map((kind) => el("option",
                { value: kind, selected: kind === kept }, lineWords.kind(kind))))),
        el("optgroup", { label: lineWords.ways }, lineWords.wayKinds.map(([value, text]) =>
            el("option", { value, selected: value === kept }, text))));
        const after = select([["0", lineWords.addFirst], ...this.draft.rows.map((row) =>
            /** @type {[string, string]} */ ([String(row.id), row.row === "path"
                ? this.rowName(row) : this.nameOf(row.id)]))], String(this.after));
        this.adder.replaceChildren(el("div", { class: "adder", role: "group",
            "aria-labelledby": "adder-head" },
        el("h3", { id: "adder-head" }, lineWords.add), el("div", { class: "pair" },
            field("parts", lineWords.addWhat, what),
            field("after", lineWords.addAfter, after)),
        el("button", { type: "button", class: "wide",
            onclick: () => this.add(what.value, Number(after.value)) },
        lineWords.addButton)));
    }

    /** @param {string} kind @param {number} after id, 0: at the beginning */
    add(kind, after) {
        const { rows } = this.draft;
        const at = rows.findIndex((row) => row.id === after) + 1;
        const made = kind === "ways" ? withWays(rows, at, "tee", "tee")
            : kind === "ways3" ? withWays(rows, at, "three_way_valve", "tee")
                : kind === "3ways" ? withWays(rows, at, "tee", "three_way_valve")
                    : withPart(rows, at, kind);
        this.draft.change({ rows: made.rows });
        this.after = made.id;
        this.after_change("[name=parts]");
        const row = made.rows.find((r) => r.id === made.id);
        announce(lineWords.added(row ? this.rowName(row) : kind));
    }
}

/** Parts whose setting a position can name. @param {Row} row */
export const isSettable = (row) => row.row !== "path" &&
    (roleOf(row.part.kind) === "valve" || row.part.kind === "pump");

/*
 * The line as it is being changed: list, valve positions, what was typed and is no
 * number, and the steps to undo. Knows no page and no daemon.
 */
import { canBeWired, FEED_NUMBERS, feeds, newPart, numbersOf, roleOf,
    settingsOf } from "./linekinds.js";
import { changed, graphOf, listOf } from "./linelist.js";

/** @typedef {import("./linelist.js").Row} Row */
/** @typedef {import("./types.js").LinePart} LinePart */
/** @typedef {import("./types.js").LinePosition} LinePosition */
/** @typedef {{parts: LinePart[], edges: import("./types.js").LineEdge[],
 *   positions: LinePosition[]}} LineBody */

const STEPS_MAX = 100;

/** Only what its kind has, and what is said. @param {LinePart} part @returns {LinePart} */
export function sent(part) {
    /** @type {LinePart} */
    const clean = { id: part.id, kind: part.kind, name: part.name ?? "" };
    if (roleOf(part.kind) === "pipe")
        Object.assign(clean, { material: part.material ?? "plastic", size: part.size });
    for (const field of numbersOf(part.kind)) {
        const value = /** @type {any} */ (part)[field];
        if (value !== null && value !== undefined)
            Object.assign(clean, { [field]: value });
    }
    if (canBeWired(part.kind))
        clean.interlocked = part.interlocked ?? false;
    if (!feeds(part.kind))
        return clean;
    const basis = part.feed?.basis ?? "unknown";
    clean.feed = { basis };
    if (part.kind !== "salt_cell" && part.feed?.product)
        clean.feed.product = part.feed.product;
    for (const field of FEED_NUMBERS[basis] ?? []) {
        const value = /** @type {any} */ (part.feed)[field];
        if (value !== null && value !== undefined)
            Object.assign(clean.feed, { [field]: value });
    }
    return clean;
}

export class LineDraft {
    /** @param {import("./types.js").StoredLine} stored */
    constructor(stored) {
        this.version = stored.version;
        /** @type {Row[]} */
        this.rows = listOf(stored);
        /** @type {LinePosition[]} */
        this.positions = stored.positions.length > 0 ? stored.positions
            : [{ kind: "normal", burner_may_fire: true, flow_fraction: 1, set: [] }];
        /** @type {Map<string, string>} texts that are no numbers, by control */
        this.typed = new Map();
        /** @type {string[]} */
        this.past = [];
        /** @type {string[]} */
        this.future = [];
        this.merging = "";
        this.saved = JSON.stringify(this.body());
    }

    /** @returns {LineBody} */
    body() {
        const { parts, edges } = graphOf(this.rows);
        const kinds = new Map(parts.map((part) => [part.id, part.kind]));
        return { parts: parts.map(sent), edges: edges.map(({ owner: _, ...edge }) => edge),
            positions: this.positions.map((position) => ({ ...position,
                set: position.set.filter(({ part, to }) => {
                    const choices = settingsOf(kinds.get(part) ?? "");
                    return choices.includes(to) && choices[0] !== to;
                }).sort((a, b) => a.part - b.part) })) };
    }

    get is_changed() {
        return JSON.stringify(this.body()) !== this.saved || this.typed.size > 0;
    }

    get is_empty() {
        return this.rows.length === 0;
    }

    state() {
        return JSON.stringify({ rows: this.rows, positions: this.positions });
    }

    /**
     * @param {{rows?: Row[], positions?: LinePosition[]}} next
     * @param {string} [merge] changes of one name in a row are undone together
     */
    change(next, merge = "") {
        if (merge === "" || merge !== this.merging)
            this.past = [...this.past.slice(1 - STEPS_MAX), this.state()];
        this.merging = merge;
        this.future = [];
        this.rows = next.rows ?? this.rows;
        this.positions = next.positions ?? this.positions;
    }

    /** @param {"undo" | "redo"} which @returns {boolean} */
    step(which) {
        const [from, to] = which === "undo" ? [this.past, this.future]
            : [this.future, this.past];
        const state = from.pop();
        if (state === undefined)
            return false;
        to.push(this.state());
        this.restore(state);
        return true;
    }

    /** @param {string} state @returns {boolean} false when it is none of ours */
    restore(state) {
        try {
            const { rows, positions } = JSON.parse(state);
            graphOf(rows);
            if (!Array.isArray(positions) || positions.length < 1)
                return false;
            this.rows = rows;
            this.positions = positions;
        } catch {
            return false;
        }
        this.typed.clear();
        this.merging = "";
        return true;
    }

    /** The list of a former state, without a step. @param {string} state */
    restoreRows(state) {
        this.rows = JSON.parse(state).rows;
    }

    /** @param {number} id @param {Partial<LinePart>} values @param {string} [merge] */
    setPart(id, values, merge) {
        this.change({ rows: changed(this.rows, id, (row) => ({ ...row,
            part: { ...row.part, ...values } })) }, merge);
    }

    /** A tee becomes a three-way valve or the other way round.
     * @param {number} id @param {string} kind */
    setKind(id, kind) {
        this.change({ rows: changed(this.rows, id, (row) => ({ ...row,
            part: newPart(kind, id) })) });
    }

    /** @param {string} kind @param {number} part @param {string} to */
    setSetting(kind, part, to) {
        this.change({ positions: this.positions.map((position) =>
            position.kind !== kind ? position : { ...position,
                set: [...position.set.filter((set) => set.part !== part),
                    ...(to === "open" || to === "on" ? [] : [{ part, to }])] }) });
    }

    /** @param {string} kind @param {Partial<LinePosition>} values @param {string} [merge] */
    setPosition(kind, values, merge) {
        this.change({ positions: this.positions.map((position) =>
            position.kind === kind ? { ...position, ...values } : position) }, merge);
    }
}

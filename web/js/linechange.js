/*
 * The smallest change that mends a fault, done to the draft. Where the answer names no
 * place, or a number is needed that only the owner knows, there is none. Pure.
 */
import { PIPE_SIZES, newPart } from "./linekinds.js";
import { freshId, graphOf, moved, rowOf, without } from "./linelist.js";

/** @typedef {import("./linelist.js").Row} Row */
/** @typedef {import("./types.js").LinePosition} LinePosition */
/** @typedef {import("./types.js").LineFault} LineFault */
/** @typedef {{rows: Row[], positions: LinePosition[]}} Draft */

/** @param {Row[]} rows @param {number | null | undefined} id */
const indexOf = (rows, id) => rows.findIndex((row) => row.id === id && row.row !== "path");

/** @param {Row[]} rows @param {number} at @param {string} kind */
const inserted = (rows, at, kind) => [...rows.slice(0, at),
    rowOf(newPart(kind, freshId(rows))), ...rows.slice(at)];

/** @param {Draft} draft @param {LineFault} fault @returns {Row[] | null} */
function movedAfter({ rows }, fault) {
    const from = indexOf(rows, fault.part);
    const after = indexOf(rows, fault.change.after);
    const row = rows[from];
    if (!row || row.row !== "part" || after < 0)
        return null;
    const id = row.id;
    const next = moved(rows, from, after + 1);
    return next && fault.change.needs_check_valve
        ? inserted(next, indexOf(next, id), "check_valve") : next;
}

/** @param {Draft} draft @param {LineFault} fault @param {(row: Row) => Row | null} change
 * @returns {Row[] | null} */
function edited({ rows }, fault, change) {
    const at = indexOf(rows, fault.part);
    const row = rows[at];
    const next = row && change(row);
    return next ? rows.map((r, i) => i === at ? next : r) : null;
}

/** Two-way valves next to the heater, on each side, that no other way passes.
 * @param {Draft} draft @param {number} heater */
function valvesBeside({ rows }, heater) {
    const graph = graphOf(rows);
    /** @param {"from" | "to"} near @param {"from" | "to"} far */
    const find = (near, far) => {
        for (let id = heater, n = 0; n < graph.parts.length; n++) {
            const edges = graph.edges.filter((edge) => edge[near] === id);
            const [edge] = edges;
            if (edges.length !== 1 || !edge ||
                graph.edges.filter((e) => e[far] === edge[far]).length > 1)
                return null;
            id = edge[far];
            if (graph.parts.find((part) => part.id === id)?.kind === "two_way_valve")
                return id;
        }
        return null;
    };
    return [find("to", "from"), find("from", "to")];
}

/** @param {Draft} draft @param {LineFault} fault @returns {Draft | null} */
function shut(draft, fault) {
    const heater = draft.rows.find((row) => row.part.kind === "heater");
    const valves = heater ? valvesBeside(draft, heater.id) : [];
    if (valves.length === 0 || valves.some((valve) => valve === null))
        return null;
    const positions = draft.positions.map((position) =>
        !fault.positions.includes(position.kind) ? position
            : { ...position, set: [...position.set.filter((set) => !valves.includes(set.part)),
                ...valves.map((part) => ({ part: Number(part), to: "closed" }))] });
    return { rows: draft.rows, positions };
}

/** @type {Record<string, (draft: Draft, fault: LineFault) => Row[] | null>} */
const CHANGES = {
    move_after_heater: movedAfter,
    move_heater_after_filter: movedAfter,
    take_tablets_out: ({ rows }, fault) => indexOf(rows, fault.part) < 0 ? null
        : without(rows, indexOf(rows, fault.part)),
    join_or_remove: ({ rows }, fault) => indexOf(rows, fault.part) < 0 ? null
        : without(rows, indexOf(rows, fault.part)),
    add_interlock: (draft, fault) => edited(draft, fault, (row) => ({ ...row,
        part: { ...row.part, interlocked: true } })),
    add_check_valve: ({ rows }, fault) => {
        const after = indexOf(rows, fault.change.after);
        return after < 0 ? null : inserted(rows, after + 1, "check_valve");
    },
    add_flow_switch: ({ rows }) => {
        const heater = rows.findIndex((row) => row.part.kind === "heater");
        return heater < 0 ? null : inserted(rows, heater, "flow_switch");
    },
    wider_pipe: (draft, fault) => edited(draft, fault, (row) => {
        const size = PIPE_SIZES[PIPE_SIZES.indexOf(row.part.size ?? "") + 1];
        return size && PIPE_SIZES.includes(row.part.size ?? "")
            ? { ...row, part: { ...row.part, size } } : null;
    }),
};

/**
 * The draft with the fault's change done.
 * @param {Draft} draft @param {LineFault} fault @returns {Draft | null} null: not by a button
 */
export function mended(draft, fault) {
    if (fault.change.code === "shut_valve")
        return shut(draft, fault);
    const rows = CHANGES[fault.change.code]?.(draft, fault);
    return rows ? { rows, positions: draft.positions } : null;
}

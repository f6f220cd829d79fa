/*
 * Where in the page a refusal of the daemon belongs: "parts.3.length_m" is a control of a
 * row of the list. Pure.
 */
import { graphOf } from "./linelist.js";

/** @typedef {import("./linedraft.js").LineDraft} LineDraft */

/**
 * @param {string} field of the daemon
 * @param {LineDraft} draft as it was sent
 * @returns {{control: string, row: number}} row 0: none of its own
 */
export function fieldAt(field, draft) {
    const match = /^(parts|edges|positions)\.(\d+)(?:\.(.+))?$/.exec(field);
    if (!match)
        return { control: field, row: 0 };
    const [, list, nth, rest] = match;
    if (list === "positions")
        return { control: field, row: 0 };
    const graph = graphOf(draft.rows);
    const edge = graph.edges[Number(nth)];
    const row = list === "parts" ? graph.parts[Number(nth)]?.id
        : edge?.owner ?? edge?.from;
    if (row === undefined)
        return { control: field, row: 0 };
    const control = (rest ?? "").replace(/^feed\./, "");
    return { control: `row.${row}.${control}`, row };
}

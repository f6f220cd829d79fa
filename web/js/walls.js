/*
 * Limits of the time: the walls of a channel may have been moved while values were
 * measured, and each stretch is judged by its own.
 */
import { outside } from "./channel.js";

/** @typedef {import("./channel.js").Piece} Piece */
/** @typedef {{from: number, low: number | null, high: number | null,
 *   high_is_limit: boolean}} Wall from then on, until the next one */

/**
 * The stretches of a drawing with the same walls.
 * @param {readonly Wall[]} walls at least one, ascending; the first counts before it, too
 * @param {number} from @param {number} until
 * @returns {{from: number, until: number, wall: Wall}[]}
 */
export function stretches(walls, from, until) {
    return walls.flatMap((wall, i) => {
        const start = i === 0 ? from : Math.max(from, wall.from);
        const end = Math.min(until, walls[i + 1]?.from ?? until);
        return end > start ? [{ from: start, until: end, wall }] : [];
    });
}

/**
 * The line within a stretch, cut at its ends.
 * @param {readonly number[]} time @param {readonly (number | null)[]} value
 * @param {number} from @param {number} until
 */
function cut(time, value, from, until) {
    /** @type {number[]} */
    const t = [];
    /** @type {(number | null)[]} */
    const v = [];
    for (let i = 0; i < time.length; i++) {
        const [at, here] = [time[i] ?? 0, value[i] ?? null];
        const [before, last] = [time[i - 1], value[i - 1]];
        for (const edge of [from, until])
            if (before !== undefined && before < edge && at > edge && here !== null &&
                last !== null && last !== undefined) {
                t.push(edge);
                v.push(last + (here - last) * (edge - before) / (at - before));
            }
        if (at >= from && at <= until) {
            t.push(at);
            v.push(here);
        }
    }
    return { t, v };
}

/**
 * The parts of a line outside the walls of their time.
 * @param {readonly number[]} time @param {readonly (number | null)[]} value
 * @param {readonly Wall[]} walls
 * @returns {{piece: Piece, wall: Wall}[]}
 */
export function outsideWalls(time, value, walls) {
    const first = walls[0];
    if (!first)
        return [];
    if (walls.length === 1)
        return outside(time, value, first.low, first.high)
            .map((piece) => ({ piece, wall: first }));
    return stretches(walls, -Infinity, Infinity).flatMap(({ from, until, wall }) => {
        const { t, v } = cut(time, value, from, until);
        return outside(t, v, wall.low, wall.high).map((piece) => ({ piece, wall }));
    });
}

/** Like neighbours joined. @param {Wall[]} walls ascending */
export function joined(walls) {
    return walls.filter((wall, i) => {
        const before = walls[i - 1];
        return !before || before.low !== wall.low || before.high !== wall.high ||
            before.high_is_limit !== wall.high_is_limit;
    });
}

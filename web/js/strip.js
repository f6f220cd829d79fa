/*
 * What the heater and its machines did under the trends, on the same time: a strip for the
 * permit, one for the pump, one for the burner. Each permit has a form of its own, so that
 * it is told without colour: a line low down for may run, a frame for test first, a hatched
 * bar for keep off.
 */
import { svg } from "./dom.js";

/** @typedef {import("./types.js").Permit} Permit */
/** @typedef {{from: number, until: number, permit: Permit}} PermitSpan */
/** @typedef {{from: number, until: number}} Run */

const LEFT = 52; /* as the drawings above */
const RIGHT = 24;
const PERMIT_HEIGHT = 22;
const RUN_HEIGHT = 12;
const WORSE = /** @type {const} */ ({ run: 0, test: 1, hold: 2 });

/**
 * Spans as columns show them: where several share a column, the worst; neighbours of one
 * permit joined.
 * @param {readonly PermitSpan[]} spans ascending, without overlaps
 * @param {number} from @param {number} until @param {number} columns
 * @returns {PermitSpan[]}
 */
export function permitColumns(spans, from, until, columns) {
    const step = (until - from) / columns;
    /** @type {(Permit | null)[]} */
    const worst = Array.from({ length: columns }, () => null);
    for (const span of spans) {
        const first = Math.max(0, Math.floor((span.from - from) / step));
        const last = Math.min(columns - 1, Math.ceil((span.until - from) / step) - 1);
        for (let i = first; i <= last; i++) {
            const here = worst[i];
            if (!here || WORSE[span.permit] > WORSE[here])
                worst[i] = span.permit;
        }
    }
    /** @type {PermitSpan[]} */
    const found = [];
    worst.forEach((permit, i) => {
        const last = found[found.length - 1];
        const at = from + i * step;
        if (permit && last && last.permit === permit && Math.abs(last.until - at) < step / 2)
            last.until = at + step;
        else if (permit)
            found.push({ from: at, until: at + step, permit });
    });
    return found;
}

/**
 * Parts of a time, as whole percents that are never 0 for what was there.
 * @param {readonly PermitSpan[]} spans @param {number} from @param {number} until
 * @returns {Record<Permit, number>}
 */
export function shares(spans, from, until) {
    const seconds = { run: 0, hold: 0, test: 0 };
    for (const span of spans)
        seconds[span.permit] += Math.max(0, Math.min(span.until, until) -
            Math.max(span.from, from));
    const all = seconds.run + seconds.hold + seconds.test;
    /** @param {number} part */
    const percent = (part) => all === 0 ? 0 : part > 0 ? Math.max(1,
        Math.min(part < all ? 99 : 100, Math.round(100 * part / all))) : 0;
    return { run: percent(seconds.run), hold: percent(seconds.hold),
        test: percent(seconds.test) };
}

/** Hours of runs within a time; times that overlap count once.
 * @param {readonly Run[]} runs ascending @param {number} from @param {number} until */
export function hoursOf(runs, from, until) {
    let seconds = 0;
    let done = from;
    for (const run of runs) {
        const start = Math.max(run.from, done);
        const end = Math.min(run.until, until);
        if (end > start) {
            seconds += end - start;
            done = end;
        }
    }
    return seconds / 3600;
}

/**
 * @param {number} width px, of the drawings above
 * @param {{from: number, end: number, label: string, permits: readonly PermitSpan[],
 *   runs: {name: string, runs: readonly Run[]}[], permitName: string}} data
 */
export function strip(width, data) {
    const right = width - RIGHT;
    /** @param {number} t */
    const x = (t) => LEFT + (right - LEFT) * Math.min(1, Math.max(0,
        (t - data.from) / (data.end - data.from)));
    const columns = Math.max(1, Math.round(right - LEFT));
    const rows = data.runs.filter((row) => row.runs.length > 0);
    const height = PERMIT_HEIGHT + 8 + rows.length * (RUN_HEIGHT + 8);
    /** @param {number} y @param {string} text */
    const name = (y, text) => svg("text", { x: LEFT - 8, y, "text-anchor": "end" }, text);
    return svg("svg", { class: "strip", viewBox: `0 0 ${width} ${height}`, width, height,
        role: "img", "aria-label": data.label },
    svg("defs", {}, svg("pattern", { id: "strip-hatch", width: 7, height: 7,
        patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svg("rect", { width: 3, height: 7, class: "hatch-limit" }))),
    name(PERMIT_HEIGHT - 5, data.permitName),
    permitColumns(data.permits, data.from, data.end, columns).map((span) =>
        permitShape(span.permit, x(span.from), x(span.until))),
    rows.map((row, i) => {
        const y = PERMIT_HEIGHT + 8 + i * (RUN_HEIGHT + 8);
        return [name(y + RUN_HEIGHT, row.name), ...row.runs
            .filter((run) => run.until > data.from && run.from < data.end)
            .map((run) => svg("rect", { class: "ran", x: x(run.from).toFixed(1), y,
                width: Math.max(1, x(run.until) - x(run.from)).toFixed(1),
                height: RUN_HEIGHT }))];
    }).flat());
}

/** @param {Permit} permit @param {number} left @param {number} right */
function permitShape(permit, left, right) {
    const width = Math.max(1, right - left).toFixed(1);
    if (permit === "run")
        return svg("rect", { class: "may-run", x: left.toFixed(1), y: PERMIT_HEIGHT - 5,
            width, height: 5 });
    const class_ = permit === "hold" ? "keep-off" : "test-first";
    return svg("rect", { class: class_, x: left.toFixed(1), y: permit === "hold" ? 1 : 8,
        width, height: PERMIT_HEIGHT - (permit === "hold" ? 1 : 8),
        fill: permit === "hold" ? "url(#strip-hatch)" : "none" });
}

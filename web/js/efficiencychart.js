/*
 * Efficiency over the years: each warm-up a drop, each season its mean and band, what
 * was not used a cross.
 */
import { svg } from "./dom.js";
import { civil, dayStart } from "./time.js";

const HEIGHT = 240;
const LEFT = 44;
const BOTTOM = 26;
const TOP = 10;
const STEP = 0.1;

/**
 * @param {{answer: import("./types.js").Efficiency, now: number, zone: string,
 *   label: string, text: (fraction: number) => string}} data
 * @param {number} width px
 */
export function efficiencyDrawing(data, width) {
    const shown = data.answer.warm_ups.filter((w) => w.efficiency !== null);
    const first = shown[0]?.at ?? data.now;
    const values = shown.map((w) => Math.min(w.efficiency ?? 0, 1.2));
    const low = Math.floor(Math.min(0.6, ...values) / STEP) * STEP;
    const high = Math.ceil(Math.max(0.9, ...values) / STEP) * STEP;
    const span = Math.max(data.now - first, 86400);
    /** @param {number} at */
    const x = (at) => LEFT + 6 + (at - first) / span * (width - LEFT - 14);
    /** @param {number} v */
    const y = (v) => TOP + (high - v) / (high - low) * (HEIGHT - TOP - BOTTOM);
    const lines = [];
    for (let v = low; v <= high + 1e-9; v += STEP)
        lines.push(svg("line", { x1: LEFT, x2: width, y1: y(v), y2: y(v), class: "end",
            "stroke-opacity": 0.35 }),
        svg("text", { x: LEFT - 6, y: y(v) + 5, "text-anchor": "end" }, data.text(v)));
    return svg("svg", { viewBox: `0 0 ${width} ${HEIGHT}`, width, height: HEIGHT,
        role: "img", "aria-label": data.label, class: "channel efficiency" },
    svg("rect", { x: LEFT, y: TOP, width: width - LEFT, height: HEIGHT - TOP - BOTTOM,
        class: "bed" }), ...lines, ...years(data, first, x),
    ...data.answer.seasons.flatMap((season) => seasonParts(season, shown, x, y)),
    ...shown.map((w) => mark(w, x(w.at), y(Math.min(w.efficiency ?? 0, 1.2)))));
}

/** @param {{zone: string, now: number}} data @param {number} first
 * @param {(at: number) => number} x */
function years(data, first, x) {
    const parts = [];
    const last = civil(data.zone, data.now).year;
    for (let year = civil(data.zone, first).year; year <= last; year++) {
        const start = Math.max(first, dayStart(data.zone, year, 1, 1));
        const end = Math.min(data.now, dayStart(data.zone, year + 1, 1, 1));
        if (end - start > 100 * 86400)
            parts.push(svg("text", { x: (x(start) + x(end)) / 2, y: HEIGHT - 6,
                "text-anchor": "middle" }, String(year)));
    }
    return parts;
}

/** @param {{season: number, efficiency: number, low: number, high: number}} season
 * @param {import("./types.js").WarmUpSaid[]} shown
 * @param {(at: number) => number} x @param {(v: number) => number} y */
function seasonParts(season, shown, x, y) {
    const of = shown.filter((w) => w.season === season.season).map((w) => x(w.at));
    const [from, to] = [Math.min(...of) - 4, Math.max(...of) + 4];
    return [svg("rect", { x: from, y: y(season.high), width: to - from,
        height: y(season.low) - y(season.high), class: "band" }),
    svg("line", { x1: from, x2: to, y1: y(season.efficiency), y2: y(season.efficiency),
        class: "water" })];
}

/** @param {import("./types.js").WarmUpSaid} w @param {number} x @param {number} y */
function mark(w, x, y) {
    if (w.is_usable)
        return svg("circle", { cx: x, cy: y, r: 3.5, class: "drop" });
    return svg("path", { d: `M${x - 4} ${y - 4}l8 8m0-8l-8 8`, class: "sign-ink",
        "stroke-width": 1.5 });
}

/*
 * The channel: the heater-safe band as a channel with walls, the value as the water in
 * it, what leaves it hatched. Geometry that the small drawings (SVG) and the trends
 * (canvas) share, and the small drawing itself.
 */
import { svg } from "./dom.js";
import { words } from "./words.js";
import { dayStart, civil, shortDayText } from "./time.js";

/**
 * @typedef {object} Piece part of a line outside a wall, closed along the wall
 * @property {"low" | "high"} side
 * @property {[number, number][]} points time and value, ascending time
 */

/**
 * The parts of a line that lie outside its walls. A gap (null) ends a part. A wall that
 * is null is no wall; a value on a wall is inside.
 * @param {readonly number[]} time ascending
 * @param {readonly (number | null | undefined)[]} value
 * @param {number | null} low
 * @param {number | null} high
 * @returns {Piece[]} ascending time, low before high at the same one
 */
export function outside(time, value, low, high) {
    /** @type {Piece[]} */
    const found = [];
    if (low !== null)
        found.push(...beyond("low", low, -1, time, value));
    if (high !== null)
        found.push(...beyond("high", high, 1, time, value));
    return found.sort((a, b) => (a.points[0]?.[0] ?? 0) - (b.points[0]?.[0] ?? 0));
}

/**
 * @param {"low" | "high"} side
 * @param {number} wall
 * @param {1 | -1} sense
 * @param {readonly number[]} time
 * @param {readonly (number | null | undefined)[]} value
 * @returns {Piece[]}
 */
function beyond(side, wall, sense, time, value) {
    /** @type {Piece[]} */
    const pieces = [];
    /** @type {[number, number][] | null} */
    let open = null;
    const close = () => {
        if (open)
            pieces.push({ side, points: open });
        open = null;
    };
    /** @type {[number, number] | null} */
    let last = null;
    for (let i = 0; i < time.length; i++) {
        const [t, v] = [time[i], value[i]];
        if (t === undefined || v === null || v === undefined) {
            close();
            last = null;
            continue;
        }
        const is_out = sense * (v - wall) > 0;
        const was_out = last !== null && sense * (last[1] - wall) > 0;
        if (last && is_out !== was_out) {
            const crossing = last[0] + (t - last[0]) * (wall - last[1]) / (v - last[1]);
            if (is_out)
                open = [[crossing, wall]];
            else
                open?.push([crossing, wall]);
        }
        if (is_out)
            (open ??= []).push([t, v]);
        else
            close();
        last = [t, v];
    }
    close();
    return pieces;
}

/**
 * Lowest and highest value that a drawing shows: walls and values with room around.
 * @param {readonly (number | null | undefined)[]} value
 * @param {number | null} low
 * @param {number | null} high
 * @returns {[number, number]}
 */
export function extent(value, low, high) {
    const all = value.filter((v) => v !== null && v !== undefined);
    let bottom = Math.min(...all, low ?? Infinity, low === null ? 0 : Infinity);
    let top = Math.max(...all, high ?? -Infinity);
    if (low === null && high === null && all.length > 0)
        bottom = Math.min(...all);
    if (!Number.isFinite(bottom) || !Number.isFinite(top))
        return [0, 1];
    const width = low !== null && high !== null ? high - low : (high ?? top) - bottom;
    const room = Math.max(0.35 * width, 0.12 * (top - bottom)) || Math.abs(top) * 0.1 || 1;
    if (bottom !== 0) /* nothing is less than none */
        bottom -= room;
    return [bottom, top + room];
}

/** Labels may not touch: pushes two heights apart. @param {number} upper
 * @param {number} lower @param {number} apart @returns {[number, number]} */
export function spread(upper, lower, apart) {
    const push = Math.max(0, apart - (lower - upper)) / 2;
    return [upper - push, lower + push];
}

let pattern_count = 0;

/** @param {string} id @param {string} kind */
function hatch(id, kind) {
    return svg("pattern", { id, width: 7, height: 7, patternUnits: "userSpaceOnUse",
        patternTransform: "rotate(45)" },
    svg("rect", { width: 3, height: 7, class: kind }));
}

/**
 * @typedef {object} ChannelData
 * @property {string} label for those who do not see the drawing
 * @property {readonly number[]} time_s
 * @property {readonly (number | null)[]} value in the shown unit, as are the walls
 * @property {number | null} low
 * @property {number | null} high
 * @property {boolean} high_is_limit
 * @property {number} from
 * @property {number} now
 * @property {number} until where the drawing ends
 * @property {number | null} good_until marked when it lies before the end
 * @property {string} zone
 * @property {(value: number) => string} text of a wall
 * @property {{low: readonly (number | null)[], high: readonly (number | null)[]}} [band]
 *   of a forecast: where the value may lie, at the same instants
 */

const LEFT = 44;
const TOP = 8;
const BOTTOM = 74;

/**
 * The small drawing.
 * @param {ChannelData} data
 * @param {number} width px
 */
export function channelDrawing(data, width) {
    const right = width - 10;
    const [bottom, top] = extent(data.band ? [...data.value, ...data.band.low,
        ...data.band.high] : data.value, data.low, data.high);
    /** @param {number} t */
    const x = (t) => LEFT + (right - LEFT) * (t - data.from) / (data.until - data.from);
    /** @param {number} v */
    const y = (v) => BOTTOM - (BOTTOM - TOP) * (v - bottom) / (top - bottom);
    const id = `hatch-${pattern_count++}`;
    return svg("svg", { viewBox: `0 0 ${width} 98`, width, height: 98, role: "img",
        class: "channel", "aria-label": data.label },
    svg("defs", {}, hatch(`${id}-limit`, "hatch-limit"),
        hatch(`${id}-caution`, "hatch-caution")),
    ...bed(data, x, y, right, bottom),
    ...bandArea(data, x, y),
    ...outside(data.time_s, data.value, data.low, data.high).map((piece) =>
        svg("polygon", { points: polygon(piece, data, x, y), class: "out",
            fill: `url(#${id}-${isLimit(piece, data) ? "limit" : "caution"})` })),
    ...waterLine(data, x, y),
    ...marks(data, x, right));
}

/** @param {Piece} piece @param {ChannelData} data */
function isLimit(piece, data) {
    return piece.side === "low" || data.high_is_limit;
}

/** @typedef {(n: number) => number} Scale */

/** @param {Piece} piece @param {ChannelData} data @param {Scale} x @param {Scale} y */
function polygon(piece, data, x, y) {
    const wall = y(/** @type {number} */ (piece.side === "low" ? data.low : data.high));
    const points = piece.points.map(([t, v]) => `${x(t).toFixed(1)},${y(v).toFixed(1)}`);
    const first = piece.points[0]?.[0] ?? 0;
    const last = piece.points[piece.points.length - 1]?.[0] ?? 0;
    return [`${x(first).toFixed(1)},${wall.toFixed(1)}`, ...points,
        `${x(last).toFixed(1)},${wall.toFixed(1)}`].join(" ");
}

/** The channel and its walls. A side without a wall is open.
 * @param {ChannelData} data @param {Scale} x @param {Scale} y @param {number} right
 * @param {number} bottom */
function bed(data, x, y, right, bottom) {
    if (data.low === null && data.high === null)
        return [];
    const upper = data.high === null ? TOP : y(data.high);
    const lower = data.low === null ? BOTTOM : y(data.low);
    const [high_y, low_y] = data.low !== null && data.high !== null
        ? spread(upper, lower, 17) : [upper, lower];
    /** @param {number} at @param {number | null} v @param {number} text_y
     *  @param {boolean} firm */
    const wall = (at, v, text_y, firm) => v === null ? [] : [
        svg("line", { x1: LEFT, x2: right, y1: at, y2: at,
            class: firm ? "wall" : "wall soft" }),
        svg("text", { x: LEFT - 7, y: text_y + 5, "text-anchor": "end", class: "on" },
            data.text(v))];
    return [svg("rect", { x: LEFT, width: right - LEFT, y: upper,
        height: Math.max(0, lower - upper), class: "bed" }),
    ...wall(upper, data.high, high_y, data.high_is_limit),
    ...wall(lower, data.low, low_y, true),
    ...(data.low === null && bottom === 0 ? ground(data, right) : [])];
}

/** Nothing is less than none: the floor of a channel without a lower wall.
 * @param {ChannelData} data @param {number} right */
function ground(data, right) {
    return [svg("line", { x1: LEFT, x2: right, y1: BOTTOM, y2: BOTTOM, class: "wall" }),
        svg("text", { x: LEFT - 7, y: BOTTOM + 5, "text-anchor": "end", class: "on" },
            data.text(0))];
}

/** A forecast's band, as one area. @param {ChannelData} data @param {Scale} x
 * @param {Scale} y */
function bandArea(data, x, y) {
    if (!data.band)
        return [];
    /** @param {readonly (number | null)[]} edge */
    const points = (edge) => data.time_s.flatMap((t, i) => {
        const v = edge[i];
        return v === null || v === undefined ? [] : [`${x(t).toFixed(1)},${y(v).toFixed(1)}`];
    });
    return [svg("polygon", { class: "band",
        points: [...points(data.band.high), ...points(data.band.low).reverse()].join(" ") })];
}

/** @param {ChannelData} data @param {Scale} x @param {Scale} y */
function waterLine(data, x, y) {
    let path = "";
    let pen_down = false;
    /** @type {[number, number] | null} */
    let last = null;
    let count = 0;
    data.time_s.forEach((t, i) => {
        const v = data.value[i];
        if (v === null || v === undefined) {
            pen_down = false;
            return;
        }
        path += `${pen_down ? "L" : "M"}${x(t).toFixed(1)} ${y(v).toFixed(1)}`;
        pen_down = true;
        last = [t, v];
        count++;
    });
    /** @type {SVGElement[]} */
    const drawn = [svg("path", { d: path, class: "water" })];
    if (data.band) /* nobody measured these */
        return drawn;
    if (count <= 40)
        data.time_s.forEach((t, i) => {
            const v = data.value[i];
            if (v !== null && v !== undefined)
                drawn.push(svg("circle", { cx: x(t).toFixed(1), cy: y(v).toFixed(1),
                    r: 2.5, class: "drop" }));
        });
    const end = /** @type {[number, number] | null} */ (last);
    if (end)
        drawn.push(svg("circle", { cx: x(end[0]).toFixed(1), cy: y(end[1]).toFixed(1),
            r: 5, class: "drop" }));
    return drawn;
}

/** "now", the end of the answer's time, and days underneath.
 * @param {ChannelData} data @param {Scale} x @param {number} right */
function marks(data, x, right) {
    const drawn = [];
    /** @type {[number, number][]} stretches that are taken by text */
    const taken = [];
    /** @param {number} at @param {string} text @param {string} kind */
    const label = (at, text, kind) => {
        const half = text.length * 4.1;
        const middle = Math.min(Math.max(at, LEFT + half), right + 8 - half);
        if (taken.some(([a, b]) => middle + half + 8 > a && middle - half - 8 < b))
            return false;
        taken.push([middle - half, middle + half]);
        drawn.push(svg("text", { x: middle.toFixed(1), y: 93, "text-anchor": "middle",
            class: kind }, text));
        return true;
    };
    drawn.push(svg("line", { x1: x(data.now), x2: x(data.now), y1: 2, y2: 79,
        class: "now" }));
    label(x(data.now), words.channel.now, "on");
    if (data.good_until !== null && data.good_until < data.until) {
        const end = x(data.good_until);
        drawn.push(svg("line", { x1: end, x2: end, y1: 2, y2: 79, class: "end" }));
        const day = shortDayText(data.zone, data.good_until);
        if (!label(end, `${words.channel.until} ${day}`, "quiet"))
            label(end, day, "quiet");
    }
    const today = civil(data.zone, data.now);
    for (let ahead = 1; data.band && ahead < 40; ahead++) {
        const at = dayStart(data.zone, today.year, today.month, today.day + ahead);
        if (at > data.until)
            break;
        label(x(at), shortDayText(data.zone, at), "quiet");
    }
    for (let back = 1; back < 400; back++) {
        const at = dayStart(data.zone, today.year, today.month, today.day - back);
        if (at < data.from)
            break;
        label(x(at), shortDayText(data.zone, at), "quiet");
    }
    return drawn;
}

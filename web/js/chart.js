/*
 * One value over time as the channel, drawn by uPlot: bed, walls and hatching under the
 * line, doses and the heater's times off line around it. Colours come from the style
 * sheet at each drawing, since a canvas does not follow it by itself.
 */
import { extent } from "./channel.js";
import { el } from "./dom.js";
import { clockText, dateText, shortDayText, civil } from "./time.js";
import { outsideWalls, stretches } from "./walls.js";

/**
 * @typedef {object} ChartData
 * @property {number[]} time_s
 * @property {(number | null)[]} value shown unit
 * @property {number} from
 * @property {number} until
 * @property {import("./walls.js").Wall[]} walls shown unit, at least one, ascending
 * @property {number} now
 * @property {{from: number, until: number, text: string}[]} offLine
 * @property {{at: number, is_large: boolean}[]} doses large: a super-chlorination
 * @property {Ahead | null} [ahead] the forecast from now on
 * @property {Mark[]} [marks] super-chlorinations and exposures
 * @property {{time_s: number[], value: (number | null)[]} | null} [past] a year before,
 *   moved to its place here
 */

/** @typedef {{time_s: number[], likely: (number | null)[], low: (number | null)[],
 *   high: (number | null)[]}} Ahead shown unit */
/** @typedef {{from: number, until: number, text: string, kind: "plan" | "exposure"}} Mark */

/**
 * @typedef {object} ChartOptions
 * @property {string} zone
 * @property {string} label
 * @property {(value: number) => string} text a value without its unit
 * @property {(index: number | null) => void} onpoint the cursor moved
 * @property {(from: number, until: number) => void} onzoom
 * @property {(text: string) => void} onspeak a point reached by keys, to be said
 * @property {(index: number) => string} pointText
 */

const HEIGHT = 260;
const ROOM = 0.02; /* right of the end, so that the newest point is seen whole */
const FINGER_PX = 24; /* a shorter drag of a finger is a tap */
const FONT = '14px system-ui, "DejaVu Sans", sans-serif';

/** @param {string} name */
export function cssColour(name) {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** Where a drawing ends: a little after its time, or with its forecast.
 * @param {ChartData} data */
export function endOf(data) {
    const ahead = data.ahead?.time_s;
    return Math.max(data.until + (data.until - data.from) * ROOM,
        ahead?.[ahead.length - 1] ?? 0);
}

/** Lowest and highest of what must be seen. @param {ChartData} data */
function range(data) {
    const { ahead, past, walls } = data;
    const lows = walls.map((wall) => wall.low).filter((v) => v !== null);
    const highs = walls.map((wall) => wall.high).filter((v) => v !== null);
    return extent([...data.value, ...ahead ? [...ahead.low, ...ahead.high] : [],
        ...past ? past.value : []], lows.length === 0 ? null : Math.min(...lows),
    highs.length === 0 ? null : Math.max(...highs));
}

export class TrendChart {
    /** @param {HTMLElement} target @param {ChartOptions} options */
    constructor(target, options) {
        this.options = options;
        this.plot = el("div", { class: "plot", tabindex: "0", role: "group",
            "aria-label": options.label, "aria-describedby": "trend-help" });
        target.append(this.plot);
        /** @type {ChartData | null} */
        this.data = null;
        /** @type {uPlot | null} */
        this.chart = null;
        this.index = -1;
        this.plot.addEventListener("keydown", (event) => this.key(event));
        this.resizing = new ResizeObserver(() => {
            const width = this.plot.clientWidth;
            if (this.chart && width > 0 && width !== this.chart.width)
                this.chart.setSize({ width, height: HEIGHT });
        });
        this.resizing.observe(this.plot);
    }

    /** @param {ChartData} data */
    show(data) {
        this.data = data;
        this.index = -1;
        this.chart?.destroy();
        const time = data.time_s;
        this.chart = new uPlot(this.settings(), [time, data.value], this.plot);
        this.listenToFingers(this.chart);
    }

    /** uPlot drags with a mouse only: the same for a finger, sideways.
     * @param {uPlot} u */
    listenToFingers(u) {
        let start = -1;
        /** @param {PointerEvent} event */
        const at = (event) => Math.min(Math.max(
            event.clientX - u.over.getBoundingClientRect().left, 0), u.over.clientWidth);
        u.over.addEventListener("pointerdown", (event) => {
            if (event.pointerType === "touch")
                start = at(event);
        });
        u.over.addEventListener("pointermove", (event) => {
            if (start < 0)
                return;
            const left = Math.min(start, at(event));
            u.setSelect({ left, top: 0, width: Math.abs(at(event) - start),
                height: u.over.clientHeight }, false);
        });
        u.over.addEventListener("pointerup", () => {
            if (start >= 0 && u.select.width >= FINGER_PX)
                this.selected(u);
            start = -1;
        });
        u.over.addEventListener("pointercancel", () => { start = -1; });
    }

    destroy() {
        this.resizing.disconnect();
        this.chart?.destroy();
        this.chart = null;
    }

    redraw() {
        this.chart?.redraw(true, true);
    }

    /** The drawing itself, for a picture. */
    canvas() {
        return this.chart?.ctx.canvas ?? null;
    }

    /** @returns {uPlot.Options} */
    settings() {
        const data = /** @type {ChartData} */ (this.data);
        const [bottom, top] = range(data);
        const end = endOf(data);
        const few = data.value.filter((v) => v !== null).length <= 150;
        return {
            width: Math.max(240, this.plot.clientWidth), height: HEIGHT,
            tzDate: (ts) => uPlot.tzDate(new Date(ts * 1000), this.options.zone),
            legend: { show: false },
            padding: [16, 24, 0, 0],
            cursor: { y: false, sync: { key: "trend" },
                drag: { x: true, y: false, setScale: false },
                points: { size: 11, fill: () => cssColour("--water"),
                    stroke: () => cssColour("--paper"), width: 2 } },
            scales: { x: { time: true, range: () => [data.from, end] },
                y: { range: () => [bottom, top] } },
            series: [{}, { stroke: () => cssColour("--water"), width: 2.5,
                spanGaps: false, points: { show: few, size: 6,
                    fill: () => cssColour("--water"),
                    stroke: () => cssColour("--water") } }],
            axes: [this.timeAxis(), this.valueAxis(data, bottom, top)],
            hooks: { drawClear: [(u) => this.drawUnder(u)],
                draw: [(u) => this.drawOver(u)],
                setCursor: [(u) => this.options.onpoint(u.cursor.idx ?? null)],
                setSelect: [(u) => this.selected(u)] },
        };
    }

    /** @returns {uPlot.Axis} */
    timeAxis() {
        return { stroke: () => cssColour("--quiet"), font: FONT, size: 62, gap: 26,
            space: 84, grid: { show: false }, ticks: { show: false },
            values: (_, splits, __, ___, step) => splits.map((at, i) =>
                this.timeText(at, step, i > 0 ? splits[i - 1] : undefined)) };
    }

    /** @param {number} at @param {number} step seconds between two marks
     * @param {number} [before] the mark on the left */
    timeText(at, step, before) {
        const zone = this.options.zone;
        const c = civil(zone, at);
        if (step < 86400)
            return c.hour === 0 && c.minute === 0 ? shortDayText(zone, at)
                : clockText(zone, at);
        if (step < 27 * 86400)
            return dateText(zone, at, at).replace(/(\w{3})\w*/, "$1");
        const month = dateText(zone, at, at).replace(/^\d+ (\w{3}).*/, "$1");
        const is_new = before === undefined || civil(zone, before).year !== c.year;
        return is_new ? `${month}\n${c.year}` : month;
    }

    /** Walls, and the ends of the scale where they lie apart from them.
     * @param {ChartData} data @param {number} bottom @param {number} top
     * @returns {uPlot.Axis} */
    valueAxis(data, bottom, top) {
        const now = data.walls[data.walls.length - 1];
        const walls = [now?.low ?? null, now?.high ?? null].filter((v) => v !== null);
        const apart = (top - bottom) * 0.11;
        const marks = [...walls];
        for (const mark of niceMarks(bottom, top))
            if (marks.every((other) => Math.abs(other - mark) > apart))
                marks.push(mark);
        return { stroke: () => cssColour("--ink"), font: FONT, size: 52, gap: 8,
            grid: { show: false }, ticks: { show: false },
            splits: () => marks.sort((a, b) => a - b),
            values: (_, splits) => splits.map((v) => this.options.text(v)) };
    }

    /** Bed, hatching, walls. @param {uPlot} u */
    drawUnder(u) {
        const data = /** @type {ChartData} */ (this.data);
        const { ctx, bbox } = u;
        ctx.save();
        ctx.beginPath();
        ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
        ctx.clip();
        /** @param {number} v */
        const y = (v) => u.valToPos(v, "y", true);
        const parts = stretches(data.walls, data.from, endOf(data)).map((part) => ({
            ...part, left: u.valToPos(part.from, "x", true),
            right: u.valToPos(part.until, "x", true),
            upper: part.wall.high === null ? bbox.top : y(part.wall.high),
            lower: part.wall.low === null ? bbox.top + bbox.height : y(part.wall.low) }));
        ctx.fillStyle = cssColour("--channel");
        for (const part of parts)
            if (part.wall.low !== null || part.wall.high !== null)
                ctx.fillRect(part.left, part.upper, part.right - part.left,
                    Math.max(0, part.lower - part.upper));
        this.drawAhead(u);
        for (const { piece, wall } of outsideWalls(data.time_s, data.value, data.walls))
            this.hatch(u, piece, y(/** @type {number} */ (wall[piece.side])),
                piece.side === "low" || wall.high_is_limit);
        this.walls(u, parts.map(({ left, right, lower, wall }) =>
            ({ left, right, y: wall.low === null ? null : lower, is_firm: true })));
        this.walls(u, parts.map(({ left, right, upper, wall }) => ({ left, right,
            y: wall.high === null ? null : upper, is_firm: wall.high_is_limit })));
        this.drawPast(u);
        ctx.restore();
    }

    /** The forecast: its band as an area, the likely value as a broken line.
     * @param {uPlot} u */
    drawAhead(u) {
        const ahead = this.data?.ahead;
        if (!ahead)
            return;
        const { ctx } = u;
        const scale = devicePixelRatio;
        /** @param {(number | null)[]} edge @returns {[number, number][]} */
        const points = (edge) => ahead.time_s.flatMap((t, i) => {
            const v = edge[i];
            return v === null || v === undefined ? []
                : [/** @type {[number, number]} */ ([u.valToPos(t, "x", true),
                    u.valToPos(v, "y", true)])];
        });
        ctx.fillStyle = ctx.strokeStyle = cssColour("--water");
        ctx.globalAlpha = 0.22;
        ctx.beginPath();
        for (const [x, y] of [...points(ahead.high), ...points(ahead.low).reverse()])
            ctx.lineTo(x, y);
        ctx.fill();
        ctx.globalAlpha = 1;
        ctx.lineWidth = 2 * scale;
        ctx.setLineDash([6 * scale, 5 * scale]);
        ctx.beginPath();
        for (const [x, y] of points(ahead.likely))
            ctx.lineTo(x, y);
        ctx.stroke();
        ctx.setLineDash([]);
    }

    /** @param {uPlot} u @param {import("./channel.js").Piece} piece
     * @param {number} wall_y @param {boolean} is_limit */
    hatch(u, piece, wall_y, is_limit) {
        const { ctx } = u;
        const first = piece.points[0];
        const last = piece.points[piece.points.length - 1];
        if (!first || !last)
            return;
        ctx.beginPath();
        ctx.moveTo(u.valToPos(first[0], "x", true), wall_y);
        for (const [t, v] of piece.points)
            ctx.lineTo(u.valToPos(t, "x", true), u.valToPos(v, "y", true));
        ctx.lineTo(u.valToPos(last[0], "x", true), wall_y);
        ctx.closePath();
        ctx.fillStyle = hatchPattern(ctx, cssColour(is_limit ? "--hatch"
            : "--hatch-quiet"));
        ctx.fill();
    }

    /** A wall with its steps: broken where passing it is only a caution.
     * @param {uPlot} u @param {{left: number, right: number, y: number | null,
     *   is_firm: boolean}[]} parts from left to right */
    walls(u, parts) {
        const { ctx } = u;
        const scale = devicePixelRatio;
        ctx.strokeStyle = cssColour("--wall");
        ctx.lineWidth = 2.5 * scale;
        /** @type {number | null} */
        let before = null;
        for (const part of parts) {
            if (part.y !== null) {
                ctx.setLineDash(part.is_firm ? [] : [7 * scale, 5 * scale]);
                ctx.beginPath();
                ctx.moveTo(part.left, before ?? part.y);
                ctx.lineTo(part.left, part.y);
                ctx.lineTo(part.right, part.y);
                ctx.stroke();
            }
            before = part.y;
        }
        ctx.setLineDash([]);
    }

    /** The year before: a thin line of dots. @param {uPlot} u */
    drawPast(u) {
        const past = this.data?.past;
        if (!past)
            return;
        const { ctx } = u;
        const scale = devicePixelRatio;
        ctx.strokeStyle = cssColour("--quiet");
        ctx.lineWidth = 2 * scale;
        ctx.setLineDash([2 * scale, 3 * scale]);
        ctx.beginPath();
        let pen_is_down = false;
        past.time_s.forEach((t, i) => {
            const v = past.value[i];
            if (v === null || v === undefined) {
                pen_is_down = false;
                return;
            }
            const [x, y] = [u.valToPos(t, "x", true), u.valToPos(v, "y", true)];
            if (pen_is_down)
                ctx.lineTo(x, y);
            else
                ctx.moveTo(x, y);
            pen_is_down = true;
        });
        ctx.stroke();
        ctx.setLineDash([]);
    }

    /** Doses, times off line, "now". @param {uPlot} u */
    drawOver(u) {
        const data = /** @type {ChartData} */ (this.data);
        const { ctx, bbox } = u;
        const scale = devicePixelRatio;
        ctx.save();
        ctx.fillStyle = cssColour("--ink");
        ctx.strokeStyle = cssColour("--ink");
        /* Where many doses would make a black bar, small ones become thin strokes. */
        const dense = data.doses.length > bbox.width / (16 * scale);
        for (const dose of data.doses) {
            const x = u.valToPos(dose.at, "x", true);
            const half = (dose.is_large || !dense ? 6 : 0.5) * scale;
            ctx.beginPath();
            ctx.moveTo(x - half, bbox.top - 12 * scale);
            ctx.lineTo(x + half, bbox.top - 12 * scale);
            ctx.lineTo(x, bbox.top - 2 * scale);
            ctx.fill();
        }
        for (const time of data.offLine)
            this.bracket(u, time);
        for (const mark of data.marks ?? [])
            this.mark(u, mark);
        if (data.now > data.from &&
            data.now < data.until + (data.until - data.from) * ROOM) {
            const x = u.valToPos(data.now, "x", true);
            ctx.setLineDash([3 * scale, 4 * scale]);
            ctx.lineWidth = scale;
            ctx.beginPath();
            ctx.moveTo(x, bbox.top);
            ctx.lineTo(x, bbox.top + bbox.height);
            ctx.stroke();
        }
        ctx.restore();
    }

    /** A bar along the upper edge for a super-chlorination, along the lower one for an
     * exposure; the page lists both in words. @param {uPlot} u @param {Mark} mark */
    mark(u, mark) {
        const { ctx, bbox } = u;
        const scale = devicePixelRatio;
        const data = /** @type {ChartData} */ (this.data);
        const left = u.valToPos(Math.max(mark.from, data.from), "x", true);
        const right = u.valToPos(Math.min(mark.until, data.until), "x", true);
        const height = 5 * scale;
        ctx.fillStyle = cssColour(mark.kind === "plan" ? "--wall" : "--hold");
        ctx.fillRect(left, mark.kind === "plan" ? bbox.top
            : bbox.top + bbox.height - height, Math.max(3 * scale, right - left), height);
    }

    /** @param {uPlot} u @param {{from: number, until: number, text: string}} time */
    bracket(u, time) {
        const { ctx, bbox } = u;
        const scale = devicePixelRatio;
        const data = /** @type {ChartData} */ (this.data);
        const left = u.valToPos(Math.max(time.from, data.from), "x", true);
        const right = u.valToPos(Math.min(time.until, data.until), "x", true);
        const y = bbox.top + bbox.height + 5 * scale;
        ctx.lineWidth = 2 * scale;
        ctx.beginPath();
        if (time.from >= data.from)
            ctx.moveTo(left, y), ctx.lineTo(left, y + 6 * scale);
        else
            ctx.moveTo(left, y + 6 * scale);
        ctx.lineTo(right, y + 6 * scale);
        if (time.until <= data.until)
            ctx.lineTo(right, y);
        ctx.stroke();
        ctx.font = `600 ${13 * scale}px system-ui, "DejaVu Sans", sans-serif`;
        const width = ctx.measureText(time.text).width;
        if (width > right - left + 60 * scale)
            return;
        ctx.textAlign = "center";
        ctx.textBaseline = "top";
        const middle = Math.min(Math.max((left + right) / 2, bbox.left + width / 2),
            bbox.left + bbox.width - width / 2);
        ctx.fillText(time.text, middle, y + 8 * scale);
    }

    /** A dragged stretch. @param {uPlot} u */
    selected(u) {
        const { left, width } = u.select;
        if (width < 6)
            return;
        const from = u.posToVal(left, "x");
        const until = u.posToVal(left + width, "x");
        u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
        this.options.onzoom(from, until);
    }

    /** @param {KeyboardEvent} event */
    key(event) {
        if (!this.data || event.altKey || event.ctrlKey || event.metaKey)
            return;
        const known = this.data.value.flatMap((v, i) => v === null ? [] : [i]);
        const place = known.indexOf(this.index);
        /** @type {Record<string, () => void>} */
        const moves = {
            ArrowRight: () => this.goTo(known[place < 0 ? known.length - 1 : place + 1]),
            ArrowLeft: () => this.goTo(known[place < 0 ? known.length - 1 : place - 1]),
            Home: () => this.goTo(known[0]),
            End: () => this.goTo(known[known.length - 1]),
            "+": () => this.zoom(0.5), "=": () => this.zoom(0.5),
            "-": () => this.zoom(2),
        };
        const move = moves[event.key];
        if (!move)
            return;
        event.preventDefault();
        move();
    }

    /** @param {number | undefined} index */
    goTo(index) {
        const data = this.data;
        if (index === undefined || !data || !this.chart)
            return;
        this.index = index;
        this.chart.setCursor({ left: this.chart.valToPos(data.time_s[index] ?? 0, "x"),
            top: this.chart.valToPos(data.value[index] ?? 0, "y") });
        this.options.onspeak(this.options.pointText(index));
    }

    /** @param {number} factor of the width shown, around the cursor or the middle */
    zoom(factor) {
        const data = /** @type {ChartData} */ (this.data);
        const middle = this.index >= 0 ? data.time_s[this.index] ?? data.until
            : (data.from + data.until) / 2;
        const half = (data.until - data.from) * factor / 2;
        this.options.onzoom(middle - half, middle + half);
    }
}

/** Round numbers across a scale, few. @param {number} bottom @param {number} top */
function niceMarks(bottom, top) {
    const raw = (top - bottom) / 4;
    const power = 10 ** Math.floor(Math.log10(raw));
    const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= raw) ?? raw;
    const marks = [];
    for (let mark = Math.ceil(bottom / step) * step; mark <= top; mark += step)
        marks.push(Math.round(mark / step) * step);
    return marks;
}

/** @param {CanvasRenderingContext2D} ctx @param {string} colour */
function hatchPattern(ctx, colour) {
    const tile = document.createElement("canvas");
    const size = 7;
    tile.width = size;
    tile.height = size;
    const pen = /** @type {CanvasRenderingContext2D} */ (tile.getContext("2d"));
    pen.fillStyle = colour;
    pen.fillRect(0, 0, 3, size);
    const pattern = /** @type {CanvasPattern} */ (ctx.createPattern(tile, "repeat"));
    pattern.setTransform(new DOMMatrix().rotate(45).scale(devicePixelRatio));
    return pattern;
}


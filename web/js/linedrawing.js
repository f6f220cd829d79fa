/*
 * The drawing of a line, made from its graph: flow from top to bottom on a narrow page,
 * from left to right on a wide one. Pipes with moving water are full lines with arrows,
 * pipes without are broken. Faults have numbers and lines of their own beside the pipe.
 */
import { svg } from "./dom.js";
import { roleOf } from "./linekinds.js";
import { bandsOf, layoutOf, moving, settings } from "./linelayout.js";
import { symbol } from "./linesymbols.js";
import { lineWords } from "./linewords.js";

/** @typedef {import("./types.js").LineGraph} LineGraph */
/** @typedef {import("./types.js").LinePosition} LinePosition */
/** @typedef {import("./linelayout.js").Layout} Layout */
/** @typedef {import("./linelayout.js").Spot} Spot */
/** @typedef {[number, number]} Point */

/**
 * @typedef {object} DrawnFault
 * @property {number} number as in the list of faults
 * @property {number} part
 * @property {number[]} path
 * @property {string} severity
 */

/**
 * @typedef {object} Drawn
 * @property {LineGraph} graph
 * @property {LinePosition | null} position
 * @property {DrawnFault[]} faults of this position
 * @property {number} width px
 * @property {boolean} vertical
 */

const PITCH_LEAST = 76;
const PITCH_MOST = 120;
const CHAR = 7.6; /* px of one letter of a label */

class Drawing {
    /** @param {Drawn} given */
    constructor(given) {
        this.given = given;
        this.layout = layoutOf(given.graph);
        this.numbers = new Map(given.graph.parts.map((part, i) => [part.id, i + 1]));
        this.setting = settings(given.position);
        this.moves = moving(given.graph, given.position);
        const { vertical, width } = given;
        const lanes = this.layout.lane_count;
        this.lane = vertical ? Math.min(190, width / lanes) : 112;
        this.bands = vertical ? [0]
            : bandsOf(this.layout, Math.max(3, Math.floor(width / PITCH_LEAST)));
        const longest = Math.max(...this.bands.map((start, i) =>
            (this.bands[i + 1] ?? this.layout.rank_count) - start));
        this.pitch = vertical ? 66
            : Math.min(PITCH_MOST, Math.max(PITCH_LEAST, width / longest));
        this.tops = this.bandTops();
        this.width = vertical ? width : Math.max(width, longest * this.pitch + 8);
        this.height = vertical ? this.layout.rank_count * this.pitch + 8
            : this.tops[this.tops.length - 1] ?? 0;
    }

    /** Top of every band, and the end. */
    bandTops() {
        const tops = [0];
        this.bands.forEach((start, i) => {
            const end = this.bands[i + 1] ?? this.layout.rank_count;
            const lanes = Math.max(0, ...this.layout.all.filter((spot) =>
                spot.rank >= start && spot.rank < end).map((spot) => spot.lane)) + 1;
            tops.push((tops[i] ?? 0) + lanes * this.lane + 14);
        });
        return tops;
    }

    /** @param {number} rank */
    bandOf(rank) {
        let band = 0;
        while ((this.bands[band + 1] ?? Infinity) <= rank)
            band++;
        return band;
    }

    /** @param {Spot} spot @returns {Point} */
    at(spot) {
        if (this.given.vertical)
            return [spot.lane * this.lane + 30, spot.rank * this.pitch + 34];
        const band = this.bandOf(spot.rank);
        return [(spot.rank - (this.bands[band] ?? 0)) * this.pitch + this.pitch / 2,
            (this.tops[band] ?? 0) + spot.lane * this.lane + 36];
    }

    /** Corners of the pipe between two places that lie one rank apart.
     * @param {Spot} from @param {Spot} to @returns {Point[]} */
    corners(from, to) {
        const [[x1, y1], [x2, y2]] = [this.at(from), this.at(to)];
        if (this.given.vertical) {
            const middle = (y1 + y2) / 2;
            return [[x1, y1], [x1, middle], [x2, middle], [x2, y2]];
        }
        if (this.bandOf(from.rank) === this.bandOf(to.rank)) {
            const middle = (x1 + x2) / 2;
            return [[x1, y1], [middle, y1], [middle, y2], [x2, y2]];
        }
        const edge = x1 + this.pitch / 2 - 2;
        const gap = (this.tops[this.bandOf(to.rank)] ?? 0) - 2;
        return [[x1, y1], [edge, y1], [edge, gap], [3, gap], [3, y2], [x2, y2]];
    }

    /** Corners of a whole edge, from the middle of one symbol to that of the next.
     * @param {number} index @returns {Point[]} */
    route(index) {
        const spots = this.layout.routes.get(index) ?? [];
        return tidy(spots.slice(1).flatMap((spot, i) =>
            this.corners(/** @type {Spot} */ (spots[i]), spot)));
    }

    /* ---- pipes ---- */

    pipes() {
        const idle_first = this.given.graph.edges.map((_, i) => i).sort((a, b) =>
            Number(this.moves.has(a)) - Number(this.moves.has(b)));
        return idle_first.flatMap((i) => {
            const points = this.route(i);
            if (points.length < 2)
                return [];
            const moves = this.moves.has(i);
            return [svg("polyline", { points: text(points),
                class: moves ? "flowing" : "idle" }), moves ? arrow(points) : null];
        });
    }

    /** Edges that close a loop, as a flag at each end: "to 4", "from 9". */
    loops() {
        return this.layout.loops.flatMap((index) => {
            const edge = this.given.graph.edges[index];
            const [from, to] = [edge && this.layout.spots.get(edge.from),
                edge && this.layout.spots.get(edge.to)];
            if (!edge || !from || !to)
                return [];
            /** @param {Spot} spot @param {string} words */
            const flag = (spot, words) => {
                const [x, y] = this.at(spot);
                return svg("text", { x: x + 20, y: y - 18, class: "flag" }, words);
            };
            return [flag(from, lineWords.loopTo(this.numbers.get(edge.to) ?? 0)),
                flag(to, lineWords.loopFrom(this.numbers.get(edge.from) ?? 0))];
        });
    }

    /* ---- parts ---- */

    /** The branch of a three-way valve that lies straight on. @param {number} id */
    straight(id) {
        const spot = this.layout.spots.get(id);
        for (const [index, route] of this.layout.routes) {
            const edge = this.given.graph.edges[index];
            const next = edge?.from === id ? route[1] : route[route.length - 2];
            const port = edge?.from === id ? edge.from_port
                : edge?.to === id ? edge.to_port : undefined;
            if ((port === "a" || port === "b") && next?.lane === spot?.lane)
                return port;
        }
        return "a";
    }

    /** @param {import("./types.js").LinePart} part */
    part(part) {
        const spot = this.layout.spots.get(part.id);
        if (!spot)
            return null;
        const [x, y] = this.at(spot);
        const joins = this.given.graph.edges.some((edge) => edge.to === part.id &&
            (edge.to_port === "a" || edge.to_port === "b"));
        return svg("g", { "data-part": part.id }, svg("g", { transform: `translate(${x} ${y})` },
            symbol(part.kind, { setting: this.setting.get(part.id) ?? "",
                vertical: this.given.vertical, straight: this.straight(part.id), joins })),
        this.label(part, spot));
    }

    /** Room for a label beside or under a symbol, in letters. @param {Spot} spot */
    room(spot) {
        if (!this.given.vertical)
            return Math.floor((this.pitch - 6) / CHAR);
        const lanes = this.layout.all.filter((other) => other.lane > spot.lane &&
            (other.rank === spot.rank || other.next.some((n) => n.rank === spot.rank)))
            .map((other) => other.lane);
        const next = Math.min(...lanes);
        const right = Number.isFinite(next) ? next * this.lane + 8 : this.given.width;
        return Math.floor((right - (spot.lane * this.lane + 54)) / CHAR);
    }

    /** @param {import("./types.js").LinePart} part @param {Spot} spot */
    label(part, spot) {
        const number = this.numbers.get(part.id) ?? 0;
        const state = lineWords.settingOf(part.kind, this.setting.get(part.id) ?? "");
        const name = part.kind === "tee" ? "" : part.name || lineWords.kind(part.kind);
        const lines = wrapped(`${number} ${name}`.trim(), this.room(spot), state ? 2 : 3);
        if (state)
            lines.push(...wrapped(state, this.room(spot), 1));
        const [x, y] = this.at(spot);
        const vertical = this.given.vertical;
        const top = vertical ? y + 5 - (lines.length - 1) * 8 : y + 34;
        return svg("g", {}, lines.map((line, i) => svg("text", {
            x: vertical ? x + 25 : x, y: top + i * 16,
            "text-anchor": vertical ? "start" : "middle",
            class: state && i === lines.length - 1 ? "state" : "on" }, line)));
    }

    /* ---- faults ---- */

    /** The line beside the pipe that shows a fault. @param {DrawnFault} fault
     * @param {number} nth */
    fault(fault, nth) {
        const shift = nth % 2 === 0 ? 6 + 2 * nth : -6 - 2 * nth;
        const pieces = fault.path.slice(1).flatMap((to, i) => {
            const from = fault.path[i];
            const index = this.given.graph.edges.findIndex((edge) =>
                edge.from === from && edge.to === to || edge.from === to && edge.to === from);
            const points = index < 0 ? [] : this.route(index);
            return points.length < 2 ? [] : [svg("polyline", { points: text(points),
                transform: `translate(${shift} ${shift})`,
                class: `fault-line style-${nth % 4}` })];
        });
        return [...pieces];
    }

    /** The numbers of the faults of a part, above its symbol. @param {number} id */
    badges(id) {
        const spot = this.layout.spots.get(id);
        const found = this.given.faults.filter((fault) => fault.part === id);
        if (!spot)
            return [];
        const [x, y] = this.at(spot);
        return found.map((fault, i) => svg("g", { class: `badge ${fault.severity}`,
            transform: `translate(${x - 20 + i * 24} ${y - 22})` },
        svg("path", { d: "M0 -12L12 0L0 12L-12 0Z" }),
        svg("text", { y: 5, "text-anchor": "middle" }, fault.number)));
    }

    draw() {
        const { graph, faults } = this.given;
        const with_path = faults.filter((fault) => fault.path.length > 1).slice(0, 4);
        return svg("svg", { class: "line-drawing", role: "img",
            viewBox: `0 0 ${this.width} ${this.height}`, width: this.width,
            height: this.height, "aria-label": this.words() },
        ...with_path.flatMap((fault, i) => this.fault(fault, i)),
        ...this.pipes(), ...this.loops(), ...graph.parts.map((part) => this.part(part)),
        ...graph.parts.flatMap((part) => this.badges(part.id)));
    }

    words() {
        return lineWords.drawingLabel(this.given.graph.parts.filter((part) =>
            part.kind !== "tee").map((part) => {
            const state = lineWords.settingOf(part.kind, this.setting.get(part.id) ?? "");
            return `${this.numbers.get(part.id)} ${part.name || lineWords.kind(part.kind)}${
                state ? ` (${state})` : ""}`;
        }));
    }
}

/** Without corners that are none. @param {Point[]} points @returns {Point[]} */
function tidy(points) {
    const apart = points.filter(([x, y], i) => {
        const before = points[i - 1];
        return !before || before[0] !== x || before[1] !== y;
    });
    return apart.filter(([x, y], i) => {
        const [before, after] = [apart[i - 1], apart[i + 1]];
        return !before || !after || !(before[0] === x && x === after[0] ||
            before[1] === y && y === after[1]);
    });
}

/** @param {Point[]} points */
const text = (points) =>
    points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

/** An arrow head on the longest straight piece. @param {Point[]} points */
function arrow(points) {
    let best = 0;
    let length = -1;
    points.slice(1).forEach(([x, y], i) => {
        const [x0, y0] = /** @type {Point} */ (points[i]);
        const far = Math.abs(x - x0) + Math.abs(y - y0);
        if (far > length)
            [best, length] = [i, far];
    });
    const [x0, y0] = /** @type {Point} */ (points[best]);
    const [x1, y1] = /** @type {Point} */ (points[best + 1]);
    const turn = x1 > x0 ? 0 : x1 < x0 ? 180 : y1 > y0 ? 90 : -90;
    return svg("path", { d: "M-4 -6L7 0L-4 6Z", class: "arrow",
        transform: `translate(${(x0 + x1) / 2} ${(y0 + y1) / 2}) rotate(${turn})` });
}

/** A text in at most so many lines of so many letters.
 * @param {string} said @param {number} room @param {number} most */
export function wrapped(said, room, most) {
    const width = Math.max(3, room);
    /** @type {string[]} */
    const lines = [];
    for (const word of said.split(/\s+/)) {
        const last = lines[lines.length - 1];
        if (last !== undefined && last.length + word.length + 1 <= width)
            lines[lines.length - 1] = `${last} ${word}`;
        else
            lines.push(word);
    }
    const shown = lines.slice(0, most).map((line) =>
        line.length > width ? `${line.slice(0, width - 1)}…` : line);
    const rest = lines.length > most ? shown.pop() : undefined;
    return rest === undefined ? shown
        : [...shown, rest.endsWith("…") ? rest : `${rest.slice(0, width - 1)}…`];
}

/** @param {Drawn} given @returns {SVGElement} */
export const lineDrawing = (given) => new Drawing(given).draw();

/** Positions that a pump, valve or three-way valve shows in the drawing.
 * @param {LineGraph} graph */
export const settable = (graph) => graph.parts.filter((part) =>
    roleOf(part.kind) === "valve" || part.kind === "pump");

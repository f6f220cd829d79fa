/*
 * One value through the steps of a plan, drawn in its channel: the wanted range as the
 * channel, the value as the water in it, what is outside hatched. The first point can be
 * dragged: what if the water were so?
 */
import { extent, outside } from "./channel.js";
import { svg } from "./dom.js";

const WIDTH = 340;
const HEIGHT = 96;
const LEFT = 52;
const RIGHT = WIDTH - 14;
const TOP = 10;
const BOTTOM = 78;

let count = 0;

/**
 * @typedef {object} StepChannel
 * @property {string} label for those who do not see the drawing
 * @property {number[]} value before the first step and after each; shown units
 * @property {number | null} low
 * @property {number | null} high
 * @property {[number, number]} possible what can be dragged to
 * @property {number} grain of a drag
 * @property {(value: number) => string} text of a wall
 * @property {(value: number) => void} tried while it is dragged
 * @property {(range: [number, number] | null) => void} held the heights stay while a drag
 *   lasts; null: it ended
 */

/** Heights that a drawing keeps while its point is dragged.
 * @param {StepChannel} data @returns {[number, number]} */
export function heights(data) {
    const [bottom, top] = extent(data.value, data.low, data.high);
    const room = data.low !== null && data.high !== null
        ? (data.high - data.low) * 0.6 : 0;
    return [Math.max(data.possible[0], Math.min(bottom, (data.low ?? bottom) - room)),
        Math.min(data.possible[1], Math.max(top, (data.high ?? top) + room))];
}

/** @param {StepChannel} data @param {[number, number]} [range] */
export function stepChannel(data, range = heights(data)) {
    const [bottom, top] = range;
    const last = Math.max(data.value.length - 1, 1);
    /** @param {number} i */
    const x = (i) => LEFT + (RIGHT - LEFT) * i / last;
    /** @param {number} v */
    const y = (v) => BOTTOM - (BOTTOM - TOP) *
        (Math.min(Math.max(v, bottom), top) - bottom) / (top - bottom || 1);
    const id = `steps-${count++}`;
    const steps = data.value.map((_, i) => i);
    const line = data.value.length === 1 ? [...data.value, ...data.value] : data.value;
    const node = svg("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img",
        class: "channel steps", "aria-label": data.label },
    svg("defs", {}, svg("pattern", { id, width: 7, height: 7,
        patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svg("rect", { width: 3, height: 7, class: "hatch-caution" }))),
    ...bed(data, y),
    ...outside(line.map((_, i) => i), line, data.low, data.high).map((piece) => {
        const wall = y(/** @type {number} */ (piece.side === "low" ? data.low : data.high));
        const points = piece.points.map(([i, v]) => `${x(i)},${y(v)}`);
        const [from, to] = [piece.points[0], piece.points[piece.points.length - 1]];
        return svg("polygon", { class: "out", fill: `url(#${id})`, points:
            [`${x(from?.[0] ?? 0)},${wall}`, ...points, `${x(to?.[0] ?? 0)},${wall}`].join(" ") });
    }),
    svg("path", { class: "water", d: line.map((v, i) =>
        `${i === 0 ? "M" : "L"}${x(i)} ${y(v)}`).join("") }),
    ...steps.slice(1).map((i) => svg("circle", { cx: x(i), cy: y(data.value[i] ?? 0), r: 3,
        class: "drop" })),
    handle(data, x(0), y(data.value[0] ?? 0)),
    ...steps.slice(1).filter((i) => last <= 12 || i === last).map((i) =>
        svg("text", { x: x(i), y: 94, "text-anchor": "middle" }, String(i))));
    drag(node, data, bottom, top);
    return node;
}

/** A drop large enough for a finger. @param {StepChannel} data @param {number} cx
 * @param {number} cy */
function handle(data, cx, cy) {
    return svg("g", { class: "handle" },
        svg("circle", { cx, cy, r: 22, class: "grip" }),
        svg("circle", { cx, cy, r: 8, class: "drop" }));
}

/** @param {StepChannel} data @param {(v: number) => number} y */
function bed(data, y) {
    if (data.low === null || data.high === null)
        return [];
    return [svg("rect", { x: LEFT, width: RIGHT - LEFT, y: y(data.high),
        height: Math.max(y(data.low) - y(data.high), 1), class: "bed" }),
    ...[data.high, data.low].flatMap((wall) => [
        svg("line", { x1: LEFT, x2: RIGHT, y1: y(wall), y2: y(wall), class: "wall soft" }),
        svg("text", { x: LEFT - 12, y: y(wall) + (wall === data.low ? 10 : 1),
            "text-anchor": "end", class: "on" }, data.text(wall))])];
}

/** @param {SVGElement} node @param {StepChannel} data @param {number} bottom
 * @param {number} top */
function drag(node, data, bottom, top) {
    const grip = node.querySelector(".handle");
    grip?.addEventListener("pointerdown", (event) => {
        const down = /** @type {PointerEvent} */ (event);
        down.preventDefault();
        const box = node.getBoundingClientRect();
        data.held([bottom, top]);
        /** @param {PointerEvent} at */
        const move = (at) => {
            const height = (at.clientY - box.top) / box.height * HEIGHT;
            const raw = bottom + (BOTTOM - height) / (BOTTOM - TOP) * (top - bottom);
            const inside = Math.min(Math.max(raw, bottom), top);
            data.tried(Math.round(inside / data.grain) * data.grain);
        };
        const up = () => {
            data.held(null);
            removeEventListener("pointermove", move);
            removeEventListener("pointerup", up);
            removeEventListener("pointercancel", up);
        };
        addEventListener("pointermove", move);
        addEventListener("pointerup", up);
        addEventListener("pointercancel", up);
    });
}

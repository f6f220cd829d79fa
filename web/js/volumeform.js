/*
 * "How much water?" worked out from measures: shape, sides, depths, a drawing of what was
 * typed, and the result, which is taken only when the person says so.
 */
import { el, place, svg } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { chips, field, textInput, valueOf } from "./form.js";
import { areaText, areaUnit, lengthText, lengthUnit, readLength } from "./lengths.js";
import { setupWords } from "./setupwords.js";
import { volumeText, volumeUnit } from "./typed.js";
import { DEPTHS, depthAt, lengthOf, MEASURES, poolVolume, widthAt } from "./volume.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./volume.js").Shape} Shape */
/** @typedef {import("./volume.js").Bottom} Bottom */
/** @typedef {import("./volume.js").Measure | import("./volume.js").DepthMeasure} Name */
/** @typedef {{surface_m2: number, depth_m: number, volume_m3: number}} Result */

const calculator = setupWords.calculator;
/* What is drawn before anything is typed, in m. */
const SAMPLE = { length: 10, width: 5, width_2: 4, diameter: 5, depth: 1.4, shallow: 1,
    deep: 2, shallow_length: 3, deep_length: 2 };
const DRAW_LENGTH = 300;
const DRAW_HEIGHT = 130; /* at most, of the view from above */
const DRAW_DEPTH = 70;
const POINTS = 60;

export class VolumeForm {
    /** @param {Site} site @param {(result: Result) => void} use */
    constructor(site, use) {
        this.site = site;
        this.use = use;
        this.drawing = el("div", {});
        this.result = el("p", { role: "status" });
        this.fields = /** @type {Map<Name, HTMLElement>} */ (new Map());
        /** @type {{shape: Shape, bottom: Bottom}} */
        this.chosen = { shape: "rectangle", bottom: "slope" };
        this.node = el("details", { class: "calculator" },
            el("summary", { class: "row" }, calculator.head),
            el("p", { class: "hint" }, calculator.lead),
            chips("volume.shape", calculator.shape, Object.entries(calculator.shapes), "rectangle",
                (value) => this.choose({ shape: /** @type {Shape} */ (value) })),
            el("div", { class: "choices" }, Object.values(MEASURES).flat()
                .filter((name, i, all) => all.indexOf(name) === i)
                .map((name) => this.measure(name))),
            chips("volume.bottom", calculator.bottom, Object.entries(calculator.bottoms), "slope",
                (value) => this.choose({ bottom: /** @type {Bottom} */ (value) })),
            el("div", { class: "choices" }, Object.values(DEPTHS).flat()
                .filter((name, i, all) => all.indexOf(name) === i)
                .map((name) => this.measure(name))),
            this.drawing, this.result,
            el("p", { class: "actions" }, el("button", { type: "button",
                onclick: () => this.take() }, calculator.use)));
        this.node.addEventListener("input", () => this.draw());
        /* Enter belongs to the measures here, not to the form around them. */
        this.node.addEventListener("keydown", (event) => {
            if (event.key === "Enter" && event.target instanceof HTMLInputElement) {
                event.preventDefault();
                this.take();
            }
        });
        this.choose({});
    }

    /** @param {Name} name */
    measure(name) {
        const node = field(`volume.${name}`, calculator.measures[name],
            textInput({ inputmode: "decimal" }), { unit: lengthUnit(this.site) });
        this.fields.set(name, node);
        return node;
    }

    /** @param {Partial<{shape: Shape, bottom: Bottom}>} change */
    choose(change) {
        Object.assign(this.chosen, change);
        const wanted = this.wanted();
        for (const [name, node] of this.fields)
            node.hidden = !wanted.includes(name);
        this.draw();
    }

    /** @returns {Name[]} */
    wanted() {
        return [...MEASURES[this.chosen.shape], ...DEPTHS[this.chosen.bottom]];
    }

    /** What is typed: the numbers, and what is wrong. */
    read() {
        /** @type {Partial<Record<Name, number>>} */
        const typed = {};
        /** @type {Map<Name, string>} */
        const faults = new Map();
        const form = this.node.closest("form");
        for (const name of this.wanted()) {
            const text = form ? valueOf(form, `volume.${name}`) : "";
            const read = readLength(text, this.site);
            if (read.ok && read.stored > 100)
                faults.set(name, calculator.faults.too_large);
            else if (read.ok)
                typed[name] = read.stored;
            else if (read.code !== "empty")
                faults.set(name, `${entryWords.faults[read.code]} ` +
                    entryWords.seen(text.trim()));
        }
        return { typed, faults };
    }

    /** @param {boolean} [complain] about what is missing, too */
    draw(complain = false) {
        const { shape, bottom } = this.chosen;
        const { typed, faults } = this.read();
        const found = poolVolume(shape, bottom, typed);
        if (!found.ok && faults.size === 0 && (complain || found.code !== "missing"))
            faults.set(found.field, calculator.faults[found.code]);
        for (const [name, node] of this.fields)
            this.say(node, faults.get(name));
        place(this.drawing, drawing(shape, bottom, typed, this.site));
        place(this.result, found.ok && faults.size === 0 ? this.resultText(found)
            : calculator.nothingYet);
        return found.ok && faults.size === 0 ? found : null;
    }

    /** @param {HTMLElement} node @param {string | undefined} fault */
    say(node, fault) {
        const input = /** @type {HTMLInputElement} */ (node.querySelector("input"));
        const message = /** @type {HTMLElement} */ (node.querySelector(".message"));
        message.textContent = fault ?? "";
        if (fault === undefined) {
            input.removeAttribute("aria-invalid");
            input.removeAttribute("aria-describedby");
        } else {
            input.setAttribute("aria-invalid", "true");
            input.setAttribute("aria-describedby", message.id);
        }
    }

    /** @param {Result} found */
    resultText(found) {
        return calculator.result(`${volumeText(found.volume_m3, this.site)} ` +
            volumeUnit(this.site), `${areaText(found.surface_m2, this.site)} ` +
            areaUnit(this.site), `${lengthText(found.depth_m, this.site)} ` +
            lengthUnit(this.site));
    }

    take() {
        const found = this.draw(true);
        if (found) {
            this.use(found);
            this.node.open = false;
            return;
        }
        const bad = [...this.fields.values()].find((node) =>
            node.querySelector("[aria-invalid]"));
        bad?.querySelector("input")?.focus();
    }
}

/* ---- the drawing: from above, and cut along the length ---- */

/**
 * @param {Shape} shape @param {Bottom} bottom
 * @param {Partial<Record<Name, number>>} typed @param {Site} site
 */
function drawing(shape, bottom, typed, site) {
    const m = { ...SAMPLE, ...typed };
    const length = lengthOf(shape, m);
    const parts = Array.from({ length: POINTS + 1 }, (_, i) =>
        (1 - Math.cos(Math.PI * i / POINTS)) / 2);
    const widest = Math.max(...parts.map((u) => widthAt(shape, m, u)));
    const bend = shape === "kidney" ? 0.42 * widest : 0;
    const scale = Math.min(DRAW_LENGTH / length, DRAW_HEIGHT / (widest + bend * 0.3));
    const left = (DRAW_LENGTH - length * scale) / 2 + 45;
    /** @param {number} u */
    const x = (u) => (left + u * length * scale).toFixed(1);
    /** @param {number} u @param {number} side -1 above, 1 below */
    const y = (u, side) => (30 + scale * (widest / 2 + side * widthAt(shape, m, u) / 2 +
        bend * (4 * u * (1 - u) - 0.7))).toFixed(1);
    const outline = [...parts.map((u) => `${x(u)},${y(u, -1)}`),
        ...[...parts].reverse().map((u) => `${x(u)},${y(u, 1)}`)];
    const top = 30 + (widest + bend * 0.3) * scale + 46;
    const deepest = bottom === "flat" ? m.depth : Math.max(m.deep, m.shallow);
    /** @param {number} u */
    const floor = (u) => (top + depthAt(bottom, m, length, u) / deepest * DRAW_DEPTH)
        .toFixed(1);
    const even = Array.from({ length: POINTS + 1 }, (_, i) => i / POINTS);
    const ground = even.map((u) => `${x(u)},${floor(u)}`);
    /** @param {Name} name */
    const number = (name) => typed[name] === undefined ? "?"
        : `${lengthText(typed[name] ?? 0, site)} ${lengthUnit(site)}`;
    /** @param {Name} name @param {number} at_x @param {number} at_y */
    const label = (name, at_x, at_y) => svg("text", { x: at_x, y: at_y,
        "text-anchor": "middle" }, number(name));
    /** @param {number} u */
    const middle = (u) => (Number(y(u, -1)) + Number(y(u, 1))) / 2 + 5;
    const under = top + DRAW_DEPTH + 22;
    const long = shape === "round" ? "diameter" : "length";
    return svg("svg", { class: "pool", viewBox: `0 0 390 ${Math.round(under + 12)}`,
        role: "img", "aria-label": calculator.drawing(calculator.shapes[shape],
            [...MEASURES[shape], ...DEPTHS[bottom]].map((name) =>
                `${calculator.measures[name]} ${number(name)}`).join(", ")) },
    svg("polygon", { class: "bed edge", points: outline.join(" ") }),
    label(long, 195, 18),
    shape === "round" ? null
        : shape === "kidney" ? [label("width", Number(x(0.2)), middle(0.2)),
            label("width_2", Number(x(0.8)), middle(0.8))]
            : label("width", 195, middle(0.5)),
    svg("polygon", { class: "bed", points: `${x(0)},${top} ${ground.join(" ")} ` +
        `${x(1)},${top}` }),
    svg("polyline", { class: "wall floor", points: `${x(0)},${top - 8} ` +
        `${ground.join(" ")} ${x(1)},${top - 8}` }),
    bottom === "flat" ? label("depth", 195, under)
        : [label("shallow", left + 8, under),
            label("deep", left + length * scale - 8, under)],
    bottom !== "deep_end" ? null : [
        label("shallow_length", Number(x((m.shallow_length / length) / 2)), top - 14),
        label("deep_length", Number(x(1 - (m.deep_length / length) / 2)), top - 14)]);
}

/*
 * How much water a pool of a usual shape holds: its surface, its mean depth, its volume.
 * Walls count as upright; steps and benches are not known here. docs/model.md, "Volume".
 */

/** @typedef {"rectangle" | "round" | "oval" | "round_ends" | "kidney"} Shape */
/** @typedef {"flat" | "slope" | "deep_end"} Bottom */
/** @typedef {"length" | "width" | "width_2" | "diameter"} Measure */
/** @typedef {"depth" | "shallow" | "deep" | "shallow_length" | "deep_length"} DepthMeasure */

/** What a shape is measured by. @type {Record<Shape, Measure[]>} */
export const MEASURES = { rectangle: ["length", "width"], round: ["diameter"],
    oval: ["length", "width"], round_ends: ["length", "width"],
    kidney: ["length", "width", "width_2"] };

/** @type {Record<Bottom, DepthMeasure[]>} */
export const DEPTHS = { flat: ["depth"], slope: ["shallow", "deep"],
    deep_end: ["shallow", "deep", "shallow_length", "deep_length"] };

/* Surface of a kidney = KIDNEY x (wide end + narrow end) x length: common practice, no
 * source. */
const KIDNEY = 0.45;
const STEPS = 2000;

/** @typedef {Partial<Record<Measure | DepthMeasure, number>>} Measures all in m */

/** @param {Shape} shape @param {Measures} m */
export function lengthOf(shape, m) {
    return (shape === "round" ? m.diameter : m.length) ?? NaN;
}

/**
 * Width across at a part of the length.
 * @param {Shape} shape @param {Measures} m @param {number} u 0 at one end, 1 at the other
 */
export function widthAt(shape, m, u) {
    const length = lengthOf(shape, m);
    const width = (shape === "round" ? m.diameter : m.width) ?? NaN;
    const round = 2 * Math.sqrt(Math.max(0, u * (1 - u)));
    if (shape === "rectangle")
        return width;
    if (shape === "round_ends") {
        const radius = width / 2;
        const in_end = radius - Math.min(u, 1 - u) * length;
        return in_end <= 0 ? width : 2 * Math.sqrt(Math.max(0,
            radius * radius - in_end * in_end));
    }
    if (shape === "kidney") /* so that the whole is KIDNEY (a + b) length */
        return KIDNEY * 8 / Math.PI * round *
            (width * (1 - u) + (m.width_2 ?? NaN) * u);
    return width * round;
}

/** Depth at a part of the length, from the shallow end.
 * @param {Bottom} bottom @param {Measures} m @param {number} length @param {number} u */
export function depthAt(bottom, m, length, u) {
    if (bottom === "flat")
        return m.depth ?? NaN;
    const shallow = m.shallow ?? NaN;
    const deep = m.deep ?? NaN;
    if (bottom === "slope")
        return shallow + (deep - shallow) * u;
    const from = m.shallow_length ?? NaN;
    const to = length - (m.deep_length ?? NaN);
    const at = u * length;
    return at <= from ? shallow : at >= to ? deep
        : shallow + (deep - shallow) * (at - from) / (to - from);
}

/**
 * @param {Shape} shape @param {Bottom} bottom @param {Measures} m each > 0
 * @returns {{ok: true, surface_m2: number, depth_m: number, volume_m3: number}
 *   | {ok: false, field: Measure | DepthMeasure,
 *      code: "missing" | "not_shallower" | "too_long" | "too_wide"}}
 */
export function poolVolume(shape, bottom, m) {
    for (const name of [...MEASURES[shape], ...DEPTHS[bottom]])
        if (!((m[name] ?? NaN) > 0) && !(name.endsWith("_length") && m[name] === 0))
            return { ok: false, field: name, code: "missing" };
    const length = lengthOf(shape, m);
    if (shape === "round_ends" && !(/** @type {number} */ (m.width) <= length))
        return { ok: false, field: "width", code: "too_wide" };
    if (bottom !== "flat" && !(/** @type {number} */ (m.shallow) <=
        /** @type {number} */ (m.deep)))
        return { ok: false, field: "deep", code: "not_shallower" };
    if (bottom === "deep_end" && !((m.shallow_length ?? 0) + (m.deep_length ?? 0) <= length))
        return { ok: false, field: "deep_length", code: "too_long" };
    return { ok: true, ...sum(shape, bottom, m, length) };
}

/* Strips across, narrower towards both ends, where round shapes end like a square root:
 * u = (1 - cos t) / 2. */
/** @param {Shape} shape @param {Bottom} bottom @param {Measures} m
 * @param {number} length */
function sum(shape, bottom, m, length) {
    let surface = 0;
    let volume = 0;
    for (let i = 0; i < STEPS; i++) {
        const t = Math.PI * (i + 0.5) / STEPS;
        const u = (1 - Math.cos(t)) / 2;
        const strip = widthAt(shape, m, u) * length * Math.sin(t) / 2 * Math.PI / STEPS;
        surface += strip;
        volume += strip * depthAt(bottom, m, length, u);
    }
    return { surface_m2: surface, depth_m: volume / surface, volume_m3: volume };
}

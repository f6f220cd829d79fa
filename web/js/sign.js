/*
 * The three signs, after the geometry of ISO 3864 (from memory): square for safe
 * condition, ring with a bar from upper left to lower right for prohibition, disc for
 * mandatory action. Our own pictograms: heat that rises, a test vial.
 */
import { svg } from "./dom.js";

/** @typedef {import("./types.js").Permit} Permit */

/* Three rising waves over the pipe of a heater. */
const HEAT = "M32 26c-6 7 6 11 0 18s6 11 0 18M48 26c-6 7 6 11 0 18s6 11 0 18" +
    "M64 26c-6 7 6 11 0 18s6 11 0 18";
const PIPE = "M22 72h52";
const VIAL = "M40 22v42a8 8 0 0 0 16 0V22M35 22h26M40 46h16";

/** @param {Permit} permit @param {number} [size] px */
export function sign(permit, size = 96) {
    /** @type {Record<Permit, () => SVGElement[]>} */
    const drawings = {
        run: () => [
            svg("rect", { x: 4, y: 4, width: 88, height: 88, class: "sign-fill" }),
            svg("path", { d: HEAT, class: "sign-on", "stroke-width": 6 }),
            svg("path", { d: PIPE, class: "sign-on", "stroke-width": 7 })],
        hold: () => [
            svg("circle", { cx: 48, cy: 48, r: 44, class: "sign-paper" }),
            svg("path", { d: HEAT, class: "sign-ink", "stroke-width": 5 }),
            svg("path", { d: PIPE, class: "sign-ink", "stroke-width": 6 }),
            svg("circle", { cx: 48, cy: 48, r: 39.5, class: "sign-line",
                "stroke-width": 9 }),
            svg("path", { d: "M20 20l56 56", class: "sign-line", "stroke-width": 8 })],
        test: () => [
            svg("circle", { cx: 48, cy: 48, r: 44, class: "sign-fill" }),
            svg("path", { d: VIAL, class: "sign-on", "stroke-width": 6 })],
    };
    return svg("svg", { viewBox: "0 0 96 96", width: size, height: size,
        class: `sign ${permit}`, "aria-hidden": "true" }, ...drawings[permit]());
}

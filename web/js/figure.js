/*
 * One value over time with its name, its sentence and what the cursor stands on: the
 * chart of Trends for pages that show a few fixed drawings. Follows the colour scheme,
 * and takes the light palette before it is printed.
 */
import { TrendChart } from "./chart.js";
import { announce, el } from "./dom.js";
import { fullText } from "./time.js";

/** @typedef {import("./walls.js").Wall} Wall */

/**
 * @typedef {object} FigureData
 * @property {string} name with its unit
 * @property {string} label for those who do not see it
 * @property {string} said the sentence under the name
 * @property {string} zone
 * @property {number[]} time_s
 * @property {(number | null)[]} value shown unit
 * @property {number} from
 * @property {number} until
 * @property {number} now
 * @property {Wall[]} [walls] shown unit
 * @property {(value: number) => string} text without unit
 */

/** @type {Set<TrendChart>} */
const drawn = new Set();

const PRINT_PX = 330; /* half a page of A4 or Letter within its margins */
const PRINT_HEIGHT_PX = 160;
const HEIGHT_PX = 260;

function redraw() {
    drawn.forEach((chart) => chart.plot.isConnected ? chart.redraw() : forget(chart));
}

/** @param {boolean} is_paper */
function resize(is_paper) {
    for (const { chart, plot } of drawn)
        chart?.setSize(is_paper ? { width: PRINT_PX, height: PRINT_HEIGHT_PX }
            : { width: Math.max(240, plot.clientWidth), height: HEIGHT_PX });
    redraw();
}

/** @param {TrendChart} chart */
function forget(chart) {
    chart.destroy();
    drawn.delete(chart);
}

matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
addEventListener("beforeprint", () => {
    document.documentElement.dataset.palette = "print";
    resize(true);
});
addEventListener("afterprint", () => {
    delete document.documentElement.dataset.palette;
    resize(false);
});

const OPEN = { from: 0, low: null, high: null, high_is_limit: false };

/**
 * @param {Element} target gets the figure at its end; it must be shown
 * @param {FigureData} data
 */
export function addFigure(target, data) {
    const readout = el("p", { class: "readout" });
    const holder = el("div", {});
    target.append(el("figure", {}, el("h3", {}, data.name),
        el("figcaption", {}, data.said), holder, readout));
    /** @param {number} index */
    const pointText = (index) => {
        const value = data.value[index];
        return value === null || value === undefined ? ""
            : `${fullText(data.zone, data.time_s[index] ?? 0)}: ${data.text(value)}`;
    };
    const chart = new TrendChart(holder, { zone: data.zone, label: data.label,
        text: data.text, onzoom: () => {}, onspeak: announce, pointText,
        onpoint: (index) => {
            readout.textContent = index === null ? "" : pointText(index);
        } });
    chart.plot.removeAttribute("aria-describedby"); /* the help of Trends is not here */
    drawn.add(chart);
    chart.show({ time_s: data.time_s, value: data.value, from: data.from,
        until: data.until, walls: data.walls ?? [OPEN], now: data.now, offLine: [],
        doses: [] });
}

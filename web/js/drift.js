/*
 * What pH does while nobody doses: a sentence and the channel over the days ahead.
 */
import { send } from "./api.js";
import { channelDrawing } from "./channel.js";
import { el, place } from "./dom.js";
import { chips, setScope } from "./form.js";
import { lengthText, lengthUnit } from "./lengths.js";
import { writeNumber } from "./numbers.js";
import { treatmentWords } from "./treatmentwords.js";
import { valueText } from "./units.js";
import { inSentence } from "./words.js";

/** @typedef {{low: number[], likely: number[], high: number[]}} Band */
/** @typedef {{at: number, test_first: {quantity: string}[], depth_is_known: boolean,
 *   ph: Band | null, basis: {mean_depth_m: number, fill_is_known: boolean,
 *   transfer_m_per_d: {low: number, high: number}}}} Answer */

const DAYS = 7;
const DAY_S = 86400;
const WIDTH = 340;

export class Drift {
    /** @param {HTMLElement} target @param {import("./types.js").Site} site
     * @param {{heater: number | undefined, water: number | undefined}} pair
     * @param {{key: string, words: string}[]} quantities
     * @param {() => {low: number, high: number} | null} range of pH that plans aim at */
    constructor(target, site, pair, quantities, range) {
        this.site = site;
        this.pair = pair;
        this.quantities = quantities;
        this.features = "still";
        this.range = range;
        /** @type {Answer | null} */
        this.drawn = null;
        this.answer = el("div", {});
        setScope("drift");
        target.replaceChildren(el("h2", {}, treatmentWords.drift), this.answer,
            chips("features", treatmentWords.driftFeatures, treatmentWords.driftStirs, "still",
                (value) => {
                    this.features = value;
                    this.read();
                }));
        this.target = target;
    }

    async read() {
        try {
            this.drawn = (await send("POST", "drift/trial", { ...this.pair, days: DAYS,
                features: this.features })).body;
            this.redraw();
            this.target.hidden = false;
        } catch (error) {
            console.info(error); /* the plan beside it says what is wrong */
            this.target.hidden = true;
        }
    }

    /** The same answer, between the walls of now. */
    redraw() {
        if (this.drawn)
            this.draw(this.drawn);
    }

    /** @param {Answer} answer */
    draw(answer) {
        const say = treatmentWords;
        if (!answer.ph) {
            place(this.answer, el("p", {}, answer.depth_is_known
                ? say.driftNeeds(answer.test_first.map((t) => inSentence(this.quantities.find(
                    (q) => q.key === t.quantity)?.words ?? t.quantity)).join(", "))
                : say.driftDepth));
            return;
        }
        const { mean_depth_m, transfer_m_per_d, fill_is_known } = answer.basis;
        const number = (/** @type {number} */ v) => writeNumber(v, 1, this.site.decimal_comma);
        place(this.answer, el("p", {}, this.sentence(answer.ph)),
            this.drawing(answer, answer.ph),
            el("p", { class: "quiet" }, say.driftRests(
                `${lengthText(mean_depth_m, this.site)} ${lengthUnit(this.site)}`,
                `${number(transfer_m_per_d.low)} – ${number(transfer_m_per_d.high)}`)),
            fill_is_known ? null : el("p", { class: "quiet" }, say.driftFill));
    }

    /** @param {number} v */
    text(v) {
        return valueText("ph", Math.round(v * 10) / 10, "", this.site);
    }

    /** @param {Band} ph */
    sentence(ph) {
        const from = this.text(ph.likely[0] ?? 0);
        const low = this.text(Math.min(ph.low[DAYS] ?? 0, ph.high[DAYS] ?? 0));
        const high = this.text(Math.max(ph.low[DAYS] ?? 0, ph.high[DAYS] ?? 0));
        return low === high && low === from ? treatmentWords.driftSteady(from, DAYS)
            : treatmentWords.driftLead(from, low, high, DAYS);
    }

    /** @param {Answer} answer @param {Band} ph */
    drawing(answer, ph) {
        const range = this.range();
        return channelDrawing({ label: `${treatmentWords.driftDrawing}: ${this.sentence(ph)}`,
            time_s: ph.likely.map((_, i) => answer.at + i * DAY_S), value: ph.likely,
            band: { low: ph.low, high: ph.high }, low: range?.low ?? null,
            high: range?.high ?? null, high_is_limit: false, from: answer.at, now: answer.at, until: answer.at + DAYS * DAY_S,
            good_until: null, zone: this.site.zone, text: (v) => this.text(v) }, WIDTH);
    }
}

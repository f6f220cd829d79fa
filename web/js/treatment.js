/*
 * The Treatment page: the plan as sentences to tick off, every value before and after,
 * and "what if" by dragging or typing. The daemon computes; nothing is guessed here.
 */
import { makeKey, Problem, get, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { fillForm } from "./fillwater.js";
import { keep, kept, now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { StepWords } from "./plansteps.js";
import { Shed } from "./shed.js";
import { Drift } from "./drift.js";
import { volumeByDose } from "./volumedose.js";
import { Wanted } from "./wanted.js";
import { clockText, fullText, momentText } from "./time.js";
import { stepChannel } from "./treatchannel.js";
import { treatmentWords } from "./treatmentwords.js";
import { byMember, undoButton } from "./undo.js";
import { readValue } from "./typed.js";
import { shownUnit, toShown, toStored, valueText } from "./units.js";
import { words } from "./words.js";
import { writeNumber } from "./numbers.js";

/** @typedef {import("./types.js").Treatment} Treatment */
/** @typedef {import("./types.js").TreatmentStep} Step */
/** @typedef {import("./types.js").TreatmentValue} Value */

const KEEP_S = 3 * 86400; /* an unfinished plan is offered for so long */

/** Steps of a drag. @type {Record<string, number>} */
const GRAIN = { ph: 0.05, free_chlorine_mg_per_l: 0.1, total_alkalinity_mg_per_l_caco3: 5,
    calcium_hardness_mg_per_l_caco3: 10, cyanuric_acid_mg_per_l: 5, salt_mg_per_l_nacl: 50,
    borate_mg_per_l_b: 1 };

/** Which of its sources the rise to the hot surface has. @param {string} source */
function riseKind(source) {
    if (source === "own")
        return "own";
    const outlet = source.startsWith("outlet"), assumed = source.includes("illustrative");
    return outlet ? assumed ? "outlet" : "heater" : assumed ? "illustrative" : "film";
}

class TreatmentPage {
    /** @param {import("./frame.js").Place} where @param {any} lists */
    constructor(where, lists) {
        this.site = where.site;
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        this.quantities = lists.quantities;
        this.say = new StepWords(where.site, lists.quantities, lists.products);
        /** @type {Treatment | null} */
        this.plan = null;
        /** @type {Record<string, {at: number, id?: number}>} */
        this.ticked = {};
        /** @type {Record<string, number>} */
        this.tried = {};
        this.isAsking = false;
        this.asksAgain = false;
        /** @type {Map<string, {input: HTMLInputElement, drawing: HTMLElement,
         *   text: HTMLElement, held: [number, number] | null}>} */
        this.rows = new Map();
        this.shed = new Shed(byId("shed"), this.site, lists.products, () => {
            if (Object.keys(this.ticked).length === 0)
                this.ask();
        });
        this.drift = new Drift(byId("drift"), this.site, this.pair, lists.quantities,
            () => this.wanted.range("ph"));
        volumeByDose(byId("volume"), this.site, `waters/${this.pair.water}`, () => {
            this.ask();
            this.drift.read();
        });
        this.wanted = new Wanted(byId("wanted"), this.site, lists.quantities,
            `waters/${this.pair.water}/wanted`, () => {
                this.ask();
                this.drift.redraw();
            });
        this.fillPart = fillForm(byId("fill"), this.site, lists.quantities,
            `waters/${this.pair.water}/fill`, () => this.ask());
    }

    async start() {
        await Promise.all([this.shed.read(), this.fillPart.read(), this.wanted.read()]);
        this.drift.read();
        const old = this.unfinished();
        if (old) {
            this.plan = old.plan;
            this.ticked = old.ticked;
            this.draw();
        } else {
            await this.ask();
        }
    }

    /* ---- asking ---- */

    get isTrial() {
        return Object.keys(this.tried).length > 0;
    }

    /** One question at a time, the newest values next: that is as fast as the answers come
     * and never draws an older one over a newer. */
    async ask() {
        this.asksAgain = this.isAsking;
        if (this.isAsking)
            return;
        this.isAsking = true;
        await this.askOnce();
        this.isAsking = false;
        if (this.asksAgain)
            await this.ask();
    }

    async askOnce() {
        const isTrial = this.isTrial;
        try {
            const answer = await send("POST", "treatment/trial", { ...this.pair,
                ...(isTrial ? { values: this.tried } : {}) });
            if (isTrial !== this.isTrial)
                return; /* a trial's step could be ticked off */
            this.plan = answer.body;
            this.draw();
        } catch (error) {
            if (this.asksAgain)
                return;
            const text = error instanceof Problem && error.code === "no_such_water"
                ? treatmentWords.noWater : error instanceof Problem ? error.message
                    : words.unreachable;
            place(byId("plan"), el("p", { class: "message" },
                treatmentWords.failed, text), this.back());
        }
    }

    /** @param {string} key @param {number} stored */
    try(key, stored) {
        if (this.tried[key] === stored)
            return;
        this.tried[key] = stored;
        this.ask();
    }

    /* ---- a plan that is being worked through ---- */

    keepPlan() {
        keep(`plan.${this.pair.water}`, Object.keys(this.ticked).length === 0 ? null
            : JSON.stringify({ plan: this.plan, ticked: this.ticked }));
    }

    /** @returns {{plan: Treatment, ticked: Record<string, {at: number, id?: number}>} | null} */
    unfinished() {
        try {
            const old = JSON.parse(kept(`plan.${this.pair.water}`) ?? "null");
            return old && now() - old.plan.at < KEEP_S &&
                Object.keys(old.ticked).length < old.plan.steps.length ? old : null;
        } catch {
            return null;
        }
    }

    fresh() {
        this.ticked = {};
        this.keepPlan();
        this.ask();
    }

    /** Logs the dose; other steps are only remembered. @param {Step} step @param {number} i
     * @param {HTMLElement} holder @param {string} key */
    async tick(step, i, holder, key) {
        try {
            /** @type {import("./types.js").Fact | null} */
            let fact = null;
            if (step.kind === "dose") {
                fact = (await send("POST", "doses", { water: this.pair.water,
                    product: step.product, amount: step.amount,
                    strength_percent: step.strength_percent, entry: "pool",
                    ...byMember() }, { key })).body;
                this.ticked[i] = { at: fact?.at ?? now(), ...(fact ? { id: fact.id } : {}) };
                await this.shed.take(step.shed, step.amount ?? 0);
            } else {
                this.ticked[i] = { at: now() };
            }
            this.keepPlan();
            this.draw();
            announce(treatmentWords.ticked);
            if (fact)
                this.offerUndo(fact, step, i);
        } catch (error) {
            place(holder, el("p", { class: "message" }, treatmentWords.tickFailed,
                error instanceof Problem ? error.message : words.unreachable),
            this.tickButton(step, i, key));
        }
    }

    /** @param {import("./types.js").Fact} fact @param {Step} step @param {number} i */
    offerUndo(fact, step, i) {
        const holder = document.querySelector(`#plan li:nth-child(${i + 1}) .tick`);
        holder?.append(" ", undoButton("doses", fact, async () => {
            const after = await get(`doses/${fact.id}`);
            if (after.superseded_by === null)
                return;
            delete this.ticked[i];
            await this.shed.take(step.shed, -(step.amount ?? 0));
            this.keepPlan();
            this.draw();
        }));
    }

    /** @param {Step} step @param {number} i @param {string} [key] */
    tickButton(step, i, key = makeKey()) {
        const button = el("button", { type: "button", onclick: () => {
            button.disabled = true;
            this.tick(step, i, /** @type {HTMLElement} */ (button.parentElement), key);
        } }, step.kind === "dose" ? treatmentWords.tick : treatmentWords.tickOther);
        return button;
    }

    /** @param {Step} step @param {number} i */
    action(step, i) {
        const done = this.ticked[i];
        if (done)
            return el("span", { class: "quiet" }, done.id === undefined
                ? treatmentWords.ticked
                : treatmentWords.logged(clockText(this.site.zone, done.at)));
        return this.isTrial ? null : this.tickButton(step, i);
    }

    /* ---- drawing ---- */

    back() {
        return el("p", {}, el("button", { type: "button", onclick: () => {
            this.tried = {};
            this.rows.clear();
            this.ask();
        } }, treatmentWords.trialEnd));
    }

    draw() {
        if (!this.plan)
            return;
        byId("plan").replaceChildren(...this.planNodes(this.plan));
        this.drawValues(this.plan);
        place(byId("saturation"), ...this.saturation(this.plan));
        place(byId("mind"), el("h2", {}, treatmentWords.mind), el("ul", { class: "cautions" },
            this.plan.cautions.map((text) => el("li", {}, text))));
        this.fillPart.show(this.plan.values.some((v) => v.outcome === "fill_unknown" ||
            v.outcome === "after_replace" || v.outcome === "fill_too_high"));
    }

    /** @param {Treatment} plan */
    planNodes(plan) {
        const say = treatmentWords;
        /** @type {HTMLElement[]} */
        const nodes = [];
        const count = Object.keys(this.ticked).length;
        if (this.isTrial)
            nodes.push(el("p", { class: "doubt" }, say.trial), this.back());
        if (!plan.can_plan)
            return [...nodes, ...this.testFirst(plan)];
        nodes.push(el("p", { class: "lead" }, plan.steps.length === 0 ? this.nothing(plan)
            : say.lead(plan.steps.length)));
        if (plan.replace?.is_least)
            nodes.push(el("p", {}, say.replaceLeast(
                writeNumber(plan.replace.fraction * 100, 0, this.site.decimal_comma))));
        if (count > 0)
            nodes.push(el("p", { class: "quiet" }, say.under(
                momentText(this.site.zone, plan.at, now()))));
        if (plan.steps.length > 0)
            nodes.push(el("p", { class: "on-paper" },
                say.made(fullText(this.site.zone, plan.at), this.isTrial)),
            el("ol", { class: "plan" }, plan.steps.map((step, i) =>
                this.say.item(step, this.action(step, i), Boolean(this.ticked[i]),
                    plan.saturation?.surface.half_width ?? null))));
        if (count > 0 && count === plan.steps.length)
            nodes.push(el("p", {}, say.lastStep));
        if (plan.more_follows)
            nodes.push(el("p", {}, say.more));
        nodes.push(el("div", { class: "actions" },
            count > 0 ? el("button", { type: "button", onclick: () => this.fresh() },
                say.fresh) : null,
            plan.steps.length > 0 ? el("button", { type: "button",
                onclick: () => print() }, say.print) : null));
        return nodes;
    }

    /** @param {Treatment} plan */
    nothing(plan) {
        const out = plan.values.filter((v) => v.wanted && v.outcome !== "in_range");
        return out.length === 0 ? treatmentWords.fine
            : out.map((v) => `${this.say.nameOf(v.quantity)}: ${this.outcome(v)}`).join(" ");
    }

    /** @param {Value} value */
    outcome(value) {
        const texts = /** @type {Record<string, string>} */ (treatmentWords.outcomes);
        return texts[value.outcome ?? ""] ?? "";
    }

    /** @param {Treatment} plan */
    testFirst(plan) {
        const say = treatmentWords;
        /** @type {HTMLElement[]} */
        const nodes = [];
        if (plan.test_first.length > 0)
            nodes.push(el("h2", {}, say.testFirst), el("p", {}, say.testFirstLine),
                el("ul", {}, plan.test_first.map((due) => el("li", {},
                    el("b", {}, this.say.nameOf(due.quantity)), `: ${say.why[due.why]}`))),
                el("p", {}, el("a", { href: "readings", class: "button strong" },
                    say.enterTest)));
        if (!plan.volume_is_known)
            nodes.push(el("p", {}, say.needVolume), el("p", {},
                el("a", { href: "setup", class: "button" }, say.setup)));
        return nodes;
    }

    /** Rows stay while one is dragged or typed in. @param {Treatment} plan */
    drawValues(plan) {
        const keys = plan.values.map((v) => v.quantity);
        const same = keys.length === this.rows.size && keys.every((k) => this.rows.has(k));
        if (!same) {
            this.rows.clear();
            byId("values").replaceChildren(el("h2", {}, treatmentWords.values),
                el("p", { class: "quiet" }, treatmentWords.valuesLine),
                ...plan.values.map((v) => this.newRow(v)));
        }
        for (const value of plan.values)
            this.drawRow(plan, value);
    }

    /** @param {Value} value */
    newRow(value) {
        const key = value.quantity;
        const name = this.say.nameOf(key);
        const unit = this.unitOf(key);
        const input = el("input", { type: "text", inputmode: "decimal", autocomplete: "off",
            "aria-label": treatmentWords.tryValue(name),
            oninput: () => this.typed(key, input.value),
            onkeydown: (/** @type {KeyboardEvent} */ event) => this.nudge(event, key, input) });
        const text = el("p", { class: "quiet" });
        const drawing = el("div", {});
        this.rows.set(key, { input, drawing, text, held: null });
        return el("div", { class: "step-value" }, el("div", { class: "try" },
            el("b", {}, name), el("div", { class: "withunit" }, input,
                el("span", { "aria-hidden": "true" }, shownUnit(unit, this.site).symbol
                    .replace(" CaCO3", "")))),
        drawing, text);
    }

    /** @param {string} key @returns {string} */
    unitOf(key) {
        return this.quantities.find((/** @type {any} */ q) => q.key === key)?.unit ?? "";
    }

    /** @param {string} key @param {string} text */
    typed(key, text) {
        const read = readValue(key, text, this.unitOf(key), this.site);
        const input = this.rows.get(key)?.input;
        if (read.ok && this.isPossible(key, read.stored)) {
            input?.removeAttribute("aria-invalid");
            this.try(key, read.stored);
        } else if (text.trim() !== "") {
            input?.setAttribute("aria-invalid", "true");
        }
    }

    /** @param {string} key @param {number} stored */
    isPossible(key, stored) {
        const [low, high] = this.possible(key);
        return stored >= low && stored <= high;
    }

    /** @param {string} key @returns {[number, number]} */
    possible(key) {
        return this.quantities.find((/** @type {any} */ q) => q.key === key)?.possible ??
            [0, 0];
    }

    /** Arrow keys move a value by its grain. @param {KeyboardEvent} event
     * @param {string} key @param {HTMLInputElement} input */
    nudge(event, key, input) {
        const sense = event.key === "ArrowUp" ? 1 : event.key === "ArrowDown" ? -1 : 0;
        const read = readValue(key, input.value, this.unitOf(key), this.site);
        if (sense === 0 || !read.ok)
            return;
        event.preventDefault();
        const grain = GRAIN[key] ?? 1;
        const next = Math.round((read.stored / grain + sense)) * grain;
        if (!this.isPossible(key, next))
            return;
        const stored = Math.round(next * 1e6) / 1e6;
        input.value = valueText(key, stored, this.unitOf(key), this.site);
        this.try(key, stored);
    }

    /** @param {Treatment} plan @param {Value} value */
    drawRow(plan, value) {
        const row = this.rows.get(value.quantity);
        if (!row)
            return;
        const key = value.quantity;
        if (document.activeElement !== row.input && value.value !== null)
            row.input.value = valueText(key, value.value, this.unitOf(key), this.site);
        const text = this.rowText(value);
        row.text.textContent = text;
        if (value.value === null) {
            row.drawing.replaceChildren();
            return;
        }
        const first = plan.steps[0]?.before[key] ?? value.value;
        this.drawChannel(row.drawing, key, value,
            [first, ...plan.steps.map((step) => step.after[key] ?? first)]);
    }

    /** @param {Value} value */
    rowText(value) {
        const say = treatmentWords;
        const sources = /** @type {Record<string, string>} */ (say.sources);
        const range = value.wanted === null ? say.noRange
            : say.range(this.say.text(value.quantity, value.wanted.low),
                this.say.text(value.quantity, value.wanted.high),
                sources[value.wanted.source] ?? value.wanted.source);
        const moved = value.end !== undefined && value.value !== null
            ? `${say.from(this.say.text(value.quantity, value.value),
                this.say.text(value.quantity, value.end))}. ` : "";
        return `${moved}${range}. ${this.outcome(value)}`;
    }

    /** @param {HTMLElement} target @param {string} key @param {Value} value
     * @param {number[]} stored */
    drawChannel(target, key, value, stored) {
        const unit = shownUnit(this.unitOf(key), this.site);
        /** @param {number} v */
        const shown = (v) => toShown(unit, v);
        const [low, high] = this.possible(key);
        const data = { label: treatmentWords.drawing(this.say.nameOf(key),
            this.rowText(value)),
        value: stored.map(shown), low: value.wanted ? shown(value.wanted.low) : null,
        high: value.wanted ? shown(value.wanted.high) : null,
        possible: /** @type {[number, number]} */ ([shown(low), shown(high)]),
        grain: (GRAIN[key] ?? 1) / unit.factor,
        text: (/** @type {number} */ v) => valueText(key, toStored(unit, v),
            this.unitOf(key), this.site),
        tried: (/** @type {number} */ v) => {
            const at = toStored(unit, v);
            const row = this.rows.get(key);
            if (row)
                row.input.value = valueText(key, at, this.unitOf(key), this.site);
            this.try(key, at);
        },
        held: (/** @type {[number, number] | null} */ range) => {
            const row = this.rows.get(key);
            if (row)
                row.held = range;
        } };
        target.replaceChildren(stepChannel(data, this.rows.get(key)?.held ?? undefined));
    }

    /** @param {Treatment} plan */
    saturation(plan) {
        const say = treatmentWords;
        const found = plan.saturation;
        const silent = plan.assumed.filter((a) => a.from === "none")
            .map((a) => this.say.nameOf(a.quantity).toLowerCase());
        const salt = plan.assumed.find((a) => a.from === "dissolved_solids");
        const nodes = [];
        if (found) {
            const rise = this.site.units === "us"
                ? `${writeNumber(found.surface_rise_k * 1.8, 0, this.site.decimal_comma)} °F`
                : `${writeNumber(found.surface_rise_k, 0, this.site.decimal_comma)} °C`;
            const { pool, surface } = found;
            nodes.push(el("h2", {}, say.saturation),
                el("p", {}, say.inPool(this.say.band(pool.start, pool.half_width),
                    this.say.band(pool.end, pool.half_width))),
                el("p", {}, say.atSurface(this.say.band(surface.start, surface.half_width),
                    this.say.band(surface.end, surface.half_width), rise),
                say.rises[riseKind(found.surface_rise_source)] ?? "."),
                el("p", { class: "quiet" }, say.saturationLine));
        }
        if (silent.length > 0)
            nodes.push(el("p", { class: "quiet" }, say.assumed(silent.join(", "))));
        if (salt)
            nodes.push(el("p", { class: "quiet" }, say.assumedSalt(
                this.say.withUnit(salt.quantity, salt.value))));
        return nodes;
    }
}

try {
    const where = await openPlace();
    if (!where.water || !where.heater) {
        showNotSetUp(byId("main"));
    } else {
        const page = new TreatmentPage(where, await get("quantities"));
        await page.start();
    }
    document.body.dataset.ready = "yes";
} catch (error) {
    showFailure(byId("main"), error);
}

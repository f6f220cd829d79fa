/*
 * The Super-chlorination page: from the reason to the confirmed return. The daemon
 * computes and keeps the plan; what is ticked here is there for everybody, also after a
 * restart.
 */
import { makeKey, Problem, get, send } from "./api.js";
import { channelDrawing } from "./channel.js";
import { announce, byId, el, place } from "./dom.js";
import { now, openPlace, showFailure, showNotSetUp } from "./frame.js";
import { writeNumber } from "./numbers.js";
import { dayClockText, momentText } from "./time.js";
import { superWords } from "./superwords.js";
import { byMember } from "./undo.js";
import { amountText } from "./typed.js";
import { valueWithUnit } from "./units.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").SuperAnswer} SuperAnswer */
/** @typedef {import("./types.js").SuperPlan} SuperPlan */
/** @typedef {import("./types.js").SuperProposal} SuperProposal */
/** @typedef {import("./types.js").SuperStep} SuperStep */

const FREE = "free_chlorine_mg_per_l";
const POLL_MS = 60000;

class SuperPage {
    /** @param {import("./frame.js").Place} where */
    constructor(where) {
        this.site = where.site;
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        /** @type {SuperAnswer | null} */
        this.answer = null;
        this.product = 0;
        this.failed = "";
    }

    async start() {
        await this.ask();
        setInterval(() => {
            if (document.visibilityState === "visible")
                this.ask();
        }, POLL_MS);
        let width = 0;
        new ResizeObserver(() => {
            if (byId("course").clientWidth !== width) {
                width = byId("course").clientWidth;
                this.drawCourse();
            }
        }).observe(byId("course"));
    }

    async ask() {
        try {
            this.answer = await get("super-chlorination", this.pair);
            this.draw();
        } catch (error) {
            console.info(error);
            place(byId("lead"), el("p", { class: "message" }, words.unreachable));
        }
    }

    /* ---- changing ---- */

    /** @param {HTMLButtonElement} button @param {() => Promise<any>} change
     * @param {string} said */
    async change(button, change, said) {
        button.disabled = true;
        this.failed = "";
        try {
            await change();
            announce(said);
        } catch (error) {
            this.failed = error instanceof Problem ? error.message : words.unreachable;
            announce(this.failed);
        }
        await this.ask();
    }

    /** @param {SuperPlan} plan @param {string} action @param {object} body
     * @param {string} key */
    tell(plan, action, body, key) {
        return send("POST", `super-chlorination/${plan.id}/${action}`,
            { ...body, ...byMember() }, { key, match: plan.etag });
    }

    startButton() {
        const key = makeKey();
        const button = el("button", { type: "button", class: "wide",
            onclick: () => this.change(button, () => send("POST", "super-chlorination",
                { ...this.pair, ...byMember() }, { key }), superWords.started) },
        superWords.start);
        return button;
    }

    /** @param {SuperPlan} plan @param {SuperStep} step */
    tickButton(plan, step) {
        const key = makeKey();
        const product = this.answer?.proposal?.products[this.product];
        const dose = step.key === "dose" && product && product.amount !== null
            ? { dose: { product: product.product, amount: product.amount,
                strength_percent: product.strength_percent } } : {};
        const button = el("button", { type: "button", class: "wide",
            "aria-label": `${superWords.tick}: ${step.text}`,
            onclick: () => this.change(button,
                () => this.tell(plan, "step", { step: step.key, ...dose }, key),
                superWords.ticked) },
        step.key === "dose" && product ? superWords.tickDose
            : step.key === "confirm" ? superWords.tickConfirm : superWords.tick);
        return button;
    }

    /** @param {SuperPlan} plan */
    endPart(plan) {
        const key = makeKey();
        const reason = el("input", { type: "text", id: "reason", maxlength: "200" });
        const button = el("button", { type: "button", onclick: () => {
            if (reason.value.trim() === "") {
                reason.focus();
                announce(superWords.reasonFirst);
                return;
            }
            this.change(button, () => this.tell(plan, "abandonment",
                { reason: reason.value }, key), superWords.abandoned);
        } }, superWords.abandon);
        return el("details", {}, el("summary", {}, superWords.abandonHead),
            el("p", {}, superWords.abandonMeans),
            el("label", { for: "reason" }, superWords.reason), reason,
            el("p", {}, button));
    }

    /* ---- drawing ---- */

    draw() {
        const answer = /** @type {SuperAnswer} */ (this.answer);
        const { plan } = answer;
        place(byId("lead"), ...(plan ? this.planLead(plan) : this.proposalLead(answer)));
        place(byId("steps"), ...(plan ? this.stepList(plan) : []));
        if (!byId("end").querySelector("details[open]") || !plan)
            place(byId("end"), plan ? this.endPart(plan) : null);
        place(byId("amount"), ...this.amountPart(answer));
        place(byId("ways"), ...this.wayPart(answer));
        place(byId("sooner"), ...this.soonerPart(answer));
        place(byId("back"), el("h2", {}, superWords.backSteps),
            el("p", {}, superWords.backOnly),
            el("ol", { class: "next" }, answer.return_steps.map((s) => el("li", {}, s))),
            el("h2", {}, superWords.disagree), el("p", {}, superWords.disagreeText));
        place(byId("history"), ...(plan ? this.log(plan) : []));
        this.drawCourse();
    }

    /** @param {SuperPlan} plan */
    planLead(plan) {
        return [el("p", { class: "lead" }, plan.text),
            el("p", {}, superWords.holdNote(
                momentText(this.site.zone, plan.started_at, now()), plan.by)),
            this.failed === "" ? null
                : el("p", { class: "message", role: "alert" }, this.failed),
            this.returnLine()];
    }

    /** @param {SuperAnswer} answer */
    proposalLead(answer) {
        const failed = this.failed === "" ? null
            : el("p", { class: "message", role: "alert" }, this.failed);
        if (answer.test_first.length > 0)
            return [el("p", { class: "lead" }, superWords.testFirst), failed,
                el("ul", {}, answer.test_first.map((key) =>
                    el("li", {}, superWords.lacks[
                        /** @type {keyof typeof superWords.lacks} */ (key)] ?? key))),
                el("p", {}, el("a", { class: "button", href: "readings" },
                    words.permit.enter)),
                el("p", {}, superWords.startAnyway), el("p", {}, this.startButton())];
        return [el("p", { class: "lead" }, answer.proposal?.helps
            ? superWords.lead : superWords.leadNoHelp), failed,
        el("p", {}, superWords.startMeans), this.returnLine(),
        el("p", {}, this.startButton())];
    }

    returnLine() {
        const back = this.answer?.return ?? null;
        if (!back || back.earliest === null)
            return el("p", {}, superWords.cannotSay,
                (this.answer?.notes ?? []).map((note) => ` ${note.text}.`).join(""));
        /** @param {number | null} at */
        const text = (at) => at === null ? superWords.unknownTime
            : momentText(this.site.zone, at, now());
        return el("p", {}, superWords.backAt(text(back.earliest), text(back.likely),
            text(back.latest)), " ", superWords.mustConfirm);
    }

    /** @param {SuperPlan} plan */
    stepList(plan) {
        /** @type {HTMLElement[]} */
        const parts = [];
        for (const phase of /** @type {const} */ (["planned", "heater_off_line", "dosed",
            "coming_down"])) {
            const steps = plan.steps.filter((step) => step.phase === phase);
            parts.push(el("h2", {}, superWords.phases[phase]),
                el("ol", { class: "ticks" }, steps.map((step) => el("li",
                    { class: step.ticked_at !== null ? "done" : step.is_open ? "open"
                        : "later" },
                    el("p", {}, this.stepText(step)), this.stepEnd(plan, step)))));
        }
        return parts;
    }

    /** @param {SuperStep} step */
    stepText(step) {
        const product = this.answer?.proposal?.products[this.product];
        if (step.key !== "dose" || !product || product.amount === null)
            return step.text;
        return `${step.text} ${this.amountOf(product)}`;
    }

    /** @param {import("./types.js").SuperProduct} product */
    amountOf(product) {
        return superWords.amount(
            amountText(product.amount ?? 0, product.unit === "mL", this.site),
            inSentence(product.words),
            writeNumber(product.strength_percent ?? 0, 2, this.site.decimal_comma));
    }

    /** @param {SuperPlan} plan @param {SuperStep} step */
    stepEnd(plan, step) {
        if (step.ticked_at !== null)
            return el("p", { class: "quiet" }, superWords.doneBy(
                momentText(this.site.zone, step.ticked_at, now()), step.by ?? ""));
        if (!step.is_open)
            return null;
        if (step.key === "dose" && plan.steps.some((s) => s.is_open && s.key !== "dose"))
            return el("p", { class: "quiet" }, superWords.othersFirst);
        return this.tickButton(plan, step);
    }

    /** @param {number | null} value */
    mg(value) {
        return value === null ? "–" : valueWithUnit(FREE, value, "mg/L", this.site);
    }

    /** @param {SuperAnswer} answer */
    amountPart(answer) {
        const p = answer.proposal;
        if (!p)
            return [];
        const say = superWords;
        return [el("h2", {}, say.howMuch),
            ...p.warnings.map((text) => el("p", { class: "message" }, text)),
            el("p", {}, say.level(this.mg(p.level_mg_per_l), this.mg(p.dose_mg_per_l)),
                " ", p.why),
            el("table", {}, el("tbody", {},
                this.row(say.combined, this.mg(p.combined_chlorine_mg_per_l)),
                this.row(say.stoichiometric, this.mg(p.stoichiometric_mg_per_l)),
                this.row(say.trade, this.mg(p.trade_level_mg_per_l)),
                this.row(say.hocl, p.hocl_level_mg_per_l === null ? say.notTested
                    : this.mg(p.hocl_level_mg_per_l)),
                p.ph_spent === null ? null : this.row(say.phSpent,
                    writeNumber(p.ph_spent, 2, this.site.decimal_comma)),
                this.row(say.pump, say.hours(writeNumber(p.pump_h, 0,
                    this.site.decimal_comma))))),
            el("fieldset", {}, el("legend", {}, say.with), p.products.map((product, i) =>
                el("label", { class: "check" }, el("input", { type: "radio",
                    name: "product", checked: i === this.product, onchange: () => {
                        this.product = i;
                        this.draw();
                    } }), el("span", {}, this.amountOf(product),
                    product.shed === null ? null : product.is_enough ? say.inShed
                        : say.notEnough))))];
    }

    /** @param {string} name @param {string} value */
    row(name, value) {
        return el("tr", {}, el("th", { scope: "row" }, name), el("td", {}, value));
    }

    /** @param {SuperAnswer} answer */
    wayPart(answer) {
        const ways = answer.without_bypass;
        if (!ways)
            return [];
        const say = superWords;
        /** @param {number | null} n */
        const number = (n) => n === null ? "–" : writeNumber(n, 1,
            this.site.decimal_comma);
        return [el("h2", {}, say.ways), el("p", {}, say.waysMean), el("div",
            { class: "scroll", tabindex: "0", role: "region", "aria-label": say.ways },
            el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, say.way),
                el("th", { scope: "col" }, say.wayHours),
                el("th", { scope: "col" }, say.wayWeighted),
                el("th", { scope: "col" }, say.wayRemains))),
            el("tbody", {}, ways.ways.map((way) => el("tr", {},
                el("th", { scope: "row" }, way.text, way.key === ways.least
                    ? el("b", {}, ` (${say.least})`) : null),
                el("td", {}, number(way.hours)), el("td", {}, number(way.weighted_h)),
                el("td", {}, way.remains)))))),
        el("p", { class: "quiet" }, ways.weights)];
    }

    /** @param {SuperAnswer} answer */
    soonerPart(answer) {
        const n = answer.neutraliser;
        if (!n)
            return [];
        const say = superWords;
        /** @param {number | null} g */
        const grams = (g) => g === null ? "–" : amountText(g, false, this.site);
        return [el("h2", {}, say.sooner), el("p", {}, say.soonerBy(this.mg(n.drop_mg_per_l))),
            el("ul", {}, n.agents.map((a) => el("li", {}, say.agent(inSentence(a.words),
                grams(a.low_g), grams(a.high_g), grams(a.field_g), grams(a.first_g)),
            " ", say.alkalinity(this.mg(a.alkalinity_loss_high_mg_per_l_caco3))))),
            el("ul", {}, n.rules.map((rule) => el("li", {}, rule)))];
    }

    /** @param {SuperPlan} plan */
    log(plan) {
        return [el("h2", {}, superWords.log), el("ul", {}, plan.events.map((event) =>
            el("li", {}, superWords.logLine(dayClockText(this.site.zone, event.at),
                event.by, plan.steps.find((s) => s.key === event.step)?.text ??
                    superWords.started))))];
    }

    drawCourse() {
        const answer = this.answer;
        const width = Math.min(720, byId("course").clientWidth);
        if (!answer || answer.course.time_s.length < 2 || width < 120 ||
            answer.course[FREE].likely[0] === null)
            return place(byId("course"));
        const course = answer.course;
        const last = course.time_s[course.time_s.length - 1] ?? answer.at;
        place(byId("course"), el("h2", {}, answer.plan && answer.plan.state !== "planned" &&
            answer.plan.state !== "heater_off_line" ? superWords.courseNow
            : superWords.courseIf),
        channelDrawing({ label: superWords.courseLabel(this.mg(answer.ceiling_mg_per_l),
            this.mg(course[FREE].likely[0] ?? null)),
        time_s: course.time_s, value: course[FREE].likely,
        band: { low: course[FREE].low, high: course[FREE].high },
        low: null, high: answer.ceiling_mg_per_l, high_is_limit: true,
        from: course.time_s[0] ?? answer.at, now: answer.at, until: last,
        good_until: null, zone: this.site.zone,
        text: (v) => writeNumber(v, 1, this.site.decimal_comma) }, width),
        el("p", { class: "quiet" }, superWords.courseBand));
    }
}

try {
    const where = await openPlace();
    if (!where.water || !where.heater)
        showNotSetUp(byId("main"));
    else
        await new SuperPage(where).start();
    document.body.dataset.ready = "yes";
} catch (error) {
    showFailure(byId("main"), error);
}

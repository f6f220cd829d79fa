/*
 * The Heater page: asks the daemon once a minute while it is seen, draws the answer, and
 * watches by itself that the answer has not run out.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { channelDrawing } from "./channel.js";
import { announce, byId, el, place } from "./dom.js";
import { Elapsed } from "./elapsed.js";
import { now, openPlace, setNow, showFailure, showNotSetUp } from "./frame.js";
import { answerBlock, judge, numberCell, testedText, titleText,
    valueLines } from "./permit.js";
import { listen } from "./live.js";
import { StateControl } from "./state.js";
import { ageText, clockText, dayClockText, spanText } from "./time.js";
import { shownUnit, toShown, valueText, valueWithUnit } from "./units.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").PermitAnswer} PermitAnswer */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").SeriesAnswer} SeriesAnswer */
/** @typedef {import("./types.js").Site} Site */

const POLL_MS = 60000;
const RETRY_MS = 15000;
const LOOK_MS = 1000;
const BACK_S = 9 * 86400; /* days that the small drawings show */

/** @param {PermitAnswer} answer */
const reasonsOf = ({ water_side, burner_side }) =>
    [...water_side.reasons, ...burner_side.reasons];

class HeaterPage {
    /** @param {import("./frame.js").Place} where */
    constructor(where) {
        this.where = where;
        this.site = where.site;
        /** @type {PermitAnswer | null} */
        this.answer = null;
        /** @type {SeriesAnswer | null} */
        this.series = null;
        this.asked = new Elapsed();
        this.failing = false;
        this.turn = 0;
        this.taken = 0;
        this.shown = "";
        this.timer = 0;
        this.state = new StateControl(byId("state"), where.heater, where.site,
            () => this.poll());
    }

    start() {
        setInterval(() => this.look(), LOOK_MS);
        /* Wake-ups: a hidden tab, a page kept by the browser's back button, a sleeping
         * device. First look at the clocks, then ask. */
        const wake = () => {
            if (document.visibilityState !== "visible")
                return;
            this.look();
            this.poll();
        };
        document.addEventListener("visibilitychange", wake);
        addEventListener("pageshow", (event) => {
            if (event.persisted)
                wake();
        });
        document.addEventListener("resume", wake);
        addEventListener("online", wake);
        listen(() => this.poll());
        let width = 0;
        new ResizeObserver(() => {
            if (byId("why").clientWidth !== width) {
                width = byId("why").clientWidth;
                this.drawValues();
            }
        }).observe(byId("why"));
        return this.poll();
    }

    async poll() {
        clearTimeout(this.timer);
        const asked = new Elapsed();
        const turn = ++this.turn;
        const query = { heater: this.where.heater?.id, water: this.where.water?.id };
        try {
            const answer = /** @type {PermitAnswer} */ (await get("permit", query));
            if (turn < this.taken)
                return; /* a later question was answered already */
            this.taken = turn;
            this.take(answer, asked);
            this.failing = false;
            await Promise.all([this.askSeries(answer), this.askClock(answer)]);
        } catch (error) {
            console.info(error);
            this.failing = true;
        }
        this.look();
        const gone = this.failing || !this.isLive();
        clearTimeout(this.timer);
        this.timer = setTimeout(() => {
            if (document.visibilityState === "visible")
                this.poll();
        }, gone ? RETRY_MS : POLL_MS);
    }

    /** @param {PermitAnswer} answer @param {Elapsed} asked */
    take(answer, asked) {
        this.answer = answer;
        this.asked = asked;
        setNow(answer.at, new Elapsed());
        this.state.show(answer);
        this.askInspection(answer);
        this.look();
        this.drawValues();
    }

    isLive() {
        return this.answer !== null && judge(this.answer, this.asked.seconds()).live;
    }

    /** A form for what a technician found, loaded only where the permit asks for it; what
     * was logged a moment ago stays, with its undo. @param {PermitAnswer} answer */
    async askInspection(answer) {
        const asks = answer.burner_side.reasons.some((reason) =>
            reason.rule === "exposure_severe" || reason.rule === "inspection_failed");
        const part = byId("inspection");
        if (asks && part.childElementCount === 0) {
            const { inspectionPart } = await import("./inspection.js");
            place(part, inspectionPart(answer.heater, () => this.poll()));
        } else if (!asks && part.querySelector(".undo") === null) {
            place(part);
        }
    }

    /** Once a second: is what stands here still so? */
    look() {
        const answer = this.answer;
        if (!answer) {
            if (this.failing)
                place(byId("answer"), el("p", { class: "lead" }, words.permit.unreachable));
            return;
        }
        const seconds = this.asked.seconds();
        const judged = judge(answer, seconds);
        const key = `${judged.shown} ${judged.turned} ${judged.live}`;
        const turned = this.shown !== "" && this.shown !== key;
        place(byId("answer"), answerBlock(answer, judged, this.site, now()));
        place(byId("live"), this.liveText(answer, seconds, judged.live));
        place(byId("next"), ...this.nextSteps(answer, judged));
        if (this.shown !== key) {
            this.shown = key;
            document.title = titleText(judged.shown, this.site);
            if (turned)
                announce(words.permit[judged.shown]);
            if (turned && (judged.turned !== null || !judged.live))
                this.poll();
        }
    }

    /** @param {PermitAnswer} answer @param {number} seconds @param {boolean} live */
    liveText(answer, seconds, live) {
        if (!live)
            return "";
        if (this.failing)
            return words.permit.trying(clockText(this.site.zone, answer.at));
        return words.permit.live(ageText(seconds));
    }

    /** @param {PermitAnswer} answer @param {import("./permit.js").Judged} judged */
    nextSteps(answer, judged) {
        const steps = judged.turned === "lost" ? words.permit.lostNext
            : judged.turned === "over" ? words.permit.overNext : answer.next;
        /** @param {string} href @param {string} text */
        const way = (href, text) => el("p", {}, el("a", { class: "button", href }, text));
        const rules = reasonsOf(answer).map((reason) => reason.rule);
        const parts = [];
        if (steps.length > 0)
            parts.push(el("h2", {}, words.permit.next), el("ol", { class: "next" },
                steps.map((step) => el("li", {}, step))));
        if (!judged.live)
            parts.push(el("p", {}, el("button", { type: "button", class: "wide",
                onclick: () => this.poll() }, words.permit.again)));
        else if (judged.shown !== "run")
            parts.push(way("readings", words.permit.enter));
        if (rules.includes("plan_running"))
            parts.push(el("p", {}, words.superc.running),
                way("super-chlorination", words.superc.goOn));
        if (rules.some((rule) => rule.startsWith("line_fault")))
            parts.push(way("line", words.permit.openLine));
        if (judged.live && answer.water_side.permit === "hold")
            parts.push(way("treatment", words.permit.openTreatment));
        return parts;
    }

    /** @param {PermitAnswer} answer */
    async askSeries(answer) {
        const deciding = answer.values.filter((value) => value.decides);
        if (deciding.length === 0)
            return;
        const oldest = Math.min(...deciding.map((value) => value.at ?? answer.at));
        this.series = await get("series", { water: answer.water,
            values: deciding.map((value) => value.quantity).join(","),
            from: Math.min(answer.at - BACK_S, oldest - 86400), until: answer.at,
            columns: 300 });
        this.drawValues();
    }

    drawValues() {
        const answer = this.answer;
        if (!answer)
            return;
        const deciding = answer.values.filter((value) => value.decides);
        const others = answer.values.filter((value) => !value.decides);
        const loose = reasonsOf(answer)
            .filter((reason) => reason.text !== answer.headline &&
                !answer.values.some((value) => value.quantity === reason.quantity));
        place(byId("why"), el("h2", {}, words.permit.why),
            loose.length === 0 ? null : el("ul", { class: "reasons" },
                loose.map((reason) => el("li", {}, reason.text))),
            el("dl", { class: "values" },
                deciding.map((value) => this.valueRow(value, answer))));
        place(byId("cautions"), ...this.cautionList(answer));
        place(byId("others"), ...this.otherList(others));
    }

    /** @param {KnownValue} value @param {PermitAnswer} answer */
    valueRow(value, answer) {
        return el("div", {}, el("dt", {}, value.words), numberCell(value, this.site),
            el("dd", { class: "c" }, this.drawing(value, answer)),
            valueLines(value, answer, this.site, now()));
    }

    /** @param {KnownValue} value @param {PermitAnswer} answer */
    drawing(value, answer) {
        if (value.value === null)
            return null;
        const width = Math.min(560, byId("why").clientWidth);
        const column = this.series?.series[value.quantity];
        if (width < 120 || !column || !this.series)
            return null;
        const unit = shownUnit(value.unit, this.site);
        /** @param {number | null} v */
        const shown = (v) => v === null ? null : toShown(unit, v);
        /** @param {number} v */
        const text = (v) => valueText(value.quantity, v, value.unit, this.site);
        const known = column.value.filter((v) => v !== null);
        const ahead = answer.permit === "run" && answer.good_until !== null
            ? answer.good_until - answer.at : 0;
        return channelDrawing({
            label: this.drawingLabel(value, known),
            time_s: column.time_s, value: column.value.map(shown),
            low: shown(value.low), high: shown(value.high),
            high_is_limit: value.high_is_limit,
            from: this.series.from, now: answer.at,
            until: answer.at + Math.max(ahead * 1.12, BACK_S / 7),
            good_until: ahead > 0 ? answer.good_until : null, zone: this.site.zone,
            text: (v) => text((v - unit.zero) * unit.factor),
        }, width);
    }

    /** @param {KnownValue} value @param {number[]} known */
    drawingLabel(value, known) {
        /** @param {number} v */
        const text = (v) => valueWithUnit(value.quantity, v, value.unit, this.site);
        const range = known.length === 0 ? words.channel.none
            : words.channel.ranged(text(Math.min(...known)), text(Math.max(...known)));
        const walls = value.low !== null && value.high !== null
            ? words.channel.walls(text(value.low), text(value.high))
            : value.high !== null ? words.channel.upTo(text(value.high))
                : value.low !== null ? words.channel.from(text(value.low)) : "";
        return words.channel.label(value.words, value.value === null ? ""
            : words.channel.latest(text(value.value)), range, walls);
    }

    /** @param {PermitAnswer} answer */
    cautionList(answer) {
        if (answer.cautions.length === 0)
            return [];
        return [el("h2", {}, words.permit.also),
            el("p", { class: "quiet" }, words.permit.moreCautions),
            el("ul", { class: "cautions" }, answer.cautions.map((caution) =>
                el("li", {}, caution.text, caution.next ? ` ${caution.next}` : null)))];
    }

    /** @param {KnownValue[]} others */
    otherList(others) {
        if (others.length === 0)
            return [];
        return [el("h2", {}, words.permit.others), el("dl", { class: "others" },
            others.map((value) => el("div", {}, el("dt", {}, value.words),
                numberCell(value, this.site),
                el("dd", { class: "t" }, testedText(value, now())))))];
    }

    /** A clock that cannot be trusted is said, and can be confirmed.
     * @param {PermitAnswer} answer */
    async askClock(answer) {
        const clock = /** @type {import("./types.js").ClockAnswer} */ (await get("clock"));
        const jumped = clock.jump_s !== 0;
        if (!jumped && !clock.behind_newest_fact) {
            place(byId("clock-doubt")); /* not being set by the network is a caution */
            return;
        }
        place(byId("clock-doubt"), el("div", { class: "doubt" },
            el("p", {}, el("b", {}, jumped
                ? words.clock.jumped(spanText(Math.abs(clock.jump_s)))
                : words.clock.behind), " ",
            words.clock.ask(dayClockText(this.site.zone, answer.at))),
            el("p", {}, el("button", { type: "button", onclick: () => this.confirm() },
                words.clock.yes)),
            el("p", { class: "quiet" }, words.clock.else)));
    }

    async confirm() {
        try {
            await send("POST", "clock/confirmation", byMember(), { key: makeKey() });
        } catch (error) {
            announce(error instanceof Error ? error.message : String(error));
        }
        await this.poll();
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || where.heaters.length === 0) {
        showNotSetUp(byId("main"));
        document.title = words.setupFirst.title;
    } else {
        await new HeaterPage(where).start();
    }
} catch (error) {
    await showLess(error);
}

/** Whoever has not logged in gets the permit alone, where the owner lets the family.
 * @param {unknown} error */
async function showLess(error) {
    try {
        if (!(error instanceof Problem) || error.status !== 401)
            throw error;
        const answer = await get("permit");
        (await import("./family.js")).showFamily(answer);
    } catch (refused) {
        showFailure(byId("main"), refused);
    }
}

/*
 * What people notice: large choices, and for each what it may be, what to check, when to
 * stop and call. A smell of gas is another matter: leave first, all else later.
 */
import { get, makeKey, send } from "./api.js";
import { careWords as say } from "./carewords.js";
import { el, place } from "./dom.js";
import { endParts, readEnds, showRefusal } from "./factform.js";
import { clearFaults, setScope, showFaults } from "./form.js";
import { keep, kept, now } from "./frame.js";
import { photoAdder } from "./photos.js";
import { sendOnce, showSaved } from "./saved.js";
import { fullText } from "./time.js";
import { byMember, undoButton } from "./undo.js";
import { When } from "./when.js";

/** @typedef {import("./types.js").Symptom} Symptom */
/** @typedef {import("./types.js").SymptomKind} SymptomKind */
/** @typedef {import("./form.js").FormFault} FormFault */

const LISTED = 20;
const SAME_SMELL_S = 900;

/** Whoever loads the screen again within a quarter of an hour tells of the same smell:
 * one key, one entry. @param {object} body */
function gasKey(body) {
    const text = JSON.stringify(body);
    const before = JSON.parse(kept("gas") ?? "{}");
    if (before.text === text && Math.abs(now() - before.at) < SAME_SMELL_S)
        return before.key;
    const key = makeKey();
    keep("gas", JSON.stringify({ text, key, at: now() }));
    return key;
}

export class Signs {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where with a heater
     * @param {SymptomKind[]} kinds
     * @param {() => void} changed
     */
    constructor(target, where, kinds, changed) {
        this.target = target;
        this.where = where;
        this.kinds = kinds;
        this.changed = changed;
    }

    /** All choices. */
    show() {
        const list = el("div", {});
        this.target.replaceChildren(el("h1", { tabindex: "-1" }, say.headSigns),
            el("p", { class: "lead" }, say.signsLead),
            el("ul", { class: "plain-list signs" }, this.kinds.map((kind) => el("li", {},
                el("button", { type: "button", class: `sign-choice ${kind.rank}`,
                    onclick: () => this.choose(kind) }, el("b", {}, kind.name), " ",
                el("span", {}, say.ranks[kind.rank]))))),
            el("p", { class: "quiet" }, say.noDiagnosis), list);
        this.loadList(list);
    }

    /** @param {SymptomKind} kind */
    choose(kind) {
        if (kind.rank === "leave")
            location.hash = "#gas";
        else
            this.showKind(kind, el("div", {}));
        scrollTo(0, 0);
    }

    /** @param {SymptomKind} kind @param {HTMLElement} saved */
    showKind(kind, saved) {
        setScope("sign");
        const when = new When(this.where.site.zone);
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.log(form, when, kind);
            } }, when.node, endParts(say.loggedBy, say.logIt));
        const head = el("h1", { tabindex: "-1" }, kind.name);
        this.target.replaceChildren(saved, head, el("p", { class: "stop-when" },
            el("b", {}, `${say.stopWhen}: `), kind.stop),
        el("h2", {}, say.check), el("ul", {}, kind.checks.map((text) =>
            el("li", {}, text))),
        el("h2", {}, say.mayBe), el("ul", {}, kind.causes.map((text) =>
            el("li", {}, text))),
        el("p", { class: "quiet" }, say.noDiagnosis),
        el("h2", {}, say.logIt), el("p", {}, kind.holds_burner ? say.logHolds : ""), form,
        el("p", {}, el("button", { type: "button", onclick: () => {
            this.show();
            this.target.querySelector("h1")?.focus();
        } }, say.allSigns)));
        head.focus();
    }

    /** @param {HTMLFormElement} form @param {When} when @param {SymptomKind} kind */
    async log(form, when, kind) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        const body = { heater: this.where.heater?.id, kind: kind.kind,
            ...readEnds(form, when, faults) };
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            const answer = await sendOnce("draft.sign", "symptoms", body);
            this.changed();
            const saved = el("div", {});
            this.showKind(kind, saved);
            showSaved(saved, "symptoms", answer.body, kind.name, this.where, this.changed);
            saved.append(photoAdder("symptom", answer.body.id));
        } catch (error) {
            showRefusal(form, when, error);
        }
        return undefined;
    }

    /* ---- a smell of gas ---- */

    /** Nothing but what to do now; the entry is made behind it. */
    leave() {
        const after = el("div", { class: "after", role: "status" });
        const head = el("h1", { tabindex: "-1" }, say.leaveHead);
        this.target.replaceChildren(el("div", { class: "leave" }, head,
            el("ol", {}, [say.leaveOut, say.leaveNot, say.leaveCall, say.leaveBack]
                .map((text) => el("li", {}, text)))), after);
        head.focus();
        this.logGas(after);
    }

    /** @param {HTMLElement} target */
    async logGas(target) {
        const body = { heater: this.where.heater?.id, kind: "gas_smell", ...byMember() };
        try {
            const answer = await send("POST", "symptoms", body, { key: gasKey(body) });
            this.changed();
            place(target, el("p", {}, say.leaveLogged), el("p", { class: "actions" },
                undoButton("symptoms", answer.body, this.changed)));
        } catch (error) {
            console.info(error);
            place(target, el("p", {}, say.leaveNotLogged));
        }
        target.append(el("p", {}, el("a", { class: "button", href: "#signs" },
            say.allSigns)));
    }

    /* ---- noticed so far ---- */

    /** @param {HTMLElement} target */
    async loadList(target) {
        const answer = await get("symptoms", { heater: this.where.heater?.id,
            limit: LISTED }).catch(() => ({ symptoms: [] }));
        place(target, el("h2", {}, say.signsHead), answer.symptoms.length === 0
            ? el("p", { class: "quiet" }, say.noSigns)
            : el("ul", { class: "facts" }, answer.symptoms.map(
                (/** @type {Symptom} */ one) => el("li", {},
                    el("p", { class: "when" }, fullText(this.where.site.zone, one.at)),
                    el("p", { class: "what" }, el("b", {}, this.kinds.find((kind) =>
                        kind.kind === one.kind)?.name ?? one.kind),
                    one.by ? `, ${say.visitBy(one.by)}` : ""),
                    one.note ? el("p", { class: "quiet" }, one.note) : null))));
    }
}

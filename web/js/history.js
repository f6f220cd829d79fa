/*
 * What was entered, newest first. A corrected value stays, struck through, with the
 * reason; a withdrawn fact can be brought back. Nothing is ever deleted.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { field, textInput } from "./form.js";
import { historyWords } from "./historywords.js";
import { fullText } from "./time.js";
import { amountText } from "./typed.js";
import { valueWithUnit } from "./units.js";
import { byMember } from "./undo.js";
import { inSentence, words } from "./words.js";

/** @typedef {import("./types.js").Fact} Fact */
/** @typedef {import("./types.js").Reading} Reading */
/** @typedef {import("./types.js").Dose} Dose */
/** @typedef {import("./types.js").HeaterState} HeaterState */
/** @typedef {import("./types.js").Run} Run */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Product} Product */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {"readings" | "doses" | "runs" | "heater-states"} Kind */

const PAGE = 25;
const LATE_S = 3600; /* told so much later than it was: worth saying */

/** Members of a fact that a new one must not repeat. */
const NOT_SENT = ["id", "etag", "recorded_at", "supersedes", "superseded_by",
    "withdrawn", "batch", "reason", "unit", "by"];

export class History {
    /**
     * @param {HTMLElement} target
     * @param {Place} where
     * @param {Quantity[]} quantities
     * @param {Product[]} products
     * @param {(kind: Kind, fact: Fact) => void} correct opens the form for a correction
     */
    constructor(target, where, quantities, products, correct) {
        this.where = where;
        this.quantities = quantities;
        this.products = products;
        this.correct = correct;
        /** @type {Kind} */
        this.kind = "readings";
        /** @type {Map<number, Fact>} */
        this.facts = new Map();
        /** @type {string | null} */
        this.more = null;
        this.tabs = el("div", { class: "spans", role: "group",
            "aria-label": entryWords.headHistory });
        this.note = el("p", { class: "note", role: "status" });
        this.list = el("ul", { class: "facts" });
        this.foot = el("p", { class: "actions" });
        place(target, this.tabs, this.note, this.list, this.foot);
        this.drawTabs();
    }

    drawTabs() {
        /** @type {[Kind, string][]} */
        const kinds = [["readings", historyWords.readings], ["doses", historyWords.doses],
            ["runs", historyWords.runs], ["heater-states", historyWords.states]];
        this.tabs.replaceChildren(...kinds.map(([kind, text]) => el("button",
            { type: "button", "aria-pressed": String(kind === this.kind), onclick: () => {
                this.kind = kind;
                this.drawTabs();
                this.load();
                this.tabs.querySelectorAll("button").forEach((b) => {
                    if (b.getAttribute("aria-pressed") === "true")
                        b.focus();
                });
            } }, text)));
    }

    /** From the newest. */
    async load() {
        this.facts.clear();
        this.more = null;
        await this.page();
    }

    async page() {
        const subject = this.kind === "heater-states"
            ? { heater: this.where.heater?.id } : { water: this.where.water?.id };
        const kind = this.kind;
        try {
            const answer = await get(kind, { ...subject, limit: PAGE, history: true,
                before: this.more });
            if (kind !== this.kind)
                return; /* another list was asked for meanwhile */
            const member = kind === "heater-states" ? "heater_states" : kind;
            for (const fact of answer[member] ?? answer[kind])
                this.facts.set(fact.id, fact);
            this.more = answer.more;
        } catch (error) {
            place(this.note, words.failed,
                error instanceof Problem ? error.message : words.unreachable);
        }
        this.draw();
    }

    draw() {
        const heads = [...this.facts.values()].filter((fact) => !fact.superseded_by)
            .sort((a, b) => b.at - a.at || b.id - a.id);
        this.list.replaceChildren(...heads.map((fact) => this.row(fact)));
        if (heads.length === 0)
            this.list.replaceChildren(el("li", { class: "quiet" }, historyWords.none));
        place(this.foot, this.more ? el("button", { type: "button",
            onclick: () => this.page() }, historyWords.more) : null);
    }

    /** Older words on the same fact, newest first. @param {Fact} fact */
    before(fact) {
        const chain = [];
        for (let id = fact.supersedes; id; ) {
            const older = this.facts.get(id);
            if (!older)
                break;
            chain.push(older);
            id = older.supersedes;
        }
        return chain;
    }

    /** @param {Fact} fact */
    row(fact) {
        const zone = this.where.site.zone;
        const older = this.before(fact);
        const content = fact.withdrawn ? older.find((f) => !f.withdrawn) ?? fact : fact;
        const form = el("div", {});
        return el("li", { "data-id": fact.id },
            el("p", { class: "when" }, fullText(zone, fact.at),
                fact.withdrawn ? ` \u2013 ${historyWords.withdrawn}` : null),
            el("p", { class: "what" }, fact.withdrawn
                ? el("del", {}, this.content(content)) : this.content(fact)),
            el("p", { class: "quiet" }, this.origin(fact)),
            fact.supersedes ? el("p", { class: "quiet" }, historyWords.why(
                fact.reason || historyWords.noReason)) : null,
            older.filter((f) => f !== content && !f.withdrawn).map((f) =>
                el("p", { class: "quiet" }, historyWords.was,
                    el("del", {}, this.content(f)), ` ${this.origin(f)}`)),
            fact.note ? el("p", { class: "quiet" }, fact.note) : null,
            el("div", { class: "actions" }, this.actions(fact, content, form)), form);
    }

    /** @param {Fact} fact */
    origin(fact) {
        const parts = [];
        if ("method" in fact && fact.method !== "unknown") {
            const methods = /** @type {Record<string, string>} */ (words.methods);
            parts.push(methods[String(fact.method)] ?? "");
        }
        if (fact.by)
            parts.push(historyWords.by(fact.by));
        if (fact.batch)
            parts.push(historyWords.fromFile);
        else if (fact.recorded_at - fact.at > LATE_S)
            parts.push(historyWords.late(fullText(this.where.site.zone,
                fact.recorded_at)));
        return parts.join(", ");
    }

    /** @param {Fact} fact @returns {import("./dom.js").Child | import("./dom.js").Child[]} */
    content(fact) {
        if (this.kind === "readings")
            return this.readingContent(/** @type {Reading} */ (fact));
        if (this.kind === "doses")
            return this.doseContent(/** @type {Dose} */ (fact));
        if (this.kind === "runs")
            return this.runContent(/** @type {Run} */ (fact));
        const state = /** @type {HeaterState} */ (fact);
        const open = state.bypass_percent_open;
        return [words.state[state.state], open !== null && open > 0
            ? `, ${words.state.bypass(open)}` : null];
    }

    /** @param {Run} run */
    runContent(run) {
        return historyWords.ran(entryWords.run[run.machine],
            fullText(this.where.site.zone, run.ended_at),
            historyWords.origins[run.origin]);
    }

    /** @param {Reading} reading */
    readingContent(reading) {
        return this.quantities.filter((q) => q.key in reading.values).flatMap((q, i) => {
            const detail = reading.details?.[q.key];
            const flags = [detail?.over_range ? words.permit.overRange : "",
                detail?.diluted ? words.permit.diluted : ""].filter((f) => f !== "");
            const name = i > 0 ? `, ${inSentence(q.words)} ` : `${q.words} `;
            return [name, el("b", {}, valueWithUnit(q.key, reading.values[q.key] ?? 0,
                q.unit, this.where.site)),
            flags.length > 0 ? ` (${flags.join(", ")})` : null];
        });
    }

    /** @param {Dose} dose */
    doseContent(dose) {
        const product = this.products.find((p) => p.key === dose.product);
        return [words.amountOf(amountText(dose.amount, product?.liquid ?? false,
            this.where.site), inSentence(product?.words ?? dose.product)),
        dose.super_chlorination ? `, ${historyWords.superChlorination}` : null];
    }

    /** @param {Fact} fact @param {Fact} content @param {HTMLElement} form */
    actions(fact, content, form) {
        const date = fullText(this.where.site.zone, fact.at);
        /** @param {string} text @param {() => void} onclick */
        const button = (text, onclick) => el("button", { type: "button", onclick,
            "aria-label": `${text}: ${date}` }, text);
        if (fact.withdrawn)
            return content === fact ? [] : [button(historyWords.back, () =>
                this.askReason(form, fact, content))];
        const correctable = this.kind === "readings" || this.kind === "doses";
        return [correctable ? button(historyWords.correct, () =>
            this.correct(this.kind, fact)) : null,
        button(historyWords.withdraw, () => this.askReason(form, fact, null))];
    }

    /**
     * @param {HTMLElement} target
     * @param {Fact} fact
     * @param {Fact | null} back what counts again; null: the fact is withdrawn
     */
    askReason(target, fact, back) {
        const input = textInput({ maxlength: 400 });
        const key = makeKey();
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.replace(target, fact, back, input, key);
            } },
        field(`reason-${fact.id}`, back ? historyWords.askBack
            : historyWords.askWithdraw, input),
        el("p", { class: "actions" },
            el("button", {}, back ? historyWords.confirmBack
                : historyWords.confirmWithdraw),
            el("button", { type: "button", class: "plain",
                onclick: () => target.replaceChildren() }, words.state.cancel)));
        target.replaceChildren(form);
        input.focus();
    }

    /**
     * @param {HTMLElement} target @param {Fact} fact @param {Fact | null} back
     * @param {HTMLInputElement} input @param {string} key
     */
    async replace(target, fact, back, input, key) {
        const reason = input.value.trim();
        const message = /** @type {HTMLElement} */ (target.querySelector(".message"));
        if (reason === "") {
            message.textContent = entryWords.required;
            input.setAttribute("aria-invalid", "true");
            input.setAttribute("aria-describedby", message.id);
            input.focus();
            return;
        }
        const path = `${this.kind}/${fact.id}/${back ? "correction" : "withdrawal"}`;
        const body = { reason, ...byMember(), ...(back ? whole(back) : {}) };
        try {
            await send("POST", path, body, { key, match: fact.etag });
            place(this.note);
        } catch (error) {
            if (error instanceof Problem && error.status === 412) {
                place(this.note, historyWords.changed);
            } else {
                message.textContent = error instanceof Error ? error.message : "";
                return;
            }
        }
        announce(back ? historyWords.back : historyWords.withdrawn);
        await this.load();
        const row = this.list.querySelector("li button");
        if (row instanceof HTMLElement)
            row.focus();
    }
}

/**
 * A fact as the body of a new one.
 * @param {Fact} fact
 */
function whole(fact) {
    /** @type {Record<string, any>} */
    const body = Object.fromEntries(Object.entries(fact).filter(([name, value]) =>
        !NOT_SENT.includes(name) && value !== null && value !== ""));
    if ("details" in body && body.details)
        body.details = Object.fromEntries(Object.entries(body.details).map(
            ([name, detail]) => {
                const { confirmed, ...rest } = /** @type {any} */ (detail);
                return [name, rest];
            }));
    /* What was taken once is not asked for again. */
    if ("values" in body)
        body.confirmed = Object.keys(body.values);
    return body;
}

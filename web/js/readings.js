/*
 * The Readings page: three places in it (test, dose, history), chosen by the address, so
 * that the browser's back button works between them.
 */
import { get } from "./api.js";
import { byId, el, place } from "./dom.js";
import { DoseEntry } from "./dose.js";
import { correctionLead, TestEntry } from "./entry.js";
import { entryWords } from "./entrywords.js";
import { openPlace, showFailure, showNotSetUp } from "./frame.js";
import { History } from "./history.js";
import { RunEntry } from "./run.js";
import { fullText } from "./time.js";

/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./types.js").Fact} Fact */
/** @typedef {import("./types.js").Reading} Reading */
/** @typedef {import("./types.js").Dose} Dose */
/** @typedef {import("./frame.js").Place} Place */

const TABS = /** @type {const} */ (["test", "dose", "run", "history"]);

/** Newest value of each quantity, also of those the permit does not ask for.
 * @param {Place} where @returns {Promise<Record<string, KnownValue>>} */
async function lastValues(where) {
    if (!where.heater || !where.water)
        return {};
    try {
        const answer = await get("permit",
            { heater: where.heater.id, water: where.water.id });
        return Object.fromEntries(answer.values.map(
            (/** @type {KnownValue} */ value) => [value.quantity, value]));
    } catch (error) {
        console.info(error);
        return {};
    }
}

class ReadingsPage {
    /** @param {Place} where @param {any} lists @param {Record<string, KnownValue>} last */
    constructor(where, lists, last) {
        this.where = where;
        this.quantities = lists.quantities;
        this.products = lists.products;
        this.last = last;
        const changed = () => { this.stale = true; };
        this.stale = true;
        this.history = new History(byId("history-body"), where, this.quantities,
            this.products, (kind, fact) => this.correct(kind, fact));
        this.test = new TestEntry(byId("test-body"), where, this.quantities, last,
            { changed });
        this.dose = new DoseEntry(byId("dose-body"), where, this.products, { changed });
        new RunEntry(byId("run-body"), where, changed);
        addEventListener("hashchange", () => this.show(true));
        this.show(false);
    }

    /** @param {boolean} moved */
    show(moved) {
        const wanted = location.hash.slice(1);
        const tab = TABS.find((name) => name === wanted) ?? "test";
        byId("correct").hidden = true;
        for (const name of TABS) {
            byId(name).hidden = name !== tab;
            const link = byId("places").querySelector(`[href="#${name}"]`);
            if (name === tab)
                link?.setAttribute("aria-current", "page");
            else
                link?.removeAttribute("aria-current");
        }
        if (tab === "history" && this.stale) {
            this.stale = false;
            this.history.load();
        }
        if (moved)
            scrollTo(0, 0);
    }

    /** @param {string} kind @param {Fact} fact */
    correct(kind, fact) {
        byId("history").hidden = true;
        const section = byId("correct");
        section.hidden = false;
        const body = el("div", {});
        const head = el("h1", { tabindex: "-1" }, kind === "readings"
            ? entryWords.headCorrect : entryWords.headCorrectDose);
        place(section, head, el("p", { class: "quiet" }, kind === "readings"
            ? correctionLead(this.where, /** @type {Reading} */ (fact))
            : entryWords.correcting(fullText(this.where.site.zone, fact.at))), body);
        const leave = () => {
            section.hidden = true;
            section.replaceChildren();
            this.show(true);
            this.history.load();
        };
        const changed = () => { this.stale = true; };
        if (kind === "readings")
            new TestEntry(body, this.where, this.quantities, this.last,
                { correct: /** @type {Reading} */ (fact), changed, leave });
        else
            new DoseEntry(body, this.where, this.products,
                { correct: /** @type {Dose} */ (fact), changed, leave });
        scrollTo(0, 0);
        head.focus();
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || !where.water) {
        showNotSetUp(byId("main"));
    } else {
        const [lists, last] = await Promise.all([get("quantities"), lastValues(where)]);
        new ReadingsPage(where, lists, last);
        document.body.dataset.ready = "yes";
    }
} catch (error) {
    showFailure(byId("main"), error);
}

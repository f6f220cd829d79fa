/*
 * What this device holds for the house computer, in the head of every page: how many, since
 * when, what was refused and why. More than a day old it turns red and can be copied.
 */
import { get } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { keep, kept, now } from "./frame.js";
import { flush, letGo, sendAgain, subscribe } from "./outbox.js";
import { outboxWords as said } from "./outboxwords.js";
import { clockText, momentText } from "./time.js";
import { amountText } from "./typed.js";
import { valueWithUnit } from "./units.js";
import { inSentence } from "./words.js";

/** @typedef {import("./outbox.js").Entry} Entry */
/** @typedef {import("./outbox.js").State} State */

const LATE_MS = 24 * 3600 * 1000;
const LOOK_MS = 60000;
const CONFLICT = 412;

const panel = el("section", { id: "waiting", "aria-label": said.label, hidden: true });
byId("where").parentElement?.append(panel);
/** @type {State} */
let shown = { entries: [], trying: false, log_in: false };

/** When Save was pressed. @param {Entry} entry */
function whenText(entry) {
    const zone = entry.zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
    const text = momentText(zone, entry.at_ms / 1000, now());
    const clock = clockText(zone, entry.at_ms / 1000);
    return Date.now() - entry.at_ms < LATE_MS / 2 ? clock : text;
}

/** @param {Entry} entry */
const lineOf = (entry) => said.line(whenText(entry), entry.said);

/** @param {State} state @param {Entry[]} waiting */
function waitingPart({ trying, log_in }, waiting) {
    const [oldest] = waiting;
    if (!oldest)
        return [];
    const page = location.pathname.slice(1) + location.search + location.hash;
    const is_late = Date.now() - oldest.at_ms > LATE_MS;
    return [el("p", { class: is_late ? "message" : null },
        said.waiting(waiting.length, whenText(oldest)),
        trying ? ` ${said.trying}` : log_in ? ` ${said.loggedOut}` : null),
    is_late ? copyPart(waiting) : null,
    el("div", { class: "actions" }, log_in
        ? el("a", { class: "button", href: `login?next=${encodeURIComponent(page)}` },
            said.logIn)
        : el("button", { type: "button", onclick: () => flush() }, said.now)),
    el("details", {}, el("summary", {}, said.list),
        el("ul", {}, waiting.map((entry) => el("li", {}, lineOf(entry)))),
        el("p", {}, said.limits))];
}

/** Plain http has no clipboard for pages; selected text can be copied anywhere.
 * @param {Entry[]} waiting */
function copyPart(waiting) {
    const text = el("textarea", { readonly: true, id: "copy-waiting",
        rows: Math.min(6, waiting.length + 1), onfocus: () => text.select() });
    text.textContent = waiting.map(lineOf).join("\n");
    return el("div", {}, el("p", {}, said.late), el("label", { for: text.id }, said.copy), text);
}

/** @param {Entry} entry */
function refusedPart(entry) {
    const refused = /** @type {NonNullable<Entry["refused"]>} */ (entry.refused);
    const is_conflict = refused.status === CONFLICT;
    const stands = el("span", {});
    const [, kind = "", id] = /^(readings|doses)\/(\d+)/.exec(entry.path) ?? [];
    if (is_conflict && id)
        sayWhatStands(stands, kind, Number(id));
    return el("div", { class: "doubt" },
        el("p", {}, el("b", {}, said.refused(lineOf(entry)))),
        el("p", {}, is_conflict ? said.conflict : refused.text, " ", stands),
        el("div", { class: "actions" },
            is_conflict ? el("a", { class: "button", href: "readings#history" }, said.history)
                : el("button", { type: "button", onclick: () => sendAgain(entry) }, said.again),
            entry.draft && !is_conflict ? el("button", { type: "button",
                onclick: () => putBack(entry) }, said.back) : null,
            el("button", { type: "button", onclick: () => letGo(entry) }, said.letGo)));
}

/** The fact that stands in the place of the one that was to be corrected.
 * @param {Element} target @param {string} kind @param {number} id */
async function sayWhatStands(target, kind, id) {
    try {
        const [site, { quantities, products }] = await Promise.all([get("site"),
            get("quantities")]);
        let fact = await get(`${kind}/${id}`);
        while (fact.superseded_by !== null)
            fact = await get(`${kind}/${fact.superseded_by}`);
        const what = kind === "readings" ? valuesText(fact, quantities, site)
            : amountText(fact.amount, products.find((/** @type {any} */ p) =>
                p.key === fact.product)?.liquid ?? false, site);
        target.textContent = said.stands(what === "" ? said.nothing : what);
    } catch (error) {
        console.info(error); /* the history shows it */
    }
}

/** @param {import("./types.js").Reading} fact
 * @param {import("./types.js").Quantity[]} quantities
 * @param {import("./types.js").Site} site */
function valuesText(fact, quantities, site) {
    return quantities.filter((q) => q.key in fact.values).map((q) =>
        `${inSentence(q.words)} ` +
        valueWithUnit(q.key, fact.values[q.key] ?? 0, q.unit, site)).join(", ");
}

/** @param {Entry} entry */
async function putBack(entry) {
    const draft = /** @type {NonNullable<Entry["draft"]>} */ (entry.draft);
    keep(`${draft.name}.sent`, null);
    keep(draft.name, draft.text);
    await letGo(entry);
    location.assign(draft.page);
    location.reload();
}

function draw() {
    const waiting = shown.entries.filter((entry) => !entry.refused);
    const refused = shown.entries.filter((entry) => entry.refused);
    const open = panel.querySelector("details")?.open ?? false;
    panel.hidden = shown.entries.length === 0;
    place(panel, ...waitingPart(shown, waiting), ...refused.map(refusedPart));
    const details = panel.querySelector("details");
    if (details && open)
        details.open = true;
}

subscribe((state) => {
    const before = shown.entries.length;
    shown = state;
    draw();
    if (before > 0 && state.entries.length === 0)
        announce(said.allSent);
});
setInterval(draw, LOOK_MS);
if (kept("waiting") !== null)
    flush();

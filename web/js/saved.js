/*
 * After a save: what was saved, what it did to the permit, and Undo. Also how a lost
 * connection and the daemon's refusals come back to a form.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { kept, keep, now } from "./frame.js";
import { deliver } from "./outbox.js";
import { outboxWords } from "./outboxwords.js";
import { shortAnswer } from "./permit.js";
import { fullText } from "./time.js";
import { undoButton } from "./undo.js";
import "./waiting.js";
import { words } from "./words.js";

/** @typedef {import("./form.js").FormFault} FormFault */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {import("./types.js").Fact} Fact */

/**
 * @param {Element} target
 * @param {string} kind
 * @param {Fact} fact
 * @param {string} said what was saved, in words
 * @param {Place} where
 * @param {() => void} changed
 */
export function showSaved(target, kind, fact, said, where, changed) {
    const effect = el("div", {});
    const panel = el("div", { class: "saved", tabindex: "-1", role: "status" },
        el("p", {}, el("b", {}, entryWords.saved(said))), effect,
        el("div", { class: "actions" },
            undoButton(kind, fact, () => { showEffect(effect, where); changed(); }),
            el("a", { href: "./" }, entryWords.goHeater)));
    target.replaceChildren(panel);
    panel.focus();
    panel.scrollIntoView({ block: "start" });
    return showEffect(effect, where);
}

/** @param {Element} target @param {Place} where */
async function showEffect(target, where) {
    if (!where.heater || !where.water)
        return;
    try {
        const answer = await get("permit",
            { heater: where.heater.id, water: where.water.id });
        place(target, shortAnswer(answer, where.site, now()));
    } catch (error) {
        console.info(error);
        place(target, el("p", {}, words.unreachable));
    }
}

/** The key of a draft stays as long as what is sent is the same, and its instant with it.
 * @param {string} draft @param {string} path @param {any} body */
function draftKey(draft, path, body) {
    const text = JSON.stringify([path, body]);
    const before = kept(`${draft}.sent`);
    const sent = before ? JSON.parse(before) : null;
    return sent && sent.text === text ? sent
        : { text, key: makeKey(), at: Math.floor(now()) };
}

/**
 * Sends a new fact that does not wait on the device: a repeated send makes no second one.
 * @param {string} draft name of the draft @param {string} path @param {any} body
 */
export async function sendOnce(draft, path, body) {
    const sent = draftKey(draft, path, body);
    keep(`${draft}.sent`, JSON.stringify(sent));
    const answer = await send("POST", path, body, { key: sent.key });
    keep(`${draft}.sent`, null);
    return answer;
}

/**
 * Keeps a new fact on this device, then sends it. A repeated Save of the same makes no
 * second one: its key stays with the draft.
 * @param {{draft: string, path: string, body: any, said: string, zone?: string,
 *   match?: string}} wish
 *   draft: its name; said: the fact in words
 * @returns {Promise<any>} the daemon's answer, or null when it waits here to be sent
 */
export async function keepAndSend({ draft, path, body, said, zone, match }) {
    const { text, key, at } = draftKey(draft, path, body);
    const timed = body.at === undefined && body.local === undefined ? { at, ...body } : body;
    const draft_text = kept(draft);
    const remember = (/** @type {boolean} */ queued) =>
        keep(`${draft}.sent`, JSON.stringify({ text, key, at, queued }));
    remember(false);
    let queued = false;
    /** @type {import("./outbox.js").Outcome} */
    let outcome;
    try {
        outcome = await deliver({ key, path, body: timed, at_ms: Date.now(), said,
            refused: null, ...(match ? { match } : {}), ...(zone ? { zone } : {}),
            draft: draft_text ? { name: draft, text: draft_text,
                page: location.pathname.slice(1) + location.hash } : null }, () => {
            queued = true;
            remember(true);
        });
    } catch (error) {
        if (queued)
            throw error;
        console.info(error); /* a browser that keeps nothing: straight to the daemon */
        outcome = { answer: await send("POST", path, timed, match ? { key, match } : { key }) };
    }
    if ("problem" in outcome) {
        remember(false);
        throw outcome.problem;
    }
    dropDraft(draft);
    return "answer" in outcome ? outcome.answer.body : null;
}

/** The time of a fact where it is not that of Save; no "today", which tomorrow is wrong.
 * @param {{at?: number, local?: {date: string, time: string}}} body @param {string} zone
 * @returns {string[]} */
export function typedTime(body, zone) {
    return body.local ? [`${body.local.date} ${body.local.time}`]
        : body.at === undefined ? [] : [fullText(zone, body.at)];
}

/** In place of "Saved", while the daemon does not answer.
 * @param {Element} target @param {string} said */
export function showWaiting(target, said) {
    const panel = el("div", { class: "saved waits", tabindex: "-1", role: "status" },
        el("p", {}, el("b", {}, outboxWords.kept(said))),
        el("p", {}, outboxWords.byItself));
    target.replaceChildren(panel);
    panel.focus();
    panel.scrollIntoView({ block: "start" });
}

/**
 * Runs a save once at a time: a second tap meanwhile does nothing.
 * @param {HTMLFormElement} form @param {() => Promise<void>} act
 */
export async function onceAtATime(form, act) {
    if (form.dataset.busy)
        return;
    form.dataset.busy = "yes";
    const button = /** @type {HTMLButtonElement} */ (form.querySelector("button.strong"));
    const label = button.textContent;
    button.textContent = entryWords.saving;
    try {
        await act();
    } finally {
        delete form.dataset.busy;
        button.textContent = label;
    }
}

/**
 * A failed save as faults of the form.
 * @param {unknown} error
 * @param {(fault: import("./types.js").Fault) => FormFault | null} translate for what the
 *   form knows better than the daemon
 * @returns {FormFault[]}
 */
export function faultsOf(error, translate) {
    if (!(error instanceof Problem)) {
        console.info(error);
        return [{ field: "", text: entryWords.kept }];
    }
    return error.faults.map((fault) => translate(fault) ??
        { field: fault.field, text: fault.detail });
}

/* ---- drafts ---- */

const FRESH_S = 600;

/**
 * Keeps every control of a form at each change.
 * @param {string} name
 * @param {HTMLFormElement} form
 */
export function keepDraft(name, form) {
    const save = () => {
        /** @type {Record<string, string>} */
        const fields = {};
        for (const [field, value] of new FormData(form))
            if (typeof value === "string" && value !== "")
                fields[field] = value;
        keep(name, JSON.stringify({ at: Math.floor(now()), fields }));
    };
    form.addEventListener("input", save);
    form.addEventListener("change", save);
}

/** @param {string} name */
export function dropDraft(name) {
    keep(name, null);
    keep(`${name}.sent`, null);
}

/**
 * Puts a draft back into the form.
 * @param {string} name
 * @param {HTMLFormElement} form
 * @param {string[]} worth fields without which a draft is nothing
 * @returns {{at: number, stale: boolean} | null} when it was typed, if there was one;
 *   stale: "now" no longer means what it meant
 */
export function restoreDraft(name, form, worth) {
    const text = kept(name);
    if (!text)
        return null;
    if (JSON.parse(kept(`${name}.sent`) ?? "null")?.queued) {
        dropDraft(name); /* saved already, just before the page went away */
        return null;
    }
    /** @type {{at: number, fields: Record<string, string>}} */
    let draft;
    try {
        draft = JSON.parse(text);
    } catch {
        return null;
    }
    if (!Object.keys(draft.fields).some((field) =>
        worth.some((start) => field.startsWith(start))))
        return null;
    for (const node of form.elements) {
        if (node instanceof HTMLInputElement && node.name in draft.fields) {
            if (node.type === "checkbox")
                node.checked = true;
            else if (node.type === "radio")
                node.checked = node.value === draft.fields[node.name];
            else
                node.value = draft.fields[node.name] ?? "";
        } else if ((node instanceof HTMLSelectElement ||
            node instanceof HTMLTextAreaElement) && node.name in draft.fields) {
            node.value = draft.fields[node.name] ?? "";
        }
    }
    return { at: draft.at, stale: draft.fields.when === "now" &&
        now() - draft.at > FRESH_S };
}

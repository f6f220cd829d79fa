/*
 * After a save: what was saved, what it did to the permit, and Undo. Also how a lost
 * connection and the daemon's refusals come back to a form.
 */
import { get, makeKey, Problem, send } from "./api.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { kept, keep, now } from "./frame.js";
import { shortAnswer } from "./permit.js";
import { undoButton } from "./undo.js";
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

/**
 * Sends a new fact so that a repeated send makes no second one: the key stays with the
 * draft as long as the body is the same.
 * @param {string} draft name of the draft
 * @param {string} path
 * @param {any} body
 * @param {string} [match]
 */
export async function sendOnce(draft, path, body, match) {
    const text = JSON.stringify([path, body]);
    const before = kept(`${draft}.sent`);
    const sent = before ? JSON.parse(before) : null;
    const key = sent && sent.text === text ? sent.key : makeKey();
    keep(`${draft}.sent`, JSON.stringify({ text, key }));
    const answer = await send("POST", path, body, match ? { key, match } : { key });
    keep(`${draft}.sent`, null);
    return answer;
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

/*
 * Undo for half a minute after a save: a withdrawal of the new fact. The fact and its
 * withdrawal both stay in the history.
 */
import { makeKey, send } from "./api.js";
import { announce, el, place } from "./dom.js";
import { kept } from "./frame.js";
import { words } from "./words.js";

const UNDO_S = 30;

/** "by" only when a name was given. @returns {{by?: string}} */
export function byMember() {
    const name = kept("by");
    return name ? { by: name } : {};
}

/**
 * @param {string} kind "readings", "doses", "heater-states"
 * @param {import("./types.js").Fact} fact as it was created
 * @param {() => void} after what to refresh
 */
export function undoButton(kind, fact, after) {
    const holder = el("span", { class: "undo" });
    const key = makeKey();
    let left = UNDO_S;
    const button = el("button", { type: "button", onclick: async () => {
        clearInterval(timer);
        button.disabled = true;
        try {
            await send("POST", `${kind}/${fact.id}/withdrawal`,
                { reason: words.state.undoReason, ...byMember() },
                { key, match: fact.etag });
            place(holder, words.undo.done);
            announce(words.undo.done);
        } catch (error) {
            console.info(error);
            place(holder, words.undo.failed);
        }
        after();
    } }, words.undo.button(left));
    const timer = setInterval(() => {
        left--;
        button.textContent = words.undo.button(left);
        if (left <= 0 || !holder.isConnected) {
            clearInterval(timer);
            button.remove();
        }
    }, 1000);
    holder.append(button);
    return holder;
}

/*
 * Photos of visits, flue tests and signs: added after the save, shown small.
 */
import { makeKey, Problem, send } from "./api.js";
import { el } from "./dom.js";
import { flueWords as say } from "./fluewords.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

const MOST_BYTES = 10 * 1024 * 1024;

/** @typedef {{id: number, at: number, of: string, of_id: number, image: string,
 *   withdrawn: boolean}} Photo */

/**
 * @param {"visit" | "flue_test" | "symptom"} of
 * @param {number} id
 */
export function photoAdder(of, id) {
    const note = el("p", { class: "note", role: "status" });
    const input = el("input", { type: "file", accept: "image/jpeg,image/png",
        id: `photo-${of}-${id}`, onchange: async () => {
            const file = input.files?.[0];
            if (!file)
                return;
            if (file.size > MOST_BYTES) {
                note.textContent = say.photoLarge;
                return;
            }
            input.disabled = true;
            try {
                await send("POST", "photos", file, { key: makeKey(),
                    query: { of, id, ...byMember() } });
                note.textContent = say.photoSent;
            } catch (error) {
                note.textContent = error instanceof Problem ? error.message
                    : words.unreachable;
            }
            input.disabled = false;
            input.value = "";
        } });
    return el("div", { class: "field" }, el("label", { for: input.id }, say.addPhoto),
        el("p", { class: "hint" }, say.photoHint), input, note);
}

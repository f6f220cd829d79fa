/*
 * The care tasks in a calendar program: an address of one person's own, which ends with
 * its revocation. Addresses are made and listed as tokens on the People page, too.
 */
import { makeKey, Problem, send } from "./api.js";
import { careWords as say } from "./carewords.js";
import { el } from "./dom.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { proved } from "./prove.js";
import { words } from "./words.js";

/** @param {HTMLElement} target */
export function drawFeed(target) {
    setScope("feed");
    const made = el("div", { role: "status" });
    const form = el("form", { novalidate: true,
        onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            make(form, made);
        } }, field("name", say.feedName, textInput({ maxlength: 60 }),
        { hint: say.feedNameHint }),
    el("p", { class: "save" }, el("button", {}, say.feedMake)));
    target.replaceChildren(el("details", {}, el("summary", { class: "row" },
        say.feedHead), el("p", {}, say.feedLead), form, made));
}

/** @param {HTMLFormElement} form @param {HTMLElement} made */
async function make(form, made) {
    clearFaults(form);
    const name = valueOf(form, "name").trim();
    if (name === "")
        return showFaults(form, [{ field: "name", text: say.required }]);
    try {
        const key = makeKey();
        const answer = await proved(async () => {
            const token = await send("POST", "tokens", { name, scope: "calendar:read",
                water: null }, { key });
            const issued = await send("POST", `tokens/${token.body.id}/issue`, {});
            return { id: token.body.id, token: issued.body.token };
        });
        if (answer)
            show(made, answer.id, answer.token);
    } catch (error) {
        showFaults(form, error instanceof Problem ? error.faults.map((fault) =>
            ({ field: fault.field, text: fault.detail }))
            : [{ field: "", text: words.unreachable }]);
    }
    return undefined;
}

/** @param {HTMLElement} made @param {number} id @param {string} token */
function show(made, id, token) {
    const key = makeKey();
    const note = el("p", { class: "note" });
    const revoke = el("button", { type: "button", onclick: async () => {
        try {
            await proved(() => send("POST", `tokens/${id}/revocation`, {}, { key }));
            made.replaceChildren(el("p", {}, say.feedRevoked));
        } catch (error) {
            note.textContent = error instanceof Problem ? error.message
                : words.unreachable;
        }
    } }, say.feedRevoke);
    made.replaceChildren(el("p", {}, say.feedIs), el("p", { class: "feed" },
        el("code", {}, `${location.origin}/calendar/${token}.ics`)),
    el("p", { class: "quiet" }, say.feedOnce), note,
    el("p", { class: "actions" }, revoke,
        el("a", { class: "button", href: "people" }, say.feedPeople)));
}

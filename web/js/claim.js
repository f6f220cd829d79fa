/*
 * The Claim page: the first owner, with a code from the house computer.
 */
import { Problem, send } from "./api.js";
import { byId, el, place } from "./dom.js";
import { clearFaults, field, showFaults, textInput, valueOf } from "./form.js";
import { peopleWords } from "./peoplewords.js";
import { rememberName } from "./session.js";

/** @param {HTMLInputElement} input */
function showing(input) {
    const box = el("input", { type: "checkbox", onchange: () => {
        input.type = box.checked ? "text" : "password";
    } });
    return el("label", { class: "check" }, box, el("span", {}, peopleWords.show));
}

function draw() {
    const passphrase = textInput({ type: "password", autocomplete: "new-password" });
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        await claim(form);
    } },
    field("code", peopleWords.code, textInput({ autocapitalize: "characters", spellcheck: "false" }),
        { hint: peopleWords.codeHint }),
    field("name", peopleWords.yourName, textInput({ autocomplete: "username" })),
    field("passphrase", peopleWords.passphrase, passphrase, { hint: peopleWords.passphraseHint }),
    showing(passphrase),
    el("p", { class: "quiet" }, peopleWords.plainHttp),
    el("p", {}, el("button", { class: "strong wide" }, peopleWords.claim)));
    place(byId("parts"), el("p", { class: "lead" }, peopleWords.claimLead),
        el("p", {}, el("code", {}, peopleWords.command)), form);
}

/** @param {HTMLFormElement} form */
async function claim(form) {
    clearFaults(form);
    const name = valueOf(form, "name").trim();
    try {
        await send("POST", "claim", { code: valueOf(form, "code"), name,
            passphrase: valueOf(form, "passphrase") });
    } catch (error) {
        if (error instanceof Problem && error.status === 404) {
            location.replace("login");
            return;
        }
        showFaults(form, error instanceof Problem
            ? error.faults.map((fault) => ({ field: fault.field, text: fault.detail }))
            : [{ field: "", text: String(error) }]);
        return;
    }
    rememberName(name);
    location.replace("./");
}

draw();

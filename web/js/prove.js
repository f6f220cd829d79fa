/*
 * Asks for the passphrase again where the daemon wants it, then goes on.
 */
import { Problem, send } from "./api.js";
import { el } from "./dom.js";
import { clearFaults, field, setScope, showFaults, textInput, valueOf } from "./form.js";
import { peopleWords } from "./peoplewords.js";

/** @returns {Promise<boolean>} true once it was right, false when given up */
function ask() {
    return new Promise((resolve) => {
        setScope("prove");
        const form = el("form", { novalidate: true, method: "dialog",
            onsubmit: async (/** @type {Event} */ event) => {
                event.preventDefault();
                clearFaults(form);
                try {
                    await send("POST", "session/proof", { secret: valueOf(form, "secret") });
                    dialog.close("proved");
                } catch (error) {
                    showFaults(form, [{ field: "secret",
                        text: error instanceof Error ? error.message : String(error) }]);
                }
            } },
        el("h2", { id: "prove-head" }, peopleWords.prove), el("p", {}, peopleWords.proveWhy),
        field("secret", peopleWords.secret, textInput({ type: "password",
            autocomplete: "current-password" })),
        el("p", { class: "actions" }, el("button", { class: "strong" }, peopleWords.goOn),
            el("button", { type: "button", onclick: () => dialog.close() }, peopleWords.cancel)));
        const dialog = el("dialog", { "aria-labelledby": "prove-head", onclose: () => {
            dialog.remove();
            resolve(dialog.returnValue === "proved");
        } }, form);
        setScope("");
        document.body.append(dialog);
        dialog.showModal();
    });
}

/**
 * Does what may need the passphrase; asks for it and tries once more where it does.
 * @template T
 * @param {() => Promise<T>} act
 * @returns {Promise<T | null>} null when the person gave up
 */
export async function proved(act) {
    try {
        return await act();
    } catch (error) {
        if (!(error instanceof Problem) || error.code !== "prove_again")
            throw error;
    }
    return await ask() ? act() : null;
}

/*
 * Logging what a technician found when inspecting the heater: on the Heater page, while
 * the permit asks for it.
 */
import { announce, el } from "./dom.js";
import { chips, clearFaults, field, showFaults, textInput, valueOf } from "./form.js";
import { inspectionWords } from "./inspectionwords.js";
import { outboxWords } from "./outboxwords.js";
import { faultsOf, keepAndSend } from "./saved.js";
import { byMember, undoButton } from "./undo.js";

const DRAFT = "inspection";

/**
 * @param {number} heater
 * @param {() => void} changed
 * @returns {HTMLElement[]}
 */
export function inspectionPart(heater, changed) {
    const said = inspectionWords;
    const note = el("p", { class: "note", role: "status" });
    const button = el("button", { type: "submit", class: "wide strong" }, said.save);
    const form = el("form", { class: "entry", novalidate: true },
        field("done_by", said.technician, textInput({ maxlength: 63 }),
            { hint: said.technicianHint }),
        chips("may_run", said.result, [["yes", said.mayRun], ["no", said.mustNot]], ""),
        field("note", said.note, textInput({ maxlength: 511 })), button);
    const details = el("details", {}, el("summary", { class: "row" }, said.open), form);
    form.addEventListener("submit", async (event) => {
        event.preventDefault();
        clearFaults(form);
        const missing = [
            ...(valueOf(form, "done_by").trim() === ""
                ? [{ field: "done_by", text: said.nameFirst }] : []),
            ...(valueOf(form, "may_run") === ""
                ? [{ field: "may_run", text: said.resultFirst }] : [])];
        if (missing.length > 0)
            return showFaults(form, missing);
        button.disabled = true;
        button.textContent = said.saving;
        try {
            const text = valueOf(form, "note").trim();
            const may_run = valueOf(form, "may_run") === "yes";
            const body = await keepAndSend({ draft: DRAFT, path: "visits", body: { heater,
                kind: "inspection", technician: true,
                done_by: valueOf(form, "done_by").trim(), may_run,
                ...(text ? { note: text } : {}), ...byMember() },
            said: `${said.heading}: ${may_run ? said.mayRun : said.mustNot}` });
            const told = body ? said.saved : outboxWords.kept(said.heading);
            note.replaceChildren(told, " ",
                ...(body ? [undoButton("visits", body, changed)] : []));
            details.open = false;
            announce(told);
            changed();
        } catch (error) {
            showFaults(form, faultsOf(error, () => null));
        }
        button.disabled = false;
        button.textContent = said.save;
    });
    return [el("h2", {}, said.heading), el("p", {}, said.means), details, note];
}

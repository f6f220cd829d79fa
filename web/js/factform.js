/*
 * What the forms of all facts of care share: when it was, who tells it, a note, the save
 * button, and the daemon's refusals back at their fields.
 */
import { el } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { field, showFaults, textInput, valueOf } from "./form.js";
import { keep, kept } from "./frame.js";
import { readDecimal } from "./numbers.js";
import { faultsOf } from "./saved.js";

/** @typedef {import("./form.js").FormFault} FormFault */
/** @typedef {import("./when.js").When} When */

/** Who logs it, a note, the button. @param {string} by label @param {string} save label */
export function endParts(by, save) {
    return [field("by", by, textInput({ value: kept("by") ?? "", autocomplete: "name",
        maxlength: 60 })),
    field("note", entryWords.note, textInput({ maxlength: 400 })),
    el("div", { class: "save" }, el("button", { class: "strong" }, save))];
}

/**
 * Time, name and note as members of the fact; empty ones are left out.
 * @param {HTMLFormElement} form
 * @param {When} when
 * @param {FormFault[]} faults receives what is wrong
 */
export function readEnds(form, when, faults) {
    const by = valueOf(form, "by").trim();
    const note = valueOf(form, "note").trim();
    const time = when.read(form, faults);
    if (faults.length === 0)
        keep("by", by === "" ? null : by);
    return { ...time, ...(by ? { by } : {}), ...(note ? { note } : {}) };
}

/**
 * A number as typed, with a percent sign or the given unit behind it or not.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @param {FormFault[]} faults
 * @param {{needed?: boolean, unit?: RegExp}} [options] unit: what may stand
 *   behind, with the last digit as its group
 * @returns {number | null}
 */
export function readNumber(form, name, faults, options = {}) {
    const text = valueOf(form, name);
    const read = readDecimal(text.replace(options.unit ?? /(\d)\s*%\s*$/, "$1"));
    if (read.ok)
        return read.value;
    if (options.needed || read.code !== "empty")
        faults.push({ field: name, text: read.code === "empty" ? entryWords.faults.empty
            : `${entryWords.faults[read.code]} ${entryWords.seen(text.trim())}` });
    return null;
}

/**
 * A refused save at its fields.
 * @param {HTMLFormElement} form
 * @param {When} when
 * @param {unknown} error
 * @param {(field: string) => string} [rename] the daemon's field to the form's
 */
export function showRefusal(form, when, error, rename = (name) => name) {
    showFaults(form, faultsOf(error, (fault) => {
        if (fault.code === "time_twice") {
            when.askFold();
            return { field: "local.fold", text: entryWords.twice };
        }
        if (fault.field === "local" || fault.field === "at")
            return { field: "local.time", text: fault.detail };
        return { field: rename(fault.field), text: fault.detail };
    }));
}

/*
 * Form parts that all pages share: a labelled field, and faults: a summary on top that
 * takes focus and links to each field, the message at the field, "Error:" in the title.
 * A control's name is the API's field; its id is the name with dashes.
 */
import { el } from "./dom.js";
import { entryWords } from "./entrywords.js";

/**
 * @typedef {object} FormFault
 * @property {string} field name of the control, "" for none
 * @property {string} text
 * @property {{label: string, action: () => void}} [ask] a way to say "it is so"
 */

let scope = "";

/** Several forms on one page have fields of one name: what is made after this call gets
 * ids of its own. @param {string} name */
export function setScope(name) {
    scope = `${name}-`;
}

/** @param {string} name */
export function idOf(name) {
    return `f-${scope}${name.replace(/[^A-Za-z0-9_]/g, "-")}`;
}

/**
 * @param {string} name
 * @param {string} label
 * @param {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} control gets its id and name here
 * @param {{hint?: string, unit?: string}} [options]
 */
export function field(name, label, control, options = {}) {
    const id = idOf(name);
    control.id = id;
    control.setAttribute("name", name);
    if (options.hint) {
        control.setAttribute("aria-describedby", `${id}-hint`);
        control.dataset.hint = `${id}-hint`;
    }
    return el("div", { class: "field" }, el("label", { for: id }, label),
        options.hint ? el("p", { class: "hint", id: `${id}-hint` }, options.hint) : null,
        options.unit ? el("div", { class: "withunit" }, control,
            el("span", { "aria-hidden": "true" }, options.unit)) : control,
        el("div", { class: "message", id: `${id}-error` }));
}

/** @param {Record<string, any>} [props] */
export function textInput(props = {}) {
    return el("input", { type: "text", autocomplete: "off", ...props });
}

/**
 * @param {[value: string, text: string][]} choices
 * @param {string} [chosen]
 */
export function select(choices, chosen) {
    return el("select", {}, choices.map(([value, text]) =>
        el("option", { value, selected: value === chosen }, text)));
}

/**
 * @param {string} name
 * @param {string} text
 * @param {boolean} [checked]
 */
export function check(name, text, checked = false) {
    const input = el("input", { type: "checkbox", name, checked });
    return { input, row: el("label", { class: "check" }, input, el("span", {}, text)) };
}

/**
 * Radio buttons as large words.
 * @param {string} name
 * @param {string} legend
 * @param {[value: string, text: string][]} choices
 * @param {string} chosen
 * @param {(value: string) => void} [onchange]
 */
export function chips(name, legend, choices, chosen, onchange) {
    return el("fieldset", { class: "field" }, el("legend", {}, legend),
        el("div", { class: "chips" }, choices.map(([value, text]) => el("label", {},
            el("input", { type: "radio", name, value, checked: value === chosen,
                onchange: () => onchange?.(value) }),
            el("span", {}, text)))),
        el("div", { class: "message", id: `${idOf(name)}-error` }));
}

/** @param {HTMLFormElement} form @param {string} name */
export function valueOf(form, name) {
    const value = new FormData(form).get(name);
    return typeof value === "string" ? value : "";
}

/** @param {HTMLFormElement} form @param {string} name */
function control(form, name) {
    const found = [...form.elements].find((node) => node.getAttribute("name") === name);
    return found instanceof HTMLElement ? found : null;
}

/** Takes every message away. @param {HTMLFormElement} form */
export function clearFaults(form) {
    form.querySelector(".summary")?.remove();
    form.querySelectorAll("[aria-invalid]").forEach((node) => {
        node.removeAttribute("aria-invalid");
        const hint = /** @type {HTMLElement} */ (node).dataset.hint;
        if (hint)
            node.setAttribute("aria-describedby", hint);
        else
            node.removeAttribute("aria-describedby");
    });
    form.querySelectorAll(".message").forEach((node) => {
        node.replaceChildren();
        node.classList.remove("asks");
    });
    const title = entryWords.errorTitle("");
    if (document.title.startsWith(title))
        document.title = document.title.slice(title.length);
}

/**
 * Shows all faults at once.
 * @param {HTMLFormElement} form
 * @param {FormFault[]} faults at least one
 */
export function showFaults(form, faults) {
    clearFaults(form);
    const items = faults.map((fault) => {
        const node = fault.field === "" ? null : control(form, fault.field);
        if (!node)
            return el("li", {}, fault.text);
        const id = mark(node, fault);
        /** @param {Event} event */
        const onclick = (event) => {
            event.preventDefault();
            openUp(node);
            node.focus();
        };
        return el("li", {}, el("a", { href: `#${id}`, onclick }, fault.text));
    });
    const summary = el("div", { class: "summary full", tabindex: "-1", role: "group",
        "aria-labelledby": "summary-head" },
    el("h2", { id: "summary-head" }, entryWords.summary), el("ul", {}, items));
    form.prepend(summary);
    document.title = entryWords.errorTitle(document.title);
    summary.focus();
    summary.scrollIntoView({ block: "start" });
}

/** @param {HTMLElement} node @param {FormFault} fault */
function mark(node, fault) {
    const message = node.closest(".field, .value-field")?.querySelector(".message");
    const id = node.id || idOf(fault.field);
    node.id = id;
    openUp(node);
    node.setAttribute("aria-invalid", "true");
    const described = [node.dataset.hint, message?.id].filter((part) => part);
    node.setAttribute("aria-describedby", described.join(" "));
    message?.append(el("div", {}, fault.text));
    if (fault.ask) {
        message?.classList.add("asks");
        message?.append(el("button", { type: "button", onclick: fault.ask.action },
            fault.ask.label));
    }
    return id;
}

/** Opens what hides a control. @param {HTMLElement} node */
function openUp(node) {
    for (let up = node.parentElement; up; up = up.parentElement)
        if (up instanceof HTMLDetailsElement)
            up.open = true;
}

/*
 * The Log in page: who is here, by name and PIN or passphrase. On a shared tablet the
 * names of earlier logins stand as large buttons.
 */
import { Problem, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { clearFaults, field, showFaults, textInput, valueOf } from "./form.js";
import { keep, kept } from "./frame.js";
import { peopleWords } from "./peoplewords.js";
import { forgetName, knownNames, rememberName, session, wantedPage } from "./session.js";

/** @param {string} name "" to type it */
function drawForm(name) {
    const known = name !== "";
    const device = kept("device") ?? "";
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        await logIn(form);
    } },
    field("name", peopleWords.name, textInput({ autocomplete: "username", value: name })),
    field("secret", peopleWords.secret, textInput({ type: "password", value: "",
        autocomplete: "current-password" })),
    device === "" ? field("device", peopleWords.device, textInput({}), { hint: peopleWords.deviceHint })
        : null,
    el("p", {}, el("button", { class: "strong wide" }, peopleWords.logIn)),
    known ? el("p", { class: "actions" },
        el("button", { type: "button", onclick: () => drawChoice() }, peopleWords.notMe),
        el("button", { type: "button", onclick: () => {
            forgetName(name);
            drawChoice();
        } }, peopleWords.forget(name))) : null);
    place(byId("parts"), form);
    /** @type {HTMLElement | null} */ (form.querySelector(known ? "[name=secret]"
        : "[name=name]"))?.focus();
}

function drawChoice() {
    const names = knownNames();
    if (names.length === 0) {
        drawForm("");
        return;
    }
    place(byId("parts"), el("h2", {}, peopleWords.known),
        el("div", { class: "choices" }, names.map((name) => el("button",
            { type: "button", class: "wide", onclick: () => drawForm(name) }, name)),
        el("button", { type: "button", class: "wide", onclick: () => drawForm("") },
            peopleWords.notMe)));
}

/** @param {HTMLFormElement} form */
async function logIn(form) {
    clearFaults(form);
    const name = valueOf(form, "name").trim();
    const device = valueOf(form, "device").trim() || kept("device") || undefined;
    try {
        await send("POST", "session", { name, secret: valueOf(form, "secret"), device });
    } catch (error) {
        showFaults(form, error instanceof Problem
            ? error.faults.map((fault) => ({ field: fault.field || "secret",
                text: fault.detail }))
            : [{ field: "", text: String(error) }]);
        return;
    }
    rememberName(name);
    if (device)
        keep("device", device);
    location.replace(wantedPage());
}

/** @param {import("./session.js").Session} who */
function drawPerson(who) {
    place(byId("parts"), el("p", { class: "lead" },
        peopleWords.youAre(who.name, peopleWords.roles[who.role])),
    el("p", { class: "actions" },
        el("button", { type: "button", class: "strong", onclick: async () => {
            await send("POST", "session/end", {});
            drawChoice();
        } }, knownNames().length > 1 ? peopleWords.switchTo : peopleWords.logOut)));
}

function drawOpen() {
    place(byId("parts"), el("p", { class: "lead" }, peopleWords.youHere),
        el("p", {}, peopleWords.makeOwner), el("p", {}, el("code", {}, peopleWords.command)),
        el("p", {}, el("a", { class: "button", href: "claim" }, peopleWords.openClaim)));
}

try {
    const who = await session();
    if (who.door === "open")
        drawOpen();
    else if (who.role !== "nobody")
        drawPerson(who);
    else {
        drawChoice();
        if (who.ended)
            announce(peopleWords.ended);
    }
} catch (error) {
    console.info(error);
    drawChoice();
}

/*
 * The People page, the owner's: who may come in, where they are logged in, which
 * instruments have tokens, and the journal.
 */
import { get, getWithTag, makeKey, Problem, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { check, clearFaults, field, select, setScope, showFaults, textInput, valueOf }
    from "./form.js";
import { now, openPlace, showFailure } from "./frame.js";
import { peopleWords } from "./peoplewords.js";
import { proved } from "./prove.js";
import { rememberName } from "./session.js";
import { ageText, dayClockText } from "./time.js";

/** @typedef {{id: number, version: number, name: string, role: "viewer" | "technician" |
 *   "owner", disabled: boolean, can_log_in: boolean, shut: boolean}} Person */
/** @typedef {{id: number, person: number, name: string, device: string, peer: string,
 *   since: number, seen_at: number, this_one: boolean}} Login */
/** @typedef {{id: number, name: string, scope: keyof typeof peopleWords.scopes,
 *   water: number | null, used_at: number | null, revoked_at: number | null,
 *   issued: boolean}} Token */
/** @typedef {{id: number, at: number, by: string, from: string, action: string,
 *   what: string, which: number}} Entry */

const ROLES = /** @type {const} */ (["viewer", "technician", "owner"]);

/** @type {import("./frame.js").Place} */
let where;

/** @param {unknown} error */
function say(error) {
    const text = error instanceof Error ? error.message : String(error);
    place(byId("fault"), el("p", { class: "summary", role: "alert" }, text));
    byId("fault").scrollIntoView({ block: "nearest" });
}

/** Runs a change, then shows what is there now. @param {() => Promise<any>} act */
async function change(act) {
    place(byId("fault"));
    try {
        if (await proved(act) !== null)
            await draw();
    } catch (error) {
        say(error);
    }
}

/** Shows a secret once, large enough to be copied by hand.
 * @param {string} head @param {string} secret @param {string} means */
function showOnce(head, secret, means) {
    const block = el("div", { class: "once", tabindex: "-1" }, el("h3", {}, head),
        el("p", { class: "secret" }, secret), el("p", { class: "quiet" }, means),
        el("p", {}, el("button", { type: "button", onclick: () => place(byId("once")) },
            peopleWords.done)));
    place(byId("once"), block);
    block.focus();
    block.scrollIntoView({ block: "center" });
}

/* ---- people ---- */

/** @param {Person} person */
async function givePin(person) {
    const answer = await send("POST", `people/${person.id}/pin`, {});
    showOnce(peopleWords.pinIs(person.name), answer.body.pin, peopleWords.pinMeans);
    return answer;
}

/** @param {Person} person @param {boolean} disabled */
async function setDisabled(person, disabled) {
    const { etag } = await getWithTag(`people/${person.id}`);
    return send("PUT", `people/${person.id}`,
        { name: person.name, role: person.role, disabled }, { match: etag });
}

/** @param {Person} person */
function stateText(person) {
    return person.disabled ? peopleWords.shutOut : person.shut ? peopleWords.tooManyTries
        : person.can_log_in ? "" : peopleWords.noSecret;
}

/** @param {Person} person */
function personRow(person) {
    const state = stateText(person);
    return el("li", {}, el("b", {}, person.name), " ",
        el("span", { class: "quiet" }, peopleWords.roles[person.role],
            state ? `; ${state}` : ""),
        el("p", { class: "actions" },
            person.role === "owner"
                ? passphraseForm(person)
                : el("button", { type: "button",
                    onclick: () => change(() => givePin(person)) }, peopleWords.newPin),
            el("button", { type: "button",
                onclick: () => change(() => setDisabled(person, !person.disabled)) },
            person.disabled ? peopleWords.enable : peopleWords.disable)));
}

/** @param {Person} person */
function passphraseForm(person) {
    setScope(`passphrase-${person.id}`);
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        await submit(form, () => send("POST", `people/${person.id}/passphrase`,
            { passphrase: valueOf(form, "passphrase") }));
    } }, field("passphrase", peopleWords.passphrase, textInput({ type: "password",
        autocomplete: "new-password" }), { hint: peopleWords.passphraseHint }),
    el("p", {}, el("button", {}, peopleWords.newPassphrase)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, peopleWords.newPassphrase), form);
}

/** @param {HTMLFormElement} form @param {() => Promise<any>} act */
async function submit(form, act) {
    clearFaults(form);
    try {
        const done = await proved(act);
        if (done !== null)
            await draw();
        return done;
    } catch (error) {
        showFaults(form, error instanceof Problem
            ? error.faults.map((fault) => ({ field: fault.field, text: fault.detail }))
            : [{ field: "", text: String(error) }]);
        return null;
    }
}

function addPersonForm() {
    setScope("person");
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        const key = makeKey();
        const made = await submit(form, () => send("POST", "people",
            { name: valueOf(form, "name").trim(), role: valueOf(form, "role") }, { key }));
        if (made && made.body.role !== "owner")
            await change(() => givePin(made.body));
    } }, field("name", peopleWords.name, textInput({})),
    field("role", peopleWords.role, select(ROLES.map((role) =>
        [role, `${peopleWords.roles[role]}: ${peopleWords.roleMeans[role]}`]), "technician")),
    el("p", {}, el("button", { class: "strong" }, peopleWords.add)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, peopleWords.addHead), form);
}

/* ---- the family ---- */

/** @param {{family_sees_permit: boolean}} door @param {string} etag */
function familyPart(door, etag) {
    const box = check("family_sees_permit", peopleWords.familySees, door.family_sees_permit);
    box.input.addEventListener("change", () => change(() => send("PUT", "door",
        { family_sees_permit: box.input.checked }, { match: etag })));
    return el("section", {}, el("h2", {}, peopleWords.family), box.row,
        el("p", { class: "quiet" }, peopleWords.familyMeans));
}

/* ---- logins ---- */

/** @param {Login} login */
function loginRow(login) {
    return el("li", {}, el("b", {}, login.name), " ", el("span", { class: "quiet" },
        peopleWords.seen(login.device || peopleWords.unnamed, ageText(now() - login.seen_at)),
        login.this_one ? ` (${peopleWords.thisOne})` : ""),
    el("p", {}, el("button", { type: "button", "aria-label": peopleWords.endLogin(login.name),
        onclick: () => change(() => send("POST", `sessions/${login.id}/revocation`, {},
            { key: makeKey() })) }, peopleWords.revoke)));
}

/* ---- tokens ---- */

/** @param {Token} token */
async function issue(token) {
    const answer = await send("POST", `tokens/${token.id}/issue`, {});
    showOnce(peopleWords.tokenIs(token.name), answer.body.token, peopleWords.tokenMeans);
    return answer;
}

/** @param {Token} token */
function tokenRow(token) {
    const used = token.used_at === null ? peopleWords.unused
        : peopleWords.usedAt(ageText(now() - token.used_at));
    return el("li", {}, el("b", {}, token.name), " ", el("span", { class: "quiet" },
        peopleWords.scopes[token.scope], "; ", token.revoked_at !== null ? peopleWords.revoked : used),
    token.revoked_at !== null ? null : el("p", {}, el("button", { type: "button",
        "aria-label": `${peopleWords.revoke}: ${token.name}`,
        onclick: () => change(() => send("POST", `tokens/${token.id}/revocation`, {},
            { key: makeKey() })) }, peopleWords.revoke)));
}

function addTokenForm() {
    setScope("token");
    const scopes = /** @type {[string, string][]} */ (Object.entries(peopleWords.scopes));
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        const scope = valueOf(form, "scope");
        const water = scope === "readings:write" ? Number(valueOf(form, "water")) : null;
        const key = makeKey();
        const made = await submit(form, () => send("POST", "tokens",
            { name: valueOf(form, "name").trim(), scope, water }, { key }));
        if (made)
            await change(() => issue(made.body));
    } }, field("name", peopleWords.tokenName, textInput({})),
    field("scope", peopleWords.scope, select(scopes, "readings:write")),
    field("water", peopleWords.water, select(where.waters.map((water) =>
        [String(water.id), water.name]))),
    el("p", {}, el("button", { class: "strong" }, peopleWords.addToken)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, peopleWords.addToken), form);
}

/* ---- journal ---- */

/** @param {Entry} entry */
function entryRow(entry) {
    return el("li", {}, el("span", { class: "quiet" },
        dayClockText(where.site.zone, entry.at)), " ",
    peopleWords.by(`${entry.action.replaceAll("_", " ")} ${entry.what} ${entry.which}`,
        entry.by));
}

/** @param {Element} list @param {number | null} before */
async function addEntries(list, before) {
    const answer = await get("journal", { before, limit: 50 });
    const entries = /** @type {Entry[]} */ (answer.entries);
    list.append(...entries.map(entryRow));
    return entries.length < 50 ? null : entries[entries.length - 1]?.id ?? null;
}

async function journalPart() {
    const list = el("ul", { class: "plain-list" });
    let last = await addEntries(list, null);
    const more = el("button", { type: "button", onclick: async () => {
        last = await addEntries(list, last);
        more.hidden = last === null;
    } }, peopleWords.more);
    more.hidden = last === null;
    return el("details", {}, el("summary", { class: "row" }, peopleWords.showJournal),
        el("p", { class: "quiet" }, peopleWords.journalMeans), list, el("p", {}, more));
}

/* ---- the page ---- */

async function draw() {
    const [people, logins, tokens, door, journal] = await Promise.all([get("people"),
        get("sessions"), get("tokens"), getWithTag("door"), journalPart()]);
    place(byId("parts"),
        el("div", { id: "fault" }), el("div", { id: "once" }, ...byIdIfThere("once")),
        el("section", {}, el("h2", {}, peopleWords.who), el("ul", { class: "plain-list" },
            people.people.map(personRow)), addPersonForm()),
        familyPart(door.body, door.etag),
        el("section", {}, el("h2", {}, peopleWords.logins), el("ul", { class: "plain-list" },
            logins.sessions.map(loginRow))),
        el("section", {}, el("h2", {}, peopleWords.tokens),
            el("p", { class: "quiet" }, peopleWords.tokensMean),
            el("ul", { class: "plain-list" }, tokens.tokens.map(tokenRow)), addTokenForm()),
        el("section", {}, el("h2", {}, peopleWords.journal), journal));
}

/** What a part holds that must survive being drawn again. @param {string} id */
function byIdIfThere(id) {
    return [...document.getElementById(id)?.childNodes ?? []];
}

function drawOpen() {
    place(byId("parts"), el("p", { class: "lead" }, peopleWords.youHere),
        el("p", {}, peopleWords.makeOwner), el("p", {}, el("code", {}, peopleWords.command)),
        el("p", {}, el("a", { class: "button", href: "claim" }, peopleWords.openClaim)));
}

try {
    where = await openPlace();
    const who = /** @type {import("./session.js").Session} */ (await get("session"));
    if (who.door === "open") {
        drawOpen();
    } else {
        rememberName(who.name);
        await draw();
    }
} catch (error) {
    showFailure(byId("main"), error);
    announce(error instanceof Error ? error.message : String(error));
}

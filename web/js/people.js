/*
 * The People page, the owner's: who may come in, where they are logged in, which
 * instruments have tokens, and the journal.
 */
import { get, getWithTag, makeKey, Problem, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { check, clearFaults, field, select, setScope, showFaults, textInput, valueOf }
    from "./form.js";
import { now, openPlace, showFailure } from "./frame.js";
import { peopleWords as words } from "./peoplewords.js";
import { proved } from "./prove.js";
import { rememberName } from "./session.js";
import { ageText, dayClockText } from "./time.js";

/** @typedef {{id: number, version: number, name: string, role: "viewer" | "technician" |
 *   "owner", disabled: boolean, can_log_in: boolean, shut: boolean}} Person */
/** @typedef {{id: number, person: number, name: string, device: string, peer: string,
 *   since: number, seen_at: number, this_one: boolean}} Login */
/** @typedef {{id: number, name: string, scope: keyof typeof words.scopes,
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
            words.done)));
    place(byId("once"), block);
    block.focus();
    block.scrollIntoView({ block: "center" });
}

/* ---- people ---- */

/** @param {Person} person */
async function givePin(person) {
    const answer = await send("POST", `people/${person.id}/pin`, {});
    showOnce(words.pinIs(person.name), answer.body.pin, words.pinMeans);
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
    return person.disabled ? words.shutOut : person.shut ? words.tooManyTries
        : person.can_log_in ? "" : words.noSecret;
}

/** @param {Person} person */
function personRow(person) {
    const state = stateText(person);
    return el("li", {}, el("b", {}, person.name), " ",
        el("span", { class: "quiet" }, words.roles[person.role],
            state ? `; ${state}` : ""),
        el("p", { class: "actions" },
            person.role === "owner"
                ? passphraseForm(person)
                : el("button", { type: "button",
                    onclick: () => change(() => givePin(person)) }, words.newPin),
            el("button", { type: "button",
                onclick: () => change(() => setDisabled(person, !person.disabled)) },
            person.disabled ? words.enable : words.disable)));
}

/** @param {Person} person */
function passphraseForm(person) {
    setScope(`passphrase-${person.id}`);
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        await submit(form, () => send("POST", `people/${person.id}/passphrase`,
            { passphrase: valueOf(form, "passphrase") }));
    } }, field("passphrase", words.passphrase, textInput({ type: "password",
        autocomplete: "new-password" }), { hint: words.passphraseHint }),
    el("p", {}, el("button", {}, words.newPassphrase)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, words.newPassphrase), form);
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
    } }, field("name", words.name, textInput({})),
    field("role", words.role, select(ROLES.map((role) =>
        [role, `${words.roles[role]}: ${words.roleMeans[role]}`]), "technician")),
    el("p", {}, el("button", { class: "strong" }, words.add)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, words.addHead), form);
}

/* ---- the family ---- */

/** @param {{family_sees_permit: boolean}} door @param {string} etag */
function familyPart(door, etag) {
    const box = check("family_sees_permit", words.familySees, door.family_sees_permit);
    box.input.addEventListener("change", () => change(() => send("PUT", "door",
        { family_sees_permit: box.input.checked }, { match: etag })));
    return el("section", {}, el("h2", {}, words.family), box.row,
        el("p", { class: "quiet" }, words.familyMeans));
}

/* ---- logins ---- */

/** @param {Login} login */
function loginRow(login) {
    return el("li", {}, el("b", {}, login.name), " ", el("span", { class: "quiet" },
        words.seen(login.device || words.unnamed, ageText(now() - login.seen_at)),
        login.this_one ? ` (${words.thisOne})` : ""),
    el("p", {}, el("button", { type: "button", "aria-label": words.endLogin(login.name),
        onclick: () => change(() => send("POST", `sessions/${login.id}/revocation`, {},
            { key: makeKey() })) }, words.revoke)));
}

/* ---- tokens ---- */

/** @param {Token} token */
async function issue(token) {
    const answer = await send("POST", `tokens/${token.id}/issue`, {});
    showOnce(words.tokenIs(token.name), answer.body.token, words.tokenMeans);
    return answer;
}

/** @param {Token} token */
function tokenRow(token) {
    const used = token.used_at === null ? words.unused
        : words.usedAt(ageText(now() - token.used_at));
    return el("li", {}, el("b", {}, token.name), " ", el("span", { class: "quiet" },
        words.scopes[token.scope], "; ", token.revoked_at !== null ? words.revoked : used),
    token.revoked_at !== null ? null : el("p", {}, el("button", { type: "button",
        "aria-label": `${words.revoke}: ${token.name}`,
        onclick: () => change(() => send("POST", `tokens/${token.id}/revocation`, {},
            { key: makeKey() })) }, words.revoke)));
}

function addTokenForm() {
    setScope("token");
    const scopes = /** @type {[string, string][]} */ (Object.entries(words.scopes));
    const form = el("form", { novalidate: true, onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        const scope = valueOf(form, "scope");
        const water = scope === "readings:write" ? Number(valueOf(form, "water")) : null;
        const key = makeKey();
        const made = await submit(form, () => send("POST", "tokens",
            { name: valueOf(form, "name").trim(), scope, water }, { key }));
        if (made)
            await change(() => issue(made.body));
    } }, field("name", words.tokenName, textInput({})),
    field("scope", words.scope, select(scopes, "readings:write")),
    field("water", words.water, select(where.waters.map((water) =>
        [String(water.id), water.name]))),
    el("p", {}, el("button", { class: "strong" }, words.addToken)));
    setScope("");
    return el("details", {}, el("summary", { class: "row" }, words.addToken), form);
}

/* ---- journal ---- */

/** @param {Entry} entry */
function entryRow(entry) {
    return el("li", {}, el("span", { class: "quiet" },
        dayClockText(where.site.zone, entry.at)), " ",
    words.by(`${entry.action.replaceAll("_", " ")} ${entry.what} ${entry.which}`,
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
    } }, words.more);
    more.hidden = last === null;
    return el("details", {}, el("summary", { class: "row" }, words.journal),
        el("p", { class: "quiet" }, words.journalMeans), list, el("p", {}, more));
}

/* ---- the page ---- */

async function draw() {
    const [people, logins, tokens, door, journal] = await Promise.all([get("people"),
        get("sessions"), get("tokens"), getWithTag("door"), journalPart()]);
    place(byId("parts"),
        el("div", { id: "fault" }), el("div", { id: "once" }, ...byIdIfThere("once")),
        el("section", {}, el("h2", {}, words.who), el("ul", { class: "plain-list" },
            people.people.map(personRow)), addPersonForm()),
        familyPart(door.body, door.etag),
        el("section", {}, el("h2", {}, words.logins), el("ul", { class: "plain-list" },
            logins.sessions.map(loginRow))),
        el("section", {}, el("h2", {}, words.tokens),
            el("p", { class: "quiet" }, words.tokensMean),
            el("ul", { class: "plain-list" }, tokens.tokens.map(tokenRow)), addTokenForm()),
        el("section", {}, el("h2", {}, words.journal), journal));
}

/** What a part holds that must survive being drawn again. @param {string} id */
function byIdIfThere(id) {
    return [...document.getElementById(id)?.childNodes ?? []];
}

function drawOpen() {
    place(byId("parts"), el("p", { class: "lead" }, words.youHere),
        el("p", {}, words.makeOwner), el("p", {}, el("code", {}, words.command)),
        el("p", {}, el("a", { class: "button", href: "claim" }, words.openClaim)));
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

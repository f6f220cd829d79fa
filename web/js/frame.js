/*
 * What all pages share: who we are at, which water is looked at, the site's clock in the
 * head, the demo's mark. Nothing here knows a page.
 */
import { get, Problem } from "./api.js";
import { byId, el, place } from "./dom.js";
import { Elapsed } from "./elapsed.js";
import { dayClockText } from "./time.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./types.js").Water} Water */
/** @typedef {import("./types.js").Heater} Heater */

/**
 * @typedef {object} Place
 * @property {Site} site
 * @property {Water[]} waters
 * @property {Heater[]} heaters
 * @property {Water | null} water the one looked at
 * @property {Heater | null} heater the one that serves it
 */

let base_s = Date.now() / 1000;
let since = new Elapsed();
let ticking = 0;

/** Takes over the daemon's clock. @param {number} at @param {Elapsed} [asked] */
export function setNow(at, asked = new Elapsed()) {
    base_s = at;
    since = asked;
}

/** The daemon's time, as far as this page can tell. */
export function now() {
    const at = base_s + since.seconds();
    return Number.isFinite(at) ? at : Date.now() / 1000;
}

/**
 * Keeps a small text on this device. Some browsers refuse to; then it is forgotten.
 * @param {string} name @param {string | null} text null forgets
 */
export function keep(name, text) {
    try {
        if (text === null)
            localStorage.removeItem(`coilkeep.${name}`);
        else
            localStorage.setItem(`coilkeep.${name}`, text);
    } catch {
        /* Nothing to do: the page works without. */
    }
}

/** @param {string} name @returns {string | null} */
export function kept(name) {
    try {
        return localStorage.getItem(`coilkeep.${name}`);
    } catch {
        return null;
    }
}

/** Reads what every page needs, and draws the head. @returns {Promise<Place>} */
export async function openPlace() {
    const asked = new Elapsed();
    const [site, waters, heaters] = await Promise.all([
        get("site"), get("waters"), get("heaters")]);
    setNow(site.now, asked);
    const place_ = choose(site, waters.waters, heaters.heaters);
    drawHead(place_);
    return place_;
}

/** @param {Site} site @param {Water[]} waters @param {Heater[]} heaters @returns {Place} */
function choose(site, waters, heaters) {
    const wanted = Number(new URLSearchParams(location.search).get("water") ??
        kept("water") ?? 0);
    const main = heaters[0]?.waters[0];
    const water = waters.find((w) => w.id === wanted) ??
        waters.find((w) => w.id === main) ?? waters[0] ?? null;
    const heater = heaters.find((h) => water && h.waters.includes(water.id)) ?? null;
    return { site, waters, heaters, water, heater };
}

/** @param {Place} place_ */
function drawHead({ site, waters, water }) {
    const name = byId("where");
    if (!site.set_up)
        return;
    if (waters.length < 2 || !water)
        place(name, water ? `${site.name}, ${water.name}` : site.name);
    else
        place(name, `${site.name} `, chooser(waters, water));
    const clock = byId("clock");
    clearInterval(ticking);
    const tick = () => {
        const text = dayClockText(site.zone, now());
        if (clock.textContent !== text)
            clock.textContent = text;
    };
    tick();
    ticking = setInterval(tick, 5000);
    if (site.demo)
        byId("demo").textContent = words.demo;
}

/** @param {Water[]} waters @param {Water} water */
function chooser(waters, water) {
    const select = el("select", { "aria-label": words.water, class: "which",
        onchange: () => {
            keep("water", select.value);
            const url = new URL(location.href);
            url.searchParams.set("water", select.value);
            location.assign(url);
        } }, waters.map((w) => el("option", { value: w.id,
        selected: w.id === water.id }, w.name)));
    return select;
}

const RETRY_MS = 15000;

/**
 * Says that the page could not start, and starts it when the daemon answers again.
 * @param {Element} main
 * @param {unknown} error
 */
export function showFailure(main, error) {
    console.info(error);
    if (error instanceof Problem && (error.status === 401 || error.status === 403)) {
        import("./refused.js").then(({ showRefused }) => showRefused(main, error));
        return;
    }
    setInterval(async () => {
        const alive = await fetch("/healthz").then((answer) => answer.ok, () => false);
        if (alive)
            location.reload();
    }, RETRY_MS);
    place(main, el("h1", {}, words.unreachable),
        el("p", {}, el("button", { type: "button", onclick: () => location.reload() },
            words.reload)));
}

/** @param {Element} main */
export function showNotSetUp(main) {
    place(main, el("h1", {}, words.setupFirst.nothingYet),
        el("p", { class: "lead" }, words.setupFirst.line),
        el("p", {}, el("a", { href: "setup", class: "button strong" },
            words.setupFirst.button)));
}

/* What this device still holds for the house computer is sent from any page. */
if (kept("waiting") !== null)
    import("./waiting.js");

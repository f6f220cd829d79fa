/*
 * What was entered here and has not yet reached the house computer. An entry lies in the
 * browser's own database before it is sent, and leaves it only when the daemon has taken
 * it or when its refusal was shown. One key makes one fact, however often it is sent: also
 * from two tabs, which plain http gives no lock to keep apart.
 */
import { Problem, send } from "./api.js";
import { keep } from "./frame.js";

/**
 * @typedef {object} Entry
 * @property {string} key for the daemon: the same key, the same fact
 * @property {string} path
 * @property {any} body with its own time
 * @property {string} [match]
 * @property {number} at_ms this device's clock when Save was pressed
 * @property {string} said in words
 * @property {string} [zone] of the site
 * @property {{name: string, text: string, page: string} | null} draft to put it back into
 *   its form
 * @property {{status: number, text: string} | null} refused
 */
/** @typedef {{answer: {status: number, body: any, etag: string}} | {problem: Problem} |
 *   {waiting: true}} Outcome */

const FIRST_MS = 1000;
const LONGEST_MS = 60000;
const PATIENCE_MS = 2500; /* a first answer that is lost is asked for again within this */

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

function database() {
    opened ??= new Promise((resolve, reject) => {
        const wish = indexedDB.open("coilkeep", 1);
        wish.onupgradeneeded = () => wish.result.createObjectStore("outbox",
            { keyPath: "key" });
        wish.onsuccess = () => resolve(wish.result);
        wish.onerror = () => reject(wish.error);
    });
    return opened;
}

/** Done when it is on the disk. @param {"readonly" | "readwrite"} mode
 * @param {(store: IDBObjectStore) => IDBRequest} act @returns {Promise<any>} */
async function stored(mode, act) {
    const base = await database();
    return new Promise((resolve, reject) => {
        const change = base.transaction("outbox", mode, { durability: "strict" });
        const wish = act(change.objectStore("outbox"));
        change.oncomplete = () => resolve(wish.result);
        change.onabort = () => reject(change.error);
    });
}

/** The oldest first. @returns {Promise<Entry[]>} */
async function all() {
    const entries = await stored("readonly", (store) => store.getAll());
    return entries.sort((/** @type {Entry} */ a, /** @type {Entry} */ b) =>
        a.at_ms - b.at_ms);
}

/** @param {Entry} entry */
const put = (entry) => stored("readwrite", (store) => store.put(entry));

/* ---- who listens ---- */

/** @typedef {{entries: Entry[], trying: boolean, log_in: boolean}} State */

/** @type {((state: State) => void)[]} */
const listeners = [];
/** @type {Map<string, (outcome: Outcome) => void>} forms that wait for their answer */
const waiters = new Map();
let running = false;
let again = false;
let log_in = false;
let failures = 0;
let timer = 0;

/** @param {(state: State) => void} listener called at each change, and once now */
export function subscribe(listener) {
    listeners.push(listener);
    tell();
}

async function tell() {
    const entries = await all().catch(() => []);
    /* Other pages look at this before they load the rest. */
    keep("waiting", entries.length === 0 ? null : String(entries.length));
    listeners.forEach((listener) => listener({ entries, trying: running, log_in }));
}

/* ---- sending ---- */

/** Refused for good, not just now. @param {unknown} error @returns {error is Problem} */
function isFinal(error) {
    return error instanceof Problem && error.status >= 400 && error.status < 500 &&
        ![401, 408, 429].includes(error.status);
}

/** The form that still waits for this entry's answer, which it now gets.
 * @param {string} key */
function takeWaiter(key) {
    const waiter = waiters.get(key);
    waiters.delete(key);
    return waiter;
}

/** @param {Entry} entry @returns {Promise<"on" | "skip" | "stop">} how to go on */
async function sendOne(entry) {
    try {
        const answer = await send("POST", entry.path, entry.body,
            { key: entry.key, single: true, ...(entry.match ? { match: entry.match } : {}) });
        await remove(entry.key);
        takeWaiter(entry.key)?.({ answer });
    } catch (error) {
        if (!isFinal(error)) {
            log_in = error instanceof Problem && error.status === 401;
            return error instanceof Problem && error.status >= 500 &&
                error.status !== 503 ? "skip" : "stop";
        }
        await refuse(entry, error);
    }
    failures = 0;
    log_in = false;
    return "on";
}

/** A form that is still there shows it; else it stays until somebody has seen it.
 * @param {Entry} entry @param {Problem} problem */
async function refuse(entry, problem) {
    const waiter = takeWaiter(entry.key);
    if (waiter) {
        await remove(entry.key);
        waiter({ problem });
        return;
    }
    await put({ ...entry, refused: { status: problem.status,
        text: problem.faults.map((fault) => fault.detail).join(" ") } });
}

/** @param {string} key */
const remove = (key) => stored("readwrite", (store) => store.delete(key));

/** Sends what waits, one after the other. One that the daemon stumbles over does not hold
 * up the others. */
export async function flush() {
    again = running;
    if (running)
        return;
    running = true;
    clearTimeout(timer);
    const failed = new Set();
    let how = "on";
    while (how !== "stop") {
        const waiting = (await all().catch(() => []))
            .filter((entry) => !entry.refused && !failed.has(entry.key));
        const next = waiting.find((entry) => waiters.has(entry.key)) ?? waiting[0];
        if (!next)
            break;
        await tell();
        how = await sendOne(next).catch(() => "stop");
        if (how !== "on")
            failed.add(next.key);
    }
    running = false;
    await tell();
    if (log_in)
        [...waiters.keys()].forEach((key) => takeWaiter(key)?.({ waiting: true }));
    else if (failed.size > 0)
        later();
    if (again)
        flush();
}

/** The same wait for many devices would bring them all back at one instant. */
function later() {
    const wait_ms = Math.min(LONGEST_MS, FIRST_MS * 2 ** failures++);
    clearTimeout(timer);
    timer = setTimeout(flush, wait_ms * (0.5 + Math.random() / 2));
}

function atOnce() {
    failures = 0;
    flush();
}

/**
 * Keeps an entry, then sends it.
 * @param {Entry} entry
 * @param {() => void} onkept it is in the browser's database now
 * @returns {Promise<Outcome>}
 */
export async function deliver(entry, onkept) {
    await put(entry);
    onkept();
    keep("waiting", "1");
    /** @type {Promise<Outcome>} */
    const outcome = new Promise((resolve) => { waiters.set(entry.key, resolve); });
    atOnce();
    const patience = new Promise((resolve) => {
        setTimeout(resolve, navigator.onLine ? PATIENCE_MS : 0);
    });
    await Promise.race([outcome, patience]);
    return takeWaiter(entry.key) ? { waiting: true } : outcome;
}

/** A refused entry once more. @param {Entry} entry */
export async function sendAgain(entry) {
    await put({ ...entry, refused: null });
    atOnce();
}

/** @param {Entry} entry */
export async function letGo(entry) {
    await remove(entry.key);
    await tell();
}

addEventListener("online", atOnce);
addEventListener("pageshow", atOnce);
addEventListener("storage", (event) => {
    if (event.key === "coilkeep.waiting")
        tell();
});
document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible")
        atOnce();
});

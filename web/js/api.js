/*
 * The one door to the API: what every call must bring, time-outs, repeats with the same
 * key, and refusals as objects.
 */

/** @typedef {import("./types.js").ProblemBody} ProblemBody */
/** @typedef {import("./types.js").Fault} Fault */

const GET_TIMEOUT_MS = 8000;
const SEND_TIMEOUT_MS = 15000;
const IMPORT_TIMEOUT_MS = 600000;
const WAITS_MS = [1000, 3000]; /* before the second and the third try */

/** The daemon refused. */
export class Problem extends Error {
    /** @param {number} status @param {ProblemBody} body */
    constructor(status, body) {
        super(body.detail ?? body.title ?? String(status));
        this.status = status;
        this.body = body;
        this.code = body.code ?? "";
        this.field = body.field ?? "";
    }

    /** All faults, also when there is but one. @returns {Fault[]} */
    get faults() {
        if (this.body.errors && this.body.errors.length > 0)
            return this.body.errors;
        return [{ code: this.code, field: this.field, detail: this.message }];
    }
}

/** Nothing came back: no network, or the daemon does not answer. */
export class Unreachable extends Error {
    /** @param {string} text @param {boolean} [wanted] the page itself gave up */
    constructor(text, wanted = false) {
        super(text);
        this.wanted = wanted;
    }
}

/** A version 4 UUID; crypto.randomUUID does not exist on plain http. */
export function makeKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] ?? 0) & 0x0f | 0x40;
    bytes[8] = (bytes[8] ?? 0) & 0x3f | 0x80;
    const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20),
        hex.slice(20)].join("-");
}

/** A refusal's body; something between us and the daemon may send no JSON.
 * @param {string} text @returns {ProblemBody} */
function parsed(text) {
    try {
        return JSON.parse(text);
    } catch {
        return {};
    }
}

/**
 * @param {string} path
 * @param {RequestInit} init
 * @param {number} timeout_ms
 * @param {AbortSignal} [signal] gives up at once
 * @returns {Promise<{status: number, body: any, etag: string}>}
 */
async function once(path, init, timeout_ms, signal) {
    const abort = new AbortController();
    signal?.addEventListener("abort", () => abort.abort());
    const timer = setTimeout(() => abort.abort(), timeout_ms);
    try {
        const answer = await fetch(`/api/v1/${path}`, {
            cache: "no-store", signal: abort.signal, ...init });
        const text = await answer.text();
        if (!answer.ok)
            throw new Problem(answer.status, parsed(text));
        const body = text === "" ? {} : JSON.parse(text);
        return { status: answer.status, body, etag: answer.headers.get("ETag") ?? "" };
    } catch (error) {
        if (error instanceof Problem)
            throw error;
        throw new Unreachable(String(error), signal?.aborted);
    } finally {
        clearTimeout(timer);
    }
}

/**
 * Reads. Query members that are null or undefined are left out.
 * @param {string} path below /api/v1/
 * @param {Record<string, string | number | boolean | null | undefined>} [query]
 */
export async function get(path, query = {}) {
    const answer = await once(path + queryText(query), {}, GET_TIMEOUT_MS);
    return answer.body;
}

/** @param {string} path @returns {Promise<{body: any, etag: string}>} */
export async function getWithTag(path) {
    return once(path, {}, GET_TIMEOUT_MS);
}

/** An address to follow, as of a download. @param {string} path below /api/v1/
 * @param {Record<string, string | number | boolean | null | undefined>} query */
export function apiUrl(path, query) {
    return `/api/v1/${path}${queryText(query)}`;
}

/** @param {Record<string, string | number | boolean | null | undefined>} query */
function queryText(query) {
    const given = Object.entries(query)
        .filter(([, value]) => value !== null && value !== undefined && value !== "");
    if (given.length === 0)
        return "";
    return "?" + given.map(([name, value]) =>
        `${name}=${encodeURIComponent(String(value))}`).join("&");
}

/** @param {number} ms */
const sleep = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

/**
 * Changes something. With a key a lost answer is asked for again, up to three times in
 * all: the same key makes one fact, however often it is sent. single: only once, for who
 * repeats it by himself.
 * @param {"POST" | "PUT"} method
 * @param {string} path below /api/v1/
 * @param {any} body JSON, or a Blob of CSV or of a picture
 * @param {{key?: string, match?: string, query?: Record<string, any>,
 *   signal?: AbortSignal, single?: boolean}} [options]
 * @returns {Promise<{status: number, body: any, etag: string}>}
 */
export async function send(method, path, body, options = {}) {
    const csv = body instanceof Blob;
    const type = !csv ? "application/json"
        : /^image\/(jpeg|png)$/.test(body.type) ? body.type : "text/csv";
    /** @type {Record<string, string>} */
    const headers = { "Content-Type": type,
        "Coilkeep-Change": "1" };
    if (options.key)
        headers["Idempotency-Key"] = options.key;
    if (options.match)
        headers["If-Match"] = options.match;
    const init = { method, headers, body: csv ? body : JSON.stringify(body) };
    const tries = options.key && !csv && !options.single ? WAITS_MS.length : 0;
    for (let n = 0; ; n++) {
        try {
            return await once(path + queryText(options.query ?? {}), init,
                csv ? IMPORT_TIMEOUT_MS : SEND_TIMEOUT_MS, options.signal);
        } catch (error) {
            const again = error instanceof Unreachable ||
                error instanceof Problem && error.status === 503;
            if (!again || n >= tries)
                throw error;
            await sleep(WAITS_MS[n] ?? 0);
        }
    }
}

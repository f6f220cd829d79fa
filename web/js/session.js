/*
 * Who this browser is logged in as, and what it remembers of that: names only, never a
 * secret.
 */
import { get, Problem } from "./api.js";
import { kept, keep } from "./frame.js";

/**
 * @typedef {object} Session
 * @property {"open" | "unclaimed" | "claimed"} door
 * @property {"nobody" | "viewer" | "technician" | "owner" | "instrument"} role
 * @property {number | null} person
 * @property {string} name
 * @property {boolean} ended
 * @property {boolean} family_sees_permit
 * @property {number} proved_for_s
 */

/** @returns {Promise<Session>} */
export const session = () => get("session");

/** Names that logged in here, the last one first. @returns {string[]} */
export function knownNames() {
    try {
        const names = JSON.parse(kept("people") ?? "[]");
        return Array.isArray(names) ? names.filter((name) => typeof name === "string") : [];
    } catch {
        return [];
    }
}

/** @param {string} name */
export function rememberName(name) {
    keep("people", JSON.stringify([name, ...knownNames().filter((one) => one !== name)]
        .slice(0, 8)));
}

/** @param {string} name */
export function forgetName(name) {
    keep("people", JSON.stringify(knownNames().filter((one) => one !== name)));
}

/** Where to go after the login: a page of ours, never another site. */
export function wantedPage() {
    const wanted = new URLSearchParams(location.search).get("next") ?? "";
    return /^[a-z-]*(\?[\w=&.,:%-]*)?(#[\w-]*)?$/.test(wanted) && wanted !== "" ? wanted : "./";
}

/** @param {unknown} error */
export function needsLogin(error) {
    return error instanceof Problem && error.status === 401;
}

/*
 * A page that the daemon does not give to this caller: log in, or hear whose it is.
 */
import { el, place } from "./dom.js";
import { peopleWords } from "./peoplewords.js";

/** @param {Element} main @param {import("./api.js").Problem} problem */
export function showRefused(main, problem) {
    if (problem.status === 401) {
        const page = location.pathname.slice(1) + location.search + location.hash;
        location.replace(`login?next=${encodeURIComponent(page)}`);
        return;
    }
    place(main, el("h1", {}, peopleWords.notYours), el("p", {}, problem.message),
        el("p", {}, el("a", { class: "button", href: "login" }, peopleWords.whoAmI)));
}

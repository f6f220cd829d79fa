/*
 * The Heater page for whoever has not logged in: the permit, until when, and why. It runs
 * out by itself like the full page.
 */
import { get } from "./api.js";
import { byId, el, place } from "./dom.js";
import { Elapsed } from "./elapsed.js";
import { now, setNow } from "./frame.js";
import { listen } from "./live.js";
import { answerBlock, judge, titleText } from "./permit.js";
import { ageText } from "./time.js";
import { peopleWords } from "./peoplewords.js";
import { words } from "./words.js";

const POLL_MS = 60000;
const LOOK_MS = 1000;

/** Without a login the site's zone is not known; a phone in the house has the same. */
const SITE = /** @type {import("./types.js").Site} */ (/** @type {unknown} */ ({
    name: "", zone: Intl.DateTimeFormat().resolvedOptions().timeZone }));

/** @typedef {{text: string, next: string}} Told */

/** @param {any} first the permit as the family gets it */
export function showFamily(first) {
    let answer = first;
    let asked = new Elapsed();
    let shown = "";
    setNow(answer.at, asked);

    const look = () => {
        const seconds = asked.seconds();
        const judged = judge(answer, seconds);
        const reasons = /** @type {Told[]} */ (answer.reasons);
        place(byId("answer"), answerBlock(answer, judged, SITE, now()));
        place(byId("live"), judged.live ? words.permit.live(ageText(seconds)) : "");
        const steps = judged.turned === "lost" ? words.permit.lostNext
            : judged.turned === "over" ? words.permit.overNext
                : reasons.map((reason) => reason.next).filter((step) => step !== "");
        place(byId("next"), steps.length === 0 ? null : el("h2", {}, words.permit.next),
            steps.length === 0 ? null : el("ol", { class: "next" },
                [...new Set(steps)].map((step) => el("li", {}, step))));
        place(byId("why"), reasons.length === 0 ? null : el("h2", {}, words.permit.why),
            el("ul", { class: "reasons" }, reasons.map((reason) => el("li", {}, reason.text))),
            el("p", {}, el("a", { class: "button", href: "login" }, peopleWords.logInForMore)));
        if (shown !== judged.shown)
            document.title = titleText(judged.shown, SITE);
        shown = judged.shown;
    };
    const ask = async () => {
        const since = new Elapsed();
        try {
            answer = await get("permit");
            asked = since;
            setNow(answer.at, since);
        } catch (error) {
            console.info(error); /* the answer at hand runs out by itself */
        }
        look();
    };
    const wake = () => {
        if (document.visibilityState === "visible")
            void ask();
    };
    document.addEventListener("visibilitychange", wake);
    addEventListener("online", wake);
    listen(() => void ask());
    setInterval(look, LOOK_MS);
    setInterval(wake, POLL_MS);
    look();
}

/*
 * What Trends asks the daemon for besides the values: what lies ahead, marks, the heater's
 * times off line, runs, permits and the walls of the time.
 */
import { get } from "./api.js";
import { civil, instants } from "./time.js";
import { trendWords } from "./trendwords.js";
import { joined } from "./walls.js";

/** @typedef {import("./types.js").HeaterState} HeaterState */
/** @typedef {import("./types.js").KnownValue} KnownValue */
/** @typedef {import("./trendtable.js").Permit} Permit */
/** @typedef {import("./strip.js").Run} Run */
/** @typedef {import("./walls.js").Wall} Wall */
/** @typedef {{from: number, until: number}} Time */
/** @typedef {{heater: number, water: number}} Pair */

const DAY = 86400;
const RUN_PAGES = 4; /* at most */
const PERMIT_PAGES = 60;
const PERMITS_MS = 10000; /* for the permits of one view */
const PERMITS_REST_MS = 100;
const RUN_LONGEST_S = 31 * DAY;
const VERSIONS_MOST = 12;
export const EXPOSURE_LONGEST_S = 130 * DAY;

/** The same date and time of day a year before. @param {string} zone @param {number} at */
export function yearBefore(zone, at) {
    const c = civil(zone, at);
    /* 29 February falls on 1 March. */
    const date = new Date(Date.UTC(c.year - 1, c.month - 1, c.day));
    const [found] = instants(zone, date.getUTCFullYear(), date.getUTCMonth() + 1,
        date.getUTCDate(), c.hour, c.minute, c.second);
    return found ?? at - 365 * DAY; /* an hour that did not exist that day */
}

/** Super-chlorinations, and exposures where the time is short enough: of a year of a
 * probe's values the daemon would work them out for many seconds. @param {Pair} pair @param {Time} time
 * @param {number} now @returns {Promise<import("./chart.js").Mark[]>} */
export async function askMarks(pair, { from, until }, now) {
    const [plans, exposure] = await Promise.all([
        get("super-chlorinations", { water: pair.water, from, until })
            .catch(() => ({ plans: [] })),
        until - from > EXPOSURE_LONGEST_S ? { events: [] }
            : get("exposure", { ...pair, from, until: Math.min(until, now) })
                .catch(() => ({ events: [] }))]);
    /** @param {{from: number, until: number | null}} plan */
    const planned = (plan) => ({ from: plan.from, until: plan.until ?? now,
        text: trendWords.plan, kind: /** @type {const} */ ("plan") });
    /** @param {{from: number, until: number}} event */
    const exposed = (event) => ({ from: event.from, until: event.until,
        text: trendWords.exposure, kind: /** @type {const} */ ("exposure") });
    return [...plans.plans.map(planned), ...exposure.events.map(exposed)];
}

/** @param {number} heater @param {Time} time @param {number} now */
export async function askOffLine(heater, { from, until }, now) {
    const [states, before] = await Promise.all([
        get("heater-states", { heater, from, until, limit: 500 }),
        get("heater-states", { heater, until: from, limit: 1 })]);
    return offLineTimes([...before.heater_states, ...states.heater_states], now);
}

/**
 * When the heater was not in line.
 * @param {HeaterState[]} states in any order
 * @param {number} until of a time that is not over
 */
function offLineTimes(states, until) {
    const known = new Map(states.map((state) => [state.id, state]));
    const ordered = [...known.values()].sort((a, b) => a.at - b.at || a.id - b.id);
    /** @type {{from: number, until: number, text: string}[]} */
    const times = [];
    ordered.forEach((state, i) => {
        if (state.withdrawn || state.state === "in_line")
            return;
        const next = ordered[i + 1];
        times.push({ from: state.at, until: next ? next.at : until,
            text: trendWords.states[state.state] });
    });
    return times;
}

/**
 * Runs of pump and burner, ascending; those of the oldest part are missing when there are
 * very many.
 * @param {Pair} pair @param {Time} time
 * @returns {Promise<{pump: Run[], burner: Run[], is_all: boolean}>}
 */
export async function askRuns(pair, { from, until }) {
    /** @type {{pump: Run[], burner: Run[], is_all: boolean}} */
    const found = { pump: [], burner: [], is_all: false };
    let before = null;
    for (let page = 0; page < RUN_PAGES; page++) {
        /** @type {any} */
        const answer = await get("runs", { water: pair.water, limit: 500, until, before,
            from: Math.max(0, from - RUN_LONGEST_S) });
        for (const run of answer.runs)
            if (!run.withdrawn && run.ended_at > from &&
                (run.machine === "pump" || run.heater === pair.heater))
                found[/** @type {"pump" | "burner"} */ (run.machine)].push(
                    { from: run.at, until: run.ended_at });
        before = answer.more;
        if (before === null)
            break;
    }
    found.is_all = before === null;
    found.pump.reverse();
    found.burner.reverse();
    return found;
}

/**
 * Permits of the past, part by part: each part is handed out as it comes.
 * @param {Pair} pair @param {Time} time
 * @param {(permits: Permit[]) => boolean} take false: no more wanted
 * @returns {Promise<number>} where they end
 */
export async function askPermits(pair, { from, until }, take) {
    /** @type {Permit[]} */
    const all = [];
    let at = from;
    const end = performance.now() + PERMITS_MS;
    for (let page = 0; page < PERMIT_PAGES && at < until && performance.now() < end; page++) {
        const answer = await get("permits", { ...pair, from: at, until });
        all.push(...answer.permits);
        if (!take(all))
            return until;
        at = answer.more ?? until;
        if (at < until) /* let others ask, too */
            await new Promise((rested) => { setTimeout(rested, PERMITS_REST_MS); });
    }
    return at;
}

/**
 * The walls of each value while the heater's limits were changed.
 * @param {Pair} pair @param {Time} time
 * @param {readonly KnownValue[]} values of now
 * @returns {Promise<(quantity: string) => Wall[]>}
 */
export async function askWalls(pair, { from, until }, values) {
    const { versions } = await get(`heaters/${pair.heater}/versions`);
    const changes = versions.map((/** @type {{at: number}} */ version) => version.at)
        .filter((/** @type {number} */ at) => at > from && at < until)
        .slice(-VERSIONS_MOST);
    const later = versions.some((/** @type {{at: number}} */ version) =>
        version.at >= until);
    const times = changes.length > 0 || later ? [from, ...changes] : [];
    const answers = await Promise.all(times.map((as_of) =>
        get("permit", { ...pair, as_of })));
    return (quantity) => {
        /** @param {readonly KnownValue[]} list @param {number} at @returns {Wall[]} */
        const wall = (list, at) => list.filter((v) => v.quantity === quantity)
            .map((v) => ({ from: at, low: v.low, high: v.high,
                high_is_limit: v.high_is_limit }));
        const of_then = answers.flatMap((answer, i) => wall(answer.values, times[i] ?? 0));
        if (of_then.length > 0)
            return joined(of_then);
        const of_now = wall(values, from);
        return of_now.length > 0 ? of_now
            : [{ from, low: null, high: null, high_is_limit: false }];
    };
}

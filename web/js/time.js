/*
 * Times in the site's zone, never the device's. Instants are UTC epoch seconds.
 * Zone data are the browser's; days have the length that the zone gives them.
 */
import { words } from "./words.js";

/**
 * @typedef {object} Civil
 * @property {number} year
 * @property {number} month from 1
 * @property {number} day
 * @property {number} hour
 * @property {number} minute
 * @property {number} second
 */

/** @type {Map<string, Intl.DateTimeFormat>} */
const formats = new Map();

/**
 * @param {string} zone
 * @param {Intl.DateTimeFormatOptions} options
 */
function format(zone, options) {
    const key = zone + JSON.stringify(options);
    let made = formats.get(key);
    if (!made) {
        made = new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...options });
        formats.set(key, made);
    }
    return made;
}

/** @param {string} zone @param {number} at @returns {Civil} */
export function civil(zone, at) {
    const parts = format(zone, {
        calendar: "gregory", numberingSystem: "latn", hourCycle: "h23", year: "numeric",
        month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit",
        second: "2-digit" }).formatToParts(at * 1000);
    /** @param {string} type */
    const part = (type) => Number(parts.find((p) => p.type === type)?.value);
    return { year: part("year"), month: part("month"), day: part("day"),
        hour: part("hour"), minute: part("minute"), second: part("second") };
}

/** Seconds that local time is ahead of UTC. @param {string} zone @param {number} at */
export function offsetSeconds(zone, at) {
    const c = civil(zone, at);
    const local = Date.UTC(c.year, c.month - 1, c.day, c.hour, c.minute, c.second);
    return local / 1000 - Math.floor(at);
}

/**
 * The instants at which clocks of the zone show that local time: none when it is
 * skipped, two when it happens twice.
 * @param {string} zone
 * @param {number} year
 * @param {number} month
 * @param {number} day
 * @param {number} [hour]
 * @param {number} [minute]
 * @param {number} [second]
 * @returns {number[]} ascending
 */
export function instants(zone, year, month, day, hour = 0, minute = 0, second = 0) {
    const local = Date.UTC(year, month - 1, day, hour, minute, second) / 1000;
    const found = new Set();
    for (const probe of [local - 86400, local, local + 86400]) {
        const at = local - offsetSeconds(zone, probe);
        if (at + offsetSeconds(zone, at) === local)
            found.add(at);
    }
    return [...found].sort((a, b) => a - b);
}

/**
 * First instant of a civil day. Where midnight itself is skipped: the first one after.
 * @param {string} zone
 * @param {number} year
 * @param {number} month
 * @param {number} day also past the month's end: 32 January is 1 February
 */
export function dayStart(zone, year, month, day) {
    const date = new Date(Date.UTC(year, month - 1, day));
    const [y, m, d] = [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate()];
    const [first] = instants(zone, y, m, d);
    if (first !== undefined)
        return first;
    /* Skipped midnight: search the change between two instants around it. */
    let low = date.getTime() / 1000 - 86400;
    let high = date.getTime() / 1000 + 86400;
    /** @param {number} at */
    const before = (at) => {
        const c = civil(zone, at);
        return Date.UTC(c.year, c.month - 1, c.day) < date.getTime();
    };
    while (high - low > 1) {
        const middle = Math.floor((low + high) / 2);
        if (before(middle))
            low = middle;
        else
            high = middle;
    }
    return high;
}

/** Length of a civil day in seconds: 86400, or another where clocks change.
 * @param {string} zone @param {number} year @param {number} month @param {number} day */
export function dayLength(zone, year, month, day) {
    return dayStart(zone, year, month, day + 1) - dayStart(zone, year, month, day);
}

/** Days from a's date to b's date in the zone.
 * @param {string} zone @param {number} a @param {number} b */
export function daysBetween(zone, a, b) {
    const [x, y] = [civil(zone, a), civil(zone, b)];
    return Math.round((Date.UTC(y.year, y.month - 1, y.day) -
                       Date.UTC(x.year, x.month - 1, x.day)) / 86400000);
}

/** "14:05" @param {string} zone @param {number} at */
export function clockText(zone, at) {
    return format(zone, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" })
        .format(at * 1000);
}

/** "Wed 14:05" @param {string} zone @param {number} at */
export function dayClockText(zone, at) {
    return `${format(zone, { weekday: "short" }).format(at * 1000)} ` +
        clockText(zone, at);
}

/** "Wed 25" @param {string} zone @param {number} at */
export function shortDayText(zone, at) {
    const weekday = format(zone, { weekday: "short" }).format(at * 1000);
    return `${weekday} ${civil(zone, at).day}`;
}

/** "25 November 2026" or, this year, "25 November"
 * @param {string} zone @param {number} at @param {number} now */
export function dateText(zone, at, now) {
    const same = civil(zone, at).year === civil(zone, now).year;
    return format(zone, same ? { day: "numeric", month: "long" }
        : { day: "numeric", month: "long", year: "numeric" }).format(at * 1000);
}

/** "Wed 25 Nov 2026, 14:05": whole, for tables and histories
 * @param {string} zone @param {number} at */
export function fullText(zone, at) {
    const day = format(zone, { weekday: "short", day: "numeric", month: "short",
        year: "numeric" }).format(at * 1000).replace(",", "");
    return `${day}, ${clockText(zone, at)}`;
}

/** "2026-11-25 14:05", for CSV @param {string} zone @param {number} at */
export function isoText(zone, at) {
    const c = civil(zone, at);
    /** @param {number} n */
    const two = (n) => String(n).padStart(2, "0");
    return `${c.year}-${two(c.month)}-${two(c.day)} ${two(c.hour)}:${two(c.minute)}`;
}

/**
 * The instant as a person would say it from now: "today 14:05", "tomorrow 09:00",
 * "Sunday 14:05", "25 November, 14:05".
 * @param {string} zone @param {number} at @param {number} now
 */
export function momentText(zone, at, now) {
    const days = daysBetween(zone, now, at);
    const clock = clockText(zone, at);
    if (days >= -1 && days <= 1)
        return `${words.days[/** @type {-1 | 0 | 1} */ (days)]} ${clock}`;
    if (Math.abs(days) < 7)
        return `${format(zone, { weekday: "long" }).format(at * 1000)} ${clock}`;
    if (Math.abs(days) < 14) {
        const weekday = format(zone, { weekday: "short" }).format(at * 1000);
        return `${weekday} ${dateText(zone, at, now)}, ${clock}`;
    }
    return `${dateText(zone, at, now)}, ${clock}`;
}

/** "just now", "20 min ago", "3 h ago", "2 days ago" @param {number} seconds */
export function ageText(seconds) {
    if (seconds < 90)
        return words.age.now;
    if (seconds < 90 * 60)
        return words.age.minutes(Math.round(seconds / 60));
    if (seconds < 36 * 3600)
        return words.age.hours(Math.round(seconds / 3600));
    if (seconds < 60 * 86400)
        return words.age.days(Math.round(seconds / 86400));
    if (seconds < 700 * 86400)
        return words.age.months(Math.round(seconds / (30.44 * 86400)));
    return words.age.years(Math.round(seconds / (365.25 * 86400)));
}

/** "20 minutes", "3 hours", "2 days" @param {number} seconds */
export function spanText(seconds) {
    if (seconds < 90 * 60)
        return words.span.minutes(Math.max(1, Math.round(seconds / 60)));
    if (seconds < 36 * 3600)
        return words.span.hours(Math.round(seconds / 3600));
    return words.span.days(Math.round(seconds / 86400));
}

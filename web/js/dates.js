/*
 * Dates and times as people type them. Month names are understood; a date of digits only
 * that could be two days is not guessed.
 */

const MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct",
    "nov", "dec"];
const FULL_MONTHS = ["january", "february", "march", "april", "may", "june", "july",
    "august", "september", "october", "november", "december"];
const WEEKDAYS = ["sunday", "monday", "tuesday", "wednesday", "thursday", "friday",
    "saturday"];

/**
 * @typedef {object} Day
 * @property {number} year
 * @property {number} month from 1
 * @property {number} day
 */
/** @typedef {"empty" | "not_a_date" | "two_days" | "in_future" | "in_past"} DayFault */

/**
 * @param {string} text "today", "Tuesday", "24 Nov", "Nov 24 2026", "24.11.2026"
 * @param {Day} today at the site
 * @returns {{ok: true, day: Day} | {ok: false, code: DayFault}}
 */
export function readDay(text, today) {
    const clean = text.trim().toLowerCase().replace(/(\d)(st|nd|rd|th)\b/, "$1");
    if (clean === "")
        return { ok: false, code: "empty" };
    const named = namedDay(clean, today);
    if (named)
        return { ok: true, day: named };
    const read = withMonthName(clean) ?? digitsOnly(clean);
    if (read === "two_days")
        return { ok: false, code: "two_days" };
    if (!read)
        return { ok: false, code: "not_a_date" };
    const day = finish(read, today);
    if (!day)
        return { ok: false, code: "not_a_date" };
    if (number(day) > number(today))
        return { ok: false, code: "in_future" };
    return { ok: true, day };
}

/**
 * A day from today on. Without a year: the next such day.
 * @param {string} text "tomorrow", "Tuesday", "1 May", "1 May 2027"
 * @param {Day} today at the site
 * @returns {{ok: true, day: Day} | {ok: false, code: DayFault}}
 */
export function readDayAhead(text, today) {
    const clean = text.trim().toLowerCase().replace(/(\d)(st|nd|rd|th)\b/, "$1");
    if (clean === "")
        return { ok: false, code: "empty" };
    if (clean === "tomorrow")
        return { ok: true, day: fromNumber(number(today) + 1) };
    const named = namedDay(clean, today);
    if (named) /* a weekday is the next one, today too */
        return clean === "yesterday" ? { ok: false, code: "in_past" }
            : { ok: true, day: fromNumber(number(named) +
                (number(named) < number(today) ? 7 : 0)) };
    const read = withMonthName(clean) ?? digitsOnly(clean);
    if (read === "two_days")
        return { ok: false, code: "two_days" };
    if (!read)
        return { ok: false, code: "not_a_date" };
    const earlier = read.month < today.month ||
        read.month === today.month && read.day < today.day;
    const day = finish({ ...read, year: read.year ?? today.year + (earlier ? 1 : 0) },
        today);
    if (!day)
        return { ok: false, code: "not_a_date" };
    if (number(day) < number(today))
        return { ok: false, code: "in_past" };
    return { ok: true, day };
}

/** @param {Day} day days since 1970 */
function number(day) {
    return Date.UTC(day.year, day.month - 1, day.day) / 86400000;
}

/** @param {number} days @returns {Day} */
function fromNumber(days) {
    const date = new Date(days * 86400000);
    return { year: date.getUTCFullYear(), month: date.getUTCMonth() + 1,
        day: date.getUTCDate() };
}

/** @param {string} text @param {Day} today @returns {Day | null} */
function namedDay(text, today) {
    if (text === "today")
        return today;
    if (text === "yesterday")
        return fromNumber(number(today) - 1);
    const weekday = text.length < 3 ? -1
        : WEEKDAYS.findIndex((name) => name.startsWith(text));
    if (weekday < 0)
        return null;
    const back = (new Date(number(today) * 86400000).getUTCDay() - weekday + 7) % 7;
    return fromNumber(number(today) - back);
}

/** @typedef {{year: number | null, month: number, day: number}} Parts */

/** @param {string} text @returns {Parts | null} */
function withMonthName(text) {
    const dated = /^(.*?)(?:[\s,.\-]+(\d{4}))?$/.exec(text);
    const match = /^(\d{1,2})?[\s.\-]*([a-z]{3,9})[\s.\-]*(\d{1,2})?\.?$/.exec(
        dated?.[1] ?? "");
    if (!match || (match[1] === undefined) === (match[3] === undefined))
        return null; /* the day stands before the month or behind it */
    const name = match[2] ?? "";
    const month = MONTHS.indexOf(name.slice(0, 3)) + 1;
    if (month === 0 || !(FULL_MONTHS[month - 1] ?? "").startsWith(name) &&
        name !== "sept")
        return null;
    return { year: dated?.[2] ? Number(dated[2]) : null, month,
        day: Number(match[1] ?? match[3]) };
}

/** @param {string} text @returns {Parts | "two_days" | null} */
function digitsOnly(text) {
    const iso = /^(\d{4})[\-\/.](\d{1,2})[\-\/.](\d{1,2})$/.exec(text);
    if (iso)
        return { year: Number(iso[1]), month: Number(iso[2]), day: Number(iso[3]) };
    const match = /^(\d{1,2})([\/.\-])(\d{1,2})(?:\2(\d{4})?)?$/.exec(text);
    if (!match)
        return null;
    const [a, b] = [Number(match[1]), Number(match[3])];
    const year = match[4] ? Number(match[4]) : null;
    if (match[2] === "." || a > 12 || a === b) /* 24.11. is day first everywhere */
        return { year, month: b, day: a };
    return b > 12 ? { year, month: a, day: b } : "two_days";
}

/** @param {Parts} parts @param {Day} today @returns {Day | null} */
function finish(parts, today) {
    let { year } = parts;
    const { month, day } = parts;
    if (year === null) {
        /* Without a year: the last such day up to today. */
        const later = month > today.month || month === today.month && day > today.day;
        year = later ? today.year - 1 : today.year;
    }
    const back = fromNumber(number({ year, month, day }));
    if (year < 1000 || back.month !== month || back.day !== day)
        return null;
    return { year, month, day };
}

/**
 * @param {string} text "14:05", "14.05", "1405", "2:05 pm", "2pm"
 * @returns {{ok: true, time: string} | {ok: false, code: "empty" | "not_a_time"}}
 */
export function readTime(text) {
    const clean = text.trim().toLowerCase().replace(/\s+/g, " ");
    if (clean === "")
        return { ok: false, code: "empty" };
    const match = /^(\d{1,2})(?:[:.h]?(\d{2}))? ?(am|pm|a\.m\.|p\.m\.)?$/.exec(clean);
    if (!match)
        return { ok: false, code: "not_a_time" };
    let hour = Number(match[1]);
    const minute = Number(match[2] ?? 0);
    const half = match[3]?.charAt(0);
    if (half && (hour < 1 || hour > 12) || !half && match[2] === undefined)
        return { ok: false, code: "not_a_time" };
    if (half)
        hour = hour % 12 + (half === "p" ? 12 : 0);
    if (hour > 23 || minute > 59)
        return { ok: false, code: "not_a_time" };
    const two = [hour, minute].map((n) => String(n).padStart(2, "0"));
    return { ok: true, time: two.join(":") };
}

/** "2026-11-25" @param {Day} day */
export function dayText(day) {
    const two = [day.month, day.day].map((n) => String(n).padStart(2, "0"));
    return `${String(day.year).padStart(4, "0")}-${two.join("-")}`;
}

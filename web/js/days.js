/*
 * Days of the site as the API writes them, "2027-04-01", in words and as typed.
 */
import { dayText, readDayAhead } from "./dates.js";
import { entryWords } from "./entrywords.js";
import { now } from "./frame.js";
import { civil, dateText } from "./time.js";

const DAY_MS = 86400000;

/** "1 April 2027", this year without the year @param {string} day */
export function dayWords(day) {
    return dateText("UTC", Date.parse(`${day}T12:00:00Z`) / 1000, now());
}

/** The day after. @param {string} day */
export function dayAfter(day) {
    return new Date(Date.parse(`${day}T00:00:00Z`) + DAY_MS).toISOString().slice(0, 10);
}

/**
 * A typed day from today on.
 * @param {string} text @param {string} zone
 * @returns {{ok: true, day: string} | {ok: false, text: string}}
 */
export function typedDayAhead(text, zone) {
    const read = readDayAhead(text, civil(zone, now()));
    return read.ok ? { ok: true, day: dayText(read.day) }
        : { ok: false, text: entryWords.dayFaults[read.code] };
}

/*
 * The Heat page's log: a warm-up is entered, corrected or withdrawn, and another meter or
 * thermometer is told with the instant it came. Nothing is overwritten.
 */
import { get, getWithTag, makeKey, send } from "./api.js";
import { dayText, readDay, readTime } from "./dates.js";
import { announce, byId, el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { now } from "./frame.js";
import { heatWords } from "./heatwords.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { faultsOf } from "./saved.js";
import { civil, clockText, isoText, momentText } from "./time.js";
import { readValue } from "./typed.js";
import { byMember, undoButton } from "./undo.js";
import { shownUnit, valueText } from "./units.js";

/** @typedef {import("./types.js").Efficiency} Efficiency */
/** @typedef {import("./types.js").Fact} Fact */
/** @typedef {import("./form.js").FormFault} FormFault */

const TEMP = "water_temp_c";
/** Fields of the API as these forms have them. @type {Record<string, string>} */
const FIELDS = { at: "time", local: "time", ended_at: "end_time", ended_local: "end_time" };
/** What the form does not ask for; a correction keeps it. */
const UNASKED = ["meter_step", "mj_per_unit", "shared_percent", "is_condensing",
    "humidity_percent", "wind_m_per_s", "cloud_percent"];

/** @param {unknown} error */
function faultsHere(error) {
    return faultsOf(error, (fault) => ({
        field: FIELDS[fault.field.split(".")[0] ?? ""] ?? fault.field, text: fault.detail }));
}

export class HeatLog {
    /** @param {import("./frame.js").Place} where @param {string} unit of the meter
     * @param {() => Promise<Efficiency | null>} changed loads the answer anew */
    constructor(where, unit, changed) {
        this.site = where.site;
        this.pair = { heater: where.heater?.id, water: where.water?.id };
        this.unit = unit;
        this.changed = changed;
        /** The warm-up that is being corrected. @type {any} */
        this.old = null;
        this.key = makeKey();
    }

    start() {
        this.drawForm();
        this.drawChange();
        this.listChanges();
    }

    /* ---- a warm-up ---- */

    /** The fields as the stored warm-up has them. @returns {Record<string, string>} */
    shown() {
        const old = this.old;
        if (!old)
            return { day: "today", unit: this.unit, cover: "bubble" };
        const zone = this.site.zone;
        const plain = (/** @type {number | null} */ v) => v === null ? ""
            : writeNumber(v, 6, this.site.decimal_comma);
        const temp = (/** @type {number | null} */ v) => v === null ? ""
            : valueText(TEMP, v, "°C", this.site);
        return { day: isoText(zone, old.at).slice(0, 10), time: clockText(zone, old.at),
            end_day: isoText(zone, old.ended_at).slice(0, 10),
            end_time: clockText(zone, old.ended_at), start_temp_c: temp(old.start_temp_c),
            end_temp_c: temp(old.end_temp_c), meter_start: plain(old.meter_start),
            meter_end: plain(old.meter_end), burner_h: plain(old.burner_h),
            air_temp_c: temp(old.air_temp_c), unit: old.unit ?? this.unit,
            cover: old.cover };
    }

    drawForm() {
        const say = heatWords;
        const degree = shownUnit("°C", this.site).symbol;
        const shown = this.shown();
        const input = (/** @type {string} */ name, /** @type {string} */ label, unit = "") =>
            field(name, label, textInput({ value: shown[name] ?? "",
                inputmode: /time|day/.test(name) ? undefined : "decimal" }), { unit });
        setScope("log");
        /** @type {HTMLElement} */
        const form = el("form", { novalidate: true, onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            this.save(/** @type {HTMLFormElement} */ (form));
        } },
        el("div", { class: "pair" },
            input("day", say.logDay), input("time", say.logStart),
            input("end_day", say.logEndDay), input("end_time", say.logEnd),
            input("start_temp_c", say.tempBefore, degree),
            input("end_temp_c", say.tempAfter, degree),
            input("meter_start", say.meterBefore), input("meter_end", say.meterAfter),
            field("unit", say.meterUnit, select(Object.entries(say.units),
                shown.unit ?? this.unit)),
            input("burner_h", say.burnerHours), input("air_temp_c", say.logAir, degree),
            field("cover", say.logCover, select(/** @type {[string, string][]} */ (
                Object.entries(say.covers).filter(([key]) => key !== "own")),
            shown.cover ?? "bubble"))),
        check("meter_is_shared", say.shared, this.old?.meter_is_shared === true).row,
        check("probe_in_sun", say.inSun, this.old?.probe_in_sun === true).row,
        ...this.correctionPart(() => /** @type {HTMLFormElement} */ (form)),
        el("p", { class: "save" }, el("button", { class: "strong" },
            this.old ? say.correctSave : say.save)));
        setScope("");
        place(byId("log"), el("h2", {}, this.old ? say.correctHead : say.logHead),
            el("p", {}, say.logWhy), el("details", { open: this.old !== null },
                el("summary", { class: "row" }, say.logOpen), form));
    }

    /** @param {() => HTMLFormElement} form @returns {HTMLElement[]} */
    correctionPart(form) {
        const say = heatWords;
        if (!this.old)
            return [];
        return [field("reason", say.why, textInput({ maxlength: 200 })),
            el("p", { class: "actions" },
                el("button", { type: "button", onclick: () => this.withdraw(form()) },
                    say.withdraw),
                el("button", { type: "button", onclick: () => this.forget() },
                    say.keepAsIs))];
    }

    /** Opens a logged warm-up. @param {number} id */
    async correct(id) {
        try {
            this.old = (await getWithTag(`warm-ups/${id}`)).body;
        } catch (error) {
            return announce(faultsHere(error)[0]?.text ?? "");
        }
        this.key = makeKey();
        this.drawForm();
        byId("log").querySelector("input")?.focus();
    }

    forget() {
        this.old = null;
        this.key = makeKey();
        this.drawForm();
    }

    /** Start and end as local times; as they were where nobody touched them.
     * @param {HTMLFormElement} form @param {FormFault[]} faults */
    readTimes(form, faults) {
        const shown = this.shown();
        const same = (/** @type {("day" | "time" | "end_day" | "end_time")[]} */ ...names) =>
            this.old && names.every((name) => valueOf(form, name) === shown[name]);
        const today = civil(this.site.zone, now());
        const day = readDay(valueOf(form, "day"), today);
        const start = readTime(valueOf(form, "time"));
        const end = readTime(valueOf(form, "end_time"));
        const ownEnd = valueOf(form, "end_day").trim() === "" ? null
            : readDay(valueOf(form, "end_day"), today);
        for (const [name, read] of /** @type {const} */ ([["day", day], ["end_day", ownEnd]]))
            if (read && !read.ok)
                faults.push({ field: name, text: entryWords.dayFaults[read.code] });
        for (const [name, read] of /** @type {const} */ ([["time", start],
            ["end_time", end]]))
            if (!read.ok)
                faults.push({ field: name, text: entryWords.timeFaults[read.code] });
        if (!day.ok || !start.ok || !end.ok || ownEnd && !ownEnd.ok)
            return {};
        /* Without its own day, an end before the start on the clock is the next
         * morning's. */
        const next = ownEnd || end.time > start.time ? 0 : 1;
        const last = ownEnd ? ownEnd.day : day.day;
        const later = new Date(Date.UTC(last.year, last.month - 1, last.day + next));
        return { ...(same("day", "time") ? { at: this.old.at }
            : { local: { date: dayText(day.day), time: start.time } }),
        ...(same("end_day", "end_time") ? { ended_at: this.old.ended_at }
            : { ended_local: { date: later.toISOString().slice(0, 10), time: end.time } }) };
    }

    /** @param {HTMLFormElement} form @param {FormFault[]} faults */
    read(form, faults) {
        /** @param {string} name @param {boolean} needed @param {boolean} is_temp */
        const number = (name, needed, is_temp) => {
            const text = valueOf(form, name);
            if (text.trim() === "" && !needed)
                return undefined;
            const read = is_temp ? readValue(TEMP, text, "°C", this.site) : readDecimal(text);
            if (!read.ok)
                faults.push({ field: name, text: is_temp ? heatWords.notTemp
                    : heatWords.notNumber });
            return read.ok ? "stored" in read ? read.stored : read.value : undefined;
        };
        const byHours = valueOf(form, "burner_h").trim() !== "" &&
            valueOf(form, "meter_end").trim() === "";
        const flags = new FormData(form);
        const unasked = UNASKED.filter((name) => (this.old?.[name] ?? null) !== null)
            .map((name) => [name, this.old[name]]);
        return { ...Object.fromEntries(unasked), ...this.pair,
            ...this.readTimes(form, faults),
            start_temp_c: number("start_temp_c", true, true),
            end_temp_c: number("end_temp_c", true, true),
            ...(byHours ? { source: "burner_hours", burner_h: number("burner_h", true, false) }
                : { source: "meter", unit: valueOf(form, "unit"),
                    meter_start: number("meter_start", true, false),
                    meter_end: number("meter_end", true, false),
                    meter_is_shared: flags.has("meter_is_shared") }),
            air_temp_c: number("air_temp_c", false, true),
            cover: valueOf(form, "cover"), probe_in_sun: flags.has("probe_in_sun"),
            ...byMember() };
    }

    /** Why it changes, for a correction or withdrawal. @param {HTMLFormElement} form
     * @param {FormFault[]} faults */
    reason(form, faults) {
        const reason = valueOf(form, "reason").trim();
        if (reason === "")
            faults.push({ field: "reason", text: heatWords.whyNeeded });
        return reason;
    }

    /** @param {HTMLFormElement} form */
    async save(form) {
        /** @type {FormFault[]} */
        const faults = [];
        const old = this.old;
        const body = { ...this.read(form, faults),
            ...(old ? { reason: this.reason(form, faults) } : {}) };
        clearFaults(form);
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            const saved = old ? await send("POST", `warm-ups/${old.id}/correction`, body,
                { key: this.key, match: old.etag })
                : await send("POST", "warm-ups", body, { key: this.key });
            this.said(await this.changed(), saved.body, old === null);
        } catch (error) {
            showFaults(form, faultsHere(error));
        }
    }

    /** @param {HTMLFormElement} form */
    async withdraw(form) {
        /** @type {FormFault[]} */
        const faults = [];
        const reason = this.reason(form, faults);
        clearFaults(form);
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            await send("POST", `warm-ups/${this.old.id}/withdrawal`,
                { reason, ...byMember() }, { key: makeKey(), match: this.old.etag });
            await this.changed();
            this.forget();
            byId("log").append(el("p", { class: "saved" }, heatWords.withdrawn));
            announce(heatWords.withdrawn);
        } catch (error) {
            showFaults(form, faultsHere(error));
        }
    }

    /** What the new warm-up says. @param {Efficiency | null} answer @param {Fact} fact
     * @param {boolean} isNew a correction is taken back by correcting again */
    said(answer, fact, isNew) {
        const one = answer?.warm_ups.find((w) => w.id === fact.id);
        const text = !one || one.efficiency === null ? heatWords.saved
            : heatWords.warmUpSaid(writeNumber(one.efficiency * 100, 0,
                this.site.decimal_comma), one.flaws.map((f) => f.text).join(" "));
        this.forget();
        byId("log").append(el("div", { class: "saved" }, el("p", {}, text),
            isNew ? undoButton("warm-ups", fact, () => this.changed()) : null));
        announce(text);
    }

    /* ---- another meter ---- */

    drawChange() {
        const say = heatWords;
        setScope("change");
        const form = el("form", { novalidate: true, onsubmit: (
            /** @type {Event} */ event) => {
            event.preventDefault();
            this.saveChange(form);
        } },
        field("what", say.changeWhat, select(Object.entries(say.changeNames), "meter")),
        el("div", { class: "pair" },
            field("day", say.changeDay, textInput({ value: "today" })),
            field("time", say.changeTime, textInput(), { hint: say.changeTimeHint })),
        el("p", {}, el("button", {}, say.changeSave)));
        setScope("");
        place(byId("change"), el("details", {},
            el("summary", { class: "row" }, say.changeHead),
            el("p", {}, say.changeWhy), form, el("ul", { id: "changes", class: "logged" })));
    }

    /** @param {HTMLFormElement} form */
    async saveChange(form) {
        const today = civil(this.site.zone, now());
        const day = readDay(valueOf(form, "day"), today);
        const typed = valueOf(form, "time").trim();
        const time = readTime(typed === "" ? "00:00" : typed);
        clearFaults(form);
        if (!day.ok)
            return showFaults(form, [{ field: "day", text: entryWords.dayFaults[day.code] }]);
        if (!time.ok)
            return showFaults(form,
                [{ field: "time", text: entryWords.timeFaults[time.code] }]);
        const isNow = typed === "" && dayText(day.day) === dayText(today);
        try {
            await send("POST", "meter-changes", { heater: this.pair.heater,
                what: valueOf(form, "what"), ...(isNow ? {} : { local: {
                    date: dayText(day.day), time: time.time } }), ...byMember() },
            { key: makeKey() });
            await this.changed();
            this.drawChange();
            byId("change").querySelector("details")?.setAttribute("open", "");
            byId("change").append(el("p", { class: "saved" }, heatWords.saved));
            announce(heatWords.saved);
            await this.listChanges();
        } catch (error) {
            showFaults(form, faultsHere(error));
        }
    }

    /** What was told, each to be taken back. */
    async listChanges() {
        const told = (await get("meter-changes", { heater: this.pair.heater }))
            .meter_changes;
        place(byId("changes"), told.map((/** @type {any} */ change) => el("li", {},
            heatWords.changeLine(momentText(this.site.zone, change.at, now()),
                heatWords.changeNames[change.what] ?? change.what), " ",
            el("button", { type: "button", onclick: () => this.takeBack(change) },
                heatWords.takeBack))));
    }

    /** @param {any} change */
    async takeBack(change) {
        try {
            await send("POST", `meter-changes/${change.id}/withdrawal`,
                { reason: heatWords.takeBackReason, ...byMember() },
                { key: makeKey(), match: change.etag });
            announce(heatWords.withdrawn);
        } catch (error) {
            announce(faultsHere(error)[0]?.text ?? "");
        }
        await this.changed();
        await this.listChanges();
    }
}

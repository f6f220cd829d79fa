/*
 * The parts of the record: installation, limits, care, flue tests, what was noticed,
 * exposures, super-chlorinations, states, months, who logged what, what is unknown.
 */
import { careWords } from "./carewords.js";
import { dayWords } from "./days.js";
import { el } from "./dom.js";
import { now } from "./frame.js";
import { writeNumber } from "./numbers.js";
import { pressureText, pressureUnit } from "./pressure.js";
import { recordWords as say } from "./recordwords.js";
import { fullText } from "./time.js";
import { inputText, inputUnit } from "./typed.js";
import { valueWithUnit } from "./units.js";
import { checklistTexts } from "./visit.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./types.js").RecordAnswer} RecordAnswer */
/** @typedef {(string | Node)[]} Row */

const EVENTS_SHOWN = 60;
const LIMIT_UNITS = /** @type {Record<string, [key: string, unit: string]>} */ ({
    ph_low: ["ph", ""], ph_high: ["ph", ""],
    free_chlorine_high: ["free_chlorine_mg_per_l", "mg/L"],
    bromine_high: ["bromine_mg_per_l", "mg/L"], spa_temp_high: ["water_temp_c", "°C"] });

/** @param {string} name for those who do not see it
 * @param {string[]} columns @param {Row[]} rows @param {number[]} [numbers] columns
 * of numbers */
function table(name, columns, rows, numbers = []) {
    const is = (/** @type {number} */ i) => numbers.includes(i) ? "num" : null;
    return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": name },
        el("table", {}, el("thead", {}, el("tr", {},
        columns.map((text, i) => el("th", { scope: "col", class: is(i) }, text)))),
    el("tbody", {}, rows.map((row) => el("tr", {}, row.map((cell, i) =>
        el("td", { class: is(i) }, cell)))))));
}

export class RecordParts {
    /** @param {RecordAnswer} record @param {Site} site */
    constructor(record, site) {
        this.record = record;
        this.site = site;
    }

    /** @param {number} at */
    when(at) {
        return fullText(this.site.zone, at);
    }

    /** @param {number} value @param {number} decimals */
    number(value, decimals) {
        return writeNumber(value, decimals, this.site.decimal_comma);
    }

    all() {
        return [this.installation(), this.limits(), this.care(), this.flue(),
            this.signs(), this.exposures(), this.supers(), this.states(), this.band(),
            this.photos(), this.logged(), this.unknown()];
    }

    /** @param {string} head @param {(Node | string | null)[]} parts */
    part(head, ...parts) {
        return el("section", {}, el("h2", {}, head), parts);
    }

    installation() {
        const { installation } = this.record;
        const plate = installation.plate ?? {};
        /** @type {[string, string | null | undefined][]} */
        const rows = [["name", installation.name], ["fuel", say.fuels[installation.fuel]],
            ["metal", say.metals[installation.metal]],
            ["bypass", say.bypasses[installation.bypass]],
            ["input_w", typeof installation.input_w === "number"
                ? `${inputText(installation.input_w, this.site)} ${inputUnit(this.site)}`
                : null],
            ["model", plate.model], ["serial", plate.serial],
            ["installed_on", plate.installed_on ? dayWords(plate.installed_on) : null],
            ["installed_by", plate.installed_by],
            ["manifold_pa", typeof plate.manifold_pa === "number"
                ? `${pressureText(plate.manifold_pa, this.site)} ${
                    pressureUnit(this.site)}` : null]];
        return this.part(say.installation, el("table", { class: "kv" }, el("tbody", {},
            rows.map(([name, value]) => el("tr", {},
                el("th", { scope: "row" }, say.parts[name] ?? name),
                el("td", {}, value || say.notKnown))))));
    }

    limits() {
        const rows = this.record.limits.flatMap(({ from, limits }) => Object.entries(limits)
            .map(([name, limit]) => {
                const [key, unit] = LIMIT_UNITS[name] ?? ["", ""];
                return /** @type {Row} */ ([this.when(from), say.limitNames[name] ?? name,
                    limit ? valueWithUnit(key, limit.value, unit, this.site) : say.noLimit,
                    limit ? words.sources[limit.source] ?? limit.source : ""]);
            }));
        return this.part(say.limits, table(say.limits, say.limitColumns, rows));
    }

    care() {
        const visits = this.record.care;
        if (visits.length === 0)
            return this.part(say.care, el("p", {}, say.noCare));
        return this.part(say.care, el("ul", { class: "facts" }, visits.map((visit) => {
            const texts = checklistTexts(visit, this.site);
            const kind = careWords.kinds.find(([key]) => key === visit.kind)?.[1] ?? "";
            const who = visit.done_by || visit.by;
            return el("li", {}, el("p", { class: "when" }, this.when(visit.at)),
                el("p", { class: "what" }, el("b", {}, kind),
                    visit.outcome === "skipped" ? `, ${careWords.skippedVisit}` : "",
                    who ? `, ${careWords.visitBy(who)}` : "",
                    visit.technician ? ` (${careWords.byTechnician})` : "",
                    [visit.findings, visit.note].filter((text) => text !== "")
                        .map((text) => `. ${text}`).join("")),
                texts.length === 0 ? null : el("p", { class: "quiet" },
                    `${texts.join(". ")}.`),
                visit.cost === null ? null : el("p", { class: "quiet" },
                    careWords.costText(this.number(visit.cost, 2), visit.currency ?? "")));
        })));
    }

    flue() {
        const { tests } = this.record.flue;
        const drift = el("div", { id: "drift" });
        if (tests.length === 0)
            return this.part(say.flue, el("p", {}, say.noFlue));
        /** @param {import("./types.js").FlueTest} test @param {string} key
         * @param {number} decimals @param {string} unit */
        const value = (test, key, decimals, unit) => {
            const one = test.result?.values[key];
            return one ? `${this.number(one.value, decimals)}${one.u === null ? ""
                : ` ± ${this.number(2 * one.u, decimals)}`} ${unit}` : "–";
        };
        return this.part(say.flue, table(say.flue, say.flueColumns, tests.map((test) => [
            this.when(test.at), test.o2_percent === null ? "–"
                : `${this.number(test.o2_percent, 1)} %`,
            value(test, "co_air_free_ppm", 0, "ppm"),
            value(test, "efficiency_net_percent", 1, "%"),
            value(test, "efficiency_gross_percent", 1, "%"),
            test.done_by || test.by])), el("p", { class: "quiet" }, say.flueNever), drift);
    }

    signs() {
        const { symptoms } = this.record;
        return this.part(say.signs, symptoms.length === 0 ? el("p", {}, say.noSigns)
            : el("ul", { class: "facts" }, symptoms.map((one) => el("li", {},
                el("p", { class: "when" }, this.when(one.at)),
                el("p", { class: "what" }, el("b", {}, this.record.kinds?.[one.kind] ??
                    one.kind), one.by ? `, ${careWords.visitBy(one.by)}` : "",
                one.note ? `. ${one.note}` : "")))));
    }

    exposures() {
        const events = this.record.exposures.flatMap((year) => year.events);
        const total = this.record.exposures.reduce((sum, year) => sum + year.event_total, 0);
        const unknown_h = this.record.exposures.reduce((sum, year) =>
            sum + year.unknown_h, 0);
        const shown = [...events].sort((a, b) => a.from - b.from).slice(-EVENTS_SHOWN);
        const first = this.record.exposures[0]?.from ?? this.record.from;
        return this.part(say.exposures,
            first > this.record.from ? el("p", {}, say.exposureSince(this.when(first)))
                : null,
            shown.length === 0 ? el("p", {}, say.noExposures)
                : table(say.exposures, say.exposureColumns, shown.map((event) => [
                    this.when(event.from), event.is_open ? say.open : this.when(event.until),
                    this.exposureKind(event), this.number(event.hours, 1)]), [3]),
            total > shown.length ? el("p", { class: "quiet" },
                say.exposureMore(total - shown.length)) : null,
            unknown_h >= 0.05 ? el("p", { class: "quiet" },
                say.exposureUnknown(this.number(unknown_h, 1))) : null);
    }

    /** @param {RecordAnswer["exposures"][number]["events"][number]} event */
    exposureKind(event) {
        const kinds = say.exposureKinds;
        const kind = event.has_both ? kinds.both : event.has_low_ph ? kinds.low_ph
            : kinds.high_chlorine;
        return `${kind}${event.is_standing ? kinds.standing : ""}${
            event.is_severe ? kinds.severe : ""}`;
    }

    supers() {
        const rows = this.record.super_chlorinations.map((plan) => /** @type {Row} */ ([
            this.when(plan.from), plan.until === null ? say.open : this.when(plan.until),
            plan.off_line.length === 0 ? say.inLine : plan.off_line.map((time) =>
                say.offLine(say.stateNames[time.state] ?? time.state, this.when(time.from),
                    time.until === null ? say.open : this.when(time.until))).join("; "),
            plan.by || say.nobody]));
        return this.part(say.supers, rows.length === 0 ? el("p", {}, say.noSupers)
            : table(say.supers, say.superColumns, rows));
    }

    states() {
        const rows = this.record.heater_states.map((state) => /** @type {Row} */ ([
            this.when(state.at), say.stateNames[state.state] ?? state.state,
            state.by || say.nobody]));
        return this.part(say.states, rows.length === 0 ? el("p", {}, say.noStates)
            : table(say.states, say.stateColumns, rows));
    }

    band() {
        return this.part(say.band, table(say.band, say.bandColumns,
            this.record.in_band.map((month) => [month.month,
             `${month.days_tested} / ${month.days}`, String(month.days_in_band),
            month.percent === null ? say.notKnown : `${this.number(month.percent, 0)} %`]),
        [1, 2, 3]), el("p", { class: "quiet" }, say.bandNote));
    }

    photos() {
        const photos = this.record.photos;
        if (photos.length === 0)
            return null;
        return this.part(say.photos, el("ul", { class: "shots" }, photos.map((photo) => {
            const text = `${say.photoOf[photo.of] ?? photo.of}, ${this.when(photo.at)}`;
            return el("li", {}, el("a", { href: photo.image }, el("img", {
                src: photo.image, alt: text, loading: "eager" })),
            el("span", { class: "quiet" }, text));
        })));
    }

    logged() {
        return this.part(say.loggedBy, table(say.loggedBy, say.loggedColumns,
            this.record.logged_by.map((one) => [one.by || say.nobody,
                say.whats[one.what] ?? one.what, String(one.count)]), [2]));
    }

    unknown() {
        const { unknown, made_at } = this.record;
        return this.part(say.unknown, unknown.length === 0 ? el("p", {}, say.noUnknown)
            : el("ul", {}, unknown.map((text) => el("li", {}, text))),
        el("p", { class: "quiet" }, say.made(fullText(this.site.zone, made_at || now())),
            " ", say.kept));
    }
}

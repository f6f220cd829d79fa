/*
 * The fields of Setup and how they are read: site, water, heater with its limits. Knows
 * nothing of saving.
 */
import { el } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { check, chips, field, idOf, select, textInput, valueOf } from "./form.js";
import { kept } from "./frame.js";
import { areaText, areaUnit, lengthText, lengthUnit, readArea,
    readLength } from "./lengths.js";
import { readDecimal, writeNumber } from "./numbers.js";
import { PlaceField } from "./placefield.js";
import { setupWords } from "./setupwords.js";
import { inputText, inputUnit, readInput, readValue, readVolume, volumeText,
    volumeUnit } from "./typed.js";
import { shownUnit, valueText } from "./units.js";
import { byMember } from "./undo.js";
import { VolumeForm } from "./volumeform.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./types.js").Water} Water */
/** @typedef {import("./types.js").Heater} Heater */
/** @typedef {import("./form.js").FormFault} FormFault */

/* "400,000" is 400 here, as everywhere; who writes it may mean 400000. */
const THOUSANDS = /^[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9])/;
const LIMITS = ["ph_low", "ph_high", "free_chlorine_high", "bromine_high",
    "spa_temp_high"];
/* Shown before somebody decides; the daemon keeps the same (lib/permit.h). */
const USUAL = /** @type {Record<string, number>} */ ({ ph_low: 7.2,
    free_chlorine_high: 5, bromine_high: 6, spa_temp_high: 40 });

/** @param {string} member unit of a limit's value as stored */
function limitUnit(member) {
    return member === "spa_temp_high" ? "°C" : member.startsWith("ph_") ? "" : "mg/L";
}

/** @param {HTMLFormElement} form @param {string} name @param {FormFault[]} faults */
function needed(form, name, faults) {
    const text = valueOf(form, name).trim();
    if (text === "")
        faults.push({ field: name, text: entryWords.required });
    return text;
}

/** An optional number; absent when empty.
 * @param {HTMLFormElement} form @param {string} name @param {FormFault[]} faults */
function number(form, name, faults) {
    const text = valueOf(form, name);
    const read = readDecimal(text);
    if (read.ok)
        return read.value;
    if (read.code !== "empty")
        faults.push({ field: name, text: `${entryWords.faults[read.code]} ` +
            entryWords.seen(text.trim()) });
    return undefined;
}

function byField() {
    return field("by", setupWords.by, textInput({ value: kept("by") ?? "",
        autocomplete: "name", maxlength: 60 }));
}

/** @param {HTMLFormElement} form @returns {{by?: string}} */
function by(form) {
    const name = valueOf(form, "by").trim();
    return name ? { by: name } : {};
}

/* ---- the house ---- */

/**
 * @param {Site} site @param {import("./placefield.js").City[]} cities
 * @returns {{fields: HTMLElement[],
 *   read: (form: HTMLFormElement, faults: FormFault[]) => Record<string, any>}}
 */
export function siteForm(site, cities) {
    const guess = Intl.DateTimeFormat().resolvedOptions().timeZone;
    const zones = [...new Set([...Intl.supportedValuesOf("timeZone"),
        ...cities.map((city) => city.zone)])].sort();
    const list = el("datalist", { id: "zones" },
        zones.map((zone) => el("option", { value: zone })));
    const us = site.set_up ? site.units === "us" : /^(America|US|Pacific\/Honolulu)/
        .test(guess);
    const ppm = check("ppm", setupWords.ppm, site.set_up ? site.ppm : us);
    const comma = check("decimal_comma", setupWords.comma, site.decimal_comma);
    const zone = textInput({ list: "zones", maxlength: 60,
        value: site.set_up ? site.zone : guess });
    const where = new PlaceField(site, cities, zone);
    const fields = [
        field("name", setupWords.name, textInput({ value: site.name, maxlength: 60 }),
            { hint: setupWords.nameHint }),
        field("zone", setupWords.zone, zone, { hint: setupWords.zoneHint }),
        list, where.node,
        chips("units", setupWords.units, Object.entries(setupWords.unitNames),
            us ? "us" : "si"),
        ppm.row, comma.row, byField()];
    return { fields, read: (form, faults) => readSite(form, faults, where) };
}

/** @param {HTMLFormElement} form @param {FormFault[]} faults @param {PlaceField} where */
function readSite(form, faults, where) {
    return { name: needed(form, "name", faults), zone: needed(form, "zone", faults),
        units: valueOf(form, "units"), ppm: valueOf(form, "ppm") !== "",
        decimal_comma: valueOf(form, "decimal_comma") !== "",
        ...where.read(form, faults), ...by(form) };
}

/* ---- a water ---- */

/** A choice of percents; one that the API set stays among them.
 * @param {string} name @param {string} label @param {Record<number, string>} words
 * @param {number | undefined} percent */
function share(name, label, words, percent = 0) {
    return field(name, label, select(
        Object.entries({ [percent]: `${percent} %`, ...words }), String(percent)));
}

/** @param {Water | null} water @param {Site} site */
export function waterFields(water, site) {
    const names = setupWords;
    const volume = water?.volume_m3 ? volumeText(water.volume_m3, site) : "";
    const flags = /** @type {const} */ ([["indoor", names.indoor],
        ["no_cyanuric_acid", names.noCya], ["winter_closed", names.winter]]);
    const input = textInput({ value: volume });
    const surface = textInput({ value: water?.surface_m2
        ? areaText(water.surface_m2, site) : "" });
    const depth = textInput({ value: water?.depth_m
        ? lengthText(water.depth_m, site) : "" });
    const calculator = new VolumeForm(site, (found) => {
        input.value = volumeText(found.volume_m3, site);
        surface.value = areaText(found.surface_m2, site);
        depth.value = lengthText(found.depth_m, site);
        input.focus();
    });
    return [
        field("name", names.name, textInput({ value: water?.name ?? names.kinds.pool,
            maxlength: 60 })),
        chips("kind", names.kind, Object.entries(names.kinds), water?.kind ?? "pool"),
        chips("sanitiser", names.sanitiser, Object.entries(names.sanitisers),
            water?.sanitiser ?? "chlorine"),
        field("volume_m3", names.volume, input,
            { hint: names.volumeHint, unit: volumeUnit(site) }),
        calculator.node,
        el("details", {}, el("summary", { class: "row" }, names.more),
            el("div", { class: "choices" },
                field("lining", names.lining, select(Object.entries(names.linings),
                    water?.lining ?? "plaster")),
                field("cover", names.cover, select(Object.entries(names.covers),
                    water?.cover ?? "none")),
                field("cover_use", names.coverUse, select(
                    Object.entries(names.coverUses), water?.cover_use ?? "unknown")),
                share("shade_percent", names.shade, names.shades, water?.shade_percent),
                share("cloud_percent", names.cloud, names.clouds, water?.cloud_percent),
                field("fill", names.fill, select(Object.entries(names.fills),
                    water?.fill ?? "mains")),
                field("surface_m2", names.surface, surface, { unit: areaUnit(site) }),
                field("depth_m", names.depth, depth, { unit: lengthUnit(site) })),
            flags.map(([name, text]) => check(name, text, water?.[name] === true).row))];
}

/**
 * An optional measure; absent when empty. What still stands as it was shown keeps the
 * stored value: feet and gallons shown are rounded.
 * @param {HTMLFormElement} form @param {string} member @param {FormFault[]} faults
 * @param {{read: (text: string) => {ok: true, stored: number} |
 *   {ok: false, code: import("./numbers.js").DecimalFault},
 *   show: (stored: number) => string, stored: number | null | undefined}} how
 * @returns {Record<string, number>}
 */
function measure(form, member, faults, how) {
    const text = valueOf(form, member).trim();
    if (how.stored && text === how.show(how.stored))
        return { [member]: how.stored };
    const read = how.read(text);
    if (read.ok && THOUSANDS.test(text))
        faults.push({ field: member, text: entryWords.thousands(text,
            text.replace(/[.,]/, "")) });
    else if (read.ok)
        return { [member]: read.stored };
    else if (read.code !== "empty")
        faults.push({ field: member, text: `${entryWords.faults[read.code]} ` +
            entryWords.seen(text) });
    return {};
}

/** @param {HTMLFormElement} form @param {FormFault[]} faults @param {Site} site
 * @param {Water | null} water as stored */
export function readWater(form, faults, site, water) {
    const measures = {
        ...measure(form, "volume_m3", faults, { stored: water?.volume_m3,
            read: (text) => readVolume(text, site), show: (v) => volumeText(v, site) }),
        ...measure(form, "surface_m2", faults, { stored: water?.surface_m2,
            read: (text) => readArea(text, site), show: (v) => areaText(v, site) }),
        ...measure(form, "depth_m", faults, { stored: water?.depth_m,
            read: (text) => readLength(text, site), show: (v) => lengthText(v, site) }) };
    return { name: needed(form, "name", faults), kind: valueOf(form, "kind"),
        sanitiser: valueOf(form, "sanitiser"), lining: valueOf(form, "lining"),
        cover: valueOf(form, "cover"), fill: valueOf(form, "fill"),
        cover_use: valueOf(form, "cover_use"),
        shade_percent: Number(valueOf(form, "shade_percent")),
        cloud_percent: Number(valueOf(form, "cloud_percent")),
        indoor: valueOf(form, "indoor") !== "",
        no_cyanuric_acid: valueOf(form, "no_cyanuric_acid") !== "",
        winter_closed: valueOf(form, "winter_closed") !== "",
        ...measures, ...byMember() };
}

/* ---- a heater ---- */

/** @param {Heater | null} heater @param {Site} site @param {Water[]} waters */
export function heaterFields(heater, site, waters) {
    const names = setupWords;
    const usual = field("bypass_usual_percent", names.usual, textInput({
        inputmode: "numeric", value: heater?.bypass_usual_percent ?? "" }), { unit: "%" });
    const show = (/** @type {string} */ kind) => { usual.hidden = kind !== "part_open"; };
    show(heater?.bypass ?? "full");
    return [
        field("name", names.name, textInput({ value: heater?.name ?? names.heaterName,
            maxlength: 60 })),
        waters.length < 2 ? null : el("fieldset", { class: "field" },
            el("legend", {}, names.serves), waters.map((water) =>
                check(`water.${water.id}`, water.name, heater
                    ? heater.waters.includes(water.id) : true).row),
            el("div", { class: "message", id: `${idOf("waters")}-error` })),
        chips("bypass", names.bypass, Object.entries(names.bypasses),
            heater?.bypass ?? "full", show),
        usual,
        el("div", { class: "choices" },
            field("fuel", names.fuel, select(Object.entries(names.fuels),
                heater?.fuel ?? "natural_gas")),
            field("metal", names.metal, select(Object.entries(names.metals),
                heater?.metal ?? "unknown")),
            field("input_w", names.input, textInput({ inputmode: "decimal",
                value: heater?.input_w ? inputText(heater.input_w, site) : "" }),
            { unit: inputUnit(site) })),
        el("details", { open: FIGURES.some((one) => heater?.[one.member]) },
            el("summary", { class: "row" }, names.figures),
            el("p", { class: "hint" }, names.figuresLead),
            el("div", { class: "choices" }, FIGURES.map((one) => field(one.member,
                names.figureNames[one.member], textInput({ inputmode: "decimal",
                    value: heater?.[one.member]
                        ? figureText(one, heater[one.member] ?? 0, site) : "" }),
                { unit: one.unit[site.units] })))),
        el("h3", {}, names.limits), el("p", { class: "hint" }, names.limitsLead),
        ...limitNames(waters).map((name) => limitRow(name, heater, site)),
    ].filter((node) => node !== null);
}

/** Limits that can matter for these waters. @param {Water[]} waters */
function limitNames(waters) {
    const bromine = waters.some((w) => w.sanitiser === "bromine");
    const chlorine = waters.some((w) => w.sanitiser.includes("chlorine"));
    const spa = waters.some((w) => w.kind === "spa");
    return LIMITS.filter((name) => name.startsWith("ph_") ||
        name === "free_chlorine_high" && chlorine || name === "bromine_high" && bromine ||
        name === "spa_temp_high" && spa);
}

/** @param {string} name @param {Heater | null} heater @param {Site} site */
function limitRow(name, heater, site) {
    const stored = limitUnit(name);
    const quantity = setupWords.limitKeys[name] ?? "";
    const limit = heater ? heater.limits[name] : USUAL[name] === undefined ? null
        : { value: USUAL[name], source: name === "spa_temp_high"
            ? /** @type {const} */ ("published") : /** @type {const} */ ("common practice") };
    const unit = shownUnit(stored, site).symbol;
    const label = setupWords.limitNames[name] ?? name;
    const input = textInput({ inputmode: "decimal", value: limit
        ? valueText(quantity, limit.value ?? 0, stored, site) : "" });
    const source = select(Object.entries(setupWords.sources).filter(([key]) =>
        key !== "published" || name === "spa_temp_high"), limit?.source ?? "manual");
    return el("div", { class: "limit-row" },
        field(`limits.${name}.value`, label, input, { unit,
            ...(name === "ph_high" ? { hint: setupWords.phHighHint } : {}) }),
        field(`limits.${name}.source`, setupWords.source, source));
}

/** @param {HTMLFormElement} form @param {FormFault[]} faults @param {Site} site
 * @param {Water[]} waters @param {Heater | null} heater as stored */
export function readHeater(form, faults, site, waters, heater) {
    /** @type {Record<string, any>} */
    const limits = {};
    for (const name of limitNames(waters))
        readLimit(form, faults, site, name, limits);
    const chosen = waters.length < 2 ? waters : waters.filter((water) =>
        valueOf(form, `water.${water.id}`) !== "");
    if (chosen.length === 0)
        faults.push({ field: `water.${waters[0]?.id}`, text: entryWords.required });
    const input = measure(form, "input_w", faults, { stored: heater?.input_w,
        read: (text) => readInput(text, site), show: (v) => inputText(v, site) });
    const bypass = valueOf(form, "bypass");
    const usual = bypass === "part_open"
        ? number(form, "bypass_usual_percent", faults) : undefined;
    return { name: needed(form, "name", faults), waters: chosen.map((w) => w.id), bypass,
        ...(usual === undefined ? {} : { bypass_usual_percent: usual }),
        fuel: valueOf(form, "fuel"), metal: valueOf(form, "metal"),
        ...input, ...readFigures(form, faults, site, heater), limits, ...byMember() };
}

/** What scale at the hot surface is judged by; factor: stored over shown.
 * @type {{member: "efficiency_percent" | "flow_m3_per_h" | "film_rise_k",
 *   unit: {us: string, si: string}, factor: {us: number, si: number}}[]} */
const FIGURES = [
    { member: "efficiency_percent", unit: { us: "%", si: "%" }, factor: { us: 1, si: 1 } },
    { member: "flow_m3_per_h", unit: { us: "gal/min", si: "m³/h" },
        factor: { us: 0.2271247, si: 1 } },
    { member: "film_rise_k", unit: { us: "°F", si: "°C" }, factor: { us: 5 / 9, si: 1 } },
];

/** @param {typeof FIGURES[number]} one @param {number} stored @param {Site} site */
function figureText(one, stored, site) {
    return writeNumber(stored / one.factor[site.units], 1, site.decimal_comma);
}

/** @param {HTMLFormElement} form @param {FormFault[]} faults @param {Site} site
 * @param {Heater | null} heater as stored @returns {Record<string, number>} */
function readFigures(form, faults, site, heater) {
    return Object.assign({}, ...FIGURES.map((one) => measure(form, one.member, faults, {
        stored: heater?.[one.member], show: (v) => figureText(one, v, site),
        read: (text) => {
            const read = readDecimal(text);
            return read.ok ? { ok: true, stored: Math.round(read.value *
                one.factor[site.units] * 1e6) / 1e6 } : read;
        } })));
}

/** @param {HTMLFormElement} form @param {FormFault[]} faults @param {Site} site
 * @param {string} name @param {Record<string, any>} limits */
function readLimit(form, faults, site, name, limits) {
    const member = `limits.${name}.value`;
    const text = valueOf(form, member).trim();
    if (text === "" && name === "ph_high") {
        limits[name] = null;
        return;
    }
    const read = readValue(setupWords.limitKeys[name] ?? "", text, limitUnit(name), site);
    if (!read.ok)
        faults.push({ field: member, text: `${setupWords.limitNames[name]}: ` +
            entryWords.faults[read.code] });
    else
        limits[name] = { value: read.stored, source: valueOf(form,
            `limits.${name}.source`) };
}

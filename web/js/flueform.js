/*
 * Entering a flue test: where and when to sample, what the analyser shows, what was seen.
 */
import { el } from "./dom.js";
import { endParts, readEnds, readNumber, showRefusal } from "./factform.js";
import { flueWords as say } from "./fluewords.js";
import { check, chips, clearFaults, field, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { keep, kept } from "./frame.js";
import { photoAdder } from "./photos.js";
import { pressureUnit, readPressure } from "./pressure.js";
import { careWords } from "./carewords.js";
import { dropDraft, keepDraft, restoreDraft, sendOnce, showSaved } from "./saved.js";
import { fullText } from "./time.js";
import { readValue } from "./typed.js";
import { shownUnit } from "./units.js";
import { When } from "./when.js";

/** @typedef {import("./form.js").FormFault} FormFault */

const TEMPS = ["flue_temp_c", "air_temp_c"];
const ACCURACY = Object.keys(say.accuracy);

export class FlueEntry {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where with a heater
     * @param {() => void} changed
     */
    constructor(target, where, changed) {
        this.target = target;
        this.where = where;
        this.site = where.site;
        this.changed = changed;
        this.draft = `draft.flue.${where.heater?.id}`;
        this.saved = el("div", {});
        setScope("flue");
        this.when = new When(this.site.zone);
        this.numbers = this.numberPart();
        this.form = this.build();
        target.replaceChildren(this.saved, this.form);
        restoreDraft(this.draft, this.form, ["o2", "co_ppm", "flue_temp"]);
        this.when.update();
        this.follow();
        keepDraft(this.draft, this.form);
        this.form.addEventListener("change", () => this.follow());
    }

    follow() {
        this.numbers.hidden = valueOf(this.form, "sampled") === "no";
    }

    numberPart() {
        const degree = shownUnit("°C", this.site).symbol;
        const decimal = (value = "") => textInput({ inputmode: "decimal", value });
        const old = JSON.parse(kept("flue.accuracy") ?? "{}");
        return el("div", {}, el("p", { class: "stop-when" }, say.how),
            check("well_sampled", say.wellSampled).row,
            el("div", { class: "pair" },
                field("o2_percent", say.o2, decimal(), { unit: "%" }),
                field("co_ppm", say.co, decimal(), { unit: "ppm" }),
                field("flue_temp_c", say.flueTemp, decimal(), { unit: degree }),
                field("air_temp_c", say.airTemp, decimal(), { unit: degree }),
                field("draught_pa", say.draught, decimal(),
                    { unit: pressureUnit(this.site), hint: say.draughtHint }),
                field("manifold_pa", say.manifold, decimal(),
                    { unit: pressureUnit(this.site), hint: say.manifoldHint })),
            el("details", {}, el("summary", { class: "row" }, say.accuracyHead),
                el("p", { class: "hint" }, say.accuracyHint), el("div", { class: "pair" },
                    ACCURACY.map((name) => field(`accuracy.${name}`,
                        say.accuracy[name] ?? name, decimal(old[name] ?? ""),
                        { unit: name.endsWith("_k") ? degree
                            : name === "co_ppm" ? "ppm" : "%" })))));
    }

    build() {
        return el("form", { novalidate: true, class: "wide",
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.submit();
            } },
        el("div", {}, chips("sampled", say.sampled, say.sampleds, "yes"), this.numbers),
        el("div", {}, check("soot_seen", say.soot).row,
            check("rollout_seen", say.rollout).row,
            chips("found_safe", say.foundSafeAsk, say.foundSafes, ""),
            field("done_by", say.doneBy, textInput({ maxlength: 100 })),
            check("technician", say.technician).row,
            field("instrument", say.instrument, textInput({ maxlength: 100 })),
            this.when.node, endParts(say.loggedBy, say.save)));
    }

    /** @param {string} name @param {FormFault[]} faults */
    temp(name, faults) {
        const read = readValue("water_temp_c", valueOf(this.form, name), "°C", this.site);
        if (!read.ok)
            faults.push({ field: name, text: say.notTemp });
        return read.ok ? read.stored : null;
    }

    /** @param {string} name @param {FormFault[]} faults @returns {number | null} */
    pressure(name, faults) {
        const text = valueOf(this.form, name);
        if (text.trim() === "")
            return null;
        const read = readPressure(text, this.site);
        if (!read.ok)
            faults.push({ field: name, text: careWords.pressureFault });
        return read.ok ? read.pa : null;
    }

    /** The instrument's plus and minus, in the API's units. @param {FormFault[]} faults */
    accuracy(faults) {
        const kelvin = shownUnit("°C", this.site).factor;
        /** @type {Record<string, number>} */
        const found = {};
        const needed = ACCURACY.some((name) =>
            valueOf(this.form, `accuracy.${name}`).trim() !== "");
        for (const name of ACCURACY) {
            const value = readNumber(this.form, `accuracy.${name}`, faults,
                { needed, unit: /(\d)\s*[^\d.,]*$/ });
            if (value === null)
                continue;
            if (name === "co_percent")
                found.co_fraction = value / 100;
            else
                found[name] = name.endsWith("_k") ? value * kelvin : value;
        }
        return Object.keys(found).length === 0 ? {} : { accuracy: found };
    }

    /** @param {FormFault[]} faults */
    sample(faults) {
        const unit = /(\d)\s*(?:%|ppm)\s*$/i;
        const [draught_pa, manifold_pa] = [this.pressure("draught_pa", faults),
            this.pressure("manifold_pa", faults)];
        return { well_sampled: valueOf(this.form, "well_sampled") === "on",
            o2_percent: readNumber(this.form, "o2_percent", faults, { needed: true, unit }),
            co_ppm: readNumber(this.form, "co_ppm", faults, { needed: true, unit }),
            ...Object.fromEntries(TEMPS.map((name) => [name, this.temp(name, faults)])),
            ...(draught_pa === null ? {} : { draught_pa }),
            ...(manifold_pa === null ? {} : { manifold_pa }), ...this.accuracy(faults) };
    }

    /** @param {FormFault[]} faults */
    read(faults) {
        const sampled = valueOf(this.form, "sampled") !== "no";
        const safe = valueOf(this.form, "found_safe");
        const flag = (/** @type {string} */ name) => valueOf(this.form, name) === "on";
        const [done_by, instrument] = ["done_by", "instrument"].map((name) =>
            valueOf(this.form, name).trim());
        if (!sampled && valueOf(this.form, "note").trim() === "")
            faults.push({ field: "note", text: say.why });
        return { heater: this.where.heater?.id, technician: flag("technician"), sampled,
            ...(sampled ? this.sample(faults) : {}), soot_seen: flag("soot_seen"),
            rollout_seen: flag("rollout_seen"),
            ...(safe === "" ? {} : { found_safe: safe === "yes" }),
            ...(done_by ? { done_by } : {}), ...(instrument ? { instrument } : {}),
            ...readEnds(this.form, this.when, faults) };
    }

    async submit() {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(this.form);
        const body = this.read(faults);
        if (faults.length > 0)
            return showFaults(this.form, faults);
        keep("flue.accuracy", JSON.stringify(Object.fromEntries(ACCURACY.map((name) =>
            [name, valueOf(this.form, `accuracy.${name}`).trim()]))));
        try {
            const { body: test } = await sendOnce(this.draft, "flue-tests", body);
            dropDraft(this.draft);
            const next = new FlueEntry(this.target, this.where, this.changed);
            showSaved(next.saved, "flue-tests", test, say.saved(fullText(this.site.zone,
                test.at)), this.where, this.changed);
            next.saved.append(photoAdder("flue_test", test.id));
            this.changed();
        } catch (error) {
            showRefusal(this.form, this.when, error, (name) =>
                name === "accuracy.co_fraction" ? "accuracy.co_percent" : name);
        }
        return undefined;
    }
}

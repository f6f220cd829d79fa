/*
 * The place of flue tests on the Care page: the newest, the drift, the entry, the plate.
 */
import { get, getWithTag, Problem, send } from "./api.js";
import { dayText, readDay } from "./dates.js";
import { dayWords } from "./days.js";
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { readNumber } from "./factform.js";
import { drawDrift, newestPart, testRow } from "./flue.js";
import { FlueEntry } from "./flueform.js";
import { flueWords as say } from "./fluewords.js";
import { check, chips, clearFaults, field, select, setScope, showFaults, textInput,
    valueOf } from "./form.js";
import { now } from "./frame.js";
import { pressureText, pressureUnit, readPressure } from "./pressure.js";
import { careWords } from "./carewords.js";
import { civil } from "./time.js";
import { byMember } from "./undo.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").FlueAnswer} FlueAnswer */
/** @typedef {import("./form.js").FormFault} FormFault */

const BURNERS = ["natural_gas", "propane"];

export class FlueView {
    /**
     * @param {HTMLElement} target
     * @param {import("./frame.js").Place} where with a heater
     * @param {() => void} changed
     */
    constructor(target, where, changed) {
        this.where = where;
        this.site = where.site;
        this.newest = el("div", {});
        this.drift = el("div", {});
        this.list = el("div", {});
        this.plate = el("div", {});
        this.has_burner = BURNERS.includes(where.heater?.fuel ?? "");
        if (!this.has_burner) {
            target.replaceChildren(el("p", { class: "lead" }, say.noBurner));
            return;
        }
        const entry = el("div", {});
        target.replaceChildren(this.newest, el("section", { class: "part" },
            el("h2", {}, say.enterHead), entry), this.drift, this.list, this.plate);
        new FlueEntry(entry, where, () => { changed(); this.load(); });
    }

    /** To be called while the place is shown: a drawing needs its width. */
    async load() {
        if (!this.has_burner)
            return;
        try {
            /** @type {FlueAnswer} */
            const answer = await get("flue", { heater: this.where.heater?.id });
            place(this.newest, ...newestPart(answer, this.site));
            drawDrift(this.drift, answer, this.site);
            place(this.list, answer.tests.length === 0 ? null
                : el("h2", {}, say.testsHead), el("ul", { class: "facts" },
                [...answer.tests].reverse().map((test) => testRow(test, this.site))));
        } catch (error) {
            place(this.newest, el("p", { class: "message" },
                error instanceof Problem ? error.message : words.unreachable));
        }
        await this.loadPlate();
    }

    /* ---- rating plate ---- */

    async loadPlate() {
        const { body, etag } = await getWithTag(`heaters/${this.where.heater?.id}/plate`);
        setScope("plate");
        const mixed = body.gas?.mix !== undefined;
        const own = el("div", { hidden: !body.gas || mixed },
            field("gas.name", say.gasName, textInput({ value: body.gas?.name ?? "" })),
            field("gas.ultimate_co2_percent", say.gasCo2, textInput({ inputmode: "decimal",
                value: String(body.gas?.ultimate_co2_percent ?? "") }),
            { unit: "%", hint: say.gasCo2Hint }),
            field("gas.siegert", say.siegert, select(say.sieger,
                body.gas?.siegert ?? "gas")));
        const note = el("p", { class: "note", role: "status" });
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.savePlate(form, etag, mixed ? body.gas : null, note);
            } }, el("p", { class: "hint" }, say.plateLead), el("div", { class: "pair" },
            field("model", say.model, textInput({ value: body.model ?? "",
                maxlength: 100 })),
            field("serial", say.serial, textInput({ value: body.serial ?? "",
                maxlength: 100 })),
            field("installed_on", say.installedOn, textInput({ value: body.installed_on
                ? dayWords(body.installed_on) : "" }), { hint: say.installedHint }),
            field("installed_by", say.installedBy, textInput({
                value: body.installed_by ?? "", maxlength: 100 })),
            field("manifold_pa", say.manifoldPlate, textInput({ inputmode: "decimal",
                value: body.manifold_pa === null || body.manifold_pa === undefined ? ""
                    : pressureText(body.manifold_pa, this.site) }),
            { unit: pressureUnit(this.site) })),
        check("condensing", say.condensing, body.condensing === true).row,
        check("cannot_be_sampled", say.cannotBeSampled,
            body.cannot_be_sampled === true).row,
        mixed ? el("p", { class: "quiet" }, say.gasMixed) : chips("gas", say.gas, say.gases,
            body.gas ? "own" : "", (value) => { own.hidden = value !== "own"; }), own,
        el("p", { class: "save" }, el("button", {}, say.platePut)));
        /* the number that was not touched stays exact */
        form.dataset.before = JSON.stringify({ text: valueOf(form, "manifold_pa"),
            pa: body.manifold_pa ?? null });
        this.plate.replaceChildren(el("details", {}, el("summary", { class: "row" },
            say.plateHead), note, form));
    }

    /** @param {HTMLFormElement} form @param {FormFault[]} faults */
    readPlate(form, faults) {
        const [model, serial, installed_by, day, pressure] = ["model", "serial",
            "installed_by", "installed_on", "manifold_pa"].map((name) =>
            valueOf(form, name).trim());
        const date = day ? readDay(day, civil(this.site.zone, now())) : null;
        if (date && !date.ok)
            faults.push({ field: "installed_on", text: entryWords.dayFaults[date.code] });
        const before = JSON.parse(form.dataset.before ?? "{}");
        const read = pressure ? readPressure(pressure, this.site) : null;
        if (read && !read.ok)
            faults.push({ field: "manifold_pa", text: careWords.pressureFault });
        return { model: model || null, serial: serial || null,
            installed_by: installed_by || null,
            installed_on: date?.ok ? dayText(date.day) : null,
            manifold_pa: pressure === before.text ? before.pa : read?.ok ? read.pa : null,
            condensing: valueOf(form, "condensing") === "on",
            cannot_be_sampled: valueOf(form, "cannot_be_sampled") === "on" };
    }

    /** @param {HTMLFormElement} form @param {string} etag @param {any} mix the gas that
     * is kept as a mix @param {HTMLElement} note */
    async savePlate(form, etag, mix, note) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        const plate = this.readPlate(form, faults);
        const gas = mix ?? (valueOf(form, "gas") !== "own" ? null : {
            name: valueOf(form, "gas.name").trim(), siegert: valueOf(form, "gas.siegert"),
            ultimate_co2_percent: readNumber(form, "gas.ultimate_co2_percent", faults,
                { needed: true }) });
        if (faults.length > 0)
            return showFaults(form, faults);
        try {
            await send("PUT", `heaters/${this.where.heater?.id}/plate`,
                { ...plate, gas, ...byMember() }, { match: etag });
            await this.load();
            const details = this.plate.querySelector("details");
            if (details)
                details.open = true;
            this.plate.querySelector(".note")?.replaceChildren(say.plateSaved);
        } catch (error) {
            note.textContent = "";
            showFaults(form, error instanceof Problem ? error.faults.map((fault) =>
                ({ field: fault.field, text: fault.detail }))
                : [{ field: "", text: words.unreachable }]);
        }
        return undefined;
    }
}

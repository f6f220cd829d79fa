/*
 * The Setup page: the house, its waters, the heater and its limits. While something is
 * missing it asks for one thing after the other; later everything stands here to change.
 */
import { get, getWithTag, makeKey, Problem, send } from "./api.js";
import { announce, byId, el, place } from "./dom.js";
import { clearFaults, setScope, showFaults } from "./form.js";
import { keep, openPlace, showFailure } from "./frame.js";
import { heaterFields, readHeater, readWater, siteForm, waterFields } from "./setupforms.js";
import { setupWords } from "./setupwords.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./types.js").Water} Water */
/** @typedef {import("./types.js").Heater} Heater */
/** @typedef {import("./frame.js").Place} Place */
/** @typedef {import("./form.js").FormFault} FormFault */

/**
 * @typedef {object} Part
 * @property {string} title
 * @property {HTMLElement[]} fields
 * @property {(form: HTMLFormElement, faults: FormFault[]) => Record<string, any>} read
 * @property {"POST" | "PUT"} method
 * @property {string} path
 * @property {string} [match]
 */

class SetupPage {
    /** @param {Place} where @param {string} siteTag
     * @param {import("./placefield.js").City[]} cities */
    constructor(where, siteTag, cities) {
        this.where = where;
        this.cities = cities;
        this.siteTag = siteTag;
        const { site, waters, heaters } = where;
        this.first = !site.set_up || waters.length === 0 || heaters.length === 0;
        /** @type {{text: string, key: string} | null} a repeat of the same body keeps its
         *  key */
        this.sent = null;
        this.step = !site.set_up ? 1 : waters.length === 0 ? 2 : 3;
    }

    draw() {
        const { site, waters, heaters } = this.where;
        const body = byId("parts");
        place(byId("lead"), site.demo ? setupWords.demo
            : this.first ? setupWords.first : null,
        this.first && this.step === 1 && !site.demo
            ? el("span", { class: "quiet" }, ` ${setupWords.orDemo}`) : null);
        if (this.first) {
            const part = this.step === 1 ? this.sitePart()
                : this.step === 2 ? this.waterPart(null) : this.heaterPart(null);
            part.title = setupWords.step(this.step, part.title);
            body.replaceChildren(this.section(part, setupWords.saveNext));
            return;
        }
        body.replaceChildren(
            this.section(this.sitePart(), setupWords.save),
            ...waters.map((water) => this.section(this.waterPart(water), setupWords.save)),
            this.adder(setupWords.addWater, () => this.waterPart(null)),
            ...heaters.map((heater) =>
                this.section(this.heaterPart(heater), setupWords.save)),
            this.adder(setupWords.addHeater, () => this.heaterPart(null)));
    }

    /** @returns {Part} */
    sitePart() {
        const { site } = this.where;
        setScope("site");
        return { title: setupWords.site, ...siteForm(site, this.cities),
            method: "PUT", path: "site", match: this.siteTag };
    }

    /** @param {Water | null} water @returns {Part} */
    waterPart(water) {
        const { site, waters } = this.where;
        setScope(`water${water?.id ?? ""}`);
        return { title: water && waters.length > 1
            ? `${setupWords.water}: ${water.name}` : setupWords.water,
        fields: waterFields(water, site),
        read: (form, faults) => readWater(form, faults, site, water),
        ...target("waters", water) };
    }

    /** @param {Heater | null} heater @returns {Part} */
    heaterPart(heater) {
        const { site, waters, heaters } = this.where;
        setScope(`heater${heater?.id ?? ""}`);
        return { title: heater && heaters.length > 1
            ? `${setupWords.heater}: ${heater.name}` : setupWords.heater,
        fields: heaterFields(heater, site, waters),
        read: (form, faults) => readHeater(form, faults, site, waters, heater),
        ...target("heaters", heater) };
    }

    /** @param {string} text @param {() => Part} part */
    adder(text, part) {
        const holder = el("div", {});
        const button = el("button", { type: "button", onclick: () => {
            const section = this.section(part(), setupWords.save);
            place(holder, section);
            section.querySelector("input")?.focus();
        } }, text);
        holder.append(el("p", { class: "adder" }, button));
        return holder;
    }

    /** @param {Part} part @param {string} label */
    section(part, label) {
        const note = el("p", { class: "note", role: "status" });
        const form = el("form", { novalidate: true,
            onsubmit: (/** @type {Event} */ event) => {
                event.preventDefault();
                this.save(part, form, note);
            } }, part.fields, el("div", { class: "save" },
            el("button", { class: "strong" }, label)), note);
        return el("section", { class: "part" }, el("h2", {}, part.title), form);
    }

    /** @param {Part} part @param {HTMLFormElement} form @param {HTMLElement} note */
    async save(part, form, note) {
        /** @type {FormFault[]} */
        const faults = [];
        clearFaults(form);
        place(note);
        const body = part.read(form, faults);
        if (faults.length > 0) {
            showFaults(form, faults);
            return;
        }
        try {
            const text = JSON.stringify(body);
            const key = this.sent?.text === text ? this.sent.key : makeKey();
            this.sent = { text, key };
            await send(part.method, part.path, body, part.method === "POST"
                ? { key } : part.match ? { match: part.match } : {});
            if (typeof body.by === "string")
                keep("by", body.by);
            await this.again(setupWords.saved);
        } catch (error) {
            await this.refused(error, form);
        }
    }

    /** @param {unknown} error @param {HTMLFormElement} form */
    async refused(error, form) {
        if (error instanceof Problem && error.status === 412) {
            await this.again(setupWords.changedMeanwhile);
            return;
        }
        showFaults(form, error instanceof Problem
            ? error.faults.map((fault) => ({ field: fault.field, text: fault.detail }))
            : [{ field: "", text: words.unreachable }]);
    }

    /** Everything anew, as it stands. @param {string} said */
    async again(said) {
        const was_first = this.first;
        await openSetup();
        announce(said);
        const done = byId("done");
        const is_first = byId("parts").querySelectorAll("section.part").length === 1;
        place(done, was_first && !is_first
            ? [el("b", {}, setupWords.done), " ",
                el("a", { class: "button strong", href: "readings" },
                    setupWords.firstTest)]
            : was_first ? null : said);
        scrollTo(0, 0);
        if (was_first && is_first)
            byId("parts").querySelector("input")?.focus();
        else
            done.focus();
    }
}

/** @param {"waters" | "heaters"} kind @param {Water | Heater | null} thing */
function target(kind, thing) {
    return thing
        ? { method: /** @type {const} */ ("PUT"), path: `${kind}/${thing.id}`,
            match: thing.etag }
        : { method: /** @type {const} */ ("POST"), path: kind };
}

async function openSetup() {
    const [where, site, { places }] = await Promise.all([openPlace(), getWithTag("site"),
        get("places")]);
    where.site = site.body;
    new SetupPage(where, site.etag, places).draw();
}

try {
    await openSetup();
    document.body.dataset.ready = "yes";
} catch (error) {
    showFailure(byId("main"), error);
}

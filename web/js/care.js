/*
 * The Care page: places in it chosen by the address, as on Readings, so that the
 * browser's back button works between them.
 */
import { get } from "./api.js";
import { DueList } from "./caredue.js";
import { careWords } from "./carewords.js";
import { byId, el, place } from "./dom.js";
import { field, select, setScope } from "./form.js";
import { FlueView } from "./flueview.js";
import { openPlace, showFailure, showNotSetUp } from "./frame.js";
import { Seasons } from "./season.js";
import { Signs } from "./signs.js";
import { VisitEntry } from "./visit.js";

/** @typedef {import("./types.js").CareTask} CareTask */
/** @typedef {import("./types.js").SymptomKind} SymptomKind */

const TABS = /** @type {const} */ (["due", "visit", "flue", "signs", "season"]);

class CarePage {
    /** @param {import("./frame.js").Place} where @param {SymptomKind[]} kinds */
    constructor(where, kinds) {
        this.where = where;
        this.kinds = kinds;
        this.task = 0; /* the visit to open is for that one */
        this.due = new DueList(byId("due-body"), where, (task) => this.visit(task));
        this.drawChooser();
    }

    async start() {
        await this.due.load();
        this.build();
        addEventListener("hashchange", () => this.show(true));
        this.show(false);
    }

    /** What belongs to the one heater. */
    build() {
        const changed = () => { this.due.load(); };
        this.due.heater = this.where.heater?.id ?? 0;
        this.signs = new Signs(byId("signs-body"), this.where, this.kinds, changed);
        this.flue = new FlueView(byId("flue-body"), this.where, changed);
        new Seasons(byId("season-body"), this.where, changed);
        this.drawVisit();
    }

    drawVisit() {
        new VisitEntry(byId("visit-body"), this.where, (this.due.answer?.tasks ?? [])
            .filter((task) => task.heater === this.where.heater?.id),
        { task: this.task, changed: () => { this.due.load(); } });
        this.task = 0;
    }

    /** With more than one heater: which of them. */
    drawChooser() {
        const { heaters, heater } = this.where;
        if (heaters.length < 2)
            return;
        setScope("care");
        const node = select(heaters.map((one) => [String(one.id), one.name]),
            String(heater?.id));
        node.addEventListener("change", () => this.choose(Number(node.value)));
        place(byId("which"), field("heater", careWords.heater, node));
        this.chooser = node;
    }

    /** @param {number} id */
    choose(id) {
        const heater = this.where.heaters.find((one) => one.id === id) ?? null;
        const water = this.where.waters.find((one) => heater?.waters.includes(one.id)) ??
            this.where.water;
        this.where = { ...this.where, heater, water };
        if (this.chooser)
            this.chooser.value = String(id);
        this.build();
        this.show(false);
    }

    /** @param {CareTask} task */
    visit(task) {
        this.task = task.id;
        if (task.heater !== this.where.heater?.id)
            this.choose(task.heater);
        else
            this.drawVisit();
        location.hash = "#visit";
    }

    /** @param {boolean} moved */
    show(moved) {
        const wanted = location.hash.slice(1);
        const tab = wanted === "gas" ? "signs"
            : TABS.find((name) => name === wanted) ?? "due";
        for (const name of TABS) {
            byId(name).hidden = name !== tab;
            const link = byId("places").querySelector(`[href="#${name}"]`);
            if (name === tab)
                link?.setAttribute("aria-current", "page");
            else
                link?.removeAttribute("aria-current");
        }
        const leaves = wanted === "gas";
        byId("places").hidden = leaves; /* nothing else on that screen */
        byId("which").hidden = leaves;
        if (leaves)
            this.signs?.leave();
        else if (tab === "flue")
            this.flue?.load();
        else if (tab === "signs")
            this.signs?.show();
        if (moved)
            scrollTo(0, 0);
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || !where.heater) {
        showNotSetUp(byId("main"));
    } else {
        const { kinds } = await get("symptom-kinds");
        await new CarePage(where, kinds).start();
        document.body.dataset.ready = "yes";
    }
} catch (error) {
    showFailure(byId("main"), error);
}

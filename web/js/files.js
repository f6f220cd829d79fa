/*
 * The Files page: taking in a table of readings, and downloading what is kept. Two
 * places in it, chosen by the address.
 */
import { get } from "./api.js";
import { byId } from "./dom.js";
import { Exporter } from "./exporter.js";
import { openPlace, showFailure, showNotSetUp } from "./frame.js";
import { Importer } from "./importer.js";

const TABS = /** @type {const} */ (["take", "give"]);

function show() {
    const wanted = location.hash.slice(1);
    const tab = TABS.find((name) => name === wanted) ?? "take";
    for (const name of TABS) {
        byId(`${name}-part`).hidden = name !== tab;
        const link = byId("places").querySelector(`[href="#${name}"]`);
        if (name === tab)
            link?.setAttribute("aria-current", "page");
        else
            link?.removeAttribute("aria-current");
    }
}

try {
    const where = await openPlace();
    if (!where.site.set_up || !where.water) {
        showNotSetUp(byId("main"));
    } else {
        const { quantities } = await get("quantities");
        new Importer(byId("take-body"), where, quantities);
        new Exporter(byId("give-body"), where);
        addEventListener("hashchange", show);
        show();
        document.body.dataset.ready = "yes";
    }
} catch (error) {
    showFailure(byId("main"), error);
}

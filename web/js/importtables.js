/*
 * What an import's dry run found, as tables: the lines to look at, the columns with
 * their units, and the first lines as they were understood.
 */
import { el } from "./dom.js";
import { fileWords } from "./filewords.js";
import { shownUnit, valueText } from "./units.js";
import { fullText } from "./time.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").ImportReport} ImportReport */
/** @typedef {import("./types.js").ImportColumn} ImportColumn */
/** @typedef {import("./types.js").ImportPreview} ImportPreview */
/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Site} Site */

/** @param {string} text @param {string} [kind] */
const head = (text, kind) => el("th", { scope: "col", class: kind }, text);

/** A table that may be wider than the page: it scrolls by itself, also by keys.
 * @param {string} caption @param {HTMLElement} table */
function scroll(caption, table) {
    return el("div", { class: "scroll", tabindex: "0", role: "region",
        "aria-label": caption }, table);
}

/** Refused and unusual lines as they stand in the file. @param {ImportReport} report */
export function lineTable(report) {
    if (report.lines.length === 0)
        return null;
    const more = report.lines.length >= 200 ? ` (${fileWords.first200})` : "";
    return scroll(fileWords.lines, el("table", { class: "lines" },
        el("caption", {}, fileWords.lines + more),
        el("thead", {}, el("tr", {}, head(fileWords.line, "num"),
            head(fileWords.verdict), head(fileWords.problem), head(fileWords.text))),
        el("tbody", {}, report.lines.map((line) => el("tr", {},
            el("td", { class: "num" }, line.line),
            el("td", {}, fileWords.verdicts[line.verdict] ?? line.verdict),
            el("td", {}, line.detail ?? ""),
            el("td", { class: "raw" }, line.text ?? ""))))));
}

/** @param {ImportColumn} column @param {Quantity} quantity
 * @param {(key: string, unit: string) => void} choose */
function unitSelect(column, quantity, choose) {
    /* As offered where it is only spelled otherwise: "f" is °F. */
    const bare = (/** @type {string} */ unit) => unit.toLowerCase().replace("°", "");
    const own = column.unit === "" ? quantity.unit
        : column.units.find((unit) => bare(unit) === bare(column.unit)) ?? column.unit;
    const node = el("select", { class: "which", name: `unit.${column.as}`,
        "aria-label": fileWords.unitOf(quantity.words),
        onchange: () => choose(quantity.key, node.value) },
    [...new Set([own, ...column.units])].map((unit) =>
        el("option", { value: unit, selected: unit === own }, unit)));
    return node;
}

/**
 * @param {ImportReport} report
 * @param {Quantity[]} quantities
 * @param {(key: string, unit: string) => void} choose
 */
export function columnTable(report, quantities, choose) {
    return scroll(fileWords.columns, el("table", { class: "columns" },
        el("caption", {}, fileWords.columns),
        el("thead", {}, el("tr", {}, head(fileWords.column), head(fileWords.meaning),
            head(fileWords.unit))),
        el("tbody", {}, report.columns.map((column) => {
            const quantity = quantities.find((q) => q.key === column.as);
            const meaning = quantity ? quantity.words
                : column.as ? fileWords.roles[column.as] ?? column.as : fileWords.left;
            return el("tr", {}, el("td", {}, column.header),
                el("td", { class: column.as ? null : "quiet" }, meaning),
                el("td", {}, quantity && column.units.length > 0
                    ? unitSelect(column, quantity, choose) : null));
        }))));
}

/**
 * @param {ImportPreview} row
 * @param {Quantity[]} shown
 * @param {string[]} texts roles of the columns of text
 * @param {Site} site
 */
function previewRow(row, shown, texts, site) {
    const start = [el("td", { class: "num" }, row.line),
        el("td", {}, fileWords.takes[row.verdict] ?? row.verdict)];
    if (row.verdict === "refused")
        return el("tr", { class: "refused" }, start,
            el("td", { colspan: 2 + shown.length + texts.length }, row.detail));
    /** @type {Record<string, string>} */
    const text = { method: methodText(row.method), by: row.by, note: row.note };
    return el("tr", {}, start,
        el("td", {}, row.at === null ? "" : fullText(site.zone, row.at)),
        shown.map(({ key, unit }) => el("td", { class: "num" }, key in row.values
            ? valueText(key, Number(row.values[key]), unit, site) : "")),
        texts.map((role) => el("td", {}, text[role] ?? "")), el("td", {}, row.detail));
}

/** @param {string} method */
function methodText(method) {
    return /** @type {Record<string, string>} */ (words.methods)[method] ?? method;
}

/** The first lines as understood, in the site's units and time.
 * @param {ImportReport} report @param {Quantity[]} quantities @param {Site} site */
export function previewTable(report, quantities, site) {
    const rows = report.preview ?? [];
    if (rows.length === 0)
        return null;
    const shown = quantities.filter((q) => report.columns.some((c) => c.as === q.key));
    const texts = ["method", "by", "note"].filter((role) =>
        report.columns.some((c) => c.as === role));
    const caption = fileWords.preview(rows.length);
    return scroll(caption, el("table", { class: "preview" }, el("caption", {}, caption),
        el("thead", {}, el("tr", {}, head(fileWords.line, "num"),
            head(fileWords.takeIt), head(fileWords.when), shown.map((quantity) => {
                const { symbol } = shownUnit(quantity.unit, site);
                return head(quantity.words + (symbol ? ` (${symbol})` : ""), "num");
            }), texts.map((role) => head(fileWords.roles[role] ?? role)),
            head(fileWords.problem))),
        el("tbody", {}, rows.map((row) => previewRow(row, shown, texts, site)))));
}

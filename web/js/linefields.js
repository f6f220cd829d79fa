/*
 * The panel under a row of the list: everything that can be said about a part, a place
 * where water divides, a way, or a place where ways join.
 */
import { el } from "./dom.js";
import { check, field, select, textInput } from "./form.js";
import { basesOf, canBeWired, feeds, FEED_NUMBERS, numbersOf, PIPE_SIZES, roleOf,
    sourceOf } from "./linekinds.js";
import { withWay } from "./linelist.js";
import { fieldText, readField, unitOf } from "./lineunits.js";
import { lineWords } from "./linewords.js";

/** @typedef {import("./linelist.js").Row} Row */
/** @typedef {import("./linelist.js").Link} Link */
/**
 * @typedef {object} Editor what a panel needs of the page
 * @property {import("./types.js").Site} site
 * @property {import("./linedraft.js").LineDraft} draft
 * @property {{key: string, words: string, kind: string}[]} products
 * @property {(id: number) => string} nameOf
 * @property {(focus?: string) => void} changed the list has to be drawn again
 * @property {() => void} typed a field has changed, the list stays
 * @property {(id: number) => void} remove
 */

/**
 * A number field of a row. What is no number is kept as it was typed, and not sent.
 * @param {Editor} editor @param {string} name of the control
 * @param {string} key field, for unit and words
 * @param {number | null | undefined} value
 * @param {(value: number | null) => void} take
 */
export function numberField(editor, name, key, value, take) {
    const { draft, site } = editor;
    const typed = draft.typed.get(name);
    const input = textInput({ inputmode: "decimal", value: typed ??
        (value === null || value === undefined ? "" : fieldText(key, value, site)),
    oninput: () => {
        const read = readField(key, input.value, site);
        if (read === undefined)
            draft.typed.set(name, input.value);
        else {
            draft.typed.delete(name);
            take(read);
        }
        editor.typed();
    } });
    return field(name, lineWords.fields[key] ?? key, input,
        { unit: unitOf(key, site).symbol, hint: lineWords.hints[key] });
}

/** @param {Editor} editor @param {string} name @param {string} label
 * @param {[string, string][]} choices @param {string} chosen
 * @param {(value: string) => void} take */
function choice(editor, name, label, choices, chosen, take) {
    const control = select(choices, chosen);
    control.addEventListener("change", () => {
        take(control.value);
        editor.changed(`[name="${name}"]`);
    });
    return field(name, label, control);
}

/** @param {Editor} editor @param {Row} row */
function nameField(editor, row) {
    const input = textInput({ value: row.part.name, maxlength: "40", oninput: () => {
        editor.draft.setPart(row.id, { name: input.value }, `name ${row.id}`);
        editor.typed();
    } });
    return field(`row.${row.id}.name`, lineWords.fields.name ?? "", input);
}

/** @param {Editor} editor @param {Row} row */
function partFields(editor, row) {
    const { id, part } = row;
    const { draft } = editor;
    const parts = [nameField(editor, row)];
    if (roleOf(part.kind) === "pipe")
        parts.push(choice(editor, `row.${id}.size`, lineWords.fields.size ?? "",
            PIPE_SIZES.map((size) => [size, `${size} in`]), part.size ?? "",
            (size) => draft.setPart(id, { size })),
        choice(editor, `row.${id}.material`, lineWords.fields.material ?? "",
            lineWords.materials, part.material ?? "plastic",
            (material) => draft.setPart(id, { material })));
    for (const key of numbersOf(part.kind))
        parts.push(numberField(editor, `row.${id}.${key}`, key,
            /** @type {any} */ (part)[key], (value) =>
                draft.setPart(id, { [key]: value }, `${key} ${id}`)));
    if (canBeWired(part.kind)) {
        const box = check(`row.${id}.interlocked`, part.kind === "heater"
            ? lineWords.flowProof : lineWords.interlocked, part.interlocked);
        box.input.addEventListener("change", () => {
            draft.setPart(id, { interlocked: box.input.checked });
            editor.typed();
        });
        parts.push(el("div", { class: "field" }, box.row));
    }
    return [...parts, ...(feeds(part.kind) ? feedFields(editor, row) : [])];
}

/** @param {Editor} editor @param {Row} row */
function feedFields(editor, { id, part }) {
    const { draft, products } = editor;
    const feed = part.feed ?? { basis: "unknown" };
    const acid = sourceOf(part.kind) === "acid";
    const fields = [choice(editor, `row.${id}.basis`, lineWords.fields.basis ?? "",
        basesOf(part.kind).map((basis) => [basis, lineWords.bases[basis] ?? basis]),
        feed.basis, (basis) => draft.setPart(id, { feed: { ...feed, basis } }))];
    if (part.kind !== "salt_cell")
        fields.push(choice(editor, `row.${id}.product`, lineWords.fields.product ?? "",
            products.filter((p) => p.kind === (acid ? "acid" : "sanitiser"))
                .map((p) => [p.key, p.words]), feed.product ?? "",
            (product) => draft.setPart(id, { feed: { ...feed, product } })));
    for (const key of FEED_NUMBERS[feed.basis] ?? [])
        fields.push(numberField(editor, `row.${id}.${key}`, key,
            /** @type {any} */ (feed)[key], (value) => {
                const now = draft.rows.find((row) => row.id === id)?.part.feed ?? feed;
                draft.setPart(id, { feed: { ...now, [key]: value } }, `${key} ${id}`);
            }));
    return fields;
}

/** @param {Editor} editor @param {Row} row */
function shareField(editor, row) {
    return numberField(editor, `row.${row.id}.share`, "share", row.share, (share) =>
        editor.draft.change({ rows: editor.draft.rows.map((r) => r.id === row.id
            ? { ...r, share } : r) }, `share ${row.id}`));
}

/** @param {Editor} editor @param {Row} row */
function waysFields(editor, row) {
    const split = row.row === "split";
    return [choice(editor, `row.${row.id}.kind`, split ? lineWords.dividesBy
        : lineWords.joinsBy, lineWords.teeOr, row.part.kind,
    (kind) => editor.draft.setKind(row.id, kind)),
    row.part.kind === "three_way_valve" ? nameField(editor, row) : null,
    split ? shareField(editor, row) : null,
    split ? el("p", {}, el("button", { type: "button", onclick: () => {
        editor.draft.change({ rows: withWay(editor.draft.rows, row.id) });
        editor.changed();
    } }, lineWords.addWay)) : null];
}

/* ---- links that no nesting of ways can say ---- */

/** @param {Editor} editor @param {Row} row */
function linkFields(editor, row) {
    const { draft } = editor;
    /** @param {Partial<Row>} values @param {string} [focus] */
    const put = (values, focus) => {
        draft.change({ rows: draft.rows.map((r) => r.id === row.id
            ? { ...r, ...values } : r) });
        editor.changed(focus);
    };
    const links = row.also ?? [];
    const on = check(`row.${row.id}.goes_on`, lineWords.goesOn, !row.ends);
    on.input.addEventListener("change", () => put({ ends: !on.input.checked },
        `[name="row.${row.id}.goes_on"]`));
    return el("details", { open: links.length > 0 || row.ends },
        el("summary", {}, lineWords.whereTo), on.row,
        el("ul", { class: "links" }, links.map((link, i) => el("li", {},
            `${lineWords.alsoTo}: ${editor.nameOf(link.to)} `,
            el("button", { type: "button", class: "plain", onclick: () =>
                put({ also: links.filter((_, n) => n !== i) }) },
            lineWords.removeLink(editor.nameOf(link.to)))))),
        addLink(editor, row, (link) => put({ also: [...links, link] })));
}

/** @param {Editor} editor @param {Row} row @param {(link: Link) => void} add */
function addLink(editor, row, add) {
    const others = editor.draft.rows.filter((r) => r.row !== "path" && r.id !== row.id &&
        roleOf(r.part.kind) !== "suction" && roleOf(r.part.kind) !== "pool");
    const to = select(others.map((r) => [String(r.id), editor.nameOf(r.id)]));
    const from_port = select(lineWords.ports);
    const to_port = select(lineWords.ports);
    const into = el("div", {}, field(`row.${row.id}.to_port`, lineWords.toPort, to_port));
    const show = () => {
        into.hidden = others.find((r) => r.id === Number(to.value))?.part.kind !==
            "three_way_valve";
    };
    to.addEventListener("change", show);
    show();
    const three = row.part.kind === "three_way_valve";
    return el("div", {}, field(`row.${row.id}.also`, lineWords.alsoTo, to),
        three ? field(`row.${row.id}.from_port`, lineWords.fromPort, from_port) : null, into,
        el("p", {}, el("button", { type: "button", disabled: others.length === 0,
            onclick: () => add({ to: Number(to.value),
                ...(three ? { from_port: from_port.value } : {}),
                ...(into.hidden ? {} : { to_port: to_port.value }) }) },
        lineWords.addLink)));
}

/** @param {Editor} editor @param {Row} row */
export function rowPanel(editor, row) {
    const fields = row.row === "part" ? partFields(editor, row)
        : row.row === "path" ? [shareField(editor, row)] : waysFields(editor, row);
    const words = row.row === "part" ? lineWords.remove(editor.nameOf(row.id))
        : lineWords.removeWays;
    return el("div", { class: "panel", id: `panel-${row.id}` },
        el("div", { class: "fields" }, fields),
        row.row === "part" && roleOf(row.part.kind) !== "outlet" &&
            roleOf(row.part.kind) !== "pool" ? linkFields(editor, row) : null,
        el("p", {}, el("button", { type: "button", onclick: () => editor.remove(row.id) },
            words)));
}

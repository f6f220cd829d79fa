/*
 * Making and changing elements. Text goes in as text, never as markup.
 */

/** @typedef {Node | string | number | null | undefined | false} Child */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {Element} node
 * @param {Record<string, any>} props attributes; on… are listeners, true is an empty
 *   attribute, false, null and undefined are left out
 * @param {(Child | Child[])[]} children
 */
function fill(node, props, children) {
    for (const [name, value] of Object.entries(props)) {
        if (value === false || value === null || value === undefined)
            continue;
        if (typeof value === "function")
            node.addEventListener(name.slice(2), value);
        else if (name === "value" && "value" in node)
            /** @type {HTMLInputElement} */ (node).value = String(value);
        else
            node.setAttribute(name, value === true ? "" : String(value));
    }
    node.append(...keep(children));
}

/**
 * @param {(Child | Child[])[]} children
 * @returns {(Node | string)[]}
 */
function keep(children) {
    return children.flat().flatMap((child) =>
        child === null || child === undefined || child === false
            ? [] : [typeof child === "number" ? String(child) : child]);
}

/**
 * An HTML element.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Record<string, any>} [props]
 * @param {(Child | Child[])[]} children
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function el(tag, props = {}, ...children) {
    const node = document.createElement(tag);
    fill(node, props, children);
    return node;
}

/**
 * An SVG element.
 * @param {string} tag
 * @param {Record<string, any>} [props]
 * @param {(Child | Child[])[]} children
 * @returns {SVGElement}
 */
export function svg(tag, props = {}, ...children) {
    const node = document.createElementNS(SVG, tag);
    fill(node, props, children);
    return node;
}

/**
 * The element of that id, which the page's HTML must hold.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
    const node = document.getElementById(id);
    if (!node)
        throw new Error(`no element #${id}`);
    return node;
}

/**
 * Puts children in place of what is there, and leaves everything alone when it would
 * look the same: focus, selection and open details survive a poll.
 * @param {Element} target
 * @param {(Child | Child[])[]} children
 */
export function place(target, ...children) {
    const next = /** @type {Element} */ (target.cloneNode(false));
    next.append(...keep(children));
    if (!next.isEqualNode(target))
        target.replaceChildren(...next.childNodes);
}

/**
 * Says something to screen readers, politely.
 * @param {string} text
 */
export function announce(text) {
    let region = document.getElementById("said");
    if (!region) {
        region = el("div", { id: "said", class: "unseen", role: "status" });
        document.body.append(region);
    }
    region.textContent = text;
}

/*
 * A drawing as a picture file: its name, its sentence, the drawing, where and when.
 */
import { el } from "./dom.js";

const MARGIN = 24;
const FONT = 'system-ui, "DejaVu Sans", sans-serif';

/** @param {string} name */
const colour = (name) =>
    getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/** @param {CanvasRenderingContext2D} pen @param {string} text @param {number} width */
function lines(pen, text, width) {
    /** @type {string[]} */
    const found = [];
    for (const word of text.split(" ")) {
        const last = found[found.length - 1];
        if (last !== undefined && pen.measureText(`${last} ${word}`).width <= width)
            found[found.length - 1] = `${last} ${word}`;
        else
            found.push(word);
    }
    return found;
}

/**
 * @param {HTMLCanvasElement} drawing
 * @param {{title: string, text: string, foot: string}} said
 * @returns {HTMLCanvasElement}
 */
export function picture(drawing, said) {
    const scale = devicePixelRatio;
    const made = el("canvas");
    const pen = /** @type {CanvasRenderingContext2D} */ (made.getContext("2d"));
    const width = drawing.width / scale;
    pen.font = `16px ${FONT}`;
    const text = lines(pen, said.text, width);
    const head = MARGIN + 28 + text.length * 22 + 8;
    made.width = (width + 2 * MARGIN) * scale;
    made.height = (head + drawing.height / scale + 28 + MARGIN) * scale;
    pen.scale(scale, scale);
    pen.fillStyle = colour("--paper");
    pen.fillRect(0, 0, made.width, made.height);
    pen.fillStyle = colour("--ink");
    pen.textBaseline = "top";
    pen.font = `600 20px ${FONT}`;
    pen.fillText(said.title, MARGIN, MARGIN);
    pen.font = `16px ${FONT}`;
    text.forEach((line, i) => pen.fillText(line, MARGIN, MARGIN + 28 + i * 22));
    pen.drawImage(drawing, MARGIN, head, width, drawing.height / scale);
    pen.fillStyle = colour("--quiet");
    pen.font = `14px ${FONT}`;
    pen.fillText(said.foot, MARGIN, head + drawing.height / scale + 8);
    return made;
}

/** @param {HTMLCanvasElement} made @param {string} name of the file, without ending */
export function savePicture(made, name) {
    made.toBlob((blob) => {
        if (!blob)
            return;
        const url = URL.createObjectURL(blob);
        const link = el("a", { href: url, download: `${name}.png` });
        document.body.append(link);
        link.click();
        link.remove();
        setTimeout(() => URL.revokeObjectURL(url), 10000);
    }, "image/png");
}

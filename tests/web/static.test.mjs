// What must hold of the pages' files before any browser opens them.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { load, web } from "./support.mjs";

const { words } = await load("words.js");

/** Messages by the name that modules know them under, and by that of the HTML. */
const pageWords = {};
for (const [part, file, name] of [["entry", "entrywords.js", "entryWords"],
  ["history", "historywords.js", "historyWords"],
  ["outbox", "outboxwords.js", "outboxWords"], ["file", "filewords.js", "fileWords"],
  ["setup", "setupwords.js", "setupWords"], ["trends", "trendwords.js", "trendWords"],
  ["treatment", "treatmentwords.js", "treatmentWords"],
  ["super", "superwords.js", "superWords"], ["heat", "heatwords.js", "heatWords"],
  ["people", "peoplewords.js", "peopleWords"],
  ["line", "linewords.js", "lineWords"], ["care", "carewords.js", "careWords"],
  ["flue", "fluewords.js", "flueWords"], ["record", "recordwords.js", "recordWords"]])
  pageWords[name] = { part, said: (await load(file))[name] };
const inHtml = { ...words, ...Object.fromEntries(
  Object.values(pageWords).map(({ part, said }) => [part, said])) };

const read = (name) => readFileSync(path.join(web, name), "utf8");
const pages = readdirSync(web).filter((name) => name.endsWith(".html"));
const modules = readdirSync(path.join(web, "js")).filter((name) => name.endsWith(".js"));

test("the types of all modules hold", () => {
  execFileSync(process.execPath, [path.join(web, "node_modules/typescript/bin/tsc"),
    "-p", web], { stdio: "pipe" });
});

test("pages have no inline script, style or handler, and nothing from elsewhere", () => {
  assert.ok(pages.length >= 5);
  for (const page of pages) {
    const html = read(page);
    assert.doesNotMatch(html, /<style|\sstyle=|\son[a-z]+=|javascript:/i, page);
    for (const [tag] of html.matchAll(/<script[^>]*>/g))
      assert.match(tag, /src="(js|vendor)\//, page);
    for (const [, target] of html.matchAll(/(?:src|href)="([^"]*)"/g))
      assert.doesNotMatch(target, /^(?:[a-z]+:|\/\/)/i, `${page}: ${target}`);
    assert.match(html, /<html lang="en">/);
    assert.match(html, /<meta name="viewport"/);
    assert.match(html, /<meta name="description" content="[^"]+/);
  }
});

test("what stands in the HTML is what the message file says", () => {
  let count = 0;
  for (const page of pages)
    for (const [, key, text] of read(page).matchAll(/data-words="([^"]+)"[^>]*>([^<]*)</g)) {
      const said = key.split(".").reduce((found, part) => found?.[part], inHtml);
      assert.equal(text, said, `${page}: ${key}`);
      count++;
    }
  assert.ok(count > 10);
});

test("every message that a module names exists", () => {
  const named = /(?<![/".])\b([a-z]+W|w)ords((?:\.[a-zA-Z_0-9]+)+)/g;
  let count = 0;
  for (const name of modules.filter((file) => file !== "words.js"))
    for (const [, which, key] of read(`js/${name}`).matchAll(named)) {
      const parts = key.slice(1).split(".").filter((part) => part !== "");
      let found = which === "w" ? words : pageWords[`${which}ords`]?.said;
      for (const part of parts) {
        if (typeof found !== "object" || found === null) break;
        found = found[part];
      }
      assert.notEqual(found, undefined, `${name}: ${which}ords${key}`);
      count++;
    }
  assert.ok(count > 150);
});

test("modules use nothing that plain http on a LAN name lacks", () => {
  const absent = new RegExp(["randomUUID", "serviceWorker", "crypto\\.subtle",
    "navigator\\.(locks|storage|clipboard|wakeLock)", "cookieStore", "innerHTML",
    "outerHTML", "insertAdjacentHTML", "document\\.write", "\\beval\\("].join("|"));
  for (const name of modules) {
    const code = read(`js/${name}`).replace(/\/\*[\s\S]*?\*\//g, "");
    assert.doesNotMatch(code, absent, name);
  }
});

test("the lock names no place to download from, and nothing runs at install", () => {
  const lock = read("package-lock.json");
  assert.doesNotMatch(lock, /"resolved"|registry\.|hasInstallScript/);
  const manifest = JSON.parse(read("package.json"));
  assert.equal(manifest.scripts, undefined);
  for (const version of Object.values({ ...manifest.dependencies,
    ...manifest.devDependencies }))
    assert.match(version, /^\d+\.\d+\.\d+$/);
});

/** Compressed bytes from the wire. @param {any} daemon @param {string[]} names */
async function weight(daemon, names) {
  let sum = 0;
  for (const name of names) {
    const reply = await daemon.get(`/${name}`, { "Accept-Encoding": "gzip" });
    assert.equal(reply.status, 200, name);
    sum += reply.bytes.length;
  }
  return sum;
}

test("the Heater page is light, Trends with its chart below 70 kB", async () => {
  /** A module and all that it imports. */
  const reach = (name, seen = new Set()) => {
    if (seen.has(name)) return seen;
    seen.add(name);
    for (const [, next] of read(`js/${name}`).matchAll(/from "\.\/([^"]+)"/g))
      reach(next, seen);
    return seen;
  };
  const daemon = await startDaemon();
  const heater = await weight(daemon, ["index.html", "style.css", "icon.svg",
    ...[...reach("heater.js")].map((name) => `js/${name}`)]);
  const trends = await weight(daemon, ["trends.html", "style.css", "pages.css", "icon.svg",
    "vendor/uPlot.iife.min.js", "vendor/uPlot.min.css",
    ...[...reach("trends.js")].map((name) => `js/${name}`)]);
  await daemon.stop();
  console.log(`# gzip bytes: heater ${heater}, trends ${trends}`);
  assert.ok(heater < 23200, String(heater));
  assert.ok(trends < 67000, String(trends));
});

/* ---- colours: what a canvas or a drawing shows, axe cannot see ---- */

/** @param {string} hex */
function luminance(hex) {
  const parts = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255)
    .map((c) => (c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
}

/** WCAG 2 contrast. @param {string} a @param {string} b */
function contrast(a, b) {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high + 0.05) / (low + 0.05);
}

function palettes() {
  const css = read("style.css");
  const found = {};
  const take = (text) => Object.fromEntries(
    [...text.matchAll(/--([a-z-]+):\s*(#[0-9a-f]{6})/g)].map(([, n, v]) => [n, v]));
  found.light = take(/:root \{([\s\S]*?)\}/.exec(css)[1]);
  found.dark = take(/prefers-color-scheme: dark\) \{\s*:root \{([\s\S]*?)\}/.exec(css)[1]);
  found.print = take(/data-palette="print"\] \{([\s\S]*?)\}/.exec(css)[1]);
  found.paper = take(/@media print \{\s*:root \{([\s\S]*?)\}/.exec(css)[1]);
  return found;
}

test("colours keep their contrast in light, dark and print", () => {
  const all = palettes();
  assert.deepEqual(all.print, all.paper);
  for (const [name, c] of Object.entries(all)) {
    const least = (what, a, b, ratio) => assert.ok(contrast(a, b) >= ratio,
      `${name}: ${what} ${contrast(a, b).toFixed(2)} < ${ratio}`);
    assert.equal(Object.keys(c).length, 15, name);
    least("text", c.ink, c.paper, 7);
    least("quiet text", c.quiet, c.paper, 4.5);
    for (const sign of ["run", "hold", "test"]) {
      least(`word ${sign}`, c[sign], c.paper, name === "dark" ? 6 : 7);
      least(`sign ${sign}`, c["on-sign"], c[sign], 4.5);
    }
    least("field border", c.edge, c.paper, 3);
    for (const ground of ["paper", "channel"]) {
      least(`line on ${ground}`, c.water, c[ground], 3);
      least(`wall on ${ground}`, c.wall, c[ground], 3);
      least(`hatch on ${ground}`, c.hatch, c[ground], 3);
      least(`quiet hatch on ${ground}`, c["hatch-quiet"], c[ground], 3);
      least(`mark on ${ground}`, c.ink, c[ground], 4.5);
      least(`label on ${ground}`, c.quiet, c[ground], 4.5);
    }
  }
});

// What the tests of the pages share: tables, a browser, a daemon with a pool in it.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

import { startDaemon } from "../support/daemon.mjs";

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
export const web = path.join(root, "web");
const require = createRequire(path.join(web, "package.json"));

/** One line of CSV with quotes. @param {string} line */
function fields(line) {
  const found = [];
  let rest = line;
  for (;;) {
    const match = /^(?:"((?:[^"]|"")*)"|([^,]*))(,|$)/.exec(rest);
    assert.ok(match, `not a row of CSV: ${line}`);
    found.push(match[1] === undefined ? match[2] : match[1].replaceAll('""', '"'));
    if (match[3] === "") return found;
    rest = rest.slice(match[0].length);
  }
}

/** A table of fixtures/: rows as objects. @param {string} name */
export function table(name) {
  const text = readFileSync(path.join(root, "fixtures", name), "utf8");
  const lines = text.split(/\r?\n/).filter((line) => line !== "" && !line.startsWith("# "));
  const names = fields(lines[0] ?? "");
  const rows = lines.slice(1).map((line) => {
    const values = fields(line);
    assert.equal(values.length, names.length, `ragged row in ${name}: ${line}`);
    return Object.fromEntries(names.map((column, i) => [column, values[i]]));
  });
  assert.ok(rows.length > 0, `${name} is empty`);
  return rows;
}

/**
 * A flow of a person against a daemon of its own, under both names.
 * @param {string} name @param {(house: any, host: string) => Promise<void>} body
 * @param {any} [options] of startHouse; keeps: the flow ends the daemon itself
 */
export function flow(name, body, options) {
  for (const host of NAMES)
    test(`${name} (${host === "localhost" ? host : "a .local name"})`, async () => {
      const house = await startHouse(options);
      try {
        await body(house, host);
      } finally {
        if (!options?.keeps) await house.daemon.stop();
      }
    });
}

/** A module of web/js as the browser gets it. @param {string} name */
export const load = (name) => import(path.join(web, "js", name));

export const ARGUMENTS = [
  "--no-sandbox", "--headless", "--disable-gpu", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--no-first-run",
  "--host-resolver-rules=MAP *.local 127.0.0.1",
];

export async function startBrowser() {
  const { chromium } = require("playwright-core");
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ARGUMENTS,
  });
}

export function axeSource() {
  return readFileSync(path.join(web, "node_modules/axe-core/axe.min.js"), "utf8");
}

/** This machine on a home network: the one name besides localhost that is let in. */
export const LAN_NAME = `${os.hostname().split(".")[0].toLowerCase()}.local`;

/** The names under which every flow runs: a LAN name lacks what localhost has. */
export const NAMES = ["localhost", LAN_NAME];

export const PHONE = { width: 390, height: 844 };
export const TABLET = { width: 1180, height: 820 };

/**
 * A page that collects what must not happen: console errors, CSP reports, requests to
 * other hosts, uncaught errors. A refused form is an error line of the browser itself:
 * expectStatus(422) allows it.
 * @param {import("playwright-core").Browser} browser
 * @param {string} origin
 * @param {object} [options] of the context
 */
export async function openPage(browser, origin, options = {}) {
  const context = await browser.newContext({
    viewport: TABLET, locale: "en-US", timezoneId: "Asia/Kathmandu", ...options,
  });
  const page = await context.newPage();
  const faults = [];
  const allowed = new Set();
  page.on("console", (message) => {
    if (message.type() !== "error" && message.type() !== "warning") return;
    const text = message.text();
    if (/willReadFrequently/.test(text)) return; // the test itself reads the canvas
    const status = /status of (\d+)/.exec(text);
    if (status && allowed.has(Number(status[1]))) return;
    if (/net::ERR_|Failed to load resource/.test(text) && allowed.has(0)) return;
    faults.push(`console: ${text}`);
  });
  page.on("pageerror", (error) => faults.push(`error: ${error.message}`));
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.protocol === "http:" && url.origin !== origin) faults.push(`off-host: ${url}`);
    if (!["http:", "data:", "blob:"].includes(url.protocol)) faults.push(`off-host: ${url}`);
  });
  await page.addInitScript(() => {
    addEventListener("securitypolicyviolation", (event) => {
      console.error(`CSP: ${event.violatedDirective} ${event.blockedURI}`);
    });
  });
  return {
    page,
    context,
    /** 0: no connection at all. @param {number[]} statuses */
    expectStatus: (...statuses) => statuses.forEach((status) => allowed.add(status)),
    /** @param {string} target */
    go: (target) => page.goto(origin + target),
    async close() {
      await context.close();
      assert.deepEqual(faults, []);
    },
  };
}

export const SITE = {
  name: "Marlow Lane", zone: "America/New_York", units: "us", ppm: true,
  decimal_comma: false, by: "Dana",
};

/**
 * A daemon with a site, a pool and a heater with a bypass.
 * @param {{site?: object, water?: object, heater?: object, empty?: boolean,
 *   daemon?: object}} [options]
 */
export async function startHouse(options = {}) {
  const daemon = await startDaemon(options.daemon);
  if (!options.empty) {
    const site = await daemon.send("PUT", "/api/v1/site", { ...SITE, ...options.site },
      { "If-Match": '"site-0"', "Idempotency-Key": null });
    assert.equal(site.status, 200, site.text);
    const water = await daemon.send("POST", "/api/v1/waters", {
      name: "Pool", kind: "pool", sanitiser: "chlorine", volume_m3: 50, ...options.water });
    assert.equal(water.status, 201, water.text);
    const heater = await daemon.send("POST", "/api/v1/heaters", {
      name: "Heater", waters: [1], bypass: "full", ...options.heater });
    assert.equal(heater.status, 201, heater.text);
  }
  return {
    ...daemon,
    daemon,
    /** @param {string} name */
    at: (name) => `http://${name}:${daemon.port}`,
    /** A reading so many seconds ago. @param {number} age_s @param {object} values
     *  @param {object} [more] */
    async reading(age_s, values, more = {}) {
      const now = (await daemon.get("/api/v1/clock")).json.now;
      const reply = await daemon.send("POST", "/api/v1/readings", {
        water: 1, at: now - age_s, method: "drop_count", by: "Dana", values, ...more });
      assert.equal(reply.status, 201, reply.text);
      return reply.json;
    },
    async permit() {
      return (await daemon.get("/api/v1/permit")).json;
    },
  };
}

/** Waits until a condition holds; says what it saw last otherwise.
 * @param {() => Promise<any>} look @param {(seen: any) => boolean} right
 * @param {number} [limit_ms] */
export async function until(look, right, limit_ms = 15000) {
  const end = Date.now() + limit_ms;
  let seen;
  do {
    seen = await look();
    if (right(seen)) return seen;
    await new Promise((resolve) => setTimeout(resolve, 50));
  } while (Date.now() < end);
  return assert.fail(`not so after ${limit_ms} ms; last seen: ${JSON.stringify(seen)}`);
}

/** Stops a process where it stands and waits until all its threads stand still.
 * @param {number} pid */
export async function freeze(pid) {
  process.kill(pid, "SIGSTOP");
  await until(async () => readdirSync(`/proc/${pid}/task`).map((thread) =>
    readFileSync(`/proc/${pid}/task/${thread}/stat`, "utf8").replace(/^.*\) /, "")[0]),
  (states) => states.every((state) => state === "T"));
}

/** @param {import("playwright-core").Page} page @param {string} selector */
export const textOf = (page, selector) => page.locator(selector).innerText();

/** Waits for a text in an element. @param {import("playwright-core").Page} page
 * @param {string} selector @param {RegExp} pattern @param {number} [limit_ms] */
export function untilText(page, selector, pattern, limit_ms) {
  return until(async () => {
    const node = page.locator(selector).first();
    return (await node.count()) > 0 ? node.innerText() : "";
  }, (seen) => pattern.test(seen), limit_ms);
}


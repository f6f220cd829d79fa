// What is typed while the house computer does not answer: kept on the device, shown, sent
// later, once. In a real browser with a profile on disk, under both names.

import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { after, before, test } from "node:test";

import { request, startDaemon } from "../support/daemon.mjs";
import { PASSPHRASE, claim } from "../support/people.mjs";
import { ARGUMENTS, flow, openPage, SITE, startBrowser, startHouse, textOf, until, untilText,
  web } from "./support.mjs";

const { chromium } = createRequire(path.join(web, "package.json"))("playwright-core");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const PH = '#test [name="values.ph"]';
const SAVE = "#test button.strong";
const API = "**/api/v1/readings";
const readings = async (house, query = "") =>
  (await house.get(`/api/v1/readings?water=1&limit=100${query}`)).json.readings;
const phs = async (house, query = "") =>
  (await readings(house, query)).map((fact) => fact.values.ph).sort();
const waiting = (page, pattern, limit_ms) => untilText(page, "#waiting", pattern, limit_ms);
const noneWaiting = (page, limit_ms = 20000) => until(
  () => page.locator("#waiting").isHidden(), (hidden) => hidden, limit_ms);
const saveWaiting = async (page, text) => {
  await page.fill(PH, text);
  await page.click(SAVE);
  await untilText(page, ".saved.waits", new RegExp(`Kept on this device: pH ${text}`));
};

/** A browser whose profile outlives it. @param {string} folder */
const profile = (folder) => chromium.launchPersistentContext(folder, {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ARGUMENTS });

flow("twenty tests typed off line, the tab killed, opened again on line: twenty rows",
  async (house, host) => {
    const folder = await mkdtemp(path.join(os.tmpdir(), "outbox-"));
    let context = await profile(folder);
    try {
      let page = await context.newPage();
      await page.goto(`${house.at(host)}/readings`);
      await until(() => page.locator(PH).count(), (n) => n === 1);
      await context.setOffline(true);
      const typed = Array.from({ length: 20 }, (_, i) => (7 + i / 20).toFixed(2));
      for (const text of typed) await saveWaiting(page, text.replace(/0$/, ""));
      await waiting(page, /20 waiting since \d\d:\d\d/);
      assert.deepEqual(await readings(house), []);
      // the process that draws the tab is ended the hard way, then the browser is
      const crash = await context.newCDPSession(page);
      crash.send("Page.crash").catch(() => {});
      await new Promise((done) => page.once("crash", done));
      await context.close();
      context = await profile(folder);
      page = await context.newPage();
      await page.goto(`${house.at(host)}/readings`);
      await until(async () => (await readings(house)).length, (n) => n === 20, 30000);
      await noneWaiting(page);
      assert.deepEqual(await phs(house), typed.map(Number));
      const facts = await readings(house);
      assert.equal(new Set(facts.map((fact) => fact.id)).size, 20);
      for (const fact of facts) // the time of Save, not of sending
        assert.ok(fact.at < fact.recorded_at, `${fact.at} ${fact.recorded_at}`);
      await page.reload();
      await until(() => page.locator(PH).count(), (n) => n === 1);
      assert.equal((await readings(house)).length, 20);
    } finally {
      await context.close();
      await rm(folder, { recursive: true, force: true });
    }
  });

flow("answers that are lost again and again make one reading", async (house, host) => {
  const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
  expectStatus(0);
  await go("/readings");
  let lost = 0;
  await page.route(API, async (route) => {
    if (route.request().method() !== "POST" || lost >= 4) {
      await route.continue();
      return;
    }
    lost++; // it arrives and is kept, but the answer does not come back
    const sent = await route.request().allHeaders();
    const arrived = await request(house.port, "POST", "/api/v1/readings", {
      headers: { Host: new URL(house.at(host)).host, ...Object.fromEntries(
        ["origin", "content-type", "coilkeep-change", "idempotency-key"].map(
          (name) => [name, sent[name]])) },
      body: route.request().postData() });
    assert.equal(arrived.status, 201, arrived.text);
    await route.abort("connectionreset");
  });
  await page.fill(PH, "7.5");
  await page.click(SAVE);
  await waiting(page, /1 waiting since/, 10000);
  await noneWaiting(page, 30000);
  assert.equal(lost, 4);
  assert.deepEqual(await phs(house, "&history=true"), [7.5]);
  await close();
});

flow("the daemon is stopped and started in the middle of an entry: nothing is lost",
  async (house, host) => {
    const { page, context, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await go("/readings");
    await until(() => page.locator(PH).count(), (n) => n === 1);
    await page.locator(PH).pressSequentially("7.");
    const { port, data } = house.daemon;
    await house.daemon.kill({ keep: true });
    await page.locator(PH).pressSequentially("4");
    await page.click(SAVE);
    await untilText(page, ".saved.waits", /Kept on this device: pH 7\.4\./);
    await page.click('#places [href="#dose"]');
    await page.selectOption('#dose [name="product"]', "sodium_bicarbonate");
    await page.fill('#dose [name="amount"]', "2");
    await page.click("#dose button.strong");
    await untilText(page, "#dose .saved.waits", /Kept on this device: 2 oz of/);
    await waiting(page, /2 waiting since/);
    await page.click('#places [href="#test"]');
    await page.locator(PH).pressSequentially("7.1"); // half typed
    const next = await startDaemon({ args: ["--port", String(port)], data });
    try {
      await noneWaiting(page, 70000);
      assert.equal(await page.inputValue(PH), "7.1");
      const facts = (await next.get("/api/v1/readings?water=1")).json.readings;
      assert.deepEqual(facts.map((fact) => fact.values.ph), [7.4]);
      const { doses } = (await next.get("/api/v1/doses?water=1")).json;
      assert.equal(doses.length, 1);
      assert.equal(Math.round(doses[0].amount), 57); // 2 oz, avoirdupois
      await page.reload();
      await until(() => page.inputValue(PH).catch(() => ""), (text) => text === "7.1");
    } finally {
      await next.stop();
      await rm(data, { recursive: true, force: true });
    }
    await context.close();
    await close();
  }, { keeps: true });

flow("a correction that somebody else made meanwhile is shown, not overwritten",
  async (house, host) => {
    const fact = await house.reading(600, { ph: 8.2 });
    const { page, context, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0, 412);
    await go("/readings#history");
    await page.click("button:has-text('Correct')");
    await page.fill('#correct [name="values.ph"]', "7.2");
    await page.fill('#correct [name="reason"]', "typed 8 for 7");
    await context.setOffline(true);
    await page.click("#correct button.strong");
    await waiting(page, /1 waiting/);
    const other = await house.send("POST", `/api/v1/readings/${fact.id}/correction`,
      { water: 1, method: "drop_count", at: fact.at, values: { ph: 7.9 }, reason: "read again" },
      { "If-Match": fact.etag });
    assert.equal(other.status, 201, other.text);
    await context.setOffline(false);
    await waiting(page, /Somebody changed this entry meanwhile.*stands there now: pH 7\.9/s, 20000);
    assert.match(await textOf(page, "#waiting"), /Not taken: .*pH 7\.2/);
    assert.deepEqual(await phs(house), [7.9]);
    await page.reload(); // it was not answered yet, so it is still said
    await waiting(page, /Not taken: .*pH 7\.2/);
    await page.click("#waiting button:has-text('Let it go')");
    await noneWaiting(page);
    assert.deepEqual(await phs(house), [7.9]);
    await close();
  });

flow("what the daemon refuses later is shown and goes back into its form",
  async (house, host) => {
    const { page, context, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0, 422);
    await go("/readings");
    await until(() => page.locator(PH).count(), (n) => n === 1);
    await context.setOffline(true);
    await saveWaiting(page, "7.3");
    await page.evaluate(() => new Promise((done) => { // a value the daemon cannot take
      const wish = indexedDB.open("coilkeep");
      wish.onsuccess = () => {
        const store = wish.result.transaction("outbox", "readwrite").objectStore("outbox");
        store.getAll().onsuccess = (event) => {
          const [entry] = event.target.result;
          entry.body.values.ph = 15;
          store.put(entry).onsuccess = done;
        };
      };
    }));
    await context.setOffline(false);
    await waiting(page, /Not taken: .*pH 7\.3/, 20000);
    await page.click("#waiting button:has-text('Put it back')");
    await until(() => page.inputValue(PH).catch(() => ""), (text) => text === "7.3");
    await noneWaiting(page);
    await page.click(SAVE);
    await untilText(page, ".saved", /Saved: pH 7\.3/);
    assert.deepEqual(await phs(house), [7.3]);
    await close();
  });

flow("after a day it turns red and can be copied; two tabs send it once",
  async (house, host) => {
    const { page, context, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await go("/readings");
    await page.route(API, (route) => route.abort("connectionrefused"));
    await page.fill(PH, "7.6");
    await page.click(SAVE);
    await waiting(page, /1 waiting since \d\d:\d\d\./, 10000);
    await page.evaluate(() => new Promise((done) => {
      const wish = indexedDB.open("coilkeep");
      wish.onsuccess = () => {
        const store = wish.result.transaction("outbox", "readwrite").objectStore("outbox");
        store.getAll().onsuccess = (event) => {
          const [entry] = event.target.result;
          entry.at_ms -= 25 * 3600 * 1000;
          store.put(entry).onsuccess = done;
        };
      };
    }));
    await page.reload();
    await waiting(page, /1 waiting since yesterday \d\d:\d\d.*more than a day/s);
    await page.click("#waiting textarea");
    assert.match(await page.evaluate(() => String(getSelection())), /yesterday .*: pH 7\.6/);
    const red = await page.evaluate(() => getComputedStyle(document.documentElement)
      .getPropertyValue("--hold"));
    const [r, g, b] = [1, 3, 5].map((i) => parseInt(red.trim().slice(i, i + 2), 16));
    assert.equal(await page.locator("#waiting > p").first().evaluate((node) =>
      getComputedStyle(node).color), `rgb(${r}, ${g}, ${b})`);
    await page.unroute(API);
    const other = await context.newPage(); // the Heater page sends, too
    await other.goto(`${house.at(host)}/`);
    await page.click("#waiting button:has-text('Send now')").catch(() => {});
    await until(() => readings(house), (facts) => facts.length === 1);
    await noneWaiting(page);
    await noneWaiting(other);
    assert.deepEqual(await phs(house, "&history=true"), [7.6]);
    await close();
  });

test("a login that ended keeps the entry and asks to log in", async () => {
  const daemon = await startDaemon({ args: ["--bind", "0.0.0.0"] });
  const owner = await claim(daemon);
  const origin = `http://localhost:${daemon.port}`;
  const put = (method, target, body, more = {}) => daemon.send(method, target, body,
    { ...owner, ...more });
  assert.equal((await put("PUT", "/api/v1/site", SITE,
    { "If-Match": '"site-0"', "Idempotency-Key": null })).status, 200);
  await put("POST", "/api/v1/waters",
    { name: "Pool", kind: "pool", sanitiser: "chlorine", volume_m3: 50 });
  const { page, context, go, expectStatus, close } = await openPage(browser, origin);
  expectStatus(401);
  await go("/login?next=readings");
  await page.fill('[name="name"]', "Ada");
  await page.fill('[name="secret"]', PASSPHRASE);
  await page.click("button.strong");
  await until(() => page.locator(PH).count(), (n) => n === 1);
  const cookies = await context.cookies();
  await context.clearCookies();
  await page.fill(PH, "7.4");
  await page.click(SAVE);
  await waiting(page, /The login has ended\. Nothing is lost/);
  assert.ok(cookies.length > 0);
  await page.click("#waiting a:has-text('Log in')");
  await page.click("button:has-text('Ada')");
  await page.fill('[name="secret"]', PASSPHRASE);
  await page.click("button.strong");
  await until(() => page.locator(PH).count(), (n) => n === 1);
  await noneWaiting(page);
  const { readings: facts } = (await daemon.get("/api/v1/readings?water=1", owner)).json;
  assert.deepEqual(facts.map((fact) => fact.values.ph), [7.4]);
  await close();
  await daemon.stop();
});

test("a browser that keeps nothing sends straight, and the entry stays in its form",
  async () => {
    const house = await startHouse();
    const { page, go, expectStatus, close } = await openPage(browser, house.at("localhost"));
    expectStatus(0);
    await page.addInitScript(() => {
      indexedDB.open = () => { throw new DOMException("no", "InvalidStateError"); };
    });
    await go("/readings");
    await page.fill(PH, "7.5");
    await page.click(SAVE);
    await untilText(page, ".saved", /Saved: pH 7\.5/);
    await page.route(API, (route) => route.abort("connectionrefused"));
    await page.fill(PH, "7.6");
    await page.click(SAVE);
    await untilText(page, ".summary", /does not answer\. Your entry is kept/, 15000);
    assert.equal(await page.inputValue(PH), "7.6");
    await page.unroute(API);
    await page.click(SAVE);
    await untilText(page, ".saved", /Saved: pH 7\.6/);
    assert.deepEqual(await phs(house), [7.5, 7.6]);
    await close();
    await house.daemon.stop();
  });

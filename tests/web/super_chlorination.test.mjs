// The Super-chlorination page: started, ticked off, the heater held, the same after a
// restart of the daemon, confirmed back by a reading; axe in both schemes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { makeFolder, startDaemon } from "../support/daemon.mjs";
import { axeSource, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const WATER = { ph: 7.5, free_chlorine_mg_per_l: 2, combined_chlorine_mg_per_l: 0.8,
  cyanuric_acid_mg_per_l: 0, total_alkalinity_mg_per_l_caco3: 100,
  calcium_hardness_mg_per_l_caco3: 250, water_temp_c: 27 };

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {import("playwright-core").Page} page */
const ready = (page) =>
  until(() => page.evaluate(() => document.body.dataset.ready), (r) => r === "yes");

/** Ticks the first open step and waits for it. @param {import("playwright-core").Page} page */
async function tick(page) {
  const done = await page.locator("ol.ticks li.done").count();
  await page.locator("ol.ticks li.open button").first().click();
  await until(() => page.locator("ol.ticks li.done").count(), (n) => n === done + 1);
}

test("from the reason to the confirmed return, across a restart", async () => {
  const home = await makeFolder();
  const house = await startHouse({ daemon: { data: home.folder } });
  let daemon = house.daemon;
  try {
    for (let day = 6; day > 0; day--)
      await house.reading(day * 86400, { ...WATER, free_chlorine_mg_per_l: 1 + day / 2 });
    await house.reading(900, WATER);
    let opened = await openPage(browser, house.at("localhost"), { viewport: TABLET });
    let { page } = opened;
    await opened.go("/super-chlorination");
    await ready(page);
    assert.match(await textOf(page, "#amount"), /Bring free chlorine to 8 ppm/);
    assert.match(await textOf(page, "#amount"), /stoichiometry, at least\s+0\.4 ppm/);
    assert.equal(await page.locator("#course svg .band").count(), 1);
    assert.equal((await house.permit()).permit, "run");
    await page.click("text=Start: heater off line");
    await untilText(page, "#lead", /Keep off since today/);
    assert.equal((await house.permit()).permit, "hold");
    for (let i = 0; i < 6; i++) await tick(page);
    await untilText(page, "#lead", /The heater is off line/);
    for (let i = 0; i < 4; i++) await tick(page);
    const size = await page.locator("ol.ticks li.open button").first().boundingBox();
    assert.ok(size && size.height >= 48 && size.width >= 48);
    await page.click("text=Dosed: log it");
    await untilText(page, "#lead", /Dosed: the pump mixes/);
    const [dose] = (await daemon.get("/api/v1/doses?water=1&limit=5")).json.doses;
    assert.equal(dose.super_chlorination, true);
    await opened.close();

    await daemon.stop({ keep: true });
    daemon = await startDaemon({ data: home.folder });
    const origin = `http://localhost:${daemon.port}`;
    opened = await openPage(browser, origin, { viewport: PHONE });
    page = opened.page;
    await opened.go("/");
    await untilText(page, "#next", /A super-chlorination is under way/);
    await page.click("text=Go on with it");
    await ready(page);
    assert.equal(await page.locator("ol.ticks li.done").count(), 11);
    await tick(page);
    await untilText(page, "#lead", /coming down/);
    opened.expectStatus(409);
    await page.click("text=The test shows it: confirm");
    await untilText(page, "#lead .message", /No test after the dose/);
    await new Promise((done) => { setTimeout(done, 1100); });
    const tested = await daemon.send("POST", "/api/v1/readings", { water: 1,
      method: "photometer", values: { ph: 7.4, free_chlorine_mg_per_l: 3 } });
    assert.equal(tested.status, 201, tested.text);
    await page.click("text=The test shows it: confirm");
    await untilText(page, "#lead", /The heater goes off line first/);
    assert.equal((await daemon.get("/api/v1/permit")).json.water_side.permit, "run");
    await opened.close();
  } finally {
    await daemon.stop();
    await home.remove();
  }
});

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const viewport of [PHONE, TABLET])
    test(`axe finds nothing, ${colorScheme}, ${viewport.width} px`, async () => {
      const house = await startHouse({ heater: { bypass: "none" } });
      try {
        for (let day = 6; day > 0; day--)
          await house.reading(day * 86400, { ...WATER, free_chlorine_mg_per_l: 1 + day / 2 });
        await house.reading(900, WATER);
        const started = await house.daemon.send("POST", "/api/v1/super-chlorination",
          { heater: 1, water: 1, by: "Dana" });
        assert.equal(started.status, 201, started.text);
        const opened = await openPage(browser, house.at("localhost"),
          { viewport, colorScheme });
        await opened.go("/super-chlorination");
        await ready(opened.page);
        await untilText(opened.page, "#ways", /least harm/);
        // whole in the window: the bar of pages covers a button only until one scrolls
        const height = await opened.page.evaluate(() => document.body.scrollHeight + 200);
        await opened.page.setViewportSize({ width: viewport.width, height });
        await opened.page.evaluate(axeSource());
        const found = await opened.page.evaluate((tags) => window.axe.run(document,
          { runOnly: { type: "tag", values: tags } }), TAGS);
        assert.deepEqual(found.violations.map((v) =>
          `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
        const wide = await opened.page.evaluate(() =>
          document.documentElement.scrollWidth - innerWidth);
        assert.ok(wide <= 0, `wider than the window by ${wide}`);
        await opened.close();
      } finally {
        await house.daemon.stop();
      }
    });

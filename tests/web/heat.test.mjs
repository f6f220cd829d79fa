// The Heat page: asked by temperature and hour, answered with a start, fuel and money;
// what is missing or mistyped; axe at both widths and in both schemes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, flow, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const HOUSE = { site: { latitude: 40, longitude: -75 },
  water: { surface_m2: 32, cover: "bubble" }, heater: { input_w: 117228 } };

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {import("playwright-core").Page} page */
const ready = (page) =>
  until(() => page.evaluate(() => document.body.dataset.ready), (r) => r === "yes");

flow("the family asks by temperature and hour", async (house, host) => {
  await house.reading(1800, { water_temp_c: 18, ph: 7.4, free_chlorine_mg_per_l: 2 });
  const opened = await openPage(browser, house.at(host), { viewport: PHONE });
  const { page } = opened;
  await opened.go("/heat");
  await ready(page);
  await page.getByLabel("How warm?").fill("80");
  await page.getByLabel("By which day?").selectOption({ index: 2 });
  await page.getByLabel("By what time?").fill("3 pm");
  await page.getByRole("button", { name: "When do I light it?" }).click();
  await untilText(page, "#answer", /15:00: light it .*\d\d:\d0\./);
  assert.match(await textOf(page, "#answer"), /It needs \d+ to \d+ therms\./);
  assert.match(await textOf(page, "#answer"), /Assumed, since nobody said/);
  assert.equal(await page.locator("#beside tbody tr").count(), 4);
  assert.match(await textOf(page, "#beside"), /Bubble cover \(as asked\)/);
  assert.equal(await page.locator("#losses tbody tr").count(), 6);

  await page.locator("#tariff summary").click();
  await page.getByLabel("Price of one").fill("cheap");
  await page.locator("#tariff button").click();
  await untilText(page, "#tariff .summary", /Type a number/);
  await page.getByLabel("Price of one").fill("1.50");
  await page.getByLabel("Currency").fill("$");
  await page.locator("#tariff button").click();
  await untilText(page, "#answer", /therms, \d+ to \d+ \$/);
  await untilText(page, "#tariff", /1\.5 \$ for one of: therms/);

  await page.getByText("Weather, cover, water").click();
  await page.getByLabel("Tonight’s low").fill("45");
  await page.getByLabel("Tomorrow’s high").fill("60");
  await page.getByLabel("Cover until then").selectOption("none");
  await page.getByRole("button", { name: "When do I light it?" }).click();
  await untilText(page, "#beside", /No cover \(as asked\)/);
  assert.doesNotMatch(await textOf(page, "#answer"), /night’s low/);
  await opened.close();
}, HOUSE);

flow("nonsense stays in the form, with a message at its field", async (house, host) => {
  await house.reading(1800, { water_temp_c: 18 });
  const opened = await openPage(browser, house.at(host), { viewport: TABLET });
  const { page } = opened;
  await opened.go("/heat");
  await ready(page);
  await page.getByLabel("How warm?").fill("warm");
  await page.getByLabel("By what time?").fill("noonish");
  await page.getByRole("button", { name: "When do I light it?" }).click();
  await untilText(page, ".summary", /Type a temperature/);
  assert.equal(await page.locator("[aria-invalid=true]").count(), 2);
  assert.equal(await page.getByLabel("How warm?").inputValue(), "warm");
  await page.getByLabel("How warm?").fill("300");
  await page.getByLabel("By what time?").fill("15:00");
  opened.expectStatus(400);
  await page.getByRole("button", { name: "When do I light it?" }).click();
  await untilText(page, ".summary", /number from 5 to 42/);
  await page.getByLabel("How warm?").fill("84");
  await page.getByLabel("By which day?").selectOption({ index: 0 });
  await page.getByLabel("By what time?").fill("00:00");
  await page.getByRole("button", { name: "When do I light it?" }).click();
  await untilText(page, ".summary", /That time is over/);
  await opened.close();
}, HOUSE);

test("what the plan lacks is said, with a way to enter it; the permit is beside it",
  async () => {
    const house = await startHouse();
    try {
      const opened = await openPage(browser, house.at("localhost"), { viewport: PHONE });
      await opened.go("/heat");
      await untilText(opened.page, "#answer", /First, this is needed/);
      assert.match(await textOf(opened.page, "#answer"), /rated input from its plate/);
      await opened.page.getByText("Go to Setup").waitFor();
      await opened.close();
      const cold = await startHouse(HOUSE);
      try {
        await cold.reading(1800, { water_temp_c: 18, ph: 6.6, free_chlorine_mg_per_l: 2 });
        const held = await openPage(browser, cold.at("localhost"), { viewport: PHONE });
        await held.go("/heat");
        await untilText(held.page, "#answer", /the heater must stay off now/);
        await held.close();
      } finally {
        await cold.daemon.stop();
      }
    } finally {
      await house.daemon.stop();
    }
  });

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const viewport of [PHONE, TABLET])
    test(`axe finds nothing, ${colorScheme}, ${viewport.width} px`, async () => {
      const house = await startHouse(HOUSE);
      try {
        await house.reading(1800, { water_temp_c: 18, ph: 7.4, free_chlorine_mg_per_l: 2 });
        const opened = await openPage(browser, house.at("localhost"),
          { viewport, colorScheme });
        await opened.go("/heat");
        await ready(opened.page);
        await untilText(opened.page, "#answer", /light it/);
        await opened.page.evaluate(() => document.querySelectorAll("details")
          .forEach((node) => { node.open = true; }));
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
        const sizes = await opened.page.locator("main button, main input, main select")
          .evaluateAll((nodes) => nodes.map((n) => n.getBoundingClientRect().height));
        assert.ok(sizes.every((size) => size >= 48), String(sizes));
        await opened.close();
      } finally {
        await house.daemon.stop();
      }
    });

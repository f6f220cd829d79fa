// Setup from nothing to the first permit, and changes that meet another's.

import assert from "node:assert/strict";
import { after, before } from "node:test";

import { flow, openPage, startBrowser, textOf, until,
  untilText } from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const json = async (house, target) => (await house.get(`/api/v1/${target}`)).json;

flow("from nothing to the first permit", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/setup");
  await untilText(page, "h2", /Step 1 of 3: The house/);
  await page.click("button.strong");
  await untilText(page, ".summary", /needed/);
  await page.fill('[name="name"]', "Hill House");
  await page.fill('[name="zone"]', "Europe/Berlin");
  await page.check('[name="units"][value="si"]', { force: true });
  await page.check('[name="decimal_comma"]');
  await page.click("button.strong");
  await untilText(page, "h2", /Step 2 of 3: The water/);
  await page.fill('[name="volume_m3"]', "48,5");
  await page.click("button.strong");
  await untilText(page, "h2", /Step 3 of 3: The heater/);
  await page.fill('[name="limits.free_chlorine_high.value"]', "3");
  await page.selectOption('[name="limits.free_chlorine_high.source"]', "manual");
  await page.click("button.strong");
  await untilText(page, "#done", /Everything is set up/);
  await page.click("text=Enter the first test");
  await page.fill('[name="values.ph"]', "7,4");
  await page.fill('[name="values.free_chlorine_mg_per_l"]', "1,5");
  await page.selectOption('#test [name="method"]', "photometer");
  await page.click("#test button.strong");
  await untilText(page, ".effect", /May run/);

  const site = await json(house, "site");
  assert.equal(site.zone, "Europe/Berlin");
  assert.equal(site.units, "si");
  const { waters } = await json(house, "waters");
  assert.equal(waters[0].volume_m3, 48.5);
  const { heaters } = await json(house, "heaters");
  assert.deepEqual(heaters[0].limits.free_chlorine_high, { value: 3, source: "manual" });
  assert.deepEqual(heaters[0].limits.ph_low, { value: 7.2, source: "common practice" });
  assert.equal(heaters[0].limits.ph_high, null);
  await close();
}, { empty: true });

flow("a changed limit counts, with where it comes from", async (house, host) => {
  await house.reading(600, { ph: 7.5, free_chlorine_mg_per_l: 4 });
  assert.equal((await house.permit()).permit, "run");
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/setup");
  await page.fill('[name="limits.free_chlorine_high.value"]', "3 ppm");
  await page.selectOption('[name="limits.free_chlorine_high.source"]', "manual");
  await page.locator("section.part").nth(2).locator("button.strong").click();
  await untilText(page, "#done", /Saved/);
  await go("/");
  await untilText(page, "h1", /^Keep off$/);
  await untilText(page, "#why", /Limit 3 ppm, the heater’s manual/);
  await close();
});

flow("a bad zone, a bad limit and half a place are told at their fields",
  async (house, host) => {
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(422);
    await go("/setup");
    const site = page.locator("section.part").nth(0);
    await site.locator('[name="zone"]').fill("Mars/Olympus");
    await site.locator("button.strong").click();
    await untilText(page, ".summary", /no such time zone/i);
    assert.equal(await site.locator('[name="zone"]').getAttribute("aria-invalid"), "true");
    await site.locator('[name="zone"]').fill("America/New_York");
    await page.click("summary:has-text('Place')");
    await site.locator('[name="latitude"]').fill("38.9");
    await site.locator("button.strong").click();
    await untilText(page, ".summary", /both latitude and longitude/);
    const heater = page.locator("section.part").nth(2);
    await heater.locator('[name="limits.ph_low.value"]').fill("9");
    await heater.locator("button.strong").click();
    await until(() => heater.locator('[name="limits.ph_low.value"]')
      .getAttribute("aria-invalid"), (value) => value === "true");
    assert.equal((await json(house, "site")).version, 1);
    await close();
  });

flow("two editors: the second is told, nothing is overwritten", async (house, host) => {
  const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
  expectStatus(412);
  await go("/setup");
  await page.locator("section.part").nth(1).locator('[name="name"]').fill("Mine");
  const [water] = (await json(house, "waters")).waters;
  const other = await house.send("PUT", "/api/v1/waters/1",
    { name: "Theirs", kind: "pool", sanitiser: "chlorine" },
    { "If-Match": water.etag, "Idempotency-Key": null });
  assert.equal(other.status, 200, other.text);
  await page.locator("section.part").nth(1).locator("button.strong").click();
  await untilText(page, "#done", /changed this meanwhile/);
  assert.equal(await page.locator("section.part").nth(1).locator('[name="name"]')
    .inputValue(), "Theirs");
  assert.equal((await json(house, "waters")).waters[0].name, "Theirs");
  await close();
});

flow("a spa is added to the same heater and can be looked at", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/setup");
  await page.click("text=Add another water");
  const form = page.locator("section.part", { has: page.locator("text=Add another") })
    .or(page.locator("section.part")).nth(2);
  await form.locator('[name="name"]').fill("Spa");
  await form.locator('[name="kind"][value="spa"]').check({ force: true });
  await form.locator("button.strong").click();
  await untilText(page, "#done", /Saved/);
  await until(async () => (await json(house, "waters")).waters.length, (n) => n === 2);
  await until(() => page.locator("section.part").count(), (n) => n === 4);
  await page.locator("section.part").nth(3).locator("button.strong").click();
  await untilText(page, "#done", /Saved/);
  await page.check('section.part >> nth=3 >> label:has-text("Spa") >> input');
  await page.locator("section.part").nth(3).locator("button.strong").click();
  await until(async () => (await json(house, "heaters")).heaters[0].waters,
    (waters) => waters.length === 2);
  await go("/");
  await untilText(page, "h1", /^Test first$/);
  await page.selectOption("#where select", { label: "Spa" });
  await until(async () => page.url(), (url) => /water=2/.test(url));
  await untilText(page, "h1", /^Test first$/);
  assert.match(await textOf(page, "#why"), /pH/);
  await close();
});

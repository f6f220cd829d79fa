// Setup from nothing to the first permit, and changes that meet another's.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { adopt, Person } from "./person.mjs";
import { flow, LAN_NAME, openPage, PHONE, startBrowser, startHouse, textOf, until,
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

flow("a stranger needs less than two minutes to the first permit", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host),
    { timezoneId: "Europe/Madrid", viewport: PHONE });
  await go("/");
  const person = new Person(page);
  const started = Date.now();
  await adopt(page, person, (selector, pattern) => untilText(page, selector, pattern));
  console.log(`# ${person.acts} acts, ${person.keys} keys: ${person.human_s.toFixed(0)} s ` +
    `of a person, ${((Date.now() - started) / 1000).toFixed(1)} s of the machines`);
  assert.ok(person.human_s <= 110, `${person.human_s} s`);
  const site = await json(house, "site");
  assert.deepEqual([site.zone, site.units, site.latitude, site.longitude],
    ["Europe/Madrid", "si", 40.4, -3.683333]); // tzdata: +4024-00341
  const [water] = (await json(house, "waters")).waters;
  assert.deepEqual([water.volume_m3, water.surface_m2, water.depth_m], [48, 32, 1.5]);
  await close();
}, { empty: true });

flow("a place is a city, coordinates, or left out, and can be changed", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  const place = async () => {
    const { latitude, longitude } = await json(house, "site");
    return [latitude, longitude];
  };
  const save = async () => {
    const { version } = await json(house, "site");
    await page.locator("section.part").nth(0).locator("button.strong").click();
    await until(() => json(house, "site"), (site) => site.version > version);
    await untilText(page, "#done", /Saved/);
  };
  await go("/setup");
  assert.equal(await page.isChecked('[name="place"][value="none"]'), true);
  await page.check('[name="place"][value="city"]', { force: true });
  assert.equal(await page.inputValue('[name="city"]'), "New York");
  await untilText(page, "section.part", /40\.71° N, 74\.01° W/);
  await page.fill('[name="zone"]', "America/Chicago");
  assert.equal(await page.inputValue('[name="city"]'), "Chicago");
  await page.fill('[name="city"]', "atlantis");
  await page.locator("section.part").nth(0).locator("button.strong").click();
  await untilText(page, ".summary", /not in the list/);
  await page.fill('[name="city"]', "denver");
  await save();
  assert.deepEqual(await place(), [39.739167, -104.984167]); // +394421-1045903
  assert.equal(await page.inputValue('[name="city"]'), "Denver");
  await page.check('[name="place"][value="own"]', { force: true });
  await page.fill('[name="latitude"]', "41.88 N");
  await page.fill('[name="longitude"]', "87.63° W");
  await save();
  assert.deepEqual(await place(), [41.88, -87.63]);
  assert.equal(await page.isChecked('[name="place"][value="own"]'), true);
  await page.check('[name="place"][value="none"]', { force: true });
  await save();
  assert.deepEqual(await place(), [null, null]);
  await close();
});

flow("the calculator speaks up, draws, and changes nothing until told", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/setup");
  const water = page.locator("section.part").nth(1);
  const before = await water.locator('[name="volume_m3"]').inputValue();
  await water.locator("summary:has-text('Work it out')").click();
  for (const shape of ["round", "oval", "round_ends", "kidney", "rectangle"]) {
    await water.locator(`[name="volume.shape"][value="${shape}"]`).check({ force: true });
    assert.ok(await water.locator("svg.pool polygon").first().getAttribute("points"));
  }
  const name = (measure) => water.locator(`[name="volume.${measure}"]`);
  await name("length").fill("32 ft");
  await name("width").fill("16'");
  await name("shallow").fill("6");
  await name("deep").fill("3");
  await untilText(page, '[id$="volume-deep-error"]', /must not be shallower/);
  await name("shallow").fill("three");
  await untilText(page, '[id$="volume-shallow-error"]', /“three” was typed/);
  await name("shallow").fill("3 ft 6 in");
  await name("deep").fill("8.5");
  await untilText(page, ".calculator", /Holds about 22980 gal\. Surface 512 ft²/);
  assert.equal(await water.locator('[name="volume_m3"]').inputValue(), before);
  await name("deep").press("Enter");
  assert.equal(await water.locator('[name="volume_m3"]').inputValue(), "22980");
  await water.locator("button.strong").click();
  await untilText(page, "#done", /Saved/);
  // 32 x 16 x 6 ft: 3072 ft3; shown as whole gallons
  const [stored] = (await json(house, "waters")).waters;
  assert.ok(Math.abs(stored.volume_m3 - 3072 * 0.3048 ** 3) < 0.002, String(stored.volume_m3));
  assert.ok(Math.abs(stored.depth_m - 6 * 0.3048) < 1e-6, String(stored.depth_m));
  await close();
});

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
    await site.locator('[name="place"][value="own"]').check({ force: true });
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

/* ---- nonsense in every field ---- */

const NONSENSE = ["-1", "1.2.3", "1e9", "99999999999999999999", "\u{1F4A7} <b>x</b>", "   "];
/** Fields whose text is free: a name may be what a person likes. */
const FREE = new Set(["name", "by"]);

/** @param {import("playwright-core").Page} page @param {string} name */
const fieldOf = (page, part, name) => page.locator("section.part").nth(part)
  .locator(`[name="${name}"]`);

/** What one save with one odd text led to. */
async function tryOne(page, part, name, text) {
  await page.goto(page.url());
  await until(() => page.locator("section.part").count(), (n) => n === 3);
  await page.evaluate(() => {
    for (const details of document.querySelectorAll("details")) details.open = true;
  });
  const section = page.locator("section.part").nth(part);
  if (["latitude", "longitude", "city"].includes(name)) {
    await section.locator(`[name="place"][value="${name === "city" ? "city" : "own"}"]`)
      .check({ force: true });
    const other = name === "latitude" ? "longitude" : "latitude";
    if (name !== "city") await fieldOf(page, part, other).fill("10");
  }
  if (name === "bypass_usual_percent")
    await section.locator('[name="bypass"][value="part_open"]').check({ force: true });
  await fieldOf(page, part, name).fill(text);
  await section.locator("form > .save button.strong").click();
  return until(async () => {
    if (await section.locator(".summary").count() > 0) {
      const invalid = await fieldOf(page, part, name).getAttribute("aria-invalid");
      return invalid === "true" ? "refused"
        : `summary without the field: ${await section.locator(".summary").innerText()}`;
    }
    return (await textOf(page, "#done")) === "Saved." ? "saved" : "";
  }, (seen) => seen !== "");
}

test("nonsense in any field of Setup is refused at that field, or means nothing", async () => {
  const house = await startHouse();
  const { page, go, expectStatus, close } = await openPage(browser, house.at(LAN_NAME));
  expectStatus(422, 400);
  await go("/setup");
  await until(() => page.locator("section.part").count(), (n) => n === 3);
  let count = 0;
  for (const part of [0, 1, 2]) {
    const names = await page.locator("section.part").nth(part)
      .locator("input[type=text]").evaluateAll((nodes) => nodes.map((node) => node.name)
        .filter((name) => !name.startsWith("volume.")));
    assert.ok(names.length >= 4, names.join(" "));
    for (const name of names)
      for (const text of NONSENSE) {
        const seen = await tryOne(page, part, name, text);
        const may_be_empty = !["name", "zone", "city", "latitude", "longitude"].includes(name)
          && !/^limits\.(ph_low|free)/.test(name);
        const wanted = FREE.has(name) && text.trim() !== "" ||
          text.trim() === "" && may_be_empty ||
          text === "-1" && (name === "latitude" || name === "longitude") ? "saved" : "refused";
        assert.equal(seen, wanted, `${name} with “${text.slice(0, 30)}”`);
        count++;
      }
  }
  console.log(`# ${count} odd entries`);
  await close();
  await house.daemon.stop();
});

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

flow("a warm-up is logged; what cannot be keeps the form and names the field",
  async (house, host) => {
    await house.reading(1800, { water_temp_c: 18 });
    const opened = await openPage(browser, house.at(host), { viewport: TABLET });
    const { page } = opened;
    await opened.go("/heat");
    await ready(page);
    await untilText(page, "#efficiency", /Not known yet/);
    await page.getByText("Enter one").click();
    const fill = (label, text) => page.locator("#log").getByLabel(label).fill(text);
    await fill("Day it was lit", "yesterday");
    await fill("Lit at", "20:00");
    await fill("Off at", "00:30"); // the next morning
    await fill("Water before", "68");
    await fill("Water after", "77");
    await fill("Meter before", "4000");
    await fill("Meter after", "3000");
    await page.locator("#log").getByLabel("The meter counts").selectOption("ft3");
    opened.expectStatus(422);
    await page.locator("#log button.strong").click();
    await untilText(page, "#log .summary", /The meter ran backwards/);
    assert.equal(await page.locator("#log").getByLabel("Meter before").inputValue(), "4000");
    assert.equal(await page.locator("#log").getByLabel("Meter after")
      .getAttribute("aria-invalid"), "true");
    await fill("Meter after", "5300");
    await page.locator("#log button.strong").click();
    // 50 m3 by 5 K is 1.04 GJ; 1300 ft3 hold 1.42 GJ
    await untilText(page, "#log .saved", /Saved: (7\d|80) percent/);
    assert.equal(await page.locator("#efficiency svg .drop").count(), 1);
    const [stored] = (await house.daemon.get("/api/v1/warm-ups?heater=1")).json.warm_ups;
    assert.equal(stored.ended_at - stored.at, 4.5 * 3600);
    assert.equal(stored.start_temp_c, 20);
    assert.equal(stored.by, "this machine");
    await page.locator("#log .undo button").click();
    await untilText(page, "#efficiency", /Not known yet/);
    await opened.close();
  }, HOUSE);

/** Forty hours long, with seconds and with members that the page does not ask for.
 * @param {any} house */
async function loggedWarmUp(house) {
  const at = (await house.daemon.get("/api/v1/clock")).json.now - 3 * 86400 + 17;
  const sent = await house.daemon.send("POST", "/api/v1/warm-ups", { heater: 1, water: 1,
    at, ended_at: at + 40 * 3600, start_temp_c: 20, end_temp_c: 25, source: "meter",
    unit: "ft3", meter_start: 4000, meter_end: 5900, meter_step: 2, wind_m_per_s: 3 });
  assert.equal(sent.status, 201);
  return sent.json;
}

const warmUps = async (house) =>
  (await house.daemon.get("/api/v1/warm-ups?heater=1")).json.warm_ups;

flow("a logged warm-up is corrected with a reason; what was not asked for stays",
  async (house, host) => {
    const stored = await loggedWarmUp(house);
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/heat");
    await ready(page);
    await page.getByText("Logged warm-ups: 1").click();
    await page.getByRole("button", { name: "Correct or withdraw" }).click();
    const log = page.locator("#log");
    await until(() => log.getByLabel("Meter after").inputValue(), (v) => v === "5900");
    assert.equal(await log.getByLabel("Water before").inputValue(), "68");
    await log.getByLabel("Meter after").fill("5800");
    await log.getByRole("button", { name: "Save the correction" }).click();
    await untilText(page, "#log .summary", /Say why/);
    await log.getByLabel("Why does it change?").fill("misread");
    await log.getByRole("button", { name: "Save the correction" }).click();
    await untilText(page, "#log .saved", /Saved/);
    const [now, ...others] = await warmUps(house);
    assert.equal(others.length, 0);
    assert.equal(now.supersedes, stored.id);
    assert.equal(now.meter_end, 5800);
    for (const name of ["at", "ended_at", "start_temp_c", "end_temp_c", "meter_start",
      "meter_step", "wind_m_per_s", "cover", "unit"])
      assert.equal(now[name], stored[name], name);
    await opened.close();
  }, HOUSE);

flow("a logged warm-up is withdrawn with a reason, or left as it is",
  async (house, host) => {
    await loggedWarmUp(house);
    const opened = await openPage(browser, house.at(host), { viewport: TABLET });
    const { page } = opened;
    await opened.go("/heat");
    await ready(page);
    await page.getByText("Logged warm-ups: 1").click();
    await page.getByRole("button", { name: "Correct or withdraw" }).click();
    await page.getByRole("button", { name: "Leave it as it is" }).click();
    await until(() => page.locator("#log").getByLabel("Meter before").inputValue(),
      (v) => v === "");
    await page.getByRole("button", { name: "Correct or withdraw" }).click();
    await page.locator("#log").getByLabel("Why does it change?").fill("the oven was on");
    await page.getByRole("button", { name: "Withdraw this warm-up" }).click();
    await untilText(page, "#log .saved", /no longer counts/);
    await untilText(page, "#efficiency", /Not known yet/);
    assert.deepEqual(await warmUps(house), []);
    await opened.close();
  }, HOUSE);

flow("another meter is told with its day, and taken back", async (house, host) => {
  const opened = await openPage(browser, house.at(host), { viewport: PHONE });
  const { page } = opened;
  const told = async () =>
    (await house.daemon.get("/api/v1/meter-changes?heater=1")).json.meter_changes;
  await opened.go("/heat");
  await ready(page);
  await page.getByText("Another meter or thermometer").click();
  await page.locator("#change").getByLabel("On which day?").fill("someday");
  await page.getByRole("button", { name: "Begin a new series" }).click();
  await untilText(page, "#change .summary", /./);
  await page.locator("#change").getByLabel("On which day?").fill("2025-03-04");
  await page.locator("#change").getByLabel("At what time?").fill("2:30 pm");
  await page.getByRole("button", { name: "Begin a new series" }).click();
  await untilText(page, "#change .saved", /Saved/);
  await untilText(page, "#changes", /2025.*14:30: the gas meter was replaced/);
  assert.equal((await told())[0].what, "meter");
  await page.getByRole("button", { name: "Take it back" }).click();
  await until(told, (list) => list.length === 0);
  await opened.close();
}, HOUSE);

flow("quick checks answer in a sentence each", async (house, host) => {
  const opened = await openPage(browser, house.at(host), { viewport: PHONE });
  const { page } = opened;
  await opened.go("/heat");
  await ready(page);
  await page.getByText("Fill in what you measured").click();
  const fill = (label, text) => page.locator("#checks").getByLabel(label).fill(text);
  await page.getByRole("button", { name: "Check", exact: true }).click();
  await untilText(page, "#check-answer", /Nothing to check/);
  await fill("Gas counted", "0");
  await fill("In seconds", "60");
  opened.expectStatus(422);
  await page.getByRole("button", { name: "Check", exact: true }).click();
  await untilText(page, "#checks .summary", /The meter did not move/);
  // 117.2 kW of 1037 Btu/ft3 gas are 6.43 ft3 a minute
  await fill("Gas counted", "6.43");
  await fill("Water in", "75");
  await fill("Water out", "120");
  await fill("Flow", "28");
  await page.getByRole("button", { name: "Check", exact: true }).click();
  await untilText(page, "#check-answer", /100 ± \d+ percent of the rating plate: as rated/);
  assert.match(await textOf(page, "#check-answer"), /a measurement is wrong/);
  assert.match(await textOf(page, "#check-answer"), /Flue gas condenses.*usual dew point/);
  await opened.close();
}, HOUSE);

test("a heat pump is told what is not judged", async () => {
  const house = await startHouse({ ...HOUSE, heater: { fuel: "heat_pump", input_w: 3000 } });
  try {
    const opened = await openPage(browser, house.at("localhost"), { viewport: PHONE });
    await opened.go("/heat");
    await untilText(opened.page, "#efficiency", /more in warm air and less in cold/);
    await untilText(opened.page, "#metal", /Copper: two tests/);
    assert.equal(await opened.page.getByText("Log a warm-up").count(), 0);
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
});

test("grams of copper that nothing explains are said with what they mean", async () => {
  const house = await startHouse(HOUSE);
  try {
    await house.reading(40 * 86400, { copper_mg_per_l: 0.05, ph: 7.4 });
    await house.reading(3600, { copper_mg_per_l: 0.9, ph: 6.9, water_temp_c: 20 });
    const opened = await openPage(browser, house.at("localhost"), { viewport: PHONE });
    await opened.go("/heat");
    await untilText(opened.page, "#metal", /Copper: at least \d+(\.\d)? g came from/);
    assert.match(await textOf(opened.page, "#metal"), /exchanger dissolving/);
    assert.match(await textOf(opened.page, "#metal"), /low pH/);
    assert.match(await textOf(opened.page, "#metal"), /Iron: two tests/);
    assert.match(await textOf(opened.page, "#metal"), /no copper-based product/);
    await opened.page.getByText("Water drained, copper dosed").click();
    await opened.page.getByLabel("Copper in products").fill("lots");
    await opened.page.getByRole("button", { name: "Reckon with these" }).click();
    await untilText(opened.page, "#metal .summary", /Type a number/);
    await opened.page.getByLabel("Copper in products").fill("100"); // 42.5 g entered
    await opened.page.getByLabel("Drained, backwashed").fill("0");
    await opened.page.getByRole("button", { name: "Reckon with these" }).click();
    await untilText(opened.page, "#metal-answer", /Copper: no more than fill water and/);
    assert.doesNotMatch(await textOf(opened.page, "#metal-answer"),
      /no copper-based product|no water drained/);
    await opened.close();
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
        const at = (await house.daemon.get("/api/v1/clock")).json.now - 86400;
        for (const end of [5300, 4900]) // one as usual, one above physics
          assert.equal((await house.daemon.send("POST", "/api/v1/warm-ups", { heater: 1,
            water: 1, at, ended_at: at + 14400, start_temp_c: 20, end_temp_c: 25,
            source: "meter", unit: "ft3", meter_start: 4000, meter_end: end })).status, 201);
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
        const sizes = await opened.page.locator(
          "main button, main input:not([type=checkbox]), main label.check, main select")
          .evaluateAll((nodes) => nodes.map((n) => n.getBoundingClientRect().height));
        assert.ok(sizes.every((size) => size >= 48), String(sizes));
        await opened.close();
      } finally {
        await house.daemon.stop();
      }
    });

// The Treatment page: what must be tested first, a plan to tick off, trials by typing and
// dragging, in both schemes and with the keyboard alone.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const WATER = { ph: 7.9, free_chlorine_mg_per_l: 1, total_alkalinity_mg_per_l_caco3: 100,
  cyanuric_acid_mg_per_l: 40, calcium_hardness_mg_per_l_caco3: 250, water_temp_c: 27 };

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {(house: any, page: any, opened: any) => Promise<void>} body
 * @param {object} [context] @param {object} [values] */
async function visit(body, context = {}, values = WATER) {
  const house = await startHouse();
  try {
    if (values) await house.reading(900, values);
    const origin = house.at("localhost");
    const opened = await openPage(browser, origin, context);
    await opened.go("/treatment");
    await until(() => opened.page.evaluate(() => document.body.dataset.ready), (r) => r === "yes");
    await body(house, opened.page, opened);
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
}

/** @param {import("playwright-core").Page} page */
async function checkAxe(page) {
  await page.evaluate(axeSource());
  const found = await page.evaluate((tags) => window.axe.run(document,
    { runOnly: { type: "tag", values: tags } }), TAGS);
  assert.deepEqual(found.violations.map((v) =>
    `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
}

test("what nobody tested is asked for first, and the page says where", () =>
  visit(async (house, page) => {
    assert.match(await textOf(page, "#plan"), /Test first[\s\S]*pH: not tested yet/);
    assert.equal(await page.locator("#plan ol.plan").count(), 0);
    assert.equal(await page.locator("#plan a.button").first().getAttribute("href"), "readings");
  }, {}, null));

test("a ticked step is a logged dose, turns the permit to test, and can be undone", () =>
  visit(async (house, page) => {
    await house.send("POST", "/api/v1/shed", { product: "hydrochloric_acid", amount_left: 2000 });
    await page.reload();
    await untilText(page, "#plan", /2 steps bring the water back/);
    assert.match(await textOf(page, "ol.plan li:first-child .do"),
      /^Pour .* fl oz of hydrochloric \(muriatic\) acid \(31\.45 %\) slowly into deep water/);
    assert.match(await textOf(page, "ol.plan li:first-child"), /Acid goes into water, never/);
    assert.equal((await house.permit()).permit, "run");
    await page.click("ol.plan li:first-child button");
    await untilText(page, "ol.plan li:first-child .tick", /Done and logged/);
    const [dose] = (await house.daemon.get("/api/v1/doses?water=1&limit=5")).json.doses;
    assert.equal(dose.product, "hydrochloric_acid");
    assert.equal((await house.permit()).permit, "test");
    const [item] = (await house.daemon.get("/api/v1/shed")).json.shed;
    assert.equal(Math.round(item.amount_left + dose.amount), 2000);
    // a plan half done is still there after a reload, and never proposes the dose again
    await page.reload();
    await untilText(page, "ol.plan li:first-child .tick", /Done and logged/);
    assert.equal(await page.locator("ol.plan li:first-child button").count(), 0);
    await page.click("text=Make a new plan");
    await untilText(page, "#plan", /something was added since/);
  }));

test("undo takes the dose back and puts the product back into the shed", () =>
  visit(async (house, page) => {
    await house.send("POST", "/api/v1/shed", { product: "hydrochloric_acid", amount_left: 2000 });
    await page.reload();
    await untilText(page, "#plan", /2 steps/);
    await page.click("ol.plan li:first-child button");
    await page.click("ol.plan li:first-child .undo button");
    await untilText(page, "ol.plan li:first-child .tick", /log this dose/);
    assert.deepEqual((await house.daemon.get("/api/v1/doses?water=1")).json.doses, []);
    const [item] = (await house.daemon.get("/api/v1/shed")).json.shed;
    assert.equal(item.amount_left, 2000);
  }));

test("a typed or dragged value is answered at once and stores nothing", (t) =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /2 steps/);
    const before = (await house.daemon.get("/api/v1/readings?water=1")).text;
    const took = await page.evaluate(async () => {
      const input = /** @type {HTMLInputElement} */ (document.querySelector(
        "[aria-label='Try Free chlorine']"));
      const start = performance.now();
      input.focus();
      input.value = "3";
      input.dispatchEvent(new Event("input", { bubbles: true }));
      while (!/One step/.test(document.querySelector("#plan")?.textContent ?? ""))
        await new Promise((resolve) => { setTimeout(resolve, 2); });
      return performance.now() - start;
    });
    assert.ok(took < 1000, `${took} ms`);
    const times = await page.evaluate(async () => {
      const found = [];
      for (let i = 0; i < 20; i++) {
        const input = /** @type {HTMLInputElement} */ (document.querySelector(
          "[aria-label='Try pH']"));
        const seen = document.querySelector("#values")?.textContent;
        const start = performance.now();
        input.focus();
        input.value = (7.3 + i * 0.05).toFixed(2);
        input.dispatchEvent(new Event("input", { bubbles: true }));
        while (document.querySelector("#values")?.textContent === seen)
          await new Promise((resolve) => { setTimeout(resolve, 0); });
        found.push(performance.now() - start);
      }
      return found.sort((a, b) => a - b);
    });
    // told, not judged: a shared machine has no right time. The aim is 50 ms.
    t.diagnostic(`what if, typed to seen: ${times[10].toFixed(0)} ms in the middle, ${
      times[19].toFixed(0)} at worst`);
    assert.match(await textOf(page, "#plan"), /A trial with your values/);
    assert.equal(await page.locator("ol.plan .tick button").count(), 0);
    const grip = page.locator(".step-value .handle .grip").first();
    await grip.scrollIntoViewIfNeeded();
    const box = await grip.boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const typed = page.locator("[aria-label='Try pH']");
    const first = await typed.inputValue();
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x, y + 30, { steps: 6 });
    await page.mouse.up();
    assert.ok(Number(await typed.inputValue()) < Number(first), await typed.inputValue());
    await page.click("text=Back to the tested values");
    await untilText(page, "#plan", /2 steps/);
    assert.equal((await house.daemon.get("/api/v1/readings?water=1")).text, before);
  }));

test("the keyboard alone tries a value and ticks a step", () =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /2 steps/);
    await page.focus("[aria-label='Try pH']");
    for (let i = 0; i < 8; i++) await page.keyboard.press("ArrowDown");
    await untilText(page, "#plan", /trial[\s\S]*One step/);
    await page.focus("text=Back to the tested values");
    await page.keyboard.press("Enter");
    await untilText(page, "#plan", /2 steps/);
    await page.focus("ol.plan li:first-child button");
    await page.keyboard.press("Enter");
    await untilText(page, "ol.plan li:first-child .tick", /Done and logged/);
  }));

test("the print for the pump room is dated and has a box for each step", () =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /2 steps/);
    assert.equal(await page.isVisible("#plan .on-paper"), false);
    await page.emulateMedia({ media: "print" });
    assert.match(await textOf(page, "#plan .on-paper"), /^Worked out .*20\d\d.*newest test/);
    assert.deepEqual(await page.locator("ol.plan > li > .do").evaluateAll((all) =>
      all.map((one) => getComputedStyle(one, "::before").content)), ['"☐ "', '"☐ "']);
    assert.equal(await page.locator("#main button:visible").count(), 0);
    for (const part of ["#mind", "#values", "#saturation"])
      assert.equal(await page.isVisible(part), true, part);
    for (const part of ["#fill", "#shed", "#wanted", "#volume"])
      assert.equal(await page.isVisible(part), false, part);
  }));

test("only replacing water: the fill water's values are asked for and used", () =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /At least 50 % of the water/);
    await page.fill("#fill [name=ph]", "7.6");
    await page.fill("#fill [name=total_alkalinity_mg_per_l_caco3]", "90");
    await page.fill("#fill [name=calcium_hardness_mg_per_l_caco3]", "250");
    await page.fill("#fill [name=copper_mg_per_l]", "0.2");
    await page.fill("#fill [name=iron_mg_per_l]", "0.1");
    await page.click("text=Use these values");
    await untilText(page, "#plan", /Drain .* gal and fill up again, pump and burner off/);
    const kept = (await house.daemon.get("/api/v1/waters/1/fill")).json.values;
    assert.deepEqual([kept.ph, kept.copper_mg_per_l, kept.iron_mg_per_l], [7.6, 0.2, 0.1]);
  }, {}, { ...WATER, ph: 7.5, free_chlorine_mg_per_l: 3, cyanuric_acid_mg_per_l: 100 }));

test("ranges are kept, contradictions named at their field, defaults one press away", () =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /2 steps/);
    await page.click("text=Wanted ranges and most of one dose");
    assert.match(await textOf(page, "#wanted"), /Default 7\.4 – 7\.6, MIL-HDBK-1027\/4A/);
    await page.fill("[name='wanted.ph.low']", "7.8");
    await page.click("text=Save ranges");
    await untilText(page, "#wanted .summary", /The low end is above the high end/);
    await page.fill("[name='wanted.ph.low']", "7.2");
    await page.fill("[name='wanted.ph.high']", "7.4");
    await page.check("[name='off.cyanuric_acid_mg_per_l']");
    await page.fill("[name='limits.acid_mg_per_l_caco3']", "5");
    await page.click("text=Save ranges");
    await untilText(page, "#values", /Wanted 7\.2 to 7\.4, own/);
    const kept = (await house.daemon.get("/api/v1/waters/1/wanted")).json;
    assert.deepEqual(kept.wanted, { ph: { low: 7.2, high: 7.4 }, cyanuric_acid_mg_per_l: null });
    assert.deepEqual(kept.limits, { acid_mg_per_l_caco3: 5 });
    await page.click("text=Back to the defaults");
    await untilText(page, "#values", /Wanted 7\.4 to 7\.6, MIL-HDBK/);
    assert.deepEqual((await house.daemon.get("/api/v1/waters/1/wanted")).json.wanted, {});
  }));

test("the shed takes a label, an age and a measure, and the plan speaks in it", () =>
  visit(async (house, page) => {
    await untilText(page, "#plan", /2 steps/);
    await page.click("text=Add to the shed");
    const form = "#shed form ";
    await page.selectOption(`${form}[name=product]`, "hydrochloric_acid");
    assert.equal(await page.isVisible(`${form}[name=bought_at]`), false);
    await page.fill(`${form}[name=amount_left]`, "2");
    await page.selectOption(`${form}[name=unit]`, "gal");
    await page.fill(`${form}[name=strength_percent]`, "20");
    await page.selectOption(`${form}[name=label]`, "strength_degrees_baume");
    await page.selectOption(`${form}[name='measure.kind']`, "scoop");
    await page.fill(`${form}[name='measure.size']`, "100");
    await page.selectOption(`${form}[name='measure.unit']`, "mL");
    await page.click(`${form}button`);
    await untilText(page, "#plan", /Pour [\d½]+ scoops? \(.* fl oz\) of hydrochloric/);
    const [acid] = (await house.daemon.get("/api/v1/shed")).json.shed;
    assert.ok(Math.abs(acid.strength_percent - 31.45) < 0.05);
    assert.deepEqual(acid.measure, { kind: "scoop", size: 100 });
    await page.selectOption(`${form}[name=product]`, "sodium_hypochlorite");
    await page.fill(`${form}[name=amount_left]`, "2");
    await page.fill(`${form}[name=bought_at]`, "yesterday-ish");
    await page.click(`${form}button`);
    await untilText(page, `${form}.summary`, /no day that has been/);
    await page.fill(`${form}[name=bought_at]`, "today");
    await page.click(`${form}button`);
    await untilText(page, "#shed", /After 0 days at 77 °F \(assumed\) about 12\.[45] %/);
  }));

test("what pH does while nobody doses is a sentence with a band, and follows the jets", () =>
  visit(async (house, page) => {
    await untilText(page, "#drift", /Setup must know volume and surface/);
    const water = (await house.daemon.get("/api/v1/waters/1")).json;
    const { name, kind, sanitiser, volume_m3 } = water;
    const put = await house.daemon.send("PUT", "/api/v1/waters/1", { name, kind, sanitiser,
      volume_m3, surface_m2: 32 }, { "If-Match": water.etag, "Idempotency-Key": null });
    assert.equal(put.status, 200, put.text);
    await page.reload();
    const said = await untilText(page, "#drift", /pH goes from 7\.4 to between 7\.\d and [78]\.\d/);
    assert.match(said, /No rate of a pool is published/);
    await page.click("#drift label:has-text('Strong')");
    await until(() => textOf(page, "#drift"), (now) => now !== said && /to between/.test(now));
    assert.equal(await page.locator("#drift svg[role=img]").count(), 1);
    const walls = () => page.locator("#drift svg text.on").allTextContents();
    assert.deepEqual((await walls()).slice(0, 2), ["7.6", "7.4"]); // the plan's own range
    await page.click("text=Wanted ranges and most of one dose");
    await page.fill("[name='wanted.ph.low']", "7.2");
    await page.fill("[name='wanted.ph.high']", "7.8");
    await page.click("text=Save ranges");
    await until(walls, (now) => now[0] === "7.8" && now[1] === "7.2");
  }, {}, { ...WATER, ph: 7.4 }));

test("volume by a weighed dose is told with its band; too small a rise is refused", () =>
  visit(async (house, page, opened) => {
    await page.click("text=By a known dose");
    const fill = (name, text) => page.fill(`#volume [name=${name}]`, text);
    await fill("amount_g", "44.1");
    await page.selectOption("#volume [name=unit]", "lb"); // 20 kg
    await fill("before_mg_per_l", "1000");
    await fill("after_mg_per_l", "1400");
    await page.click("#volume button");
    await untilText(page, "#volume .summary", /./);
    await fill("step_mg_per_l", "50");
    await page.click("#volume button");
    // 19.8 kg over 400 mg/L are 49.5 m3: 13,077 gal
    await untilText(page, "#volume", /About 13,?\d{3} gal, between 1\d,?\d{3} gal and/);
    await page.click("text=Use it in Setup");
    await untilText(page, "#volume", /Setup holds this volume now/);
    const water = (await house.daemon.get("/api/v1/waters/1")).json;
    // 44.1 lb in g, 99 % salt or all of it, over 400 g/m3
    assert.ok(water.volume_m3 > 49 && water.volume_m3 < 50.1, String(water.volume_m3));
    opened.expectStatus(422);
    await fill("after_mg_per_l", "1010");
    await page.click("#volume button");
    await untilText(page, "#volume .summary", /not more than the test leaves open/);
  }));

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const [name, viewport] of /** @type {const} */ ([["phone", PHONE], ["tablet", TABLET]]))
    test(`${name}, ${colorScheme}: axe, targets, no sideways scrolling`, () =>
      visit(async (house, page) => {
        await untilText(page, "#plan", /2 steps/);
        for (const one of await page.locator("summary").all()) await one.click();
        await page.evaluate(() => scrollTo(0, 0)); // not under the bar at the bottom
        await checkAxe(page);
        assert.ok(await page.evaluate(() =>
          document.documentElement.scrollWidth <= innerWidth));
        if (process.env.PICTURES)
          await page.screenshot({ fullPage: true,
            path: `${process.env.PICTURES}/treatment-${name}-${colorScheme}.png` });
      }, { viewport, colorScheme }));

// Typing tests and doses, correcting and taking them back, in a real browser.

import assert from "node:assert/strict";
import { after, before } from "node:test";

import { request } from "../support/daemon.mjs";
import { flow, openPage, startBrowser, textOf, until,
  untilText } from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const PH = '#test [name="values.ph"]';
const CHLORINE = '#test [name="values.free_chlorine_mg_per_l"]';
const SAVE = "#test button.strong";
const readings = async (house, query = "") =>
  (await house.get(`/api/v1/readings?water=1${query}`)).json.readings;

flow("a reading typed changes the permit", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.fill(PH, "7,5");
  await page.fill(CHLORINE, "2.5 ppm");
  await page.selectOption('#test [name="method"]', "drop_count");
  await page.fill('#test [name="by"]', "Priya");
  await page.click(SAVE);
  await untilText(page, ".saved", /Saved: pH 7\.5, free chlorine 2\.5 ppm, today/);
  await untilText(page, ".effect", /May run\. Good until/);
  const [fact] = await readings(house);
  assert.deepEqual(fact.values, { ph: 7.5, free_chlorine_mg_per_l: 2.5 });
  assert.equal(fact.by, "Priya");
  assert.equal(fact.method, "drop_count");
  assert.equal((await house.permit()).permit, "run");
  // remembered on this device, and the last values stand beside the fields
  assert.equal(await page.inputValue('#test [name="by"]'), "Priya");
  assert.equal(await page.inputValue('#test [name="method"]'), "drop_count");
  assert.match(await page.locator("#test .value-field").first().innerText(),
    /last 7\.5, just now/);
  await page.fill(PH, "7.4");
  await page.fill(CHLORINE, "14");
  await page.click(SAVE);
  await untilText(page, ".effect", /Keep off/);
  assert.equal((await house.permit()).permit, "hold");
  await close();
});

flow("undo within half a minute takes the reading back", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.fill(PH, "7.5");
  await page.fill(CHLORINE, "2");
  await page.click(SAVE);
  await untilText(page, ".effect", /May run/);
  await page.click(".saved button:has-text('Undo')");
  await untilText(page, ".saved", /Taken back/);
  await untilText(page, ".effect", /Test first/);
  assert.deepEqual(await readings(house), []);
  assert.equal((await readings(house, "&history=true")).length, 2);
  await close();
});

flow("undo goes away after 30 seconds", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await page.clock.install();
  await go("/readings");
  await page.fill(PH, "7.5");
  await page.click(SAVE);
  await untilText(page, ".saved", /Undo \(30 s\)/);
  await page.clock.runFor(29000);
  await untilText(page, ".saved", /Undo \(1 s\)/);
  await page.clock.runFor(2000);
  await until(() => page.locator(".saved button").count(), (n) => n === 0);
  await close();
});

flow("a doubtful value is asked once, an impossible one refused", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.fill(PH, "9.1");
  await page.fill(CHLORINE, "2");
  await page.click(SAVE);
  await untilText(page, ".summary", /Really pH 9\.1\?/);
  assert.match(await page.title(), /^Error: /);
  assert.equal(await page.evaluate(() => document.activeElement?.className),
    "summary full");
  assert.deepEqual(await readings(house), []);
  await page.click("text=Yes, it is 9.1");
  await untilText(page, ".saved", /Saved: pH 9\.1/);
  assert.doesNotMatch(await page.title(), /^Error: /);
  const [fact] = await readings(house);
  assert.equal(fact.details.ph.confirmed, true);

  await page.fill(PH, "14");
  await page.click(SAVE);
  await untilText(page, ".summary", /pH lies between 1.* and 13/);
  assert.equal(await page.locator("#test .message button").count(), 0);
  assert.equal((await readings(house)).length, 1);
  assert.equal(await page.inputValue(PH), "14");
  await close();
});

flow("numbers that are none keep the entry and say what was seen", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  const cases = {
    "7.4.1": /Two separators.*“7\.4\.1” was typed/, "1,234.5": /Two separators/,
    "abc": /Enter a number/, "NaN": /Enter a number/, "1e3": /Enter a number/,
    "-1": /pH lies between/, "7.4 mmol": /Enter a number/,
  };
  for (const [text, message] of Object.entries(cases)) {
    await page.fill(PH, text);
    await page.click(SAVE);
    await untilText(page, ".summary", message);
    assert.equal(await page.inputValue(PH), text);
    const field = page.locator(PH);
    assert.equal(await field.getAttribute("aria-invalid"), "true");
    const described = await field.getAttribute("aria-describedby");
    const texts = await Promise.all(described.split(" ").map((id) =>
      page.locator(`#${id}`).innerText()));
    assert.ok(texts.some((part) => message.test(part)), `${text}: ${texts}`);
  }
  // the link in the summary leads to the field
  await page.click(".summary a");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")),
    "values.ph");
  await page.fill(PH, "");
  await page.click(SAVE);
  await untilText(page, ".summary", /Enter at least one value/);
  assert.deepEqual(await readings(house), []);
  await close();
});

flow("a thousands separator is asked about", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.click("#test summary:has-text('More values')");
  const salt = '#test [name="values.salt_mg_per_l_nacl"]';
  await page.fill(salt, "3,200");
  await page.click(SAVE);
  await untilText(page, ".summary", /reads as 3\.2 ppm\. For 3200/);
  await page.fill(salt, "3200");
  await page.click(SAVE);
  await untilText(page, ".saved", /salt 3200 ppm/);
  await close();
});

flow("an earlier time is typed in words; the future and double days are refused",
  async (house, host) => {
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/readings");
    await page.fill(PH, "7.5");
    await page.check('#test [name="when"][value="earlier"]', { force: true });
    await page.fill('#test [name="local.date"]', "3/4");
    await page.fill('#test [name="local.time"]', "25:00");
    await page.click(SAVE);
    await untilText(page, ".summary", /could be two days/);
    assert.match(await textOf(page, ".summary"), /not a time/);
    await page.fill('#test [name="local.date"]', "yesterday");
    await page.fill('#test [name="local.time"]', "6:30 pm");
    await page.click(SAVE);
    await untilText(page, ".saved", /yesterday 18:30/);
    const [fact] = await readings(house);
    const shown = new Date(fact.at * 1000).toLocaleTimeString("en-GB",
      { timeZone: "America/New_York" });
    assert.equal(shown, "18:30:00");
    await close();
  });

flow("an hour that came twice is asked for", async (house, host) => {
  const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
  expectStatus(422);
  await go("/readings");
  await page.fill(PH, "7.5");
  await page.check('#test [name="when"][value="earlier"]', { force: true });
  await page.fill('#test [name="local.date"]', "2 Nov 2025"); // clocks went back at 02:00
  await page.fill('#test [name="local.time"]', "01:30");
  await page.click(SAVE);
  await untilText(page, ".summary", /came twice/);
  await page.check('#test [name="local.fold"][value="second"]', { force: true });
  await page.click(SAVE);
  await untilText(page, ".saved", /Saved/);
  const [fact] = await readings(house);
  assert.equal(fact.at, Date.UTC(2025, 10, 2, 6, 30) / 1000); // EST
  await close();
});

flow("over-range and diluted stay with their value", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.fill(PH, "7.5");
  await page.fill(CHLORINE, "10");
  await page.click("#test .value-field:has([name='values.free_chlorine_mg_per_l']) summary");
  await page.check('[name="details.free_chlorine_mg_per_l.over_range"]');
  await page.click(SAVE);
  await untilText(page, ".saved", /Saved/);
  const [fact] = await readings(house);
  assert.equal(fact.details.free_chlorine_mg_per_l.over_range, true);
  assert.equal(fact.details.free_chlorine_mg_per_l.diluted, false);
  assert.equal(fact.details.ph.over_range, false);
  await close();
});

flow("a draft survives a reload, and its time does not become now", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.locator(PH).pressSequentially("7.6");
  await page.reload();
  await until(() => page.inputValue(PH).catch(() => ""), (text) => text === "7.6");
  // an hour later the same draft is from earlier
  await page.evaluate(() => {
    const key = "coilkeep.draft.test.1";
    const draft = JSON.parse(localStorage.getItem(key));
    draft.at -= 3600;
    localStorage.setItem(key, JSON.stringify(draft));
  });
  await page.reload();
  await until(() => page.inputValue(PH).catch(() => ""), (text) => text === "7.6");
  await page.click(SAVE);
  await untilText(page, ".saved", /Saved/);
  const [fact] = await readings(house);
  const age_s = fact.recorded_at - fact.at;
  assert.ok(age_s > 3480 && age_s < 3780, String(age_s));
  await page.reload();
  await until(() => page.inputValue(PH).catch(() => "x"), (text) => text === "");
  await close();
});

flow("a lost answer makes one reading",
  async (house, host) => {
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await go("/readings");
    await page.fill(PH, "7.5");
    let lost = 0;
    await page.route("**/api/v1/readings", async (route) => {
      if (route.request().method() === "POST" && lost < 1) {
        lost++; // it arrives, but the answer is lost
        const sent = await route.request().allHeaders();
        const arrived = await request(house.port, "POST", "/api/v1/readings", {
          headers: { Host: new URL(house.at(host)).host, ...Object.fromEntries(
            ["origin", "content-type", "coilkeep-change", "idempotency-key"].map(
              (name) => [name, sent[name]])) },
          body: route.request().postData() });
        assert.equal(arrived.status, 201, arrived.text);
        await route.abort("connectionreset");
      } else {
        await route.continue();
      }
    });
    await page.click(SAVE);
    await untilText(page, ".saved", /Saved/, 10000);
    assert.equal(lost, 1);
    assert.equal((await readings(house)).length, 1);
    await page.unroute("**/api/v1/readings");
    await close();
  });

flow("one reading is logged with keys only, in 25 presses at most", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await until(() => page.locator(PH).count(), (n) => n === 1);
  let presses = 0;
  const press = async (key) => { presses++; await page.keyboard.press(key); };
  const focused = () => page.evaluate(() => document.activeElement?.getAttribute("name"));
  await press("Tab");
  await press("Enter"); // the skip link
  for (let i = 0; i < 8 && (await focused()) !== "values.ph"; i++) await press("Tab");
  assert.equal(await focused(), "values.ph");
  for (const key of "7.5") await press(key);
  await press("Tab");
  await press("Tab");
  assert.equal(await focused(), "values.free_chlorine_mg_per_l");
  for (const key of "2") await press(key);
  await press("Enter");
  await untilText(page, ".saved", /Saved: pH 7\.5, free chlorine 2 ppm/);
  console.log(`# key presses: ${presses}`);
  assert.ok(presses <= 25, String(presses));
  assert.equal((await readings(house)).length, 1);
  await close();
});

flow("a correction keeps the old value, struck through with its reason",
  async (house, host) => {
    await house.reading(600, { ph: 8.2, free_chlorine_mg_per_l: 2 });
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/readings#history");
    await untilText(page, ".facts", /8\.2/);
    await page.click("button:has-text('Correct')");
    const field = '#correct [name="values.ph"]';
    assert.equal(await page.inputValue(field), "8.2");
    await page.fill(field, "7.2");
    await page.click("#correct button.strong");
    await untilText(page, "#correct .summary", /needed/);
    await page.fill('#correct [name="reason"]', "typed 8 instead of 7");
    await page.click("#correct button.strong");
    await untilText(page, ".facts", /typed 8 instead of 7/);
    assert.equal(await page.locator(".facts del").innerText(),
      "pH 8.2, free chlorine 2 ppm");
    assert.match(await textOf(page, ".facts .what"), /pH 7\.2/);
    const [fact] = await readings(house);
    assert.equal(fact.values.ph, 7.2);
    assert.equal(fact.by, "Dana");
    const [newest, old] = await readings(house, "&history=true");
    assert.equal(newest.at, old.at); // the time was not touched
    await close();
  });

flow("a withdrawn reading does not count, and can be brought back", async (house, host) => {
  await house.reading(600, { ph: 7.5, free_chlorine_mg_per_l: 2 });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings#history");
  await page.click("button:has-text('Withdraw')");
  await page.click("button:has-text('Withdraw it')");
  await untilText(page, ".facts .message", /needed/);
  await page.fill(".facts input", "wrong bottle");
  await page.click("button:has-text('Withdraw it')");
  await untilText(page, ".facts", /Withdrawn/);
  assert.match(await textOf(page, ".facts"), /Reason: wrong bottle/);
  assert.equal((await house.permit()).permit, "test");
  await page.click("button:has-text('Bring back')");
  await page.fill(".facts input", "it was the right one");
  await page.click("button:has-text('Bring it back')");
  await untilText(page, ".facts", /it was the right one/);
  assert.equal((await house.permit()).permit, "run");
  await close();
});

flow("somebody else's change meanwhile is told, and nothing is lost",
  async (house, host) => {
    const fact = await house.reading(600, { ph: 7.5 });
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(412);
    await go("/readings#history");
    await page.click("button:has-text('Withdraw')");
    const other = await house.send("POST", `/api/v1/readings/${fact.id}/correction`,
      { water: 1, at: fact.at, method: "drop_count", values: { ph: 7.3 }, reason: "first" },
      { "If-Match": fact.etag });
    assert.equal(other.status, 201, other.text);
    await page.fill(".facts input", "second");
    await page.click("button:has-text('Withdraw it')");
    await untilText(page, "#history .note", /changed this entry meanwhile/);
    await untilText(page, ".facts", /7\.3/);
    assert.equal((await readings(house))[0].values.ph, 7.3);
    await close();
  });

flow("history comes in pages", async (house, host) => {
  for (let i = 0; i < 30; i++) await house.reading(600 + i * 3600, { ph: 7.5 });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings#history");
  await until(() => page.locator(".facts > li").count(), (n) => n === 25);
  await page.click("text=Show older ones");
  await until(() => page.locator(".facts > li").count(), (n) => n === 30);
  assert.equal(await page.locator("text=Show older ones").count(), 0);
  await close();
});

flow("a dose is logged in the site's units and ends the answer", async (house, host) => {
  await house.reading(3600, { ph: 7.5, free_chlorine_mg_per_l: 2 });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings#dose");
  await page.selectOption('#dose [name="product"]', "hydrochloric_acid");
  assert.equal(await page.inputValue('#dose [name="strength_percent"]'), "31.45");
  await page.fill('#dose [name="amount"]', "1");
  await page.selectOption('#dose [name="unit"]', "qt");
  await page.selectOption('#dose [name="entry"]', "before_heater");
  await untilText(page, "#dose", /meets the exchanger at full strength/);
  await page.click("#dose button.strong");
  await untilText(page, ".saved", /Saved: 1 qt of hydrochloric \(muriatic\) acid, today/);
  await untilText(page, ".effect", /Test first/);
  const [dose] = (await house.get("/api/v1/doses?water=1")).json.doses;
  assert.equal(dose.amount, 946.352946); // 1 US quart in mL
  assert.equal(dose.entry, "before_heater");
  await page.click("#dose button:has-text('Undo')");
  await untilText(page, ".effect", /May run/);
  await page.click("#dose button.strong");
  await untilText(page, ".summary", /needed/);
  await close();
});

flow("a bromine spa asks for bromine, a metric house shows °C", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings");
  await page.locator(PH).waitFor();
  const names = await page.locator("#test form > div > .value-field input[type=text]")
    .evaluateAll((nodes) => nodes.map((node) => node.name));
  assert.deepEqual(names, ["values.ph", "values.bromine_mg_per_l"]);
  await page.click("#test summary:has-text('More values')");
  const temperature = '#test [name="values.water_temp_c"]';
  await page.fill(PH, "7,5");
  await page.fill(temperature, "98 °F");
  await page.locator(temperature).blur();
  await untilText(page, "#test .value-field:has([name='values.water_temp_c']) .echo",
    /= 36,7 °C/);
  await page.click(SAVE);
  await untilText(page, ".saved", /pH 7,5, water temperature 36,7 °C/);
  const [fact] = await readings(house);
  assert.equal(fact.values.water_temp_c, 36.666667);
  await close();
}, { site: { units: "si", ppm: false, decimal_comma: true },
  water: { kind: "spa", sanitiser: "bromine", volume_m3: 1.2 } });

// The Care page: what is due and what can be done with it, a visit with its checklist,
// what people notice, a smell of gas, seasons; nonsense; axe at both widths and schemes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, flow, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {import("playwright-core").Page} page */
const ready = (page) =>
  until(() => page.evaluate(() => document.body.dataset.ready), (r) => r === "yes");

/** Reads a list of the API. @param {any} house @param {string} what */
const list = async (house, what) =>
  (await house.daemon.get(`/api/v1/${what}?heater=1`)).json[what];

/** @param {any} house */
const tasks = async (house) => (await house.daemon.get("/api/v1/care")).json.tasks;

/** So many days from now, as people write it: "3 May 2027". @param {number} days */
function dayAhead(days) {
  const date = new Date(Date.now() + days * 86400000);
  return { typed: date.toLocaleDateString("en-GB", { day: "numeric", month: "long",
    year: "numeric", timeZone: "America/New_York" }),
  iso: date.toLocaleDateString("en-CA", { timeZone: "America/New_York" }) };
}

flow("a task is moved, left out with its reason, added and taken off the list",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/care");
    await ready(page);
    await untilText(page, "#due-body", /Yearly cleaning and inspection/);
    assert.match(await textOf(page, "#due-body"), /Never on record/);
    assert.equal(await page.getByRole("button", { name: /Take off the list/ }).count(), 0);

    await page.getByRole("button", { name: /^Another day: Yearly/ }).click();
    await page.getByLabel("Which day instead?").fill("yesterday");
    await page.getByRole("button", { name: "Move it" }).click();
    await untilText(page, ".summary", /today or later/);
    await page.getByLabel("Which day instead?").fill("some day");
    await page.getByRole("button", { name: "Move it" }).click();
    await untilText(page, ".summary", /not a day/);
    const day = dayAhead(40);
    await page.getByLabel("Which day instead?").fill(day.typed);
    await page.getByRole("button", { name: "Move it" }).click();
    await untilText(page, "#due-body", /Its day was moved/);
    assert.equal((await tasks(house))[0].due.day, day.iso);

    await page.getByRole("button", { name: /^Not this time: Yearly/ }).click();
    await page.getByRole("button", { name: "Leave it out" }).click();
    await untilText(page, ".summary", /Fill this in/);
    await page.getByLabel("Why is it left out this time?").fill("House was let");
    await page.getByRole("button", { name: "Leave it out" }).click();
    await untilText(page, "#due-body .note", /Left out this time/);
    const [visit] = await list(house, "visits");
    assert.equal(visit.outcome, "skipped");
    assert.equal(visit.note, "House was let");

    await page.getByText("Add a task").click();
    await page.getByLabel("What is to be done?").fill("Look at the flame");
    await page.getByLabel("By burner hours").check();
    await page.getByLabel("Every how many burner hours?").fill("many");
    await page.getByRole("button", { name: "Add it" }).click();
    await untilText(page, ".summary", /Enter a number/);
    await page.getByLabel("Every how many burner hours?").fill("300");
    await page.getByRole("button", { name: "Add it" }).click();
    await untilText(page, "ol.tasks", /Look at the flame/);
    const added = (await tasks(house)).find((task) => task.name === "Look at the flame");
    assert.deepEqual(added.timing, { kind: "burner_hours", every_burner_h: 300 });
    await page.getByRole("button", { name: "Take off the list: Look at the flame" }).click();
    await untilText(page, "#due-body .note", /Off the list/);
    const ended = await house.daemon.get(`/api/v1/care-tasks/${added.id}`);
    assert.equal(ended.json.ended, true);
    await opened.close();
  });

flow("a visit with its checklist, numbers in the house's unit, and nonsense refused",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/care");
    await ready(page);
    await page.getByRole("button", { name: /^It was done: Yearly/ }).click();
    await untilText(page, "#visit h1", /Log a visit/);
    assert.equal(await page.locator("#visit-body")
      .getByLabel("A licensed technician did it").isChecked(), true);
    await page.getByLabel("Who did it?").fill("Sam Ito");
    await page.locator("fieldset", { hasText: "What did the technician say?" })
      .getByLabel("It may run").check();
    const webs = page.locator("fieldset.item", { hasText: "webs" });
    await webs.getByLabel("Put right").check();
    await page.getByLabel("Spiders’ webs and nests: what exactly?").fill("two orifices");
    await page.locator("fieldset.item", { hasText: "Gas pressure" }).getByLabel("Good").check();
    await page.getByLabel("Gas pressure, measured").fill("a lot");
    await page.getByLabel("What did it cost?").fill("cheap");
    await page.getByLabel("What was found?").fill("Webs in two orifices.");
    await page.getByRole("button", { name: "Save visit" }).click();
    await untilText(page, ".summary", /Type a pressure/);
    assert.equal(await page.locator("[aria-invalid=true]").count(), 2);
    await page.getByLabel("Gas pressure, measured").fill("3.5");
    await page.getByLabel("What did it cost?").fill("190");
    opened.expectStatus(422);
    await page.getByRole("button", { name: "Save visit" }).click();
    await untilText(page, ".summary", /currency/i); // a cost needs one
    await page.getByLabel("Currency").fill("usd");
    await page.getByRole("button", { name: "Save visit" }).click();
    await untilText(page, ".saved", /Saved: Yearly cleaning and inspection/);
    const [visit] = await list(house, "visits");
    assert.equal(visit.kind, "cleaning");
    assert.equal(visit.may_run, true);
    assert.equal(visit.currency, "USD");
    // 3.5 in of water: 3.5 x 249.0889 Pa
    assert.ok(Math.abs(visit.checklist.gas_pressure.value - 871.81) < 0.01);
    assert.deepEqual(visit.checklist.webs, { result: "put_right", note: "two orifices" });
    assert.equal(visit.checklist.soot, undefined); // nobody looked
    await page.locator("#visit-body ul.facts summary").click();
    assert.match(await textOf(page, "#visit-body ul.facts"),
      /Spiders’ webs and nests: put right \(two orifices\)/);
    assert.match(await textOf(page, "#visit-body ul.facts"), /Gas pressure: good, 3.5 in WC/);
    await page.locator("#places").getByText("Due").click();
    await untilText(page, "ol.tasks", /Last done/);
    await page.getByRole("button", { name: /^Another day: Yearly/ }).waitFor();
    await opened.close();
  });

// A picture of one white pixel, made by hand after the PNG specification.
const PNG = Buffer.from(
  "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGP4DwABAQEAsTj2FAAAAABJRU5ErkJggg==",
  "base64");

flow("a flue test in the house's units: the published loss, CO without excess air, a hold",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    const form = page.locator("#flue-body form").first();
    await opened.go("/care#flue");
    await ready(page);
    await untilText(page, "#flue-body", /No flue test is on record/);
    await form.getByLabel("Oxygen, dry").fill("plenty");
    await form.getByLabel("Carbon monoxide, dry").fill("40");
    await form.getByLabel("Flue temperature", { exact: true }).fill("hot");
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, ".summary", /Type a temperature/);
    assert.equal(await page.locator("[aria-invalid=true]").count(), 3);
    // 21 percent oxygen is no flue gas
    await form.getByLabel("Oxygen, dry").fill("21");
    await form.getByLabel("Flue temperature", { exact: true }).fill("428");
    await form.getByLabel("Temperature of the air to the burner").fill("68");
    opened.expectStatus(422);
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, ".summary", /20\.9/);
    await form.getByLabel("Oxygen, dry").fill("6");
    await form.getByLabel("Sampled before the draught hood, at steady state").check();
    await form.getByText("Accuracy of the instrument").click();
    await form.getByLabel("Oxygen, ± points").fill("0.2");
    await form.getByLabel("Carbon monoxide, ± ppm").fill("10");
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, ".summary", /Enter a number/); // all five, or none
    await form.getByLabel("Carbon monoxide, ± percent").fill("5");
    await form.getByLabel("Flue temperature, ±").fill("2");
    await form.getByLabel("Air temperature, ±").fill("1");
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, ".saved", /Saved: Flue test/);
    await untilText(page, "table.results", /Efficiency, gross/);
    const table = await textOf(page, "table.results");
    // [bimschv-1] natural gas: (220 - 20) x (0.66 / (21 - 6) + 0.009) = 10.6
    assert.match(table, /Flue loss, of the net heat\s+10\.6 %\s+\S+ %/);
    assert.match(table, /Efficiency, net\s+89\.4 %/);
    // 40 x 20.9 / (20.9 - 6) = 56
    assert.match(table, /Carbon monoxide, air-free\s+56 ppm\s+\S+ ppm/);
    assert.match(table, /Flue temperature, measured\s+428 °F/);
    assert.match(await textOf(page, "#flue-body"), /never proves the carbon monoxide safe/);

    await page.getByLabel("Add a photo").setInputFiles({ name: "flue.png",
      mimeType: "image/png", buffer: PNG });
    await untilText(page, "#flue-body .saved ~ .field .note, #flue-body .field .note:not(:empty)",
      /photo is kept/i);
    const photos = (await house.daemon.get("/api/v1/photos?heater=1")).json.photos;
    assert.equal(photos[0].of, "flue_test");
    await page.getByLabel("Add a photo").setInputFiles({ name: "flue.png",
      mimeType: "image/png", buffer: Buffer.from("not a picture") });
    await untilText(page, "#flue-body .field .note:not(:empty)", /picture|JPEG|PNG/);

    // 500 x 20.9 / 14.9 = 701 ppm: beyond 400
    await form.getByLabel("Oxygen, dry").fill("6");
    await form.getByLabel("Carbon monoxide, dry").fill("500");
    await form.getByLabel("Flue temperature", { exact: true }).fill("428");
    await form.getByLabel("Temperature of the air to the burner").fill("68");
    await form.getByLabel("Sampled before the draught hood, at steady state").check();
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, "#flue-body", /This test keeps the heater off/);
    assert.equal((await house.permit()).burner_side.permit, "hold");
    assert.equal(await page.locator("#flue-body figure").count(), 4);
    await opened.close();
  }, { heater: { fuel: "natural_gas" } });

flow("a heater that cannot be sampled is cared for without numbers; its plate is kept",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: TABLET });
    const { page } = opened;
    const form = page.locator("#flue-body form").first();
    await opened.go("/care#flue");
    await ready(page);
    await form.getByLabel("It cannot be sampled").check();
    assert.equal(await form.getByLabel("Oxygen, dry").isVisible(), false);
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, ".summary", /why it cannot be sampled/);
    await form.getByLabel("Note").fill("No opening in the short vent");
    await form.getByRole("button", { name: "Save flue test" }).click();
    await untilText(page, "#flue-body > div", /cared for without numbers/);
    await page.getByText("Rating plate", { exact: true }).click();
    await page.getByLabel("Model").fill("Plain 250");
    await page.locator("#flue-body details form").getByLabel("Manifold pressure").fill("much");
    await page.getByRole("button", { name: "Save the plate" }).click();
    await untilText(page, ".summary", /Type a pressure/);
    await page.locator("#flue-body details form").getByLabel("Manifold pressure")
      .fill("8.7 mbar");
    await page.getByLabel("Put in on").fill("12 May 2020");
    await page.getByRole("button", { name: "Save the plate" }).click();
    await untilText(page, "#flue-body details .note", /kept/);
    const plate = (await house.daemon.get("/api/v1/heaters/1/plate")).json;
    assert.equal(plate.manifold_pa, 870);
    assert.equal(plate.installed_on, "2020-05-12");
    await opened.close();
  }, { heater: { fuel: "natural_gas" } });

flow("what people notice: what it may be, what to check, when to stop; logged, taken back",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/care#signs");
    await ready(page);
    await page.getByRole("button", { name: /^Soot/ }).click();
    await untilText(page, "#signs-body h1", /Soot/);
    const said = await textOf(page, "#signs-body");
    assert.match(said, /When to stop and call/);
    assert.match(said, /What to check/);
    assert.match(said, /keeps the heater off until a technician’s later test/);
    await page.locator("#signs-body").getByLabel("Note").fill("On the vent cap");
    await page.getByRole("button", { name: "Log it" }).click();
    await untilText(page, ".saved", /Saved: Soot/);
    assert.equal((await list(house, "symptoms"))[0].kind, "soot");
    assert.equal((await house.permit()).burner_side.permit, "hold");
    await page.getByRole("button", { name: /Undo/ }).click();
    await untilText(page, ".saved", /Taken back/);
    assert.notEqual((await house.permit()).burner_side.permit, "hold");
    await page.getByRole("button", { name: "Choose something else" }).click();
    await untilText(page, "#signs-body", /Nothing was noticed so far/);
    await opened.close();
  });

flow("a smell of gas: leave first and nothing else; logged once, however often it is loaded",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/care");
    await ready(page);
    await page.getByRole("link", { name: "Smell of gas? Leave first." }).click();
    await untilText(page, "#signs-body h1", /Leave now/);
    assert.equal(await page.locator("#places").isVisible(), false);
    const first = (await textOf(page, "#main")).split("\n").map((l) => l.trim())
      .filter((l) => l !== "");
    assert.equal(first[0], "Leave now.");
    assert.match(first.slice(1, 4).join(" "), /Everybody out.*No flame, no switch.*Outside/s);
    assert.equal(await page.locator("input:visible, select:visible").count(), 0);
    await untilText(page, ".after", /It is logged/);
    await page.reload();
    await untilText(page, ".after", /It is logged/);
    assert.equal((await list(house, "symptoms")).length, 1);
    const permit = await house.permit();
    assert.equal(permit.burner_side.permit, "hold");
    assert.equal(permit.burner_side.reasons[0].rule, "gas_smell");
    await opened.close();
  });

flow("draining needs the heater off and cold; the season's days are kept",
  async (house, host) => {
    const opened = await openPage(browser, house.at(host), { viewport: TABLET });
    const { page } = opened;
    await opened.go("/care#season");
    await ready(page);
    await page.getByLabel("It is switched off").check();
    await page.getByRole("button", { name: "It is drained now" }).click();
    await untilText(page, ".summary", /only switched off and cold/);
    const before = (await house.daemon.get("/api/v1/heater-states?heater=1")).json;
    assert.deepEqual(before.heater_states, []);
    await page.getByLabel("Its gas valve is shut").check();
    await page.getByLabel("It is cold to the touch").check();
    await page.getByRole("button", { name: "It is drained now" }).click();
    await untilText(page, ".saved", /The heater is drained/);
    assert.equal((await house.permit()).heater_state.state, "drained");

    await page.getByLabel("Opens").fill("when warm");
    await page.getByLabel("Closes").fill("30 Sept");
    await page.getByRole("button", { name: "Save the season" }).click();
    await untilText(page, ".summary", /day of the year/);
    await page.getByLabel("Opens").fill("29 Feb");
    await page.getByRole("button", { name: "Save the season" }).click();
    await untilText(page, "#season-body .note", /Saved/);
    const { season } = (await house.daemon.get("/api/v1/waters/1/season")).json;
    assert.equal(season.opens, "02-29");
    assert.equal(season.closes, "09-30");
    await opened.close();
  });

test("the whole page by keyboard: from the head to a logged sign", async () => {
  const house = await startHouse();
  try {
    const opened = await openPage(browser, house.at("localhost"), { viewport: TABLET });
    const { page } = opened;
    await opened.go("/care");
    await ready(page);
    await untilText(page, "ol.tasks", /Yearly/);
    const press = async (name) => {
      for (let n = 0; n < 60; n++) {
        await page.keyboard.press("Tab");
        const text = await page.evaluate(() => document.activeElement?.textContent ?? "");
        if (text.startsWith(name)) return page.keyboard.press("Enter");
      }
      return assert.fail(`${name} is not reached by Tab`);
    };
    await press("Signs");
    await untilText(page, "#signs-body h1", /What do you notice/);
    await press("Knocking");
    await untilText(page, "#signs-body h1", /Knocking/);
    assert.equal(await page.evaluate(() => document.activeElement?.tagName), "H1");
    await press("Log it");
    await untilText(page, ".saved", /Saved: Knocking/);
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
});

test("a calendar address of one's own, shown once, and ended", async () => {
  const house = await startHouse();
  try {
    const opened = await openPage(browser, house.at("localhost"), { viewport: PHONE });
    const { page } = opened;
    await opened.go("/care");
    await ready(page);
    await page.getByText("In your calendar").click();
    await page.getByRole("button", { name: "Make an address" }).click();
    await untilText(page, ".summary", /Fill this in/);
    await page.getByLabel("Whose calendar?").fill("Dana");
    await page.getByRole("button", { name: "Make an address" }).click();
    await untilText(page, ".feed", /\/calendar\/ck_\S+\.ics/);
    const address = new URL((await textOf(page, ".feed")).trim());
    const calendar = await house.daemon.get(address.pathname);
    assert.equal(calendar.status, 200);
    assert.match(calendar.text, /BEGIN:VCALENDAR[^]*Yearly cleaning/);
    await page.getByRole("button", { name: "End this address" }).click();
    await untilText(page, "#due-body", /shows nothing any more/);
    assert.equal((await house.daemon.get(address.pathname)).status, 404);
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
});

const PLACES = ["due", "visit", "flue", "signs", "season"];

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const viewport of [PHONE, TABLET])
    test(`axe finds nothing, ${colorScheme}, ${viewport.width} px`, async () => {
      const house = await startHouse({ heater: { fuel: "natural_gas" } });
      try {
        for (const o2_percent of [7, 6.5]) {
          const reply = await house.daemon.send("POST", "/api/v1/flue-tests", { heater: 1,
            technician: true, sampled: true, well_sampled: true, o2_percent, co_ppm: 40,
            flue_temp_c: 220, air_temp_c: 20 });
          assert.equal(reply.status, 201, reply.text);
        }
        const opened = await openPage(browser, house.at("localhost"),
          { viewport, colorScheme });
        const { page } = opened;
        await opened.go("/care");
        await ready(page);
        await untilText(page, "ol.tasks", /Yearly/);
        await page.evaluate(axeSource());
        for (const name of [...PLACES, "gas"]) {
          await page.setViewportSize(viewport);
          await page.evaluate((hash) => { location.hash = hash; }, name);
          const shown = name === "gas" ? "signs" : name;
          await page.locator(`#${shown}`).waitFor();
          if (name === "flue") await untilText(page, "table.results", /gross/);
          if (name === "gas") await untilText(page, ".after", /logged/);
          await page.evaluate(() => document.querySelectorAll("details")
            .forEach((node) => { node.open = true; }));
          const height = await page.evaluate(() => document.body.scrollHeight + 200);
          await page.setViewportSize({ width: viewport.width, height });
          const found = await page.evaluate((tags) => window.axe.run(document,
            { runOnly: { type: "tag", values: tags } }), TAGS);
          assert.deepEqual(found.violations.map((v) =>
            `${name} ${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
          const wide = await page.evaluate(() =>
            document.documentElement.scrollWidth - innerWidth);
          assert.ok(wide <= 0, `${name} is wider than the window by ${wide}`);
          const small = await page.evaluate(() => [...document.querySelectorAll(
            "button, .button, .chips span, select, input[type=text]")].filter((node) => {
            const box = node.getBoundingClientRect();
            return box.width > 0 && box.height < 48;
          }).map((node) => node.textContent));
          assert.deepEqual(small, [], `${name}: targets below 48 px`);
        }
        await opened.close();
      } finally {
        await house.daemon.stop();
      }
    });

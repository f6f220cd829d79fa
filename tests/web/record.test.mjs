// The Record page: the heater's life in an interval, on the screen and on paper, as files;
// nonsense; axe at both widths and in both schemes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, flow, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const DAY = 86400;
const GAS = { heater: { fuel: "natural_gas", input_w: 117228.42 } };

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {import("playwright-core").Page} page */
const ready = (page) =>
  until(() => page.evaluate(() => document.body.dataset.ready), (r) => r === "yes");

/** A home with a month of life. @param {any} house */
async function live(house) {
  const now = (await house.daemon.get("/api/v1/clock")).json.now;
  const post = async (what, body) => {
    const reply = await house.daemon.send("POST", `/api/v1/${what}`, body);
    assert.equal(reply.status, 201, reply.text);
  };
  for (let day = 30; day > 0; day -= 3)
    await house.reading(day * DAY, { ph: day === 9 ? 6.8 : 7.4,
      free_chlorine_mg_per_l: 2.5, water_temp_c: 26 });
  await post("visits", { heater: 1, kind: "cleaning", technician: true, done_by: "Sam Ito",
    by: "Dana", at: now - 20 * DAY, findings: "Webs in two orifices.",
    checklist: { webs: { result: "put_right" } } });
  await post("flue-tests", { heater: 1, technician: true, done_by: "Sam Ito",
    at: now - 20 * DAY, sampled: true, well_sampled: true, o2_percent: 6, co_ppm: 40,
    flue_temp_c: 220, air_temp_c: 20 });
  await post("symptoms", { heater: 1, kind: "knocking", by: "Dana", note: "At the start",
    at: now - 10 * DAY });
  await post("heater-states", { heater: 1, state: "off_line_flushed", by: "Dana",
    at: now - 5 * DAY });
}

flow("the record tells the life of the heater, and what is not known", async (house, host) => {
  await live(house);
  const opened = await openPage(browser, house.at(host), { viewport: PHONE });
  const { page } = opened;
  await opened.go("/record");
  await ready(page);
  assert.match(await textOf(page, "h1"), /Heater, Marlow Lane: the record/);
  const summary = await textOf(page, "#summary");
  // ten days tested, one of them with pH 6.8
  assert.match(summary, /On 90 % of the days that were tested/);
  assert.match(summary, /\(10 of \d+ days tested; of the others nothing is known\)/);
  assert.match(summary, /Last cleaning and inspection by a technician: .*, Sam Ito/);
  const parts = await textOf(page, "#parts");
  for (const head of ["Installation", "Limits over time", "Care", "Flue tests", "Noticed",
    "Exposures", "Super-chlorinations and times off line", "Water in the band, by month",
    "Who logged what", "What is not known"])
    assert.match(parts, new RegExp(head));
  assert.match(parts, /Rated input\s+400000 BTU\/h/); // 117 228.42 W [nist-sp811]
  assert.match(parts, /Webs in two orifices/);
  assert.match(parts, /56 ppm/); // 40 x 20.9 / 14.9
  assert.match(parts, /Knocking or boiling noise, by Dana. At the start/);
  assert.match(parts, /off line, flushed/);
  assert.match(parts, /Dana\s+tests of the water\s+10/);
  assert.match(await textOf(page, "#summary"), /put in/); // nobody said when
  assert.equal(await page.locator("#figures figure").count(), 3);
  assert.match(await textOf(page, "#figures"), /10 measured, from 6.8 to 7.4/);

  const [csv, json] = await Promise.all(["As a table (CSV)", "For programs (JSON)"].map(
    async (name) => page.getByRole("link", { name }).getAttribute("href")));
  const table = await house.daemon.get(csv);
  assert.match(table.headers["content-type"], /text\/csv/);
  assert.match(table.text, /care,.*Webs in two orifices/);
  assert.equal((await house.daemon.get(json)).json.care.length, 1);
  await opened.close();
}, GAS);

flow("another interval, kept in the address; nonsense is refused at its field",
  async (house, host) => {
    await live(house);
    const opened = await openPage(browser, house.at(host), { viewport: TABLET });
    const { page } = opened;
    await opened.go("/record");
    await ready(page);
    await page.getByLabel("From").fill("long ago");
    await page.getByLabel("To").fill("3/4/2026");
    await page.getByRole("button", { name: "Show" }).click();
    await untilText(page, ".summary", /not a day/);
    assert.equal(await page.locator("[aria-invalid=true]").count(), 2);
    await page.getByLabel("From").fill("today");
    await page.getByLabel("To").fill("1 May 2020");
    await page.getByRole("button", { name: "Show" }).click();
    await untilText(page, ".summary", /end lies before the start/);
    await page.getByLabel("From").fill("1 May 2020");
    await page.getByLabel("To").fill("31 May 2020");
    await page.getByRole("button", { name: "Show" }).click();
    await untilText(page, "#summary", /never tested in this time/);
    assert.match(await textOf(page, "#parts"), /No visit in this time/);
    assert.match(page.url(), /from=\d+&until=\d+/);
    await page.reload();
    await ready(page);
    await untilText(page, "#summary", /never tested in this time/);
    await page.getByRole("button", { name: "All years" }).click();
    await untilText(page, "#summary", /On 90 %/);
    await opened.close();
  }, GAS);

/** Pages of a PDF. @param {Buffer} bytes */
const pageCount = (bytes) =>
  [...bytes.toString("latin1").matchAll(/\/Type\s*\/Page(?![a-zA-Z])/g)].length;

test("on A4 and Letter: few pages, black on white, nothing cut at the right", async () => {
  const house = await startHouse(GAS);
  try {
    await live(house);
    const opened = await openPage(browser, house.at("localhost"),
      { viewport: TABLET, colorScheme: "dark" });
    const { page } = opened;
    await opened.go("/record");
    await ready(page);
    for (const format of ["A4", "Letter"]) {
      const count = pageCount(await page.pdf({ format, printBackground: true }));
      assert.ok(count >= 2 && count <= 6, `${format}: ${count} pages`);
    }
    // the width of the text on A4: 210 mm less two margins of 14 mm, 96 px an inch
    await page.setViewportSize({ width: 687, height: 1000 });
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
    const seen = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth - innerWidth,
      paper: getComputedStyle(document.body).backgroundColor,
      hidden: ["nav", "#ask"].map((name) =>
        getComputedStyle(document.querySelector(name)).display),
      plots: [...document.querySelectorAll("#figures canvas")].map((c) => c.clientWidth),
    }));
    assert.ok(seen.wide <= 0, `wider than the paper by ${seen.wide}`);
    assert.equal(seen.paper, "rgb(255, 255, 255)");
    assert.deepEqual(seen.hidden, ["none", "none"]);
    assert.ok(seen.plots.every((w) => w > 200 && w <= 340), String(seen.plots));
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
});

test("More leads to Care and Record", async () => {
  const house = await startHouse();
  try {
    const opened = await openPage(browser, house.at("localhost"), { viewport: PHONE });
    for (const name of ["Care", "Record"]) {
      await opened.go("/more");
      await opened.page.getByRole("link", { name: new RegExp(`^${name} `) }).click();
      await ready(opened.page);
      assert.match(await opened.page.title(), new RegExp(`^${name}`));
    }
    await opened.close();
  } finally {
    await house.daemon.stop();
  }
});

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const viewport of [PHONE, TABLET])
    test(`axe finds nothing, ${colorScheme}, ${viewport.width} px`, async () => {
      const house = await startHouse(GAS);
      try {
        await live(house);
        const opened = await openPage(browser, house.at("localhost"),
          { viewport, colorScheme });
        const { page } = opened;
        await opened.go("/record");
        await ready(page);
        const height = await page.evaluate(() => document.body.scrollHeight + 200);
        await page.setViewportSize({ width: viewport.width, height });
        await page.evaluate(axeSource());
        const found = await page.evaluate((tags) => window.axe.run(document,
          { runOnly: { type: "tag", values: tags } }), TAGS);
        assert.deepEqual(found.violations.map((v) =>
          `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
        const wide = await page.evaluate(() =>
          document.documentElement.scrollWidth - innerWidth);
        assert.ok(wide <= 0, `wider than the window by ${wide}`);
        for (const key of ["Tab", "Tab"]) await page.keyboard.press(key);
        assert.ok(await page.evaluate(() => document.activeElement !== document.body));
        await opened.close();
      } finally {
        await house.daemon.stop();
      }
    });

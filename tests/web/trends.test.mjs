// Trends beyond the values: limits and permits of the time, last year, runs, files.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";

import { flow, LAN_NAME, load, openPage, startBrowser, startHouse, textOf, until,
  untilText } from "./support.mjs";

const { outsideWalls, stretches, joined } = await load("walls.js");
const { hoursOf, permitColumns, shares } = await load("strip.js");
const { yearBefore } = await load("trendask.js");
const { rowsOf } = await load("trendtable.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const DAY = 86400;
const clockOf = async (house) => (await house.get("/api/v1/clock")).json.now;
const ready = (page) => until(() => page.evaluate(() => document.body.dataset.ready),
  (yes) => yes === "yes", 30000);

/* ---- parts ---- */

const wall = (from, low, high, high_is_limit = true) => ({ from, low, high, high_is_limit });

test("a wall moved between two values cuts the line where it moved", () => {
  const walls = [wall(0, null, 5), wall(50, null, 3)];
  const found = outsideWalls([0, 100], [4, 4], walls);
  assert.equal(found.length, 1);
  assert.deepEqual(found[0].piece, { side: "high", points: [[50, 4], [100, 4]] });
  assert.equal(found[0].wall, walls[1]);
  assert.deepEqual(outsideWalls([0, 40], [4, 4], walls), []);
  assert.equal(outsideWalls([60, 100], [4, 4], walls).length, 1);
  // a gap is not bridged
  assert.deepEqual(outsideWalls([0, 45, 100], [4, null, 2], walls), []);
  assert.deepEqual(outsideWalls([0, 1], [4, 4], []), []);
});

test("a line that crosses is cut on its slope, and one wall is the plain case", () => {
  const [{ piece }] = outsideWalls([0, 100], [0, 10], [wall(0, null, 20), wall(60, null, 5)]);
  assert.deepEqual(piece.points, [[60, 6], [100, 10]]);
  const [plain] = outsideWalls([0, 10, 20], [7, 8, 7], [wall(0, null, 7.5)]);
  assert.deepEqual(plain.piece.points, [[5, 7.5], [10, 8], [15, 7.5]]);
});

test("stretches cover a view without gaps; the first wall counts before it, too", () => {
  const walls = [wall(100, 1, 2), wall(200, 1, 3), wall(300, 1, 4)];
  assert.deepEqual(stretches(walls, 50, 250).map((s) => [s.from, s.until, s.wall.high]),
    [[50, 200, 2], [200, 250, 3]]);
  assert.deepEqual(stretches(walls, 310, 400).map((s) => [s.from, s.until, s.wall.high]),
    [[310, 400, 4]]);
  assert.deepEqual(joined([wall(0, 1, 2), wall(5, 1, 2), wall(9, 1, 3)]).map((w) => w.from),
    [0, 9]);
});

test("of permits that share a column the worst is seen", () => {
  const span = (from, until, permit) => ({ from, until, permit });
  const spans = [span(0, 50, "run"), span(50, 51, "hold"), span(51, 80, "test"),
    span(80, 100, "run")];
  assert.deepEqual(permitColumns(spans, 0, 100, 10), [span(0, 50, "run"),
    span(50, 60, "hold"), span(60, 80, "test"), span(80, 100, "run")]);
  // what was not worked out stays empty
  assert.deepEqual(permitColumns([span(30, 40, "run")], 0, 100, 10), [span(30, 40, "run")]);
  assert.deepEqual(shares(spans, 0, 100), { run: 70, hold: 1, test: 29 });
  assert.deepEqual(shares([span(0, 1000, "run"), span(1000, 1001, "hold")], 0, 1001),
    { run: 99, hold: 1, test: 0 });
  assert.deepEqual(shares([], 0, 100), { run: 0, hold: 0, test: 0 });
});

test("hours of runs that overlap count once, and only within the view", () => {
  const run = (from, until) => ({ from: from * 3600, until: until * 3600 });
  assert.equal(hoursOf([run(0, 4), run(3, 5), run(3.5, 4), run(8, 20)], 3600, 10 * 3600), 6);
  assert.equal(hoursOf([], 0, 3600), 0);
});

test("a year before is the same date and time of day there", () => {
  const at = (text) => Date.parse(text) / 1000;
  const zone = "America/New_York";
  assert.equal(yearBefore(zone, at("2026-07-04T12:00:00-04:00")), at("2025-07-04T12:00:00-04:00"));
  // clocks change on other days: 9 March 2025 is in summer time, 8 March 2026 from 2:00 on
  assert.equal(yearBefore(zone, at("2026-03-08T01:30:00-05:00")), at("2025-03-08T01:30:00-05:00"));
  assert.equal(yearBefore(zone, at("2026-11-01T12:00:00-05:00")), at("2025-11-01T12:00:00-04:00"));
  assert.equal(yearBefore("UTC", at("2024-02-29T12:00:00Z")), at("2023-03-01T12:00:00Z"));
});

test("rows of a table are instants, newest first, whole", () => {
  const series = { series: { ph: { time_s: [1, 2, 3], value: [7.1, null, 7.3] },
    orp_mv: { time_s: [3, 4], value: [700, 710] } } };
  assert.deepEqual(rowsOf(series, ["ph", "orp_mv"]),
    [[4, { orp_mv: 710 }], [3, { ph: 7.3, orp_mv: 700 }], [1, { ph: 7.1 }]]);
});

/* ---- pages ---- */

flow("a changed limit is a step in the drawing, and the past keeps its own",
  async (house, host) => {
    const start = await clockOf(house);
    await house.reading(0, { ph: 7.5, free_chlorine_mg_per_l: 4 });
    await house.daemon.setClock(3 * DAY);
    const [heater] = (await house.get("/api/v1/heaters")).json.heaters;
    const changed = await house.send("PUT", "/api/v1/heaters/1", { name: "Heater",
      waters: [1], bypass: "full", limits: { free_chlorine_high: { value: 3, source: "manual" } } },
    { "If-Match": heater.etag, "Idempotency-Key": null });
    assert.equal(changed.status, 200, changed.text);
    await house.daemon.setClock(6 * DAY);
    await house.reading(0, { ph: 7.5, free_chlorine_mg_per_l: 4 });
    const as_of = async (at) => (await house.get(
      `/api/v1/permit?heater=1&water=1&as_of=${at}`)).json;
    const then = await as_of(start + DAY);
    assert.equal(then.permit, "run");
    assert.equal(then.values.find((v) => v.quantity.startsWith("free")).high, 5);
    assert.equal((await as_of(start + 3.5 * DAY)).permit, "hold");

    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/trends?span=week");
    await ready(page);
    const step = new Date((start + 3 * DAY) * 1000).toLocaleDateString("en-GB",
      { timeZone: "America/New_York", day: "numeric" });
    const said = await textOf(page, "#figure-free_chlorine_mg_per_l figcaption");
    assert.match(said, /Outside its channel once/);
    assert.match(said, new RegExp(`from [^.]*(yesterday|day| ${step} )`));
    await until(() => page.locator("svg.strip .keep-off").count(), (n) => n === 1);
    assert.ok(await page.locator("svg.strip .may-run").count() >= 1);
    assert.match(await textOf(page, "#strip figcaption"), /keep off \d+ %/);
    await page.click("text=The same as a table");
    const permits = await page.locator("#table table").last().innerText();
    assert.match(permits, /Keep off[\s\S]*May run/);
    await close();
  }, { daemon: { clock: true } });

flow("last year lies under this one, and the address keeps it", async (house, host) => {
  const now = await clockOf(house);
  const year = now - yearBefore("America/New_York", now);
  for (let i = 10; i >= 1; i--) {
    await house.reading(i * DAY, { ph: 7.5 });
    await house.reading(i * DAY + year, { ph: 7.3 + 0.01 * i });
  }
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/trends?values=ph");
  await ready(page);
  assert.doesNotMatch(await textOf(page, "#figure-ph figcaption"), /year before/);
  await page.click("text=Compare with last year");
  await untilText(page, "#figure-ph figcaption",
    /A year before \(dotted line\): between 7\.31 and 7\.4\./);
  assert.match(page.url(), /compare=year/);
  await page.reload();
  await ready(page);
  await untilText(page, "#figure-ph figcaption", /A year before/);
  assert.equal(await page.getAttribute("text=Compare with last year", "aria-pressed"), "true");
  await page.click("text=The same as a table");
  await until(() => page.locator("#table table.values tbody tr").count(), (n) => n >= 20);
  assert.match(await page.locator("#table table").nth(1).innerText(), /^A year before/);
  await page.click("text=Compare with last year");
  await until(() => page.url(), (url) => !/compare/.test(url));
  await close();
});

flow("a picture, and a file of all tests of the time", async (house, host) => {
  for (let i = 40; i >= 1; i--) await house.reading(i * DAY - 3600, { ph: 7.5, orp_mv: 700 });
  const { page, go, close } = await openPage(browser, house.at(host),
    { acceptDownloads: true });
  await go("/trends?span=week&values=ph");
  await ready(page);
  const [png] = await Promise.all([page.waitForEvent("download"),
    page.click("text=Save as picture")]);
  assert.match(png.suggestedFilename(), /^pH .*\.png$/);
  const bytes = readFileSync(await png.path());
  assert.deepEqual([...bytes.subarray(0, 8)], [0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]);
  const box = await page.locator("#figure-ph canvas").evaluate((c) => [c.width, c.height]);
  assert.ok(bytes.readUInt32BE(16) > box[0] && bytes.readUInt32BE(20) > box[1]);
  await page.click("text=The same as a table");
  const [csv] = await Promise.all([page.waitForEvent("download"),
    page.click("text=Download all tests")]);
  const text = readFileSync(await csv.path(), "utf8");
  const lines = text.trim().split(/\r?\n/).filter((line) => /^\d{4}-/.test(line));
  assert.equal(lines.length, 7, text.slice(0, 300));
  await close();
});

flow("days are typed, wrong ones are told at their field", async (house, host) => {
  await house.reading(DAY, { ph: 7.5 });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/trends?values=ph");
  await ready(page);
  await page.click("summary:has-text('Choose the days')");
  const show = () => page.click("#own button:has-text('Show')");
  await page.fill('[name="first_day"]', "1 Jan 2016");
  await page.fill('[name="last_day"]', "soon");
  await show();
  await untilText(page, "#own .summary", /This is not a day/);
  await page.fill('[name="last_day"]', "1 Jan 2015");
  await show();
  await untilText(page, "#own .summary", /must not come before the first/);
  await page.fill('[name="last_day"]', "31 Dec 2025");
  await show();
  const from = Date.parse("2016-01-01T00:00:00-05:00") / 1000;
  const end = Date.parse("2026-01-01T00:00:00-05:00") / 1000;
  const query = await until(() => new URL(page.url()).searchParams,
    (found) => found.get("from") === String(from));
  assert.ok(Number(query.get("until")) <= end); // a decade, or up to now
  await page.click("text=Hour");
  await until(() => page.url(), (url) => /span=hour/.test(url));
  await untilText(page, "#figure-ph figcaption", /No values in this time/);
  await close();
});

flow("a run is typed, and drawn under the trends", async (house, host) => {
  await house.reading(DAY, { ph: 7.5 });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/readings#run");
  await page.fill('[name="started"]', "25:99");
  await page.click("#run button.strong");
  await untilText(page, "#run .summary", /not a time/);
  await page.fill('[name="day"]', "yesterday");
  await page.fill('[name="started"]', "22:00");
  await page.fill('[name="ended"]', "1 am");
  await page.check('#run [name="machine"][value="burner"]', { force: true });
  await page.click("#run button.strong");
  const now = await clockOf(house);
  const hour = Number(new Date(now * 1000).toLocaleTimeString("en-GB",
    { timeZone: "America/New_York", hour: "2-digit", hour12: false }));
  if (hour < 1) { // at night the run would end in the future: it must be refused
    await untilText(page, "#run .summary", /.{10}/);
  } else {
    await untilText(page, "#run .saved", /Burner, yesterday 22:00 to 01:00/);
    const [run] = (await house.get("/api/v1/runs?water=1")).json.runs;
    assert.deepEqual([run.machine, run.heater, run.ended_at - run.at],
      ["burner", 1, 3 * 3600]);
    await go("/trends?span=week");
    await ready(page);
    await untilText(page, "#strip figcaption", /the burner 3 h/);
    assert.equal(await page.locator("svg.strip .ran").count(), 1);
    await go("/readings#history");
    await page.click("text=Runs");
    await untilText(page, "#history ul.facts", /Burner, until/);
  }
  await close();
});

test("a table cut short says so", async () => {
  const house = await startHouse();
  const now = Math.floor(Date.now() / 60000) * 60;
  const rows = Array.from({ length: 6400 }, (_, i) => { // pH and ORP by turns
    const value = (7.2 + (i % 10) / 20).toFixed(2);
    return `${new Date((now - (i + 1) * 300) * 1000).toISOString()},` +
      (i % 2 === 0 ? `${value},` : `,${650 + i % 70}`);
  });
  const reply = await house.send("POST", "/api/v1/import?water=1",
    `time,pH,ORP\n${rows.join("\n")}\n`, { "Content-Type": "text/csv" });
  assert.equal(reply.status, 201, reply.text);
  const { page, go, close } = await openPage(browser, house.at(LAN_NAME));
  await go("/trends?span=month&values=ph,orp_mv");
  await ready(page);
  await page.click("text=The same as a table");
  await until(() => page.locator("#table p.quiet").first().innerText(),
    (text) => /The newest 3000 of [3-6]\d{3} rows are listed\./.test(text));
  assert.equal(await page.locator("#table table.values tbody tr").count(), 3000);
  await close();
  await house.daemon.stop();
});

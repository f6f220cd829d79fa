// Files through the page: looking, changing the guesses, taking, stopping, taking back;
// downloading, and the download taken in again.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before } from "node:test";
import { gzipSync } from "node:zlib";

import { flow, openPage, PHONE, startBrowser, startHouse, textOf, until,
  untilText } from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const two = (n) => String(n).padStart(2, "0");

/** A German spreadsheet's CSV: BOM, semicolons, decimal commas, day first, °C.
 * @param {number} days back from yesterday noon UTC @param {string[]} [extra] lines */
function germanFile(days, extra = []) {
  const lines = ["Datum;Uhrzeit;pH-Wert;Freies Chlor (mg/l);Temperatur (°C);Wetter"];
  for (let i = days; i >= 1; i--) {
    const date = new Date(Date.now() - i * 86400000);
    const day = [two(date.getUTCDate()), two(date.getUTCMonth() + 1),
      date.getUTCFullYear()].join(".");
    const ph = (7.3 + 0.1 * (i % 4)).toFixed(1).replace(".", ",");
    lines.push(`${day};12:00;${ph};${1 + (i % 3)},5;26,${i % 10};sonnig`);
  }
  return Buffer.from(`\ufeff${[...lines, ...extra].join("\r\n")}\r\n`, "utf8");
}

const choose = (page, buffer, name = "pool.csv") =>
  page.setInputFiles("#take-part input[type=file]", { name, mimeType: "text/csv", buffer });
const count = async (house) =>
  (await house.get("/api/v1/readings?water=1&limit=500")).json.readings.length;

flow("a foreign file is looked at, taken, shown, and taken back", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/files");
  await choose(page, germanFile(20));
  await untilText(page, "#take-part .note", /20 lines\. 20 can be taken\./);
  assert.equal(await count(house), 0);
  const columns = await textOf(page, "#take-part table.columns");
  assert.match(columns, /pH-Wert\s+pH/);
  assert.match(columns, /Freies Chlor \(mg\/l\)\s+Free chlorine/);
  assert.match(columns, /Wetter\s+left out/);
  await page.selectOption('#take-part [name="import.zone"]', "Europe/Berlin");
  await untilText(page, "#take-part .note", /20 can be taken/);
  await page.click("text=Take 20 readings");
  await untilText(page, "#take-part .note", /Took 20 readings/);
  assert.equal(await count(house), 20);
  const newest = (await house.get("/api/v1/readings?water=1&limit=1")).json.readings[0];
  const berlin = new Date(newest.at * 1000).toLocaleTimeString("en-GB",
    { timeZone: "Europe/Berlin" });
  assert.equal(berlin, "12:00:00");
  assert.equal(newest.values.ph, 7.4);

  // the same file again brings nothing
  await choose(page, germanFile(20));
  await page.selectOption('#take-part [name="import.zone"]', "Europe/Berlin");
  await untilText(page, "#take-part .note", /0 can be taken\. 20 are already there/);
  await untilText(page, "#take-part", /nothing new in this file/);

  // another file, then back out of it
  await choose(page, germanFile(25));
  await page.selectOption('#take-part [name="import.zone"]', "Europe/Berlin");
  await page.click("text=Take 5 readings");
  await untilText(page, "#take-part .note", /Took 5 readings/);
  assert.equal(await count(house), 25);
  await page.click("text=Take this import back");
  await untilText(page, "#take-part .note", /taken back/);
  assert.equal(await count(house), 20);
  await close();
});

flow("bad lines are named, and then nothing is taken", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/files");
  await choose(page, germanFile(3, ["01.06.2025;12:00;74;2,0;26,0;",
    "31.06.2025;12:00;7,4;2,0;26,0;", "02.06.2025;12:00;9,1;2,0;26,0;"]));
  await untilText(page, "#take-part .note", /2 cannot be taken/);
  const table = await textOf(page, "#take-part table.lines");
  assert.match(table, /5\s+Cannot be taken/);
  assert.match(table, /6\s+Cannot be taken/);
  assert.match(table, /7\s+Taken, but unusual/);
  assert.equal(await page.locator("#take-part button.strong").count(), 0);
  assert.match(await textOf(page, "#take-part p.message"), /whole or not at all/);
  assert.equal(await count(house), 0);
  await close();
});

flow("a file that is no table is refused with words that say what it is",
  async (house, host) => {
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(422, 400, 415);
    await go("/files");
    const table = germanFile(3);
    /** @type {[Buffer, RegExp][]} */
    const kinds = [
      [Buffer.from("\x89PNG\r\n\x1a\n\0\0\0", "latin1"), /an image/],
      [Buffer.from("\xff\xd8\xff\xe0\0\x10JFIF", "latin1"), /an image/],
      [Buffer.from("PK\x03\x04xxxx", "latin1"), /a spreadsheet or a zip archive/],
      [Buffer.from("\xd0\xcf\x11\xe0\xa1\xb1", "latin1"), /an older spreadsheet/],
      [gzipSync(table), /a gzip archive/],
      [Buffer.from("%PDF-1.7\n"), /a PDF/],
      [Buffer.from("<!DOCTYPE html><table>"), /a web page/],
      [Buffer.from(`\ufeff${table}`, "utf16le"), /UTF-16/],
      [Buffer.from("date,pH\n2.1.2025,7\xe4\n", "latin1"), /not in UTF-8/],
      [Buffer.from("date,pH,pH value\n2025-01-02,7.1,7.2\n"), /Two columns hold the same/],
      [Buffer.from("date,pH (ppm)\n2025-01-02,7.1\n"), /unit of the column/],
      [Buffer.from("just words\n"), /No column says when/],
      [Buffer.from(""), /empty/],
    ];
    for (const [buffer, said] of kinds) {
      await choose(page, buffer);
      await untilText(page, "#take-part .note", said);
      assert.match(await textOf(page, "#take-part .note"), /^That did not work: /);
      assert.equal(await page.locator("#take-part button.strong").count(), 0);
    }
    assert.equal(await count(house), 0);
    await close();
  });

flow("day and month can be told apart by the person", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/files");
  await choose(page, Buffer.from("date,pH\n03/04/2025,7.4\n05/06/2025,7.5\n"));
  await untilText(page, "#take-part", /Nothing in the file tells day from month/);
  await page.selectOption('#take-part [name="import.dates"]', "dmy");
  await until(() => page.inputValue('#take-part [name="import.dates"]').catch(() => ""),
    (value) => value === "dmy");
  await untilText(page, "#take-part .note", /2 can be taken/);
  await page.click("text=Take 2 readings");
  await untilText(page, "#take-part .note", /Took 2/);
  const facts = (await house.get("/api/v1/readings?water=1")).json.readings;
  const days = facts.map((fact) => new Date(fact.at * 1000).toLocaleDateString("en-CA",
    { timeZone: "America/New_York" }));
  assert.deepEqual(days, ["2025-06-05", "2025-04-03"]);
  await close();
});

/** The cells of the first body row of the preview. */
const firstRow = (page) => page.locator("table.preview tbody tr").first()
  .locator("td").allInnerTexts();

flow("lines are shown as understood, with a verdict; unit and dates can be changed",
  async (house, host) => {
    const { page, go, close } = await openPage(browser, house.at(host),
      { viewport: PHONE });
    await go("/files");
    await choose(page, Buffer.from("date,time,pH,temp,calcium hardness (ppm)\n"
      + "03/04/2025,14:05,7.4,27,200\n03/05/2025,14:05,9.2,26,210\n"));
    await untilText(page, "#take-part", /Nothing in the file tells day from month/);
    // America/New_York: month first; 27 °C is 80.6 °F, the site shows °F
    assert.deepEqual(await firstRow(page),
      ["2", "Yes", "Tue 4 Mar 2025, 14:05", "7.4", "200", "80.6", ""]);
    assert.match(await page.locator("table.preview tbody tr").nth(1).innerText(),
      /^3\s+Unusual.*pH 9\.2/s);
    await page.focus('[name="import.dates"]');
    await page.selectOption('[name="import.dates"]', "dmy");
    await until(() => firstRow(page), (row) => row[2] === "Thu 3 Apr 2025, 14:05");
    assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")),
      "import.dates", "the choice keeps the focus");
    await page.selectOption('[name="unit.calcium_hardness_mg_per_l_caco3"]', "°dH");
    // 200 °dH = 3570 mg/L CaCO3: 100.0869 / 56.0774 * 10 each
    await until(() => firstRow(page), (row) => /^3[\u202f,]?569/.test(row[4] ?? ""));
    await page.selectOption('[name="unit.calcium_hardness_mg_per_l_caco3"]', "ppm");
    await until(() => firstRow(page), (row) => row[4] === "200");
    assert.equal(await page.evaluate(() =>
      document.documentElement.scrollWidth - innerWidth), 0);
    await page.click("text=Take 2 readings");
    await untilText(page, "#take-part .note", /Took 2/);
    const facts = (await house.get("/api/v1/readings?water=1")).json.readings;
    assert.deepEqual(facts[1].values, { ph: 7.4, calcium_hardness_mg_per_l_caco3: 200,
      water_temp_c: 27 });
    await close();
  });

flow("°F under a heading without a unit is told, and the unit mends it",
  async (house, host) => {
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/files");
    await choose(page, Buffer.from("date,pH,temp\n2025-03-04,7.4,86\n"));
    await untilText(page, "#take-part .note", /1 cannot be taken/);
    assert.match(await textOf(page, "table.preview"), /2\s+No\s+.*(86|temperature)/is);
    await page.selectOption('[name="unit.water_temp_c"]', "°F");
    await untilText(page, "#take-part .note", /1 can be taken/);
    await page.click("text=Take 1 reading");
    await untilText(page, "#take-part .note", /Took 1 reading/);
    const facts = (await house.get("/api/v1/readings?water=1")).json.readings;
    assert.equal(facts[0].values.water_temp_c, 30); // (86 - 32) / 1.8
    await close();
  });

flow("a table is pasted as a spreadsheet copies it", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/files");
  await page.click("text=Or paste a table");
  await page.click("text=Look through it");
  await untilText(page, "#take-part .note", /Nothing is pasted yet/);
  await page.fill('[name="paste"]', "Date\tpH\tNote\n2025-01-02\t7.4\t=1+1\n");
  await page.click("text=Look through it");
  await untilText(page, "#take-part .note", /1 line\. 1 can be taken/);
  await page.click("text=Take 1 reading");
  await untilText(page, "#take-part .note", /Took 1/);
  const [fact] = (await house.get("/api/v1/readings?water=1")).json.readings;
  assert.deepEqual([fact.values, fact.note], [{ ph: 7.4 }, "=1+1"]);
  assert.equal(await page.inputValue('[name="paste"]'), "");
  await close();
});

flow("a long import shows how far it is and is stopped", async (house, host) => {
  const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
  expectStatus(409, 0);
  await go("/files");
  const lines = ["at,ph,free_chlorine_mg_per_l,note"];
  for (let i = 0; i < 400_000; i++)
    lines.push(`${1_500_000_000 + i * 600},${7 + i % 9 / 10},${1 + i % 20 / 10},a longer note ${i}`);
  await choose(page, Buffer.from(lines.join("\n")));
  await untilText(page, ".progress", /lines, \d+ %/);
  await page.click("text=Stop");
  await untilText(page, "#take-part .note", /Stopped\. Nothing was taken/);
  assert.equal(await page.locator(".progress").count(), 0);
  await until(async () => (await house.get("/api/v1/import/progress")).json.running,
    (running) => running === false);
  assert.equal(await count(house), 0);
  // and the page still works
  await choose(page, germanFile(2));
  await untilText(page, "#take-part .note", /2 can be taken/);
  await close();
});

flow("a download for a spreadsheet is taken in again whole", async (house, host) => {
  await house.reading(3 * 86400, { ph: 7.3, water_temp_c: 27.5 }, { note: "=SUM(A1)" });
  await house.reading(2 * 86400, { ph: 7.4, free_chlorine_mg_per_l: 1.25 });
  await house.send("POST", "/api/v1/doses",
    { water: 1, product: "sodium_bicarbonate", amount: 900, by: "Dana" });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/files#give");
  const save = async () => {
    const [download] = await Promise.all([page.waitForEvent("download"),
      page.click("#give-part a.strong")]);
    return { name: download.suggestedFilename(),
      text: readFileSync(await download.path(), "utf8") };
  };
  const tests = await save();
  assert.match(tests.name, /^Pool readings \d{4}-\d\d-\d\d\.csv$/);
  assert.equal(tests.text[0], "\ufeff");
  assert.match(tests.text, /;"?'=SUM\(A1\)/);
  await page.check('[name="what"][value="doses"]', { force: true });
  await page.check('[name="form"][value="json"]', { force: true });
  const doses = await save();
  assert.match(doses.name, /^Pool doses .*\.json$/);
  assert.equal(JSON.parse(doses.text).doses.length, 1);
  await page.selectOption('[name="period"]', "before");
  assert.equal(JSON.parse((await save()).text).doses.length, 0);

  const other = await startHouse({ site: { decimal_comma: true } });
  try {
    const second = await openPage(browser, other.at(host));
    await second.go("/files");
    await choose(second.page, Buffer.from(tests.text));
    await second.page.click("text=Take 2 readings");
    await untilText(second.page, "#take-part .note", /Took 2/);
    const facts = (of) => of.map(({ at, values, note, method, by }) =>
      ({ at, values, note, method, by }));
    assert.deepEqual(facts((await other.get("/api/v1/readings?water=1")).json.readings),
      facts((await house.get("/api/v1/readings?water=1")).json.readings));
    await second.close();
  } finally {
    await other.daemon.stop();
  }
  await close();
}, { site: { decimal_comma: true } });

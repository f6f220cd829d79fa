// A long import: how far it is, stopping it, and what a dry run shows of the rows.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { pause, startDaemon } from "../support/daemon.mjs";
import { setUp, SITE } from "../support/household.mjs";

const ROWS = 400_000;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

const send = (text, query = "") => daemon.send("POST", `/api/v1/import?water=1${query}`, text,
  { "Content-Type": "text/csv" });
const progress = async () => (await daemon.get("/api/v1/import/progress")).json;
const cancel = () => daemon.send("POST", "/api/v1/import/cancel", {});
const count = async () =>
  (await daemon.get("/api/v1/readings?water=1&limit=500")).json.readings.length;

function manyRows() {
  const lines = ["at,ph,free_chlorine_mg_per_l,water_temp_c"];
  for (let i = 0; i < ROWS; i++)
    lines.push(`${1_500_000_000 + i * 600},${7 + i % 9 / 10},${1 + i % 20 / 10},26`);
  return lines.join("\n");
}
const big = manyRows();

test("nothing runs, nothing can be cancelled", async () => {
  assert.equal((await progress()).running, false);
  const reply = await cancel();
  assert.equal(reply.status, 409);
  assert.equal(reply.json.code, "nothing_runs");
  assert.equal((await daemon.send("POST", "/api/v1/import/cancel", { now: true })).status, 422);
  assert.equal((await daemon.send("POST", "/api/v1/import/cancel", {},
    { "Coilkeep-Change": null })).status, 403);
});

test("while it runs its rows go up, and a cancel keeps nothing", async () => {
  const sent = send(big);
  const seen = [];
  for (;;) {
    const now = await progress();
    if (now.running && now.rows > (seen.at(-1)?.rows ?? 0)) seen.push(now);
    if (seen.length === 3) break;
    await pause(5);
    assert.ok(seen.length > 0 || !(await Promise.race([sent, pause(0)])), "over before it was seen");
  }
  assert.ok(seen[2].rows > seen[0].rows && seen[2].bytes > seen[0].bytes);
  assert.equal(seen[0].total_bytes, Buffer.byteLength(big));
  assert.ok(seen[2].rows < ROWS);
  const stopped = await cancel();
  assert.equal(stopped.status, 200, stopped.text);
  // it may have stopped before the answer was written; what follows shows that it did
  assert.ok(stopped.json.cancelling || !stopped.json.running, stopped.text);
  const reply = await sent;
  assert.equal(reply.status, 409, reply.text);
  assert.equal(reply.json.code, "import_cancelled");
  assert.equal((await progress()).running, false);
  assert.equal(await count(), 0);
});

test("the same file is taken afterwards, and readings are still guarded", async () => {
  const reply = await send(big);
  assert.equal(reply.status, 201, reply.text);
  assert.equal(reply.json.take, ROWS);
  assert.equal(reply.json.preview, undefined);
  const again = await send(big.split("\n").slice(0, 1000).join("\n"));
  assert.deepEqual([again.json.take, again.json.already_there], [0, 999]);
});

test("a dry run shows the first rows as they were understood", async () => {
  const reply = await send("date;time;pH;Cl frei;note\n01.02.2026;14:05;7,4;2,5;klar\n"
    + "02.02.2026;14:05;9,9;2;\n31.02.2026;10:00;7,4;2;\n", "&dry_run=true");
  assert.equal(reply.status, 200, reply.text);
  const [first, doubtful, refused] = reply.json.preview;
  assert.deepEqual([first.line, first.verdict, first.code, first.note], [2, "take", null, "klar"]);
  assert.equal(first.at, Date.UTC(2026, 1, 1, 13, 5) / 1000); // CET is UTC+1
  assert.deepEqual(first.values, { ph: 7.4, free_chlorine_mg_per_l: 2.5 });
  assert.deepEqual([doubtful.verdict, doubtful.code], ["doubtful", "value_doubtful"]);
  assert.deepEqual([refused.verdict, refused.code], ["refused", "date_unreadable"]);
  const odd = await send("date;time;pH;Cl frei;Cl gesamt;method\n"
    + "03.02.2026;14:05;7,4;3;1,5;photometer\n", "&dry_run=true");
  assert.equal(odd.json.preview[0].verdict, "doubtful");
  assert.match(odd.json.lines[0].detail, /more than total/);
  const long = await send(big, "&dry_run=true");
  assert.equal(long.json.preview.length, 50);
  assert.ok(long.json.preview.every((row) => row.verdict === "already_there"));
});

test("two columns for one value, or two units, refuse the file", async () => {
  for (const [head, code] of [["date,pH,ph", "column_twice"],
    ["date,Free chlorine (ppm),FC (mg/L)", "column_twice"],
    ["date,pH (ppm),FC", "unit_wrong"]]) {
    const reply = await send(`${head}\n2026-01-01,7.4,2\n`, "&dry_run=true");
    assert.equal(reply.status, 422, reply.text);
    assert.equal(reply.json.code, code);
  }
});

test("a person's unit counts, whatever the heading says", async () => {
  const file = "date,temp,Calcium hardness (ppm)\n2025-02-03,86,10\n";
  const plain = await send(file, "&dry_run=true");
  assert.deepEqual(plain.json.columns.map((c) => c.unit), ["", "", "ppm"]);
  assert.ok(plain.json.columns[1].units.includes("°F"));
  assert.ok(!plain.json.columns[1].units.includes("ppm"));
  assert.deepEqual(plain.json.columns[0].units, []);
  assert.equal(plain.json.preview[0].verdict, "refused"); // 86 °C
  assert.match(plain.json.preview[0].detail, /\w{3,}/);
  const units = encodeURIComponent("water_temp_c:°F,calcium_hardness_mg_per_l_caco3:°fH");
  const chosen = await send(file, `&dry_run=true&units=${units}`);
  // (86 - 32) / 1.8; a French degree is 10 mg/L CaCO3
  assert.deepEqual(chosen.json.preview[0].values,
    { water_temp_c: 30, calcium_hardness_mg_per_l_caco3: 100 });
  assert.deepEqual(chosen.json.columns.map((c) => c.unit), ["", "°F", "°fH"]);
  for (const wrong of ["water_temp_c", "water_temp_c:ppm", "nothing:ppm", "ph:ppm", ":", ",",
    "water_temp_c:", "water_temp_c:a unit of more than sixteen bytes"]) {
    const reply = await send(file, `&dry_run=true&units=${encodeURIComponent(wrong)}`);
    assert.equal(reply.status, 400, wrong);
    assert.equal(reply.json.errors[0].field, "units", wrong);
  }
});

test("another zone moves no reading, and the same instants are known again", async () => {
  const before_zone = (await daemon.get("/api/v1/readings?water=1&limit=20")).json.readings;
  const site = await daemon.get("/api/v1/site");
  const moved = await daemon.send("PUT", "/api/v1/site", { ...SITE, zone: "Australia/Lord_Howe" },
    { "If-Match": site.headers.etag });
  assert.equal(moved.status, 200, moved.text);
  const after_zone = (await daemon.get("/api/v1/readings?water=1&limit=20")).json.readings;
  assert.deepEqual(after_zone, before_zone);
  const again = await send(big.split("\n").slice(0, 100).join("\n"), "&dry_run=true");
  assert.equal(again.json.already_there, 99); // epoch seconds have no zone
  const exported = await daemon.get("/api/v1/export?what=readings&water=1&until=1500000000");
  // winter there: UTC+10:30
  assert.match(exported.text, /^2017-07-14T02:40:00Z,2017-07-14 13:10:00,/m);
  for (const zone of ["Mars/Base", "../etc", "", "Europe/"]) {
    const reply = await daemon.send("PUT", "/api/v1/site", { ...SITE, zone },
      { "If-Match": moved.headers.etag });
    assert.equal(reply.status, 422, zone);
    assert.equal(reply.json.errors[0].field, "zone");
  }
});

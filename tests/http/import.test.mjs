// A file of readings as people have it: dry run, then all or nothing, then again.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { gzipSync } from "node:zlib";

import { startDaemon } from "../support/daemon.mjs";
import { permit, setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

const send = (text, query = "") =>
  daemon.send("POST", `/api/v1/import?water=1${query}`, text,
    { "Content-Type": "text/csv" });
const count = async () =>
  (await daemon.get("/api/v1/readings?water=1&limit=500")).json.readings.length;

const yesterday = new Date(Date.now() - 86400e3).toISOString().slice(0, 10);
const german_day = yesterday.split("-").reverse().join(".");
const GERMAN = "\ufeffDatum;Uhrzeit;pH;Chlor frei (mg/l);Wassertemperatur °C;Bemerkung\r\n"
  + "20.05.2024;18:30;7,4;1,5;26,5;\"klar; windstill\"\r\n"
  + "22.05.2024;08:15;7,3;;;\r\n"
  + `${german_day};09:00;7,35;2,1;27;neu\r\n`;

test("a dry run says what would be taken and takes nothing", async () => {
  const reply = await send(GERMAN, "&dry_run=true");
  assert.equal(reply.status, 200, reply.text);
  assert.equal(await count(), 0);
  const { rows, take, refused, dialect, columns } = reply.json;
  assert.deepEqual([rows, take, refused], [3, 3, 0]);
  assert.equal(dialect.separator, "semicolon");
  assert.equal(dialect.decimal, "comma");
  assert.equal(dialect.dates, "dmy");
  assert.equal(dialect.bom, true);
  assert.equal(dialect.zone, "Europe/Berlin");
  assert.deepEqual(columns.map((c) => c.as), ["date", "time", "ph",
    "free_chlorine_mg_per_l", "water_temp_c", "note"]);
});

test("the file is taken, in the site's zone, and changes the permit", async () => {
  assert.equal((await permit(daemon)).permit, "test");
  const reply = await send(GERMAN, "&file=pool.csv&by=Robin&method=strip");
  assert.equal(reply.status, 201, reply.text);
  assert.equal(reply.json.take, 3);
  assert.equal((await permit(daemon)).permit, "run");
  const readings = (await daemon.get("/api/v1/readings?water=1")).json.readings;
  assert.equal(readings.length, 3);
  const oldest = readings[2];
  assert.equal(oldest.at, Date.UTC(2024, 4, 20, 16, 30) / 1000); // CEST is UTC+2
  assert.deepEqual(oldest.values,
    { ph: 7.4, free_chlorine_mg_per_l: 1.5, water_temp_c: 26.5 });
  assert.equal(oldest.note, "klar; windstill");
  assert.equal(oldest.by, "Robin");
  assert.equal(oldest.method, "strip");
});

test("the same file again adds nothing", async () => {
  const reply = await send(GERMAN, "&by=Robin&method=strip");
  assert.equal(reply.status, 201, reply.text);
  assert.deepEqual([reply.json.take, reply.json.already_there], [0, 3]);
  assert.equal(await count(), 3);
});

test("a file in other units is converted exactly", async () => {
  const text = "date,time,FC (ppm),Water temp (°F),Total hardness,pH\n"
    + "2023-07-04,2:05 pm,3.5,82.4,,7.6\n";
  const reply = await send(text);
  assert.equal(reply.status, 201, reply.text);
  const readings = (await daemon.get("/api/v1/readings?water=1&limit=500")).json.readings;
  const one = readings.find((r) => r.at === Date.UTC(2023, 6, 4, 12, 5) / 1000);
  assert.ok(one, JSON.stringify(readings.map((r) => r.at)));
  assert.deepEqual(one.values, { ph: 7.6, free_chlorine_mg_per_l: 3.5, water_temp_c: 28 });
});

test("one bad row refuses the whole file and says which", async () => {
  const had = await count();
  const text = "date;pH;chlorine\n2024-06-01 10:00;7.4;1\n2024-06-02 10:00;15;1\n"
    + "2024-06-03 10:00;7.4.1;1\n2024-06-04 10:00;7.4\n2024-03-31 02:30;7.4;1\n"
    + "2034-06-04 10:00;7.4;1\n1960-06-04 10:00;7.4;1\n2024-06-31 10:00;7.4;1\n"
    + "2024-06-05 10:00;7.4;-2\n";
  const dry = await send(text, "&dry_run=true");
  assert.equal(dry.status, 200, dry.text);
  assert.equal(dry.json.refused, 8);
  assert.deepEqual(dry.json.lines.map((l) => l.line), [3, 4, 5, 6, 7, 8, 9, 10]);
  for (const line of dry.json.lines) assert.ok(line.detail.length > 10, line.code);
  const reply = await send(text);
  assert.equal(reply.status, 422);
  assert.equal(reply.json.code, "import_refused");
  assert.equal(reply.json.report.refused, 8);
  assert.equal(await count(), had);
});

test("files that are no table are refused with what to do", async () => {
  const png = Buffer.from("89504e470d0a1a0a0000000d49484452", "hex");
  for (const [name, body, code] of [
    ["empty", "", "file_empty"],
    ["no header", "2024-06-01,7.4\n2024-06-02,7.5\n", undefined],
    ["gzip", gzipSync("date,pH\n2024-06-01,7.4\n"), "not_csv"],
    ["image", png, "not_csv"],
    ["spreadsheet", Buffer.from("504b0304140006000800", "hex"), "not_csv"],
    ["NUL", "date,pH\n2024-06-01,7.\x004\n", "nul_byte"],
    ["latin-1", Buffer.from("date,pH,note\n2024-06-01,7.4,k\xfchl\n", "latin1"), "not_utf8"],
    ["no time", "pH,chlorine\n7.4,1\n", "no_time_column"],
    ["no value", "date,weather\n2024-06-01,rain\n", "no_value_column"],
    ["twice", "date,pH,pH\n2024-06-01,7.4,7.5\n", "column_twice"],
    ["open quote", 'date,pH,note\n2024-06-01,7.4,"never ends\n', "quote_open"],
  ]) {
    const reply = await send(body);
    assert.ok(reply.status === 422 || reply.status === 400, `${name}: ${reply.text}`);
    if (code) assert.equal(reply.json.code, code, `${name}: ${reply.text}`);
    assert.ok(reply.json.detail.length > 10, name);
  }
});

test("a file over 64 MiB is refused before it is read", async () => {
  const reply = await daemon.raw([
    `POST /api/v1/import?water=1 HTTP/1.1\r\nHost: ${daemon.host}\r\n`
    + `Origin: http://${daemon.host}\r\nContent-Type: text/csv\r\nCoilkeep-Change: 1\r\n`
    + "Idempotency-Key: far-too-large\r\n"
    + `Expect: 100-continue\r\nContent-Length: ${64 * 1024 * 1024 + 1}\r\n\r\n`]);
  assert.match(reply.text, /^HTTP\/1\.1 413 /);
});

test("queries that make no sense are refused by name", async () => {
  for (const [query, field] of [["&dates=xyz", "dates"], ["&decimal=dot", "decimal"],
    ["&zone=Nowhere/Land", "zone"], ["&method=nose", "method"]]) {
    const reply = await send(GERMAN, query);
    assert.equal(reply.status, 400, query);
    assert.equal(reply.json.field, field, query);
  }
});

test("a bad row without a time holds over a good test of its day", async () => {
  const own = await startDaemon();
  try {
    await setUp(own);
    const at = Math.floor(Date.now() / 1000) - 3600;
    const day = new Date(at * 1000).toLocaleDateString("sv-SE", { timeZone: "Europe/Berlin" });
    const body = `date,pH,free chlorine\n${day},6.9,2\n`;
    assert.equal((await own.send("POST", "/api/v1/import?water=1", body,
      { "Content-Type": "text/csv" })).status, 201);
    const [row] = (await own.get("/api/v1/readings?water=1")).json.readings;
    assert.equal(row.details.ph.day_only, true);
    await own.send("POST", "/api/v1/readings",
      { water: 1, at, method: "photometer", values: { ph: 7.5, free_chlorine_mg_per_l: 2 } });
    const held = await permit(own);
    assert.equal(held.permit, "hold");
    assert.match(held.water_side.reasons[0].text, /noted without a time/);
    // Its time given, it is older than the good test.
    const corrected = await own.send("POST", `/api/v1/readings/${row.id}/correction`,
      { water: 1, at: at - 60, values: row.values, reason: "time found" },
      { "If-Match": row.etag });
    assert.equal(corrected.status, 201, corrected.text);
    assert.equal((await permit(own)).permit, "run");
  } finally {
    await own.stop();
  }
});

test("a whole import can be taken back", async () => {
  const reply = await send("date,pH\n2022-06-01,7.4\n2022-06-02,7.5\n");
  assert.equal(reply.status, 201, reply.text);
  const had = await count();
  const back = await daemon.send("POST",
    `/api/v1/import/${reply.json.batch}/withdrawal`, { reason: "wrong pool" });
  assert.equal(back.status, 200, back.text);
  assert.equal(back.json.withdrawn, 2);
  assert.equal(await count(), had - 2);
  const again = await send("date,pH\n2022-06-01,7.4\n2022-06-02,7.5\n");
  assert.equal(again.json.take, 2);
});

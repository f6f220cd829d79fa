// Export, and that import reads back exactly what export wrote.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, setUp } from "../support/household.mjs";

const RECORDS = 10_000;
const DAY_S = 86400;

/** A small generator, so that every run tries the same records (mulberry32). */
function random(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

// possible range of each value, from schema 001
const RANGES = {
  ph: [1, 13], free_chlorine_mg_per_l: [0, 500], combined_chlorine_mg_per_l: [0, 200],
  total_chlorine_mg_per_l: [0, 500], bromine_mg_per_l: [0, 500],
  total_alkalinity_mg_per_l_caco3: [0, 2000], calcium_hardness_mg_per_l_caco3: [0, 5000],
  cyanuric_acid_mg_per_l: [0, 1000], borate_mg_per_l_b: [0, 500],
  salt_mg_per_l_nacl: [0, 50000], tds_mg_per_l: [0, 60000], copper_mg_per_l: [0, 50],
  iron_mg_per_l: [0, 50], sulfate_mg_per_l: [0, 10000], phosphate_mg_per_l: [0, 100],
  water_temp_c: [-2, 60], orp_mv: [-1000, 1500], magnesium_mg_per_l: [0, 5000],
};
const KEYS = Object.keys(RANGES);
const METHODS = ["unknown", "strip", "drop_count", "comparator", "photometer", "probe",
  "laboratory"];
const NAMES = ["at", "local_time", "method", "by", "note", "value_details", ...KEYS];

// What a spreadsheet runs, what looks guarded already, and what CSV must quote.
const TRIGGERS = ["=1+1", "+49 30 1", "-3.2", "@SUM(A1)", "\tTAB", "\rCR", "'=guarded",
  "''=twice", "'quoted'", "'", "''", "'plain", "'+", "=", "+", "-", "@", "-- ok", "=\"\"",
  "a,b", "a;b", "say \"hi\"", "\"", "\"\"", "line\r\nline", "line\nline", "line\rline",
  " blank before", "blank after ", "\u00a0no-break\u00a0", "n/a", "true", "1,5",
  "Wasser grün", "π ≈ 3", "🏊", "' =x", "sep=;", "#", "=HYPERLINK(\"x\",\"y\")"];

/** A writer of our own, from RFC 4180 and the rule of the guard alone. */
function field(text) {
  const guarded = /^'*[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",;\t\r\n\u00a0]/.test(guarded) || /^[ \t]|[ \t]$/.test(guarded)
    ? `"${guarded.replaceAll("\"", "\"\"")}"` : guarded;
}

const two = (n) => String(n).padStart(2, "0");
const iso = (at_s) => new Date(at_s * 1000).toISOString().replace(".000Z", "Z");

/** Local time in Berlin by the rule of the European Union's directive 2000/84/EC. */
function berlin(at_s) {
  const year = new Date(at_s * 1000).getUTCFullYear();
  const lastSunday = (month) => {
    const last = new Date(Date.UTC(year, month + 1, 0, 1));
    return last.getTime() / 1000 - last.getUTCDay() * DAY_S;
  };
  const summer = at_s >= lastSunday(2) && at_s < lastSunday(9);
  const local = new Date((at_s + (summer ? 7200 : 3600)) * 1000);
  return `${local.getUTCFullYear()}-${two(local.getUTCMonth() + 1)}-${two(local.getUTCDate())} `
    + `${two(local.getUTCHours())}:${two(local.getUTCMinutes())}:${two(local.getUTCSeconds())}`;
}

/** As an integer of millionths, shortest. */
function decimal(value_e6) {
  const sign = value_e6 < 0 ? "-" : "";
  const whole = Math.floor(Math.abs(value_e6) / 1e6);
  const rest = String(Math.abs(value_e6) % 1e6).padStart(6, "0").replace(/0+$/, "");
  return sign + whole + (rest === "" ? "" : `.${rest}`);
}

function makeRecords(count) {
  const next = random(20261125);
  const pick = (list) => list[Math.floor(next() * list.length)];
  // the directive's rule holds from 1996 on
  let at = Date.UTC(2000, 0, 1) / 1000;
  const records = [];
  for (let i = 0; i < count; i++) {
    at += Math.floor(next() * 2 * 70_000); // some share an instant's hour, none an instant
    at += 1;
    const method = pick(METHODS);
    const values = new Map();
    const details = [];
    for (const key of KEYS) {
      if (next() < 0.75 && !(values.size === 0 && key === KEYS.at(-1))) continue;
      const [low, high] = RANGES[key];
      const digits = 10 ** (6 - Math.floor(next() * 7)); // none to six decimals
      const value_e6 = Math.round((low + next() * (high - low)) * 1e6 / digits) * digits;
      values.set(key, Math.min(high * 1e6, Math.max(low * 1e6, value_e6)));
      const words = [];
      const own = pick(METHODS);
      if (next() < 0.2 && own !== method) words.push(`method=${own}`);
      if (next() < 0.2) words.push(`resolution=${decimal(1 + Math.floor(next() * 3e6))}`);
      if (next() < 0.1) words.push("over_range");
      if (next() < 0.1) words.push("diluted");
      if (next() < 0.1) words.push("confirmed");
      if (next() < 0.1) words.push("day_only");
      if (words.length > 0) details.push(`${key} ${words.join(" ")}`);
    }
    const by = pick(["Robin", "Dana", "=cmd", "'Q", "O'Neil, Pat", "-", "Ana \"A\""]);
    const note = next() < 0.5 ? "" : next() < 0.5 ? pick(TRIGGERS)
      : pick(TRIGGERS) + pick(TRIGGERS);
    records.push({ at, method, by, note, details: details.join("; "), values });
  }
  return records;
}

const line = (r) => [iso(r.at), berlin(r.at), r.method, field(r.by), field(r.note),
  field(r.details), ...KEYS.map((key) => r.values.has(key) ? decimal(r.values.get(key)) : "")]
  .join(",");

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

const exported = async (one, query) => {
  const reply = await one.get(`/api/v1/export?${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply;
};
const imported = async (one, text, query = "") => {
  const reply = await one.send("POST", `/api/v1/import?water=1${query}`, text,
    { "Content-Type": "text/csv" });
  assert.equal(reply.status, 201, reply.text.slice(0, 1000));
  return reply.json;
};

/** First line that differs, for a readable failure. */
function assertSame(got, wanted) {
  if (got === wanted) return;
  const a = got.split("\r\n"), b = wanted.split("\r\n");
  const i = a.findIndex((one, k) => one !== b[k]);
  assert.fail(`line ${i + 1} of ${a.length} and ${b.length}:\n${JSON.stringify(a[i])}\n${JSON.stringify(b[i])}`);
}

test("ten thousand random records come back byte by byte", async () => {
  const records = makeRecords(RECORDS);
  for (const trigger of TRIGGERS) assert.ok(records.some((r) => r.note === trigger), trigger);
  const wanted = [NAMES.join(","), ...records.map(line), ""].join("\r\n");
  assert.equal((await imported(daemon, wanted)).take, RECORDS);
  const first = await exported(daemon, "what=readings&water=1");
  assert.equal(first.headers["content-type"], "text/csv; charset=utf-8");
  assertSame(first.text, wanted);

  const empty = await startDaemon();
  await setUp(empty);
  assert.equal((await imported(empty, first.bytes)).take, RECORDS);
  assertSame((await exported(empty, "what=readings&water=1")).text, wanted);
  assert.equal((await imported(empty, first.bytes)).already_there, RECORDS);

  // for a spreadsheet in a land of decimal commas: other bytes, the same records
  const sheet = await exported(daemon, "what=readings&water=1&style=spreadsheet");
  assert.deepEqual([...sheet.bytes.subarray(0, 3)], [0xef, 0xbb, 0xbf]);
  assert.ok(sheet.text.includes(";local_time;"));
  assert.doesNotMatch(sheet.text.replace(/"[^"]*"/g, ""), /;-?\d+\.\d/);
  const other = await startDaemon();
  await setUp(other);
  assert.equal((await imported(other, sheet.bytes)).take, RECORDS);
  assertSame((await exported(other, "what=readings&water=1")).text, wanted);
  await empty.stop();
  await other.stop();
});

test("no cell of the export begins with what a spreadsheet runs", async () => {
  const { text } = await exported(daemon, "what=readings&water=1");
  const cells = text.match(/"(?:[^"]|"")*"|[^",\r\n]+/g) ?? [];
  assert.ok(cells.length > RECORDS * 5);
  for (const cell of cells) {
    const inside = cell.startsWith("\"") ? cell.slice(1) : cell;
    if (/^-?\d+(\.\d+)?$/.test(inside)) continue; // a number
    assert.doesNotMatch(inside, /^[=+\-@\t\r]/, cell);
  }
});

test("what is entered through the API is in the export, corrected and without the void", async () => {
  const one = await startDaemon();
  await setUp(one);
  const at = Math.floor(Date.now() / 1000) - 3 * DAY_S;
  const wrong = await mustRead(one, { ph: 7.9 }, { at, note: "=slip" });
  const corrected = await one.send("POST", `/api/v1/readings/${wrong.id}/correction`,
    { water: 1, at, method: "photometer", by: "Robin", values: { ph: 7.4 }, note: "+right",
      details: { ph: { method: "probe", resolution: 0.01, over_range: true } }, reason: "slip" },
    { "If-Match": wrong.etag });
  assert.equal(corrected.status, 201, corrected.text);
  const voided = await mustRead(one, { ph: 7.1 }, { at: at + 60 });
  assert.equal((await one.send("POST", `/api/v1/readings/${voided.id}/withdrawal`,
    { reason: "wrong pool" }, { "If-Match": voided.etag })).status, 201);
  await mustRead(one, { ph: 9.5, orp_mv: 700 }, { at: at + 120, confirmed: ["ph"] });
  const { text } = await exported(one, "what=readings&water=1");
  const empties = (n) => ",".repeat(n);
  assertSame(text, [NAMES.join(","),
    `${iso(at)},${berlin(at)},photometer,Robin,'+right,ph method=probe resolution=0.01 over_range,7.4${empties(17)}`,
    `${iso(at + 120)},${berlin(at + 120)},photometer,Robin,,ph confirmed,9.5${empties(16)}700,`,
    ""].join("\r\n"));
  const json = (await exported(one, "what=readings&water=1&format=json")).json;
  const list = (await one.get("/api/v1/readings?water=1")).json.readings;
  assert.deepEqual(json.readings, list.reverse());
  const part = (await exported(one, `what=readings&water=1&from=${at + 1}&until=${at + 120}`)).text;
  assert.equal(part.trimEnd().split("\r\n").length, 2);
  await one.stop();
});

test("doses, runs and heater states are exported too", async () => {
  const at = Math.floor(Date.now() / 1000) - DAY_S;
  const post = async (path, body) => {
    const reply = await daemon.send("POST", `/api/v1/${path}`, body);
    assert.equal(reply.status, 201, reply.text);
    return reply.json;
  };
  await post("doses", { water: 1, at, product: "hydrochloric_acid", amount: 512.5,
    strength_percent: 31.45, entry: "skimmer", by: "=Ann", note: "a,b" });
  await post("runs", { water: 1, at, ended_at: at + 3600, machine: "burner", heater: 1 });
  await post("heater-states", { heater: 1, at, state: "off_line_flushed", bypass_percent_open: 100 });
  assert.equal((await exported(daemon, "what=doses&water=1")).text,
    "at,local_time,product,amount,unit,strength_percent,entry,super_chlorination,by,note\r\n"
    + `${iso(at)},${berlin(at)},hydrochloric_acid,512.5,mL,31.45,skimmer,false,'=Ann,"a,b"\r\n`);
  assert.equal((await exported(daemon, "what=runs&water=1")).text,
    "at,local_time,ended_at,ended_local,machine,heater,origin,by,note\r\n"
    + `${iso(at)},${berlin(at)},${iso(at + 3600)},${berlin(at + 3600)},burner,1,logged,this machine,\r\n`);
  const states = (await exported(daemon, "what=heater-states&heater=1")).text.split("\r\n");
  assert.equal(states[0], "at,local_time,state,bypass_percent_open,by,note");
  assert.ok(states.includes(`${iso(at)},${berlin(at)},off_line_flushed,100,this machine,`));
  assert.equal((await exported(daemon, "what=doses&water=1&format=json")).json.doses.length, 1);
});

test("nonsense is refused before anything is sent", async () => {
  for (const [query, status, field_name] of [["water=1", 400, "what"], ["what=readings", 400, "water"],
    ["what=plans&water=1", 400, "what"], ["what=readings&water=9", 400, "water"],
    ["what=readings&heater=1", 400, "heater"], ["what=heater-states&water=1", 400, "water"],
    ["what=readings&water=1&format=xml", 400, "format"],
    ["what=readings&water=1&from=x", 400, "from"]]) {
    const reply = await daemon.get(`/api/v1/export?${query}`);
    assert.equal(reply.status, status, query);
    assert.ok(reply.json.errors.some((e) => e.field === field_name), reply.text);
  }
});

test("details that make no sense refuse their row", async () => {
  for (const details of ["ph purple", "orp_mv diluted", "ph method=guess", "ph resolution=0",
    "diluted", "ph resolution=x"]) {
    const reply = await daemon.send("POST", "/api/v1/import?water=1&dry_run=true",
      `at,ph,value_details\n2026-01-01T00:00:00Z,7.4,${details}\n`,
      { "Content-Type": "text/csv" });
    assert.equal(reply.status, 200, reply.text);
    assert.equal(reply.json.refused, 1, details);
    assert.equal(reply.json.lines[0].code, "details_unreadable");
    assert.equal(reply.json.preview[0].verdict, "refused");
  }
});

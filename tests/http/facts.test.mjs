// Readings, doses, runs and heater states: entered, listed, corrected, withdrawn.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, permit, read, setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

const list = async (query = "") =>
  (await daemon.get(`/api/v1/readings?water=1${query}`)).json;

test("a reading comes back as it was entered, to the last digit", async () => {
  const values = { ph: 7.43, free_chlorine_mg_per_l: 0.1, water_temp_c: 27.123456 };
  const reading = await mustRead(daemon, values, {
    note: "after rain – “cloudy”",
    details: { free_chlorine_mg_per_l:
      { method: "drop_count", resolution: 0.2, over_range: true, diluted: true } },
  });
  const reply = await daemon.get(`/api/v1/readings/${reading.id}`);
  assert.deepEqual(reply.json.values, values);
  assert.equal(reply.json.by, "Robin");
  assert.equal(reply.json.note, "after rain – “cloudy”");
  assert.deepEqual(reply.json.details.free_chlorine_mg_per_l,
    { method: "drop_count", resolution: 0.2, over_range: true, diluted: true,
      confirmed: false, day_only: false });
  assert.equal(reply.json.details.ph.method, "photometer");
  assert.equal(reply.headers.etag, reading.etag);
  const again = await daemon.get(`/api/v1/readings/${reading.id}`,
    { "If-None-Match": reading.etag });
  assert.equal(again.status, 304);
});

test("a correction supersedes, nothing is lost, and undo brings it back", async () => {
  const first = await mustRead(daemon, { ph: 7.9 });
  const path = `/api/v1/readings/${first.id}`;
  const body = { water: 1, at: first.at, values: { ph: 7.4 }, reason: "misread" };
  const fixed = await daemon.send("POST", `${path}/correction`, body,
    { "If-Match": first.etag });
  assert.equal(fixed.status, 201, fixed.text);
  assert.equal(fixed.json.supersedes, first.id);
  const old = (await daemon.get(path)).json;
  assert.equal(old.superseded_by, fixed.json.id);
  assert.deepEqual(old.values, { ph: 7.9 });
  assert.ok(!(await list()).readings.some((r) => r.id === first.id));
  assert.ok((await list("&history=true")).readings.some((r) => r.id === first.id));

  const late = await daemon.send("POST", `${path}/correction`, body,
    { "If-Match": first.etag });
  assert.equal(late.status, 412);
  assert.equal(late.json.code, "changed_meanwhile");
  assert.equal(late.json.current.superseded_by, fixed.json.id);

  const gone = await daemon.send("POST", `/api/v1/readings/${fixed.json.id}/withdrawal`,
    { reason: "wrong pool" }, { "If-Match": fixed.json.etag });
  assert.equal(gone.status, 201, gone.text);
  assert.equal(gone.json.withdrawn, true);
  assert.ok(!(await list()).readings.some((r) => r.id === fixed.json.id));

  const back = await daemon.send("POST", `/api/v1/readings/${gone.json.id}/correction`,
    { ...body, reason: "it was this pool" }, { "If-Match": gone.json.etag });
  assert.equal(back.status, 201, back.text);
  assert.deepEqual(back.json.values, { ph: 7.4 });
  assert.ok((await list()).readings.some((r) => r.id === back.json.id));
});

test("a change needs the tag it was read with", async () => {
  const first = await mustRead(daemon, { ph: 7.5 });
  const reply = await daemon.send("POST", `/api/v1/readings/${first.id}/withdrawal`,
    { reason: "x" });
  assert.equal(reply.status, 428);
  assert.equal(reply.json.code, "match_missing");
});

test("a list is paged from new to old without a gap or a repeat", async () => {
  const start = now_s() - 90 * 86400;
  for (let i = 0; i < 23; i++) {
    await mustRead(daemon, { ph: 7.4, water_temp_c: i + 5 },
      { at: start + Math.floor(i / 2) * 60 });
  }
  const seen = [];
  let before_mark = "";
  for (;;) {
    const page = await list(`&limit=5&until=${start + 3600}${before_mark}`);
    seen.push(...page.readings);
    if (page.more === null) break;
    before_mark = `&before=${page.more}`;
  }
  assert.equal(seen.length, 23);
  assert.equal(new Set(seen.map((r) => r.id)).size, 23);
  for (let i = 1; i < seen.length; i++) assert.ok(seen[i - 1].at >= seen[i].at);
});

test("two readings of one instant both stay", async () => {
  const at = now_s() - 500;
  const a = await mustRead(daemon, { ph: 7.4 }, { at });
  const b = await mustRead(daemon, { ph: 7.6 }, { at });
  const ids = (await list(`&from=${at}&until=${at}`)).readings.map((r) => r.id);
  assert.deepEqual(ids.sort(), [a.id, b.id].sort());
});

test("values that cannot be are refused, all of them at once", async () => {
  const reply = await read(daemon,
    { ph: 15, free_chlorine_mg_per_l: -1, water_temp_c: 90 }, { colour: "blue" });
  assert.equal(reply.status, 422);
  assert.match(reply.headers["content-type"], /^application\/problem\+json/);
  const faults = Object.fromEntries(reply.json.errors.map((e) => [e.field, e.code]));
  assert.deepEqual(faults, {
    "values.ph": "value_impossible",
    "values.free_chlorine_mg_per_l": "value_impossible",
    "values.water_temp_c": "value_impossible",
    colour: "member_unknown",
  });
});

for (const ph of [0, 14, 15, -1, 1e300]) {
  test(`pH ${ph} is refused`, async () => {
    const reply = await read(daemon, { ph });
    assert.equal(reply.status, 422);
    assert.equal(reply.json.field, "values.ph");
  });
}

for (const raw of ["NaN", "Infinity", "1e999", '"7,4"', '"7.4"', '"7.4.1"', '""', "7.4.1",
  "7,4", "07", "[7.4]", "{}", "true", "+7.4", ".5", "7."]) {
  test(`pH ${raw} in the body is refused and adds nothing`, async () => {
    const count = (await list("&limit=500")).readings.length;
    const reply = await daemon.send("POST", "/api/v1/readings",
      `{"water":1,"values":{"ph":${raw}}}`);
    assert.ok(reply.status === 400 || reply.status === 422, reply.text);
    assert.ok(reply.json.code.length > 0);
    assert.equal((await list("&limit=500")).readings.length, count);
  });
}

test("a doubtful value is asked once", async () => {
  const first = await read(daemon, { ph: 9.1 });
  assert.equal(first.status, 422);
  assert.equal(first.json.code, "value_doubtful");
  const second = await mustRead(daemon, { ph: 9.1 }, { confirmed: ["ph"] });
  assert.equal(second.details.ph.confirmed, true);
});

test("free chlorine above total chlorine is asked once, and the permit counts neither", async () => {
  const own = await startDaemon();
  await setUp(own);
  const values = { ph: 7.4, free_chlorine_mg_per_l: 3, total_chlorine_mg_per_l: 1.5 };
  const first = await read(own, values);
  assert.equal(first.status, 422);
  assert.equal(first.json.code, "value_doubtful");
  assert.equal(first.json.field, "values.free_chlorine_mg_per_l");
  const kept = await mustRead(own, values, { at: now_s() - 120,
    confirmed: ["free_chlorine_mg_per_l"] });
  assert.equal(kept.details.free_chlorine_mg_per_l.confirmed, true);
  const answer = await permit(own);
  assert.equal(answer.permit, "test");
  const reason = answer.water_side.reasons.find((r) => r.rule === "sanitiser_doubted");
  assert.match(reason.text, /more free chlorine than total/);
  assert.match(reason.next, /fresh reagents/);
  const plan = (await own.get("/api/v1/super-chlorination?water=1&heater=1")).json;
  assert.ok(plan.test_first.includes("combined_chlorine_mg_per_l"));
  // as a strip shows it, in steps of 2 mg/L, nothing contradicts
  await mustRead(own, values, { method: "strip", at: now_s() - 60 });
  assert.equal((await permit(own)).permit, "run");
  await own.stop();
});

test("a reading without a value or of no water is refused", async () => {
  assert.equal((await read(daemon, {})).json.code, "no_value");
  const reply = await daemon.send("POST", "/api/v1/readings",
    { water: 77, values: { ph: 7.4 } });
  assert.equal(reply.json.field, "water");
});

test("times: future, before 1970, skipped, twice, nonsense", async () => {
  const local = (date, time, fold) =>
    read(daemon, { ph: 7.4 }, { local: { date, time, ...(fold ? { fold } : {}) } });
  assert.equal((await read(daemon, { ph: 7.4 }, { at: now_s() + 3600 })).json.code,
    "time_in_future");
  assert.equal((await read(daemon, { ph: 7.4 }, { at: -1 })).json.code, "time_too_old");
  // Europe/Berlin: clocks went forward on 2026-03-29 at 02:00, back on 2026-10-25 at 03:00
  // (EU directive 2000/84/EC: last Sundays of March and October, 01:00 UTC).
  assert.equal((await local("2026-03-29", "02:30")).json.code, "time_skipped");
  const twice = await local("2026-10-25", "02:30");
  assert.equal(twice.json.code, "time_twice");
  assert.deepEqual(twice.json.choices.map((c) => c.offset_s), [7200, 3600]);
  const chosen = await local("2026-10-25", "02:30", "second");
  assert.equal(chosen.status, 201, chosen.text);
  assert.equal(chosen.json.at, Date.UTC(2026, 9, 25, 1, 30) / 1000);
  for (const [date, time] of [["2026-02-30", "10:00"], ["2026-13-01", "10:00"],
    ["2026-10-01", "25:00"], ["yesterday", "10:00"], ["2026-10-01", "noon"]]) {
    assert.equal((await local(date, time)).json.code, "time_invalid", `${date} ${time}`);
  }
  const both = await read(daemon, { ph: 7.4 },
    { at: now_s(), local: { date: "2026-10-01", time: "10:00" } });
  assert.equal(both.json.code, "time_twice_given");
});

test("a zone that does not exist is refused", async () => {
  const site = (await daemon.get("/api/v1/site"));
  for (const zone of ["Mars/Olympus", "../../etc/passwd", "/etc/localtime", "", "CET CEST"]) {
    const reply = await daemon.send("PUT", "/api/v1/site",
      { name: "Fern Court", zone, units: "si" }, { "If-Match": site.headers.etag });
    assert.equal(reply.status, 422, zone);
    assert.equal(reply.json.field, "zone", zone);
  }
});

test("doses, runs and states have their own refusals", async () => {
  const at = now_s() - 7200;
  for (const [path, body, field] of [
    ["doses", { water: 1, product: "gold_dust", amount: 1 }, "product"],
    ["doses", { water: 1, product: "trichlor", amount: -1 }, "amount"],
    ["doses", { water: 1, product: "trichlor", amount: 5, strength_percent: 130 },
      "strength_percent"],
    ["runs", { water: 1, machine: "pump", at, ended_at: at - 1 }, "ended_at"],
    ["runs", { water: 1, machine: "burner", at, ended_at: at + 60 }, "heater"],
    ["runs", { water: 1, machine: "mill", at, ended_at: at + 60 }, "machine"],
    ["heater-states", { heater: 1, state: "melted" }, "state"],
    ["heater-states", { heater: 5, state: "in_line" }, "heater"],
    ["heater-states", { heater: 1, state: "in_line", bypass_percent_open: 101 },
      "bypass_percent_open"],
  ]) {
    const reply = await daemon.send("POST", `/api/v1/${path}`, body);
    assert.equal(reply.status, 422, JSON.stringify(body));
    assert.equal(reply.json.field, field, reply.text);
  }
  const run = await daemon.send("POST", "/api/v1/runs",
    { water: 1, machine: "pump", at, ended_at: at + 3600 });
  assert.equal(run.status, 201, run.text);
  assert.equal(run.json.ended_at, at + 3600);
});

test("series: what was entered comes back in order, with gaps as null", async () => {
  const start = now_s() - 400 * 86400;
  const wanted = [];
  for (const [day, ph] of [[0, 7.2], [2, 7.3], [4, 7.9], [20, 7.5], [22, 7.4]]) {
    await mustRead(daemon, { ph }, { at: start + day * 86400 });
    wanted.push(ph);
  }
  const reply = await daemon.get(
    `/api/v1/series?water=1&values=ph&from=${start}&until=${start + 30 * 86400}&columns=400`);
  assert.equal(reply.status, 200, reply.text);
  const { time_s, value, facts } = reply.json.series.ph;
  assert.equal(facts, 5);
  assert.deepEqual(value, [7.2, 7.3, 7.9, null, 7.5, 7.4]);
  for (let i = 1; i < time_s.length; i++) assert.ok(time_s[i] > time_s[i - 1]);
  for (const [query, field] of [["values=ph", "water"], ["water=1", "values"],
    ["water=1&values=colour", "values"], ["water=1&values=ph&columns=5", "columns"],
    ["water=1&values=ph&from=20&until=10", "from"]]) {
    const bad = await daemon.get(`/api/v1/series?${query}`);
    assert.equal(bad.status, 400, query);
    assert.equal(bad.json.field, field, query);
  }
});

test("heaters without a bypass cannot be off line", async () => {
  const heater = await daemon.send("POST", "/api/v1/heaters",
    { name: "Old one", waters: [1], bypass: "none" });
  assert.equal(heater.status, 201, heater.text);
  const reply = await daemon.send("POST", "/api/v1/heater-states",
    { heater: heater.json.id, state: "off_line_flushed" });
  assert.equal(reply.status, 422);
  assert.equal(reply.json.code, "no_bypass");
});

test("setting up: all faults at once, and two editors do not overwrite", async () => {
  const bad = await daemon.send("POST", "/api/v1/heaters",
    { name: "", waters: [99], bypass: "secret", fuel: "coal", input_w: 5,
      limits: { ph_low: { value: 3, source: "manual" }, free_chlorine_high: null } });
  assert.equal(bad.status, 422);
  const fields = bad.json.errors.map((e) => e.field);
  for (const field of ["name", "waters", "bypass", "fuel", "input_w",
    "limits.ph_low.value"]) {
    assert.ok(fields.includes(field), `${field} in ${fields}`);
  }
  const water = (await daemon.get("/api/v1/waters/1")).json;
  const change = (name, etag) => daemon.send("PUT", "/api/v1/waters/1",
    { name, kind: "pool", sanitiser: "chlorine" }, { "If-Match": etag });
  const first = await change("Big pool", water.etag);
  assert.equal(first.status, 200, first.text);
  const second = await change("Small pool", water.etag);
  assert.equal(second.status, 412);
  assert.equal(second.json.current.name, "Big pool");
});

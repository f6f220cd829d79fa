// The record: what was entered comes back in it, by its time, and what is not known is
// said. Percentages and spans are counted by hand.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

const DAY = 86400;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

const record = async (query = "") => {
  const reply = await daemon.get(`/api/v1/record${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
};
const must = (reply, status = 201) => {
  assert.equal(reply.status, status, reply.text);
  return reply.json;
};

test("before anything is logged it says what is not known", async () => {
  const empty = await startDaemon();
  assert.equal((await empty.get("/api/v1/record")).json.code, "not_set_up");
  await empty.stop();
  const answer = await record();
  assert.deepEqual(answer.care, []);
  for (const part of ["put in", "rating plate", "metal", "no visit", "no flue test", "no test of pH",
    "pump ran"])
    assert.ok(answer.unknown.some((line) => line.includes(part)), part);
});

test("days in the band by month of the site, by the limits of that time", async () => {
  const noon = (text) => Date.parse(`${text}T11:00:00Z`) / 1000;
  // May: three days tested, one of them with an acid test beside a good one
  await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 2 }, { at: noon("2026-05-04") });
  await mustRead(daemon, { ph: 7.3 }, { at: noon("2026-05-05") });
  await mustRead(daemon, { ph: 7.0 }, { at: noon("2026-05-05") + 3600 });
  await mustRead(daemon, { free_chlorine_mg_per_l: 6 }, { at: noon("2026-05-06") });
  // 31 May 22:30 UTC is 1 June in Berlin
  await mustRead(daemon, { ph: 7.5 }, { at: Date.parse("2026-05-31T22:30:00Z") / 1000 });
  await mustRead(daemon, { water_temp_c: 25 }, { at: noon("2026-06-09") }); // says nothing
  const { in_band } = await record(`?from=${noon("2026-04-01")}&until=${noon("2026-07-01")}`);
  assert.deepEqual(in_band, [
    { month: "2026-05", days: 31, days_tested: 3, days_in_band: 1, percent: 33.3 },
    { month: "2026-06", days: 30, days_tested: 1, days_in_band: 1, percent: 100 }]);
});

test("facts of the interval stand in it, others do not; withdrawn ones neither", async () => {
  const at = now_s() - 10 * DAY;
  const visit = must(await daemon.send("POST", "/api/v1/visits", { heater: 1, kind: "cleaning",
    technician: true, done_by: "Sam", findings: "=SUM(A1)", by: "Robin", at }));
  must(await daemon.send("POST", "/api/v1/flue-tests", { heater: 1, technician: true,
    by: "Robin", at, o2_percent: 6, co_ppm: 40, flue_temp_c: 220, air_temp_c: 20,
    well_sampled: true }));
  const symptom = must(await daemon.send("POST", "/api/v1/symptoms", { heater: 1,
    kind: "knocking", by: "Dana", at }));
  let answer = await record();
  assert.deepEqual(answer.care.map((v) => v.id), [visit.id]);
  assert.equal(answer.flue.tests.length, 1);
  assert.deepEqual(answer.symptoms.map((s) => s.id), [symptom.id]);
  assert.deepEqual(answer.logged_by.filter((row) => row.what !== "readings"), [
    { by: "Dana", what: "symptoms", count: 1 },
    { by: "Robin", what: "flue_tests", count: 1 }, { by: "Robin", what: "visits", count: 1 }]);
  assert.ok(!answer.unknown.some((line) => line.includes("no visit")));
  const before = await record(`?from=${at - 20 * DAY}&until=${at - 1}`);
  assert.deepEqual([before.care, before.flue.tests, before.symptoms], [[], [], []]);
  must(await daemon.send("POST", `/api/v1/symptoms/${symptom.id}/withdrawal`, { reason: "x" },
    { "If-Match": symptom.etag }));
  answer = await record();
  assert.deepEqual(answer.symptoms, []);
});

test("a super-chlorination carries the times in which the heater was off line", async () => {
  const start = now_s() - 5 * DAY;
  const state = (name, at) => daemon.send("POST", "/api/v1/heater-states",
    { heater: 1, state: name, at });
  must(await state("off_line_flushed", start - 3600));
  must(await daemon.send("POST", "/api/v1/doses", { water: 1, product: "sodium_hypochlorite",
    amount: 3000, super_chlorination: true, at: start }));
  must(await state("in_line", start + DAY));
  const { super_chlorinations } = await record();
  assert.equal(super_chlorinations.length, 1);
  assert.equal(super_chlorinations[0].id, null);
  assert.deepEqual(super_chlorinations[0].off_line,
    [{ from: start, until: start + DAY, state: "off_line_flushed" }]);
});

test("limits over time", async () => {
  const heater = must(await daemon.get("/api/v1/heaters/1"), 200);
  const body = { name: "Heater", waters: [1], bypass: "full",
    limits: { free_chlorine_high: { value: 3, source: "manual" } } };
  must(await daemon.send("PUT", "/api/v1/heaters/1", body, { "If-Match": heater.etag }), 200);
  const { limits } = await record();
  assert.deepEqual(limits.map((one) => one.limits.free_chlorine_high.value), [5, 3]);
});

test("as CSV: every line has four fields, and nothing runs as a formula", async () => {
  const reply = await daemon.get("/api/v1/record?format=csv");
  assert.equal(reply.status, 200);
  assert.match(String(reply.headers["content-type"]), /^text\/csv/);
  const lines = reply.text.split("\r\n");
  assert.equal(lines[0], "section,entry,member,value");
  assert.equal(lines.at(-1), "");
  assert.ok(lines.includes("care,1,findings,\"'=SUM(A1)\""));
  assert.ok(lines.some((line) => /^flue,1,tests\.result\.values\.loss_net_percent\.value,10\.6$/.test(line)));
  for (const line of lines.slice(1, -1))
    assert.match(line, /^[a-z_]+,\d*,[a-z0-9_.]*,("([^"]|"")*"|[^",]*)$/, line);
});

test("an interval that ends before it begins is refused", async () => {
  for (const query of ["?from=2000&until=1000", "?from=1000&until=1000", "?from=x"])
    assert.equal((await daemon.get(`/api/v1/record${query}`)).json.code, "query_invalid", query);
  assert.equal((await daemon.get("/api/v1/record?heater=9")).status, 404);
});

// What a heater went through, over the socket.
// Sources: acidity in times the limit is 10^(limit - pH) (definition of pH); severe from a
// product of 4 on (a convention of the product); g/h over 3.6 L/s, by arithmetic.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, permit, setUp } from "../support/household.mjs";
import { feederFirst, soundLine } from "../support/line.mjs";

const FC = "free_chlorine_mg_per_l";
const HOUR = 3600;
const DAY = 86400;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon({ clock: true });
});
after(() => daemon.stop());

/** @param {string} [query] */
async function exposure(query = "") {
  const reply = await daemon.get(`/api/v1/exposure${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}
/** @param {string} [query] rules of the burner's side */
const held = async (query = "") =>
  (await permit(daemon, query)).burner_side.reasons.map((r) => r.rule);

const start = now_s() - 6 * DAY;

test("before anything is known every hour is unknown, none is bad", async () => {
  assert.equal((await daemon.get("/api/v1/exposure")).json.code, "not_set_up");
  await setUp(daemon);
  const answer = await exposure();
  assert.equal(answer.hours.both.likely, 0);
  assert.ok(answer.unknown_h > 2159, `${answer.unknown_h}`);
  assert.deepEqual(answer.events, []);
  assert.match(answer.weights, /convention/);
});

test("acid water that passed counts by its hours; the worst instant is named", async () => {
  for (const [day, ph] of [[0, 7.5], [1, 6.9], [2, 7.5], [3, 7.5]])
    await mustRead(daemon, { ph, [FC]: 2 }, { at: start + day * DAY });
  const answer = await exposure(`?heater=1&water=1&from=${start}&until=${start + 3 * DAY}`);
  const { low_ph, both, high_chlorine } = answer.hours;
  // acid in the middle of two days: longer than a few hours, shorter than the two days
  assert.ok(low_ph.likely > 6 && low_ph.likely < 48, `${low_ph.likely}`);
  assert.ok(low_ph.at_least <= low_ph.likely && low_ph.likely <= low_ph.at_most);
  assert.equal(both.likely, 0);
  assert.equal(high_chlorine.likely, 0);
  assert.equal(answer.events.length, 1);
  const [event] = answer.events;
  assert.ok(Math.abs(event.worst_at - (start + DAY)) <= HOUR, `${event.worst_at - start}`);
  assert.ok(Math.abs(event.worst_ph - 6.9) < 0.06);
  // 10^(7.2 - pH)
  assert.ok(Math.abs(event.worst_severity - 10 ** (7.2 - event.worst_ph)) < 0.02);
  assert.equal(event.is_severe, false);
});

test("while it was drained nothing reached it", async () => {
  const span = `?heater=1&water=1&from=${start}&until=${start + 3 * DAY}`;
  const state = await daemon.send("POST", "/api/v1/heater-states",
    { heater: 1, state: "drained", at: start - HOUR });
  assert.equal(state.status, 201, state.text);
  const answer = await exposure(span);
  assert.equal(answer.hours.low_ph.likely, 0);
  assert.equal(answer.in_heater_h, 0);
  const undone = await daemon.send("POST",
    `/api/v1/heater-states/${state.json.id}/withdrawal`, { reason: "another heater" },
    { "If-Match": state.json.etag });
  assert.equal(undone.status, 201, undone.text);
  assert.ok((await exposure(span)).hours.low_ph.likely > 6);
});

test("acid and strong chlorine at once holds until a technician says it may run", async () => {
  assert.ok(!(await held()).includes("exposure_severe"));
  await mustRead(daemon, { ph: 6.6, [FC]: 12 },
    { at: start + 4 * DAY, method: "laboratory" });
  assert.ok((await held()).includes("exposure_severe")); // at once
  await mustRead(daemon, { ph: 7.5, [FC]: 2 },
    { at: now_s() - 3 * HOUR, method: "laboratory" });
  const answer = await exposure();
  const severe = answer.events.filter((event) => event.is_severe);
  assert.equal(severe.length, 1);
  // 10^0.6 = 4 times as acidic at 2.4 times the ceiling
  assert.ok(severe[0].worst_severity > 4 && severe[0].has_both);
  assert.ok(answer.hours.both.weighted > answer.hours.both.likely);
  const now = await permit(daemon);
  assert.equal(now.water_side.permit, "run"); // the water is back, the heater is not
  assert.equal(now.permit, "hold");
  const [reason] = now.burner_side.reasons;
  assert.equal(reason.rule, "exposure_severe");
  assert.match(reason.next, /by a technician/);
  assert.match(reason.next, /[Cc]lear water proves nothing/);
  assert.match(now.next[0], /off at its own control/);
  assert.equal(now.next[1], reason.next);
  // also as of the time of the test, and not of the day before
  assert.ok((await held(`?as_of=${start + 4 * DAY + 60}`)).includes("exposure_severe"));
  assert.ok(!(await held(`?as_of=${start + 3 * DAY}`)).includes("exposure_severe"));
});

test("an inspection from before it, or one that forbids, lifts nothing", async () => {
  const inspect = async (at, may_run) => {
    const reply = await daemon.send("POST", "/api/v1/visits", { heater: 1,
      kind: "inspection", technician: true, done_by: "Ash & Reed", may_run, at });
    assert.equal(reply.status, 201, reply.text);
    return reply.json;
  };
  await inspect(start + 2 * DAY, true);
  assert.deepEqual(await held(), ["exposure_severe"]);
  await inspect(now_s() - 7200, false);
  assert.deepEqual(await held(), ["inspection_failed"]);
  const good = await inspect(now_s() - 3600, true);
  assert.deepEqual(await held(), []);
  const spans = (await daemon.get(`/api/v1/permits?from=${start + 5 * DAY}`)).json.permits;
  assert.equal(spans[0].rules.includes("exposure_severe"), true);
  const last = spans.at(-1);
  assert.deepEqual([last.permit, last.from], ["run", good.at]);
  const gone = await daemon.send("POST", `/api/v1/visits/${good.id}/withdrawal`,
    { reason: "another heater" }, { "If-Match": good.etag });
  assert.equal(gone.status, 201, gone.text);
  assert.deepEqual(await held(), ["inspection_failed"]);
  // one that says nothing about running, and one by the family, lift nothing either
  const said = await daemon.send("POST", "/api/v1/visits",
    { heater: 1, kind: "inspection", technician: true });
  assert.equal(said.json.may_run, null);
  assert.deepEqual(await held(), ["inspection_failed"]);
  const family = await daemon.send("POST", "/api/v1/visits",
    { heater: 1, kind: "inspection", technician: false, may_run: true });
  assert.deepEqual([family.status, family.json.code, family.json.field],
    [422, "needs_technician", "may_run"]);
});

test("each time is judged by the limits of then", async () => {
  const own = await startDaemon({ clock: true });
  await setUp(own);
  const first = now_s();
  await mustRead(own, { ph: 7.0, [FC]: 2 }, { at: first - 60 });
  await own.setClock(DAY);
  const heater = (await own.get("/api/v1/heaters/1")).json;
  const changed = await own.send("PUT", "/api/v1/heaters/1", { name: heater.name,
    waters: heater.waters, bypass: heater.bypass,
    limits: { ph_low: { value: 6.8, source: "manual" } } }, { "If-Match": heater.etag });
  assert.equal(changed.status, 200, changed.text);
  await own.setClock(2 * DAY);
  await mustRead(own, { ph: 7.0, [FC]: 2 });
  const reply = await own.get(`/api/v1/exposure?heater=1&water=1&from=${first}`);
  assert.equal(reply.status, 200, reply.text);
  // a day under 7.2, the second one under 6.8
  const { likely } = reply.json.hours.low_ph;
  assert.ok(likely > 23 && likely < 25, `${likely}`);
  assert.deepEqual(reply.json.limits.map((l) => l.ph_low), [7.2, 6.8]);
  assert.equal(reply.json.scaling, null); // nobody logged when the burner fired
  await own.stop();
});

// 250 mg/L of alkalinity and 600 of calcium at pH 7.9 and 30 degC lie far above
// saturation already cold (handbook index: 7.9 - 12.1 + 0.7 + 2.2 + 2.4 = 1.1); soft water
// of 40 and 40 lies far below (0.7 + 1.2 + 1.6 - 12.1 + 7.4 = -1.2).
test("scale counts apart, in the hours in which the burner fired", async () => {
  const own = await startDaemon();
  await setUp(own);
  const first = now_s() - 2 * DAY;
  const hard = { ph: 7.9, [FC]: 2, total_alkalinity_mg_per_l_caco3: 250,
    calcium_hardness_mg_per_l_caco3: 600, water_temp_c: 30 };
  await mustRead(own, hard, { at: first });
  await mustRead(own, { ph: 7.9, [FC]: 2 }, { at: first + DAY });
  const run = await own.send("POST", "/api/v1/runs", { machine: "burner", water: 1,
    heater: 1, at: first + 6 * HOUR, ended_at: first + 9 * HOUR });
  assert.equal(run.status, 201, run.text);
  const span = `?heater=1&water=1&from=${first}&until=${first + DAY}`;
  const { scaling, events } = (await own.get(`/api/v1/exposure${span}`)).json;
  assert.ok(Math.abs(scaling.fired_h - 3) < 0.01, `${scaling.fired_h}`);
  assert.ok(Math.abs(scaling.likely - 3) < 0.01, `${scaling.likely}`);
  assert.ok(scaling.at_least <= scaling.likely && scaling.likely <= scaling.at_most);
  assert.deepEqual(events, []);
  assert.equal(scaling.surface_rise_k, 15);
  // 73.3 kW at 80 % into 7 m3/h: 58.6 kW / (1.944 kg/s x 4.18 kJ/(kg K)) = 7.2 K, and 20.
  const heater = (await own.get("/api/v1/heaters/1")).json;
  const changed = await own.send("PUT", "/api/v1/heaters/1", { name: heater.name,
    waters: heater.waters, bypass: heater.bypass, input_w: 73300, efficiency_percent: 80,
    flow_m3_per_h: 7, film_rise_k: 20 }, { "If-Match": heater.etag });
  assert.equal(changed.status, 200, changed.text);
  const own_rise = (await own.get(`/api/v1/exposure${span}`)).json.scaling.surface_rise_k;
  assert.ok(Math.abs(own_rise - 27.2) < 0.15, `${own_rise}`);
  await mustRead(own, { total_alkalinity_mg_per_l_caco3: 40,
    calcium_hardness_mg_per_l_caco3: 40, ph: 7.4 }, { at: first + HOUR });
  assert.equal((await own.get(`/api/v1/exposure${span}`)).json.scaling.likely, 0);
  await own.stop();
});

test("as of an earlier instant it knows nothing of what came later", async () => {
  const answer = await exposure(`?as_of=${start + 3 * DAY}&heater=1&water=1`);
  assert.equal(answer.events.length, 1);
  const recorded = await exposure(
    `?as_of=${start + 3 * DAY}&heater=1&water=1&known=recorded`);
  assert.equal(recorded.events.length, 0);
});

test("odd queries are refused by name", async () => {
  for (const [query, status, field] of [
    ["?heater=1", 400, "water"], ["?heater=1&water=1&from=x", 400, "from"],
    [`?heater=1&water=1&from=${start - 900 * DAY}`, 400, "from"],
    [`?heater=1&water=1&until=${now_s() + DAY}`, 400, "until"],
    ["?heater=9&water=1", 404, undefined],
  ]) {
    const reply = await daemon.get(`/api/v1/exposure${query}`);
    assert.equal(reply.status, status, query);
    if (field) assert.equal(reply.json.errors[0].field, field, query);
  }
});

test("a line that feeds before the heater is a cause of its own", async () => {
  assert.equal((await exposure()).line, null);
  // 35 g/h into 2.5 L/s are 3.9 mg/L: above a ceiling of 5 with the pool's 2
  const line = feederFirst();
  Object.assign(line.parts[6] ?? {}, { feed: { product: "trichlor", basis: "rate",
    rate_g_per_h: 35 } });
  await mustRead(daemon, { ph: 7.5, [FC]: 2, total_alkalinity_mg_per_l_caco3: 100 });
  const put = (body, tag) => daemon.send("PUT", "/api/v1/line", body,
    { "If-Match": tag, "Idempotency-Key": null });
  assert.equal((await put(line, '"line-1-0"')).status, 200);
  await daemon.setClock(2 * HOUR);
  await mustRead(daemon, { ph: 7.5, [FC]: 2 }, { at: now_s() + 2 * HOUR });
  const before = await exposure();
  const [span] = before.line.spans;
  assert.equal(before.line.spans.length, 1);
  assert.ok(Math.abs(span.added_mg_per_l - 35 / 3.6 / 2.5) < 0.01);
  // by hand: 0.018 mmol/L of trichlor give 0.015 meq of acid as cyanuric acid and 0.026 as
  // HOCl at pH 7.5, into a buffer of 0.33 meq per pH: -0.12, somewhat less as pH falls
  assert.ok(span.ph_shift < -0.06 && span.ph_shift > -0.13, `${span.ph_shift}`);
  assert.ok(Math.abs(before.line.in_heater_h - 2) <= 0.5, `${before.line.in_heater_h}`);
  assert.ok(Math.abs(before.line.hours.high_chlorine.likely - before.line.in_heater_h) <= 0.25,
    JSON.stringify(before.line));
  assert.equal(before.line.restarts, null);
  // mended two hours ago: its hours stay, and no more come
  assert.equal((await put(soundLine(), '"line-1-1"')).status, 200);
  await daemon.setClock(5 * HOUR);
  const after = await exposure();
  assert.equal(after.line.spans.length, 1);
  assert.ok(Math.abs(after.line.in_heater_h - before.line.in_heater_h) <= 0.5);
});

test("a feed of unknown amount gives unknown hours, not good ones", async () => {
  const line = feederFirst();
  Object.assign(line.parts[6] ?? {}, { feed: { product: "trichlor", basis: "unknown" } });
  const reply = await daemon.send("PUT", "/api/v1/line", line,
    { "If-Match": '"line-1-2"', "Idempotency-Key": null });
  assert.equal(reply.status, 200, reply.text);
  await daemon.setClock(8 * HOUR);
  const { line: answer } = await exposure();
  assert.deepEqual(answer.spans.map((s) => s.added_mg_per_l === null), [false, true]);
  assert.ok(answer.unknown_h > 2 && answer.unknown_h < 3.6, `${answer.unknown_h}`);
});

test("restarts of the pump meanwhile are counted, not weighed", async () => {
  const before = (await exposure()).line;
  for (const hours of [6, 7]) {
    const run = await daemon.send("POST", "/api/v1/runs", { water: 1, machine: "pump",
      at: now_s() + hours * HOUR, ended_at: now_s() + hours * HOUR + 900, by: "Robin" });
    assert.equal(run.status, 201, run.text);
  }
  const { line } = await exposure();
  assert.equal(before.restarts, null);
  assert.equal(line.restarts, 2);
});

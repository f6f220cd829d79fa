// Warm-ups as facts and what they say of a heater's efficiency, over the socket.
// Source of the fuel in these logs: heat of water 4.18 kJ/(kg K) at 0.998 kg/L over the
// efficiency wanted; the losses of four hours under a cover with air as warm as the water are
// below a few per cent of it. A therm is 105.4804 MJ (NIST SP 811).

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { now_s, setUp } from "../support/household.mjs";

const HOUR = 3600;
const DAY = 86400;
const THERM_MJ = 105.4804;
const VOLUME_M3 = 50;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon, { site: { latitude: 50, longitude: 8 },
    water: { volume_m3: VOLUME_M3, surface_m2: 32 }, heater: { input_w: 117228 } });
});
after(() => daemon.stop());

const GOOD = { heater: 1, water: 1, start_temp_c: 20, end_temp_c: 25, source: "meter",
  unit: "therm", meter_start: 1000, meter_end: 1012.2, cover: "solid", air_temp_c: 22.5 };
const start = Math.floor(now_s() / DAY) * DAY - 10 * DAY + 21 * HOUR; // no sun

/** @param {object} changes */
const log = (changes) => daemon.send("POST", "/api/v1/warm-ups",
  { ...GOOD, at: start, ended_at: start + 4 * HOUR, by: "Robin", ...changes });
/** @param {object} changes */
async function mustLog(changes) {
  const reply = await log(changes);
  assert.equal(reply.status, 201, reply.text);
  return reply.json;
}
async function efficiency(heater = 1) {
  const reply = await daemon.get(`/api/v1/efficiency?heater=${heater}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}
const said = async (id) => (await efficiency()).warm_ups.find((w) => w.id === id);
const codes = (one) => one.flaws.map((f) => f.code);
const withdraw = (fact) => daemon.send("POST", `/api/v1/warm-ups/${fact.id}/withdrawal`,
  { reason: "a test" }, { "If-Match": fact.etag });
/** Therms that warm the pool by so many kelvin. */
const therms = (kelvin, eta) => VOLUME_M3 * 998 * 4.18e-3 * kelvin / eta / THERM_MJ;

test("before any warm-up there is nothing to tell, and it says what is needed", async () => {
  const answer = await efficiency();
  assert.deepEqual(answer.warm_ups, []);
  assert.deepEqual(answer.seasons, []);
  assert.equal(answer.now, null);
  assert.equal(answer.alarm.is_alarm, false);
  assert.match(answer.alarm.reason, /Two seasons with 5 usable warm-ups/);
  assert.equal((await daemon.get("/api/v1/efficiency?heater=9")).status, 404);
  assert.equal((await daemon.get("/api/v1/efficiency?heater=x")).json.field, "heater");
});

test("a warm-up is a fact: read, corrected, withdrawn, all kept", async () => {
  const first = await mustLog({ meter_end: 1000 + therms(5, 0.8) });
  const one = await said(first.id);
  // losses come on top of what warmed the water
  assert.ok(one.efficiency > 0.79 && one.efficiency < 0.84, `${one.efficiency}`);
  assert.ok(one.u_random > 0 && one.u_common > 0);
  assert.deepEqual(one.flaws, []);
  const fixed = await daemon.send("POST", `/api/v1/warm-ups/${first.id}/correction`,
    { ...GOOD, at: start, ended_at: start + 4 * HOUR, meter_end: 1000 + therms(5, 0.6),
      reason: "misread" }, { "If-Match": first.etag });
  assert.equal(fixed.status, 201, fixed.text);
  assert.equal(await said(first.id), undefined);
  assert.ok(Math.abs((await said(fixed.json.id)).efficiency - 0.6) < 0.04);
  assert.equal((await withdraw(fixed.json)).status, 201);
  assert.deepEqual((await efficiency()).warm_ups, []);
  const list = await daemon.get("/api/v1/warm-ups?heater=1&history=true");
  assert.equal(list.json.warm_ups.length, 3);
});

test("what cannot be is refused with code and field, and nothing is stored", async () => {
  for (const [changes, code, field] of [
    [{ ended_at: start - HOUR }, "warm_up_end_before_start", "ended_at"],
    [{ ended_at: start }, "warm_up_end_before_start", "ended_at"],
    [{ meter_end: 1000 }, "warm_up_no_fuel", "meter_end"],
    [{ meter_end: 990 }, "warm_up_meter_backwards", "meter_end"],
    [{ source: "burner_hours", burner_h: 0 }, "warm_up_no_fuel", "burner_h"],
    [{ end_temp_c: 5 }, "warm_up_no_heat", "end_temp_c"],
    [{ end_temp_c: 80 }, "out_of_range", "end_temp_c"],
    [{ end_temp_c: "hot" }, "wrong_type", "end_temp_c"],
    [{ meter_end: undefined }, "member_missing", "meter_end"],
    [{ source: "burner_hours" }, "member_missing", "burner_h"],
    [{ source: "guess" }, "not_in_list", "source"],
    [{ unit: "barrel" }, "not_in_list", "unit"],
    [{ at: start - 9 * DAY }, "out_of_range", "ended_at"],
    [{ ended_at: now_s() + DAY }, "time_in_future", "ended_at"],
    [{ heater: 5 }, "not_found", "heater"],
    [{ water: 5 }, "not_found", "water"],
    [{ shared_percent: 95 }, "out_of_range", "shared_percent"],
    [{ efficiency: 0.8 }, "member_unknown", "efficiency"],
  ]) {
    const reply = await log(changes);
    assert.equal(reply.status, 422, `${JSON.stringify(changes)}: ${reply.text}`);
    assert.equal(reply.json.code, code, reply.text);
    assert.equal(reply.json.field, field, reply.text);
  }
  assert.deepEqual((await efficiency()).warm_ups, []);
});

test("what is doubtful is stored and flagged; above physics is an error of measurement",
  async () => {
    const above = await mustLog({ meter_end: 1000 + therms(5, 1.1) });
    const one = await said(above.id);
    assert.ok(one.efficiency > 0.9);
    assert.ok(codes(one).includes("warm_up_above_physics"));
    assert.equal(one.is_usable, false);
    assert.match(one.flaws[0].text, /measurement error/);
    const sunny = await mustLog({ meter_end: 1000 + therms(5, 0.8), probe_in_sun: true });
    assert.deepEqual(codes(await said(sunny.id)), ["warm_up_probe_in_sun"]);
    assert.equal((await said(sunny.id)).is_usable, false);
    const shared = await mustLog({ meter_end: 1000 + therms(5, 0.8) / 0.8,
      meter_is_shared: true, shared_percent: 20 });
    const other = await said(shared.id);
    assert.deepEqual(codes(other), ["warm_up_meter_shared"]);
    assert.ok(other.is_usable && other.efficiency > 0.78 && other.efficiency < 0.86);
    const small = await mustLog({ end_temp_c: 20.6, meter_end: 1000 + therms(0.6, 0.7) });
    assert.ok(codes(await said(small.id)).includes("warm_up_uncertain"));
    assert.equal((await efficiency()).usable, 2);
    for (const fact of [above, sunny, shared, small])
      assert.equal((await withdraw(fact)).status, 201);
  });

test("burner hours at the rated input do as well as a meter", async () => {
  const hours = VOLUME_M3 * 998 * 4180 * 5 / 0.8 / 117228 / HOUR;
  const fact = await mustLog({ source: "burner_hours", burner_h: hours, unit: undefined,
    meter_start: undefined, meter_end: undefined });
  assert.equal(fact.unit, null);
  assert.ok(Math.abs((await said(fact.id)).efficiency - 0.815) < 0.025);
  assert.equal((await withdraw(fact)).status, 201);
});

/** Warm-ups of some seasons, ten each, with a spread of two points. @param {number[]} etas
 *  @param {number} heater */
async function seasons(etas, heater) {
  const this_year = new Date().getUTCFullYear();
  let meter = 100;
  for (const [i, eta] of etas.entries())
    for (let n = 0; n < 10; n++) {
      const at = Date.UTC(this_year - etas.length + i, 4, 2 + 2 * n, 21) / 1000;
      const used = therms(5, eta + 0.02 * Math.sin(7 * n + i));
      await mustLog({ heater, at, ended_at: at + 4 * HOUR, meter_start: meter,
        meter_end: meter + used });
      meter += used;
    }
}

test("a steady heater gives no alarm, and says what it would have found", async () => {
  await seasons([0.8, 0.8, 0.8], 1);
  const { alarm, seasons: means, now } = await efficiency();
  assert.equal(means.length, 3);
  assert.ok(means.every((m) => m.low < m.efficiency && m.efficiency < m.high));
  assert.equal(alarm.is_alarm, false);
  assert.match(alarm.reason, /No loss is shown in 3 seasons/);
  assert.equal(alarm.false_alarm, 0.05);
  assert.ok(alarm.power > 0.3 && alarm.power < 1, `${alarm.power}`);
  assert.ok(Math.abs(now - 0.81) < 0.03, `${now}`);
  // the plan takes what was measured
  const plan = await daemon.get(`/api/v1/warm-by?wanted_temp_c=28&temp_c=20&by=${now_s() + DAY}`);
  assert.equal(plan.json.basis.efficiency, now);
  assert.equal(plan.json.basis.efficiency_is_measured, true);
  assert.ok(!plan.json.basis.assumed.includes("efficiency"));
});

test("a real loss gives the alarm, its size, and after a new meter a new series", async () => {
  const heater = await daemon.send("POST", "/api/v1/heaters",
    { name: "Second", waters: [1], bypass: "full", input_w: 117228 });
  assert.equal(heater.status, 201, heater.text);
  const id = heater.json.id;
  await seasons([0.83, 0.78, 0.73, 0.68], id);
  const { alarm, warm_ups } = await efficiency(id);
  assert.equal(alarm.is_alarm, true, alarm.reason);
  assert.match(alarm.reason, /fell by about 1[4-6] points in 4 seasons/);
  assert.ok(Math.abs(alarm.slope_per_year + 0.05) < 0.01, `${alarm.slope_per_year}`);
  assert.ok(alarm.slope_low_per_year < alarm.slope_per_year);
  // the second meter came during the last warm-up: that one is flagged, the rest is history
  const last = warm_ups[warm_ups.length - 1];
  const change = await daemon.send("POST", "/api/v1/meter-changes",
    { heater: id, what: "meter", at: last.at + HOUR });
  assert.equal(change.status, 201, change.text);
  const later = await efficiency(id);
  assert.equal(later.series_from, last.at + HOUR);
  assert.equal(later.alarm.is_alarm, false);
  assert.equal(later.usable, 0);
  assert.equal(later.warm_ups.length, warm_ups.length);
  assert.ok(codes(later.warm_ups[later.warm_ups.length - 1])
    .includes("warm_up_meter_replaced"));
  const across = await log({ heater: id, at: last.at + HOUR / 2, ended_at: last.at + 2 * HOUR });
  assert.equal(across.json.code, "warm_up_meter_replaced");
  assert.equal(across.json.field, "meter_end");
  const wrong = await daemon.send("POST", "/api/v1/meter-changes", { heater: id, what: "pump" });
  assert.equal(wrong.json.field, "what");
});

test("what a loss costs a year is in the tariff's unit and money", async () => {
  const heater = await daemon.send("POST", "/api/v1/heaters",
    { name: "Third", waters: [1], bypass: "full", input_w: 117228 });
  const id = heater.json.id;
  await seasons([0.84, 0.76, 0.68], id);
  const quiet = await efficiency(id);
  assert.equal(quiet.cost.lost_cost_per_year, null);
  const tariff = await daemon.send("PUT", `/api/v1/heaters/${id}/tariff`,
    { unit: "therm", price_per_unit: 2, currency: "€" },
    { "If-Match": `"tariff-${id}-0"` });
  assert.equal(tariff.status, 200, tariff.text);
  for (let n = 0; n < 6; n++) {
    const at = start - (30 + 3 * n) * DAY;
    await mustLog({ heater: id, at, ended_at: at + 4 * HOUR, meter_start: 5000 + 20 * n,
      meter_end: 5000 + 20 * n + therms(5, 0.66) });
  }
  const { cost, alarm } = await efficiency(id);
  assert.equal(alarm.is_alarm, true, alarm.reason);
  assert.equal(cost.currency, "€");
  assert.ok(cost.fuel_per_year >= 6 * therms(5, 0.66) - 0.1);
  // lost = fuel (1 - now/before)
  assert.ok(cost.lost_fuel_per_year > 0.12 * cost.fuel_per_year);
  assert.ok(cost.lost_fuel_per_year < 0.3 * cost.fuel_per_year);
  assert.ok(Math.abs(cost.lost_cost_per_year - 2 * cost.lost_fuel_per_year) < 0.02);
});

test("the demo's heater gets worse, and the alarm says so", async () => {
  const demo = await startDaemon({ args: ["--demo"] });
  try {
    const { alarm, warm_ups, cost, seasons: means } =
      (await demo.get("/api/v1/efficiency")).json;
    assert.ok(means.length >= 3);
    assert.equal(alarm.is_alarm, true, alarm.reason);
    // the invented heater loses 3.5 points a year
    assert.ok(alarm.slope_low_per_year < -0.035 && alarm.slope_high_per_year > -0.035,
      `${alarm.slope_per_year}`);
    assert.ok(cost.lost_cost_per_year > 0);
    assert.ok(warm_ups.some((w) => codes(w).includes("warm_up_probe_in_sun")));
    assert.ok(warm_ups.some((w) => codes(w).includes("warm_up_above_physics")));
  } finally {
    await demo.stop();
  }
});

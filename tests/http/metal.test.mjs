// Metal balance and quick checks over the socket.
// Sources: 1 mg/L in 50 m3 is 50 g (definition); heat of water 4.18 kJ/(kg K) near 1 kg/L;
// natural gas 1037 Btu/ft3 (EIA), 1 Btu = 1055.056 J (NIST SP 811); scale of 1/32 inch costs
// 2 % (DOE Steam Tip Sheet 7); chloride is 35.453/58.443 of salt (molar masses).

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

const CU = "copper_mg_per_l";
const DAY = 86400;
const start = now_s() - 40 * DAY;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon, { water: { volume_m3: 50, surface_m2: 32 },
    heater: { input_w: 117228 } });
});
after(() => daemon.stop());

async function metal(query = "") {
  const reply = await daemon.get(`/api/v1/metal${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}
/** @param {object} body */
const check = (body) => daemon.send("POST", "/api/v1/heater-checks",
  { heater: 1, ...body }, { "Idempotency-Key": null });
/** @param {object} body */
async function checked(body) {
  const reply = await check(body);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}

test("one test is not enough, nor are two of the same week", async () => {
  assert.equal((await metal()).lacks, "tests");
  await mustRead(daemon, { [CU]: 0.1, ph: 7.4 }, { at: start });
  assert.equal((await metal()).lacks, "tests");
  await mustRead(daemon, { [CU]: 0.3, ph: 7.4 }, { at: start + 2 * DAY });
  assert.equal((await metal()).lacks, "tests");
  assert.equal((await metal()).balance, null);
});

test("a rise is grams: volume times rise, less what fill water brought", async () => {
  await mustRead(daemon, { [CU]: 1.1, ph: 7.0 }, { at: start + 30 * DAY });
  const { balance } = await metal(`?from=${start}&fill_mg_per_l=0&fill_l=0`);
  assert.equal(balance.before.mg_per_l, 0.1);
  assert.equal(balance.after.mg_per_l, 1.1);
  assert.ok(Math.abs(balance.entered_g - 50) < 0.01);
  assert.equal(balance.explained_g, 0);
  assert.equal(balance.verdict, "unexplained");
  // a lower bound: 1.645 standard uncertainties below
  assert.ok(Math.abs(balance.at_least_g -
    (balance.unexplained_g - 1.645 * balance.u_unexplained_g)) < 0.05);
  const dosed = (await metal(`?from=${start}&fill_mg_per_l=0&fill_l=0&dosed_g=50`)).balance;
  assert.equal(dosed.at_least_g, 0);
  assert.equal(dosed.verdict, "nothing_shown");
  const rich = (await metal(`?from=${start}&fill_mg_per_l=1.3&fill_l=10000`)).balance;
  assert.ok(Math.abs(rich.explained_g - 13) < 0.01);
});

test("what nobody said is assumed, named, and makes the bound lower", async () => {
  const guessed = (await metal(`?from=${start}`)).balance;
  assert.deepEqual(guessed.assumed, ["out_l", "fill_l", "fill_mg_per_l", "dosed_g"]);
  // 4 mm a day from 32 m2 for 30 days
  assert.ok(Math.abs(guessed.fill_l - 3840) < 1);
  const known = (await metal(`?from=${start}&fill_mg_per_l=0.1&fill_l=3840&out_l=0&dosed_g=0`))
    .balance;
  assert.deepEqual(known.assumed, []);
  assert.ok(guessed.at_least_g < known.at_least_g);
  const fill = await daemon.send("PUT", "/api/v1/waters/1/fill", { values: { ph: 7.5,
    total_alkalinity_mg_per_l_caco3: 100, [CU]: 0.1 } }, { "If-Match": '"fill-1-0"' });
  assert.equal(fill.status, 200, fill.text);
  assert.equal(fill.json.values[CU], 0.1);
  assert.ok(!(await metal(`?from=${start}`)).balance.assumed.includes("fill_mg_per_l"));
});

test("indices stand beside it; none of them speaks a heater free", async () => {
  assert.deepEqual((await metal()).signs, ["ph_low"]);
  await mustRead(daemon, { ph: 7.4, total_alkalinity_mg_per_l_caco3: 80,
    calcium_hardness_mg_per_l_caco3: 20, salt_mg_per_l_nacl: 3000,
    sulfate_mg_per_l: 100, free_chlorine_mg_per_l: 9 }, { at: start + 31 * DAY });
  const { signs, indices } = await metal();
  assert.deepEqual(signs, ["chloride_high", "free_chlorine_high"]);
  assert.ok(Math.abs(indices.chloride_mg_per_l - 3000 * 35.453 / 58.443) < 0.5);
  assert.ok(Math.abs(indices.aggressive_index - (7.4 + Math.log10(80 * 20))) < 0.01);
  // equivalents of chloride and sulfate over those of alkalinity
  assert.ok(Math.abs(indices.larson_skold - (indices.chloride_mg_per_l / 35.453 +
    100 / 48.03) / (80 / 50.04)) < 0.05);
  const iron = await metal("?metal=iron");
  assert.equal(iron.lacks, "tests");
  assert.deepEqual(iron.signs, ["larson_skold_high", "chloride_high", "free_chlorine_high"]);
});

test("metal that went missing, and questions that are none", async () => {
  await mustRead(daemon, { [CU]: 0.1 }, { at: start + 38 * DAY });
  const { balance } = await metal("?fill_mg_per_l=0");
  assert.ok(balance.unexplained_g < 0);
  assert.equal(balance.at_least_g, 0);
  assert.equal(balance.verdict, "nothing_shown");
  assert.equal((await metal("?out_l=90000000")).lacks, "sense");
  for (const [query, field] of [["metal=gold", "metal"], ["out_l=-1", "out_l"],
    ["dosed_g=x", "dosed_g"], ["water=1", "heater"],
    [`from=${start}&until=${start - 1}`, "from"]]) {
    const reply = await daemon.get(`/api/v1/metal?${query}`);
    assert.equal(reply.status, 400, reply.text);
    assert.equal(reply.json.field, field);
  }
  assert.equal((await daemon.get("/api/v1/metal?heater=4&water=1")).status, 404);
});

test("clocking the meter: rate against the plate", async () => {
  // 117228 W of 1037 Btu/ft3 gas: 6.43 ft3 a minute
  const per_s = 117228 / (1037 * 1055.056);
  const meter = { unit: "ft3", duration_s: 120, step: 0.1 };
  const right = (await checked({ meter: { ...meter, used: per_s * 120 } })).meter;
  assert.ok(Math.abs(right.ratio - 1) < 0.001, `${right.ratio}`);
  assert.equal(right.verdict, "as_rated");
  assert.ok(right.u_ratio > 0 && right.u_ratio < 0.02);
  assert.equal((await checked({ meter: { ...meter, used: per_s * 90 } })).meter.verdict,
    "under");
  assert.equal((await checked({ meter: { ...meter, used: per_s * 150 } })).meter.verdict,
    "over");
});

// Methane with 12 % O2 in dry air: excess air e from 0.12 (8.52 + 9.52 e) = 2 e, so 2 of
// 21.9 parts are water, 9.26 kPa, which saturates at 44.3 degC (steam tables).
test("the dew point of the newest well sampled flue test counts", async () => {
  const own = await startDaemon();
  const condensing = async (at = own) => (await at.send("POST", "/api/v1/heater-checks",
    { heater: 1, condensing: { inlet_temp_c: 30 } }, { "Idempotency-Key": null }))
    .json.condensing;
  try {
    await setUp(own, { heater: { input_w: 117228 } });
    const usual = await condensing();
    assert.deepEqual([usual.flue_dew_point_c, usual.dew_point_from, usual.flue_test_at],
      [54, "usual", null]);
    const at = await now_s(own) - 86400;
    const flueTest = async (more) => assert.equal((await own.send("POST",
      "/api/v1/flue-tests", { heater: 1, technician: true, done_by: "Sam", by: "Robin",
        co_ppm: 40, flue_temp_c: 220, air_temp_c: 20, air_humidity_percent: 0, ...more }))
      .status, 201);
    await flueTest({ at, o2_percent: 12, well_sampled: true });
    await flueTest({ at: at + 3600, o2_percent: 4, well_sampled: false });
    const told = await condensing();
    assert.deepEqual([told.dew_point_from, told.flue_test_at], ["flue_test", at]);
    assert.ok(Math.abs(told.flue_dew_point_c - 44.3) < 1, `${told.flue_dew_point_c}`);
  } finally {
    await own.stop();
  }
});

test("nothing condenses in a heat pump, and its warm-ups are not judged", async () => {
  const own = await startDaemon();
  try {
    await setUp(own, { heater: { fuel: "heat_pump", input_w: 3000 } });
    const checked = await own.send("POST", "/api/v1/heater-checks",
      { heater: 1, condensing: { inlet_temp_c: 30 } }, { "Idempotency-Key": null });
    assert.equal(checked.status, 200);
    assert.equal(checked.json.condensing, null);
    const at = await now_s(own) - 86400;
    const warm = await own.send("POST", "/api/v1/warm-ups", { heater: 1, water: 1, at,
      ended_at: at + 36000, start_temp_c: 20, end_temp_c: 22, source: "meter",
      unit: "kwh", meter_start: 100, meter_end: 130 });
    assert.equal(warm.status, 422);
    assert.deepEqual([warm.json.errors[0].code, warm.json.errors[0].field],
      ["heat_pump", "heater"]);
  } finally {
    await own.stop();
  }
});

test("rise, condensing inlet and scale", async () => {
  // 93782 W into 1.8 L/s: 12.5 K
  const rise = (await checked({ rise: { inlet_temp_c: 24, outlet_temp_c: 36.5,
    flow_l_per_s: 1.8 } })).rise;
  assert.ok(Math.abs(rise.expected_rise_k - 117228 * 0.8 / (1.8 * 997 * 4.18)) < 0.05);
  assert.equal(rise.verdict, "as_rated");
  assert.equal(rise.output_is_assumed, true);
  const verdict = async (outlet_temp_c) => (await checked({ rise: { inlet_temp_c: 24,
    outlet_temp_c, flow_l_per_s: 1.8 } })).rise.verdict;
  assert.equal(await verdict(30), "under");
  assert.equal(await verdict(45), "above_physics");
  assert.equal((await checked({ condensing: { inlet_temp_c: 15 } })).condensing.condenses,
    true);
  assert.equal((await checked({ condensing: { inlet_temp_c: 15, flue_dew_point_c: 19.5 + 0.5 } }))
    .condensing.condenses, false);
  assert.equal((await checked({ condensing: { inlet_temp_c: 15, flue_dew_point_c: 20 } }))
    .condensing.dew_point_from, "given");
  const { scale } = await checked({ scale: { thickness_mm: 25.4 / 32 } });
  assert.ok(Math.abs(scale.fuel_loss_percent - 2) < 0.1, `${scale.fuel_loss_percent}`);
  assert.equal(scale.is_order_of_magnitude, true);
  assert.equal((await checked({ scale: { thickness_mm: 5 } })).scale.out_of_range, true);
});

test("short cycling from the burner's runs", async () => {
  assert.equal((await checked({})).cycling, null);
  const at = now_s() - 3 * 3600;
  for (let i = 0; i < 8; i++) {
    const run = await daemon.send("POST", "/api/v1/runs", { water: 1, machine: "burner",
      heater: 1, at: at + 400 * i, ended_at: at + 400 * i + 120 });
    assert.equal(run.status, 201, run.text);
  }
  const { cycling } = await checked({});
  assert.equal(cycling.runs, 8);
  assert.equal(cycling.median_run_s, 120);
  assert.equal(cycling.is_short, true);
});

test("checks of what cannot be are refused with the field", async () => {
  const meter = { unit: "ft3", used: 10, duration_s: 60 };
  for (const [body, code, field] of [
    [{ meter: { ...meter, used: 0 } }, "warm_up_no_fuel", "meter.used"],
    [{ meter: { ...meter, duration_s: 1 } }, "out_of_range", "meter.duration_s"],
    [{ meter: { ...meter, used: -1 } }, "out_of_range", "meter.used"],
    [{ meter: { used: 1, duration_s: 60 } }, "member_missing", "meter.unit"],
    [{ rise: { inlet_temp_c: 30, outlet_temp_c: 20, flow_l_per_s: 2 } }, "out_of_range",
      "rise.outlet_temp_c"],
    [{ rise: { inlet_temp_c: 30, outlet_temp_c: 40, flow_l_per_s: 0 } }, "out_of_range",
      "rise.flow_l_per_s"],
    [{ scale: { thickness_mm: -1 } }, "out_of_range", "scale.thickness_mm"],
    [{ condensing: {} }, "member_missing", "condensing.inlet_temp_c"],
    [{ heater: 9 }, "not_found", "heater"],
    [{ mood: 1 }, "member_unknown", "mood"],
  ]) {
    const reply = await check(body);
    assert.equal(reply.status, 422, reply.text);
    assert.equal(reply.json.code, code, reply.text);
    assert.equal(reply.json.field, field, reply.text);
  }
  const bare = await daemon.send("POST", "/api/v1/heaters",
    { name: "Bare", waters: [1], bypass: "full" });
  const reply = await check({ heater: bare.json.id });
  assert.equal(reply.json.code, "no_rated_input");
});

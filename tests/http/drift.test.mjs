// Drift of pH while nobody doses, and volume by a known dose: computed, never stored.
// Sources: k600 0.497 m/d without wind [cole-caraco-1998]; mass over rise; 0.5957 g of CaCO3
// as alkalinity a gram of bicarbonate (molar masses).

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon, { water: { surface_m2: 32, volume_m3: 48, cover: "none" } });
});
after(() => daemon.stop());

const trial = async (/** @type {string} */ what, /** @type {object} */ body) =>
  daemon.send("POST", `/api/v1/${what}/trial`, body, { "Idempotency-Key": null });
const drift = async (/** @type {object} */ body) => {
  const reply = await trial("drift", body);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
};

test("what drift needs is asked for, never guessed", async () => {
  const answer = await drift({});
  assert.equal(answer.ph, null);
  assert.deepEqual(answer.test_first.map((t) => t.quantity),
    ["ph", "total_alkalinity_mg_per_l_caco3", "water_temp_c"]);
});

test("pH rises while CO2 leaves, faster with features, hardly under a cover", async () => {
  await mustRead(daemon, { ph: 7.4, total_alkalinity_mg_per_l_caco3: 100,
    calcium_hardness_mg_per_l_caco3: 250, water_temp_c: 27 }, { at: now_s() - 600 });
  const still = await drift({ days: 7 });
  const { low, likely, high } = still.ph;
  assert.equal(likely.length, 8);
  assert.equal(likely[0], 7.4);
  for (let i = 1; i < 8; i++) {
    assert.ok(likely[i] >= likely[i - 1]);
    assert.ok(low[i] <= likely[i] && likely[i] <= high[i]);
  }
  assert.ok(likely[7] > 7.5 && likely[7] < 8.5);
  assert.equal(still.basis.transfer_m_per_d.likely, 0.5);
  assert.equal(still.basis.mean_depth_m, 1.5);
  assert.ok((await drift({ days: 7, features: "strong" })).ph.likely[7] > likely[7]);
  assert.ok((await drift({ days: 7, wind_m_per_s: 6 })).ph.likely[7] > likely[7]);
  const covered = (await drift({ days: 7, covered_fraction: 1 })).ph;
  assert.ok(Math.abs(covered.likely[7] - 7.4) < 0.011);
});

test("evaporation gathers salts only where the fill water is known", async () => {
  const before = await drift({ days: 30, evaporation_mm_per_d: 10 });
  assert.equal(before.basis.fill_is_known, false);
  assert.equal(before.calcium_hardness_mg_per_l_caco3[30], 250);
  await daemon.send("PUT", "/api/v1/waters/1/fill", { values: { ph: 7.6,
    total_alkalinity_mg_per_l_caco3: 90, calcium_hardness_mg_per_l_caco3: 150 } },
  { "Idempotency-Key": null, "If-Match": '"fill-1-0"' });
  const after = await drift({ days: 30, evaporation_mm_per_d: 10 });
  // 300 mm of 1500 bring a fifth of the fill water's 150
  assert.equal(after.calcium_hardness_mg_per_l_caco3[30], 280);
});

test("volume is mass over rise, with a band that reaches further up", async () => {
  const body = { product: "sodium_chloride", amount_g: 20000, strength_percent: 100,
    before_mg_per_l: 1000, after_mg_per_l: 1400, step_mg_per_l: 50, calibration_percent: 0 };
  const salt = (await trial("volume", body)).json;
  assert.equal(salt.volume_m3, 50);
  assert.ok(salt.high_m3 - 50 > 50 - salt.low_m3 && salt.low_m3 > 40);
  const soda = (await trial("volume", { ...body, product: "sodium_bicarbonate", amount_g: 5000,
    before_mg_per_l: 80, after_mg_per_l: 140, step_mg_per_l: 10 })).json;
  assert.ok(Math.abs(soda.volume_m3 - 5000 * 0.5957 / 60) < 0.02);
});

test("nonsense is refused by name", async () => {
  for (const [what, body, field, code] of /** @type {[string, object, string, string][]} */ ([
    ["drift", { days: 0 }, "days", "out_of_range"],
    ["drift", { days: 61 }, "days", "out_of_range"],
    ["drift", { features: "whirl" }, "features", "not_in_list"],
    ["drift", { covered_fraction: 2 }, "covered_fraction", "out_of_range"],
    ["drift", { heater: 1 }, "water", "member_missing"],
    ["volume", { product: "sodium_chloride", amount_g: 100, before_mg_per_l: 1000,
      after_mg_per_l: 1010, step_mg_per_l: 50 }, "after_mg_per_l", "rise_too_small"],
    ["volume", { product: "sodium_chloride", amount_g: 100, before_mg_per_l: 1000,
      after_mg_per_l: 900, step_mg_per_l: 1 }, "after_mg_per_l", "rise_too_small"],
    ["volume", { product: "borax", amount_g: 100, before_mg_per_l: 0, after_mg_per_l: 9,
      step_mg_per_l: 1 }, "product", "not_in_list"],
    ["volume", { product: "sodium_chloride", amount_g: -5, before_mg_per_l: 0,
      after_mg_per_l: 9, step_mg_per_l: 1 }, "amount_g", "out_of_range"],
    ["volume", { product: "sodium_chloride", amount_g: 5, strength_percent: 101,
      before_mg_per_l: 0, after_mg_per_l: 9, step_mg_per_l: 1 }, "strength_percent",
    "out_of_range"],
  ])) {
    const reply = await trial(what, body);
    assert.equal(reply.status, 422, reply.text);
    assert.deepEqual([reply.json.field, reply.json.code], [field, code]);
  }
});

// What no water, product or wish can be: refused by the name of its field, everywhere
// that Treatment takes it, and never a number that is none.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon, { water: { lining: "plaster" } });
  await mustRead(daemon, { ph: 7.5, free_chlorine_mg_per_l: 3,
    total_alkalinity_mg_per_l_caco3: 100, calcium_hardness_mg_per_l_caco3: 250,
    cyanuric_acid_mg_per_l: 40, water_temp_c: 27 }, { at: now_s() - 600 });
});
after(() => daemon.stop());

const TRIAL = "treatment/trial";
const fill = { ph: 7.6, total_alkalinity_mg_per_l_caco3: 100 };
const dose = { water: 1, product: "hydrochloric_acid", amount: 300, by: "Robin" };
const weighed = { product: "sodium_chloride", amount_g: 20000, before_mg_per_l: 1000,
  after_mg_per_l: 1400, step_mg_per_l: 10 };

/** What, path, body, the field that is named, and how.
 * @type {[string, string, object, string, string][]} */
const CASES = [
  // cyanuric acid and borate hold more alkalinity at that pH than there is in all: the
  // carbon would be below zero
  ["alkalinity below what cyanuric acid allows", TRIAL,
    { values: { cyanuric_acid_mg_per_l: 300, total_alkalinity_mg_per_l_caco3: 20, ph: 8 } },
    "total_alkalinity_mg_per_l_caco3", "no_such_water"],
  ["alkalinity below what borate allows", TRIAL,
    { values: { borate_mg_per_l_b: 50, total_alkalinity_mg_per_l_caco3: 5, ph: 8.5 } },
    "total_alkalinity_mg_per_l_caco3", "no_such_water"],
  ["alkalinity below zero", TRIAL,
    { values: { total_alkalinity_mg_per_l_caco3: -1 } },
    "values.total_alkalinity_mg_per_l_caco3", "out_of_range"],
  ["pH without alkalinity", TRIAL, { fill: { ph: 7.6 } },
    "fill.total_alkalinity_mg_per_l_caco3", "member_missing"],
  ["alkalinity without pH", TRIAL, { fill: { total_alkalinity_mg_per_l_caco3: 90 } },
    "fill.ph", "member_missing"],
  ["fill water that cannot be", TRIAL,
    { fill: { ...fill, total_alkalinity_mg_per_l_caco3: -1 } },
    "fill.total_alkalinity_mg_per_l_caco3", "out_of_range"],
  ["volume zero", TRIAL, { volume_m3: 0 }, "volume_m3", "out_of_range"],
  ["volume below zero", TRIAL, { volume_m3: -40 }, "volume_m3", "out_of_range"],
  ["ranges that contradict themselves", TRIAL, { wanted: { ph: { low: 7.6, high: 7.4 } } },
    "wanted.ph.high", "out_of_range"],
  ["a range without an end", TRIAL, { wanted: { ph: { low: 7.2 } } },
    "wanted.ph.high", "member_missing"],
  ["a limit of zero", TRIAL, { limits: { chlorine_mg_per_l: 0 } },
    "limits.chlorine_mg_per_l", "out_of_range"],
  ["a value as text", TRIAL, { values: { ph: "7.5" } }, "values.ph", "wrong_type"],
  ["a dose of the wrong sign", "doses", { ...dose, amount: -300 }, "amount", "out_of_range"],
  ["a dose of nothing", "doses", { ...dose, amount: 0 }, "amount", "out_of_range"],
  ["a dose stronger than all of it", "doses", { ...dose, strength_percent: 101 },
    "strength_percent", "out_of_range"],
  ["a dose of an unknown product", "doses", { ...dose, product: "moon_dust" }, "product",
    "not_in_list"],
  ["stock of the wrong sign", "shed", { product: "borax", amount_left: -1 }, "amount_left",
    "out_of_range"],
  ["stock stronger than all of it", "shed",
    { product: "borax", amount_left: 1, strength_percent: 100.1 }, "strength_percent",
    "out_of_range"],
  ["stock of an unknown product", "shed", { product: "moon_dust", amount_left: 1 },
    "product", "not_in_list"],
  ["a weighed dose of the wrong sign", "volume/trial", { ...weighed, amount_g: -1 },
    "amount_g", "out_of_range"],
  ["a test that fell after a dose", "volume/trial", { ...weighed, after_mg_per_l: 900 },
    "after_mg_per_l", "rise_too_small"],
  ["a weighed dose of an unknown product", "volume/trial",
    { ...weighed, product: "moon_dust" }, "product", "not_in_list"],
];

for (const [what, path, body, field, code] of CASES)
  test(`${what} is refused by the name of ${field}`, async () => {
    const reply = await daemon.send("POST", `/api/v1/${path}`, body);
    assert.equal(reply.status, 422, reply.text);
    const faults = reply.json.errors ?? [reply.json];
    assert.deepEqual(faults.map((/** @type {any} */ f) => [f.field, f.code]), [[field, code]],
      reply.text);
    assert.doesNotMatch(reply.text, /\bnan\b|\binf(inity)?\b/i);
  });

test("pH without alkalinity makes no plan but asks for the test", async () => {
  const other = await startDaemon();
  try {
    await setUp(other);
    await mustRead(other, { ph: 7.5, free_chlorine_mg_per_l: 3, cyanuric_acid_mg_per_l: 40,
      water_temp_c: 27 }, { at: now_s() - 600 });
    const reply = await other.get("/api/v1/treatment");
    assert.equal(reply.status, 200, reply.text);
    assert.equal(reply.json.can_plan, false);
    assert.deepEqual(reply.json.steps, []);
    assert.ok(reply.json.test_first.some((/** @type {any} */ t) =>
      t.quantity === "total_alkalinity_mg_per_l_caco3" && t.why === "never_tested"));
    assert.doesNotMatch(reply.text, /\bnan\b|\binf(inity)?\b/i);
  } finally {
    await other.stop();
  }
});

// What a plan is made for: wanted ranges and limits of one dose kept per water, the shed's
// measures and ageing, the heater's own figures.
// Sources: 4.18 kJ/(kg K) of water [iapws-if97]; half of 12.5 % liquid chlorine is gone in
// some 150 days at 25 °C, the trade's tables, common practice, no source.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, permit, setUp } from "../support/household.mjs";

const VALUES = { ph: 7.9, free_chlorine_mg_per_l: 1, total_alkalinity_mg_per_l_caco3: 100,
  calcium_hardness_mg_per_l_caco3: 250, cyanuric_acid_mg_per_l: 40, water_temp_c: 27 };
const NO_KEY = { "Idempotency-Key": null };
const PATH = "/api/v1/waters/1/wanted";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon, { water: { lining: "plaster" } });
  await mustRead(daemon, VALUES, { at: now_s() - 600 });
});
after(() => daemon.stop());

const put = (/** @type {object} */ body, /** @type {string} */ tag) =>
  daemon.send("PUT", PATH, body, { ...NO_KEY, "If-Match": tag });
const plan = async () => (await daemon.get("/api/v1/treatment")).json;
const trial = (/** @type {object} */ body) =>
  daemon.send("POST", "/api/v1/treatment/trial", body, NO_KEY);
/** @param {any} answer @param {string} quantity */
const wantedOf = (answer, quantity) =>
  answer.values.find((v) => v.quantity === quantity)?.wanted ?? null;
const stock = async (/** @type {object} */ item) => {
  const reply = await daemon.send("POST", "/api/v1/shed", item);
  assert.equal(reply.status, 201, reply.text);
  return reply.json;
};
const empty = async () => {
  for (const item of (await daemon.get("/api/v1/shed")).json.shed)
    await daemon.send("PUT", `/api/v1/shed/${item.id}`, { product: item.product,
      amount_left: 0, gone: true }, { ...NO_KEY, "If-Match": item.etag });
};

test("before anybody says what is wanted, defaults hold and name their source", async () => {
  const reply = await daemon.get(PATH);
  assert.equal(reply.headers.etag, '"wanted-1-0"');
  assert.deepEqual([reply.json.wanted, reply.json.limits, reply.json.changed_at], [{}, {}, null]);
  assert.deepEqual(reply.json.defaults.wanted.ph,
    { low: 7.4, high: 7.6, source: "mil-hdbk-1027-4a" });
  assert.equal(reply.json.defaults.wanted.salt_mg_per_l_nacl, null);
  assert.equal(reply.json.defaults.limits.acid_mg_per_l_caco3, 10);
  assert.equal(reply.json.defaults.limits_source, "common practice, no source");
});

test("kept ranges and limits are what the next plan is made for", async () => {
  assert.equal((await plan()).steps[0].part_count, 1);
  let reply = await put({ wanted: { ph: { low: 7.2, high: 7.4 }, cyanuric_acid_mg_per_l: null },
    limits: { acid_mg_per_l_caco3: 2 }, by: "Dana" }, '"wanted-1-0"');
  assert.equal(reply.status, 200, reply.text);
  assert.equal(reply.json.version, 1);
  const answer = await plan();
  assert.deepEqual(wantedOf(answer, "ph"), { low: 7.2, high: 7.4, source: "own" });
  assert.equal(wantedOf(answer, "cyanuric_acid_mg_per_l"), null);
  assert.equal(wantedOf(answer, "free_chlorine_mg_per_l").source, "common practice, no source");
  assert.ok(answer.steps.filter((s) => s.product === "hydrochloric_acid").length > 2);
  // what a trial says goes before what is kept
  reply = await trial({ wanted: { ph: { low: 7.4, high: 7.6 } } });
  assert.equal(wantedOf(reply.json, "ph").low, 7.4);
  assert.equal((await put({}, '"wanted-1-0"')).status, 412);
  reply = await put({}, '"wanted-1-1"');
  assert.deepEqual([reply.json.wanted, reply.json.limits], [{}, {}]);
  assert.equal(wantedOf(await plan(), "ph").source, "mil-hdbk-1027-4a");
});

test("ranges that contradict themselves are refused by the field's whole name", async () => {
  for (const [body, field] of /** @type {[object, string][]} */ ([
    [{ wanted: { ph: { low: 7.6, high: 7.4 } } }, "wanted.ph.high"],
    [{ wanted: { total_alkalinity_mg_per_l_caco3: { low: 120, high: 80 } } },
      "wanted.total_alkalinity_mg_per_l_caco3.high"],
    [{ wanted: { ph: { low: 7.2 } } }, "wanted.ph.high"],
    [{ wanted: { ph: { low: 0, high: 7 } } }, "wanted.ph.low"],
    [{ wanted: { colour: null } }, "wanted.colour"],
    [{ limits: { acid_mg_per_l_caco3: 0 } }, "limits.acid_mg_per_l_caco3"],
    [{ limits: { acid: 5 } }, "limits.acid"],
  ])) {
    for (const reply of [await put(body, '"wanted-1-2"'), await trial(body)]) {
      assert.equal(reply.status, 422, reply.text);
      assert.equal(reply.json.field, field);
    }
  }
  assert.equal((await daemon.get("/api/v1/waters/99/wanted")).status, 404);
});

test("a range past the heater's limits is planned for, and said", async () => {
  const reply = await trial({ wanted: { ph: { low: 6.8, high: 7.1 },
    free_chlorine_mg_per_l: { low: 6, high: 8 } } });
  const said = reply.json.cautions.filter((c) => /must not pass the heater/.test(c));
  assert.equal(said.length, 2);
  assert.match(said[0], /below 7\.2/);
  assert.match(said[1], /above 5 mg\/L/);
  assert.ok(!(await plan()).cautions.some((c) => /must not pass/.test(c)));
});

test("amounts are told in what the shed measures with", async () => {
  await stock({ product: "sodium_bicarbonate", amount_left: 20000, strength_percent: 100,
    measure: { kind: "scoop", size: 250 } });
  const wanted = Object.fromEntries(["ph", "free_chlorine_mg_per_l", "cyanuric_acid_mg_per_l",
    "calcium_hardness_mg_per_l_caco3"].map((key) => [key, null]));
  const [dose] = (await trial({ wanted, volume_m3: 40,
    values: { total_alkalinity_mg_per_l_caco3: 70 } })).json.steps;
  // 70 to 90 in 40 m3 by 1.6787 g per m3 and mg/L: 1343 g, in half scoops 1375
  assert.equal(dose.amount, 1375);
  assert.deepEqual(dose.measure, { kind: "scoop", size: 250, count: 5.5 });
  await empty();
});

test("liquid chlorine gets old by its days and its store, and a plan takes more of it", async () => {
  const at = now_s();
  const fresh = await stock({ product: "sodium_hypochlorite", amount_left: 20000 });
  assert.equal(fresh.aged, null); // nobody said when it was bought
  const amountOf = async () => (await plan()).steps.find((s) =>
    s.product === "sodium_hypochlorite");
  const first = await amountOf();
  assert.equal(first.strength_percent, 12.5);
  await empty();
  const old = await stock({ product: "sodium_hypochlorite", amount_left: 20000,
    bought_at: at - 150 * 86400 });
  assert.ok(old.aged.strength_percent > 12.5 / 3 && old.aged.strength_percent < 12.5 * 2 / 3);
  assert.deepEqual([old.strength_percent, old.aged.age_d, old.aged.temp_c,
    old.aged.temp_is_assumed], [12.5, 150, 25, true]);
  const second = await amountOf();
  assert.equal(second.strength_percent, old.aged.strength_percent);
  assert.ok(Math.abs(second.amount * second.strength_percent
    / (first.amount * first.strength_percent) - 1) < 0.03);
  await empty();
  const cool = await stock({ product: "sodium_hypochlorite", amount_left: 20000,
    bought_at: at - 150 * 86400, stored_temp_c: 10 });
  assert.ok(cool.aged.strength_percent > 10 && !cool.aged.temp_is_assumed);
  const salt = await stock({ product: "sodium_chloride", amount_left: 1, bought_at: 1 });
  assert.equal(salt.aged, null);
  await empty();
});

test("strengths are taken as labels print them", async () => {
  const strength = async (/** @type {object} */ item) =>
    (await stock({ amount_left: 1, ...item })).strength_percent;
  const near = (/** @type {number} */ a, /** @type {number} */ b) =>
    assert.ok(Math.abs(a - b) < 0.15, `${a} ${b}`);
  // 20 °Bé 31.45 %; 10.8 and 11.3 % by weight are 12.5 trade percent [white-1972]
  near(await strength({ product: "hydrochloric_acid", strength_degrees_baume: 20 }), 31.45);
  near(await strength({ product: "sodium_hypochlorite",
    strength_available_weight_percent: 10.8 }), 12.5);
  near(await strength({ product: "sodium_hypochlorite",
    strength_hypochlorite_weight_percent: 11.3 }), 12.5);
  near(await strength({ product: "calcium_chloride", strength_dihydrate_percent: 100 }), 75.5);
  await empty();
  for (const [item, field] of /** @type {[object, string][]} */ ([
    [{ product: "borax", strength_degrees_baume: 20 }, "strength_degrees_baume"],
    [{ product: "hydrochloric_acid", strength_degrees_baume: 20, strength_percent: 31 },
      "strength_degrees_baume"],
    [{ product: "borax", strength_percent: 101 }, "strength_percent"],
    [{ product: "borax", measure: { kind: "spoon", size: 5 } }, "measure.kind"],
    [{ product: "borax", measure: { kind: "scale" } }, "measure.size"],
    [{ product: "hydrochloric_acid", measure: { kind: "scale", size: 5 } }, "measure.kind"],
    [{ product: "borax", stored_temp_c: 90 }, "stored_temp_c"],
    [{ product: "unobtainium" }, "product"],
  ])) {
    const reply = await daemon.send("POST", "/api/v1/shed", { amount_left: 1, ...item });
    assert.equal(reply.status, 422, reply.text);
    assert.equal(reply.json.field, field);
  }
});

test("the hot surface is reckoned where the heater's figures are known", async () => {
  const heater = async (/** @type {object} */ figures) => {
    const old = (await daemon.get("/api/v1/heaters/1")).json;
    const { name, waters, bypass, fuel, metal, limits } = old;
    const reply = await daemon.send("PUT", "/api/v1/heaters/1", { name, waters, bypass, fuel,
      metal, limits, ...figures }, { ...NO_KEY, "If-Match": old.etag });
    assert.equal(reply.status, 200, reply.text);
    return reply.json;
  };
  const rise = async () => (await plan()).saturation;
  assert.equal((await rise()).surface_rise_k, 15);
  // 100 kW at 83.6 % into 2 kg/s of 4180 J/(kg K): 10 K; the film as the heater's owner says
  const kept = await heater({ input_w: 100000, efficiency_percent: 83.6, flow_m3_per_h: 7.2,
    film_rise_k: 12 });
  assert.deepEqual([kept.efficiency_percent, kept.flow_m3_per_h, kept.film_rise_k],
    [83.6, 7.2, 12]);
  let found = await rise();
  assert.ok(Math.abs(found.surface_rise_k - 22) < 0.02);
  assert.match(found.surface_rise_source, /outlet from the heater.*film given/);
  await heater({ input_w: 100000, efficiency_percent: 83.6, flow_m3_per_h: 7.2 });
  found = await rise();
  assert.ok(Math.abs(found.surface_rise_k - 25) < 0.02);
  assert.match(found.surface_rise_source, /film illustrative/);
  await heater({ film_rise_k: 8 });
  assert.equal((await rise()).surface_rise_k, 8);
  await heater({ input_w: 100000, flow_m3_per_h: 7.2 }); // no efficiency: nothing is reckoned
  found = await rise();
  assert.deepEqual([found.surface_rise_k, /illustrative/.test(found.surface_rise_source)],
    [15, true]);
  const bad = await daemon.send("PUT", "/api/v1/heaters/1", { name: "H", waters: [1],
    bypass: "full", flow_m3_per_h: 0 },
  { ...NO_KEY, "If-Match": (await daemon.get("/api/v1/heaters/1")).json.etag });
  assert.equal(bad.json.field, "flow_m3_per_h");
});

test("the permit warns of scale with what is known of the index, and of that surface", async () => {
  await mustRead(daemon, { ...VALUES, ph: 7.6,
    calcium_hardness_mg_per_l_caco3: 900, total_alkalinity_mg_per_l_caco3: 160,
    free_chlorine_mg_per_l: 3 }, { at: now_s() - 60 });
  const scale = (await permit(daemon)).cautions.find((c) => c.rule === "scale_at_hot_surface");
  assert.match(scale.text, /index \+\d\.\d ± 0\.\d\. How hot the surface gets is assumed/);
  assert.ok(scale.saturation_half_width >= 0.1);
});

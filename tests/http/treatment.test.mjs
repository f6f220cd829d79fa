// The shed and the plan of treatment, over the socket.
// Sources: 1.6787 g of pure bicarbonate per m3 and mg/L of alkalinity (stoichiometry);
// pH 7.4 to 7.6 MIL-HDBK-1027/4A; other ranges common practice, no source.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, permit, setUp } from "../support/household.mjs";

const GOOD = {
  ph: 7.5, free_chlorine_mg_per_l: 3, total_alkalinity_mg_per_l_caco3: 100,
  calcium_hardness_mg_per_l_caco3: 250, cyanuric_acid_mg_per_l: 40, water_temp_c: 27,
};
const DEFAULTS = { "Idempotency-Key": null };

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

/** @param {object} body */
const trial = (body) => daemon.send("POST", "/api/v1/treatment/trial", body, DEFAULTS);
const plan = async () => {
  const reply = await daemon.get("/api/v1/treatment");
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
};
/** @param {any} answer @param {string} quantity */
const value = (answer, quantity) => answer.values.find((v) => v.quantity === quantity);

test("before setup there is no plan but a way on", async () => {
  const reply = await daemon.get("/api/v1/treatment");
  assert.equal(reply.status, 409);
  assert.equal(reply.json.code, "not_set_up");
});

test("what nobody tested is asked for, never guessed", async () => {
  await setUp(daemon, { water: { lining: "plaster" } });
  const answer = await plan();
  assert.equal(answer.can_plan, false);
  assert.deepEqual(answer.steps, []);
  assert.deepEqual(answer.test_first.map((t) => `${t.quantity} ${t.why}`), [
    "ph never_tested", "free_chlorine_mg_per_l never_tested",
    "total_alkalinity_mg_per_l_caco3 never_tested", "water_temp_c never_tested",
    "calcium_hardness_mg_per_l_caco3 never_tested",
    "cyanuric_acid_mg_per_l never_tested"]);
});

test("water inside its ranges needs nothing; what is assumed is named", async () => {
  await mustRead(daemon, GOOD, { at: now_s() - 600 });
  const answer = await plan();
  assert.equal(answer.can_plan, true);
  assert.deepEqual(answer.steps, []);
  assert.deepEqual(answer.values.map((v) => v.outcome), Array(5).fill("in_range"));
  assert.deepEqual(answer.assumed.map((a) => a.quantity),
    ["salt_mg_per_l_nacl", "sulfate_mg_per_l", "magnesium_mg_per_l", "borate_mg_per_l_b"]);
  assert.equal(value(answer, "ph").wanted.source, "mil-hdbk-1027-4a");
  assert.match(answer.saturation.surface_rise_source, /illustrative/);
  assert.ok(answer.saturation.surface.start > answer.saturation.pool.start);
  assert.ok(answer.saturation.pool.half_width >= 0.05);
  assert.match(answer.cautions.join(" "), /Never mix/);
});

test("the shed keeps what is there, with versions", async () => {
  const made = await daemon.send("POST", "/api/v1/shed",
    { product: "sodium_bicarbonate", strength_percent: 100, amount_left: 5000,
      name: "Blue bucket", by: "Robin" });
  assert.equal(made.status, 201, made.text);
  assert.equal(made.headers.location, "/api/v1/shed/1");
  assert.equal(made.headers.etag, '"shed-1-1"');
  assert.equal(made.json.unit, "g");
  const put = await daemon.send("PUT", "/api/v1/shed/1",
    { product: "sodium_bicarbonate", strength_percent: 100, amount_left: 4000 },
    { "If-Match": made.headers.etag });
  assert.equal(put.status, 200, put.text);
  assert.equal(put.json.version, 2);
  const late = await daemon.send("PUT", "/api/v1/shed/1",
    { product: "sodium_bicarbonate", amount_left: 1 }, { "If-Match": made.headers.etag });
  assert.equal(late.status, 412);
  const list = await daemon.get("/api/v1/shed");
  assert.deepEqual(list.json.shed.map((i) => i.amount_left), [4000]);
  const bad = await daemon.send("POST", "/api/v1/shed",
    { product: "sodium_hydroxide", amount_left: -1 });
  assert.equal(bad.status, 422);
  assert.deepEqual(bad.json.errors.map((e) => e.field), ["strength_percent", "amount_left"]);
});

test("a usual strength is filled in; gone things leave the list", async () => {
  const made = await daemon.send("POST", "/api/v1/shed",
    { product: "hydrochloric_acid", amount_left: 3000 });
  assert.equal(made.json.strength_percent, 31.45);
  assert.equal(made.json.unit, "mL");
  const other = await daemon.send("POST", "/api/v1/shed",
    { product: "borax", amount_left: 10 });
  const gone = await daemon.send("PUT", other.headers.location,
    { product: "borax", amount_left: 0, gone: true }, { "If-Match": other.headers.etag });
  assert.equal(gone.status, 200);
  const list = await daemon.get("/api/v1/shed");
  assert.deepEqual(list.json.shed.map((i) => i.id), [1, 2]);
  assert.equal((await daemon.get(other.headers.location)).json.gone, true);
});

test("a trial computes for other values and stores nothing", async () => {
  const before = await daemon.get("/api/v1/readings?water=1&limit=10");
  const reply = await trial({
    values: { total_alkalinity_mg_per_l_caco3: 60 },
    wanted: { ph: null, total_alkalinity_mg_per_l_caco3: { low: 80, high: 120 } } });
  assert.equal(reply.status, 200, reply.text);
  const [step, ...rest] = reply.json.steps;
  assert.equal(rest.length, 0, JSON.stringify(rest));
  assert.equal(step.product, "sodium_bicarbonate");
  assert.equal(step.shed, 1);
  // 60 to 90 in 40 m3, by 1.6787 g
  assert.ok(Math.abs(step.amount - 30 * 40 * 1.6787) <= 15, String(step.amount));
  assert.equal(step.before.total_alkalinity_mg_per_l_caco3, 60);
  assert.ok(Math.abs(step.after.total_alkalinity_mg_per_l_caco3 - 90) < 0.5);
  assert.equal(step.pump_on, true);
  assert.equal(value(reply.json, "total_alkalinity_mg_per_l_caco3").is_trial, true);
  assert.equal(value(reply.json, "total_alkalinity_mg_per_l_caco3").wanted.source, "own");
  const now = await daemon.get("/api/v1/readings?water=1&limit=10");
  assert.equal(now.text, before.text);
});

test("acid and chlorine never follow in one place without hours between", async () => {
  const reply = await trial({ values: { ph: 7.9, free_chlorine_mg_per_l: 1 } });
  const doses = reply.json.steps.filter((s) => s.kind === "dose");
  assert.deepEqual(doses.map((s) => s.product),
    ["hydrochloric_acid", "sodium_hypochlorite"]);
  assert.ok(doses[0].wait_h >= 4);
  assert.equal(doses[1].other_place, true);
  assert.match(doses[0].cautions.join(" "), /Acid goes into water, never water into acid/);
  assert.match(doses[1].cautions.join(" "), /poison gas/);
  assert.equal(doses[1].shed, null);
  assert.equal(reply.json.to_buy, 1);
});

test("only replacing water: at least so much, or with the fill water's values", async () => {
  const values = { cyanuric_acid_mg_per_l: 100 };
  let reply = await trial({ values });
  assert.equal(value(reply.json, "cyanuric_acid_mg_per_l").outcome, "fill_unknown");
  assert.deepEqual(reply.json.replace, { fraction: 0.5, volume_m3: 20, is_least: true });
  reply = await trial({ values, fill: { ph: 7.6, total_alkalinity_mg_per_l_caco3: 100,
    calcium_hardness_mg_per_l_caco3: 250 } });
  assert.equal(reply.json.replace.is_least, false);
  assert.equal(reply.json.replace.fraction, 0.55); // 100 to 45
  assert.equal(reply.json.steps[0].kind, "replace");
  assert.equal(reply.json.steps[0].pump_on, false);
});

test("the fill water's values are kept per water, in versions, and used by a plan", async () => {
  const path = "/api/v1/waters/1/fill";
  const put = (body, tag) => daemon.send("PUT", path, body,
    { ...DEFAULTS, ...(tag ? { "If-Match": tag } : {}) });
  const values = { ph: 7.6, total_alkalinity_mg_per_l_caco3: 100,
    calcium_hardness_mg_per_l_caco3: 250 };
  let reply = await daemon.get(path);
  assert.equal(reply.headers.etag, '"fill-1-0"');
  assert.equal(reply.json.values, null);
  assert.equal((await put({ values })).status, 428);
  reply = await put({ values: { ph: 7.6 } }, '"fill-1-0"');
  assert.equal(reply.status, 422);
  assert.equal(reply.json.errors[0].field, "values.total_alkalinity_mg_per_l_caco3");
  reply = await put({ values, by: "Dana" }, '"fill-1-0"');
  assert.equal(reply.status, 200, reply.text);
  assert.equal(reply.headers.etag, '"fill-1-1"');
  assert.deepEqual((await daemon.get(path)).json.values, values);
  assert.equal((await put({ values: null }, '"fill-1-0"')).status, 412);

  const high = { values: { cyanuric_acid_mg_per_l: 100 } };
  reply = await trial(high);
  assert.equal(reply.json.replace.is_least, false);
  assert.equal(reply.json.replace.fraction, 0.55); // 100 to 45 with none in the fill water
  reply = await trial({ ...high, fill: { ...values, cyanuric_acid_mg_per_l: 12 } });
  assert.equal(reply.json.replace.fraction, 0.625); // 55 of 88, sent values go first

  assert.equal((await put({ values: null }, '"fill-1-1"')).json.version, 2);
  assert.equal((await trial(high)).json.replace.is_least, true);
  assert.equal((await daemon.get("/api/v1/waters/99/fill")).status, 404);
});

test("a dose is split by its own limit, and by one that is sent", async () => {
  const values = { total_alkalinity_mg_per_l_caco3: 60 };
  const parts = async (/** @type {object | undefined} */ limits) => {
    const reply = await trial({ values, ...(limits ? { limits } : {}) });
    const doses = reply.json.steps.filter((s) => s.product === "sodium_bicarbonate");
    return doses[0].part_count;
  };
  // 60 to 90 (a quarter inside 80 to 120) is 30 mg/L: once by 50, twice by 20
  assert.equal(await parts(undefined), 1);
  assert.equal(await parts({ bicarbonate_mg_per_l_caco3: 20 }), 2);
  const reply = await trial({ limits: { acid_mg_per_l_caco3: 0 } });
  assert.equal(reply.status, 422);
  assert.equal(reply.json.errors[0].field, "limits.acid_mg_per_l_caco3");
});

test("contradictions are named by field", async () => {
  for (const [body, field, code] of [
    [{ wanted: { ph: { low: 7.6, high: 7.4 } } }, "wanted.ph.high", "out_of_range"],
    [{ values: { ph: 15 } }, "values.ph", "out_of_range"],
    [{ values: { colour: 1 } }, "values.colour", "member_unknown"],
    [{ volume_m3: 0 }, "volume_m3", "out_of_range"],
    [{ fill: { ph: 7 } }, "fill.total_alkalinity_mg_per_l_caco3", "member_missing"],
    [{ values: { cyanuric_acid_mg_per_l: 400, total_alkalinity_mg_per_l_caco3: 20,
      ph: 8.2 } }, "total_alkalinity_mg_per_l_caco3", "no_such_water"],
    [{ heater: 1 }, "water", "member_missing"],
  ]) {
    const reply = await trial(/** @type {object} */ (body));
    assert.equal(reply.status, 422, reply.text);
    assert.equal(reply.json.field, field);
    assert.equal(reply.json.code, code);
  }
});

test("a trial is a call of our own pages only", async () => {
  const reply = await daemon.send("POST", "/api/v1/treatment/trial", {},
    { ...DEFAULTS, "Coilkeep-Change": null });
  assert.equal(reply.status, 403);
});

test("after a dose its values must be tested before the next plan", async () => {
  await daemon.send("POST", "/api/v1/doses", { water: 1, product: "hydrochloric_acid",
    amount: 300, strength_percent: 31.45, by: "Robin", at: now_s() - 400 });
  const answer = await plan();
  assert.equal(answer.can_plan, false);
  assert.deepEqual(answer.test_first, [
    { quantity: "ph", why: "after_dose" },
    { quantity: "total_alkalinity_mg_per_l_caco3", why: "after_dose" }]);
  const known = await trial({ values: { ph: 7.4, total_alkalinity_mg_per_l_caco3: 95 } });
  assert.equal(known.json.can_plan, true);
});

test("scale at the hot surface and a dissolving lining are cautions of the permit", async () => {
  await mustRead(daemon, { ...GOOD, total_alkalinity_mg_per_l_caco3: 200,
    calcium_hardness_mg_per_l_caco3: 900 }, { at: now_s() - 200 });
  let answer = await permit(daemon);
  assert.equal(answer.permit, "run", JSON.stringify(answer));
  const scale = answer.cautions.find((c) => c.rule === "scale_at_hot_surface");
  assert.ok(scale.saturation_index > 0.5 && scale.saturation_limit === 0.5);
  assert.match(scale.text, /assumed, not measured/);
  await mustRead(daemon, { ...GOOD, ph: 7.25, total_alkalinity_mg_per_l_caco3: 50,
    calcium_hardness_mg_per_l_caco3: 60 }, { at: now_s() - 100 });
  answer = await permit(daemon);
  assert.equal(answer.permit, "run", JSON.stringify(answer));
  assert.ok(answer.cautions.some((c) => c.rule === "lining_dissolves"));
  assert.ok(!JSON.stringify(answer.cautions).match(/copper/i));
});

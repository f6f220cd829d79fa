// The line of a heater over the socket: what is stored, what is wrong with it, what is
// in its pipes, and every body that is no line.
// Sources: chlorine in after the heater MIL-HDBK-1027/4A and common practice; acid and
// chlorine fed into a stopped line CDC MMWR 66(19), 2017; g/h over 3.6 L/s, by
// arithmetic; 1.3228 g of chlorine per ampere-hour and cell, Faraday's law.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { HEATER, mustRead, now_s, permit, rules, setUp } from "../support/household.mjs";
import { chain, feederFirst, soundLine } from "../support/line.mjs";

const GOOD = {
  ph: 7.5, free_chlorine_mg_per_l: 3, total_alkalinity_mg_per_l_caco3: 100,
  calcium_hardness_mg_per_l_caco3: 250, cyanuric_acid_mg_per_l: 30, water_temp_c: 27,
};

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

/** @param {object} body @param {string} [query] */
const trial = (body, query = "") =>
  daemon.send("POST", `/api/v1/line/trial${query}`, body, { "Idempotency-Key": null });
/** @param {object} body @param {string} [query] */
async function judged(body, query = "") {
  const reply = await trial(body, query);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}
/** @param {string} [query] */
async function stored(query = "") {
  const reply = await daemon.get(`/api/v1/line${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply;
}
/** @param {object} body @param {string} tag @param {string} [query] */
const put = (body, tag, query = "") =>
  daemon.send("PUT", `/api/v1/line${query}`, body,
    { "If-Match": tag, "Idempotency-Key": null });
/** @param {any} line @param {number} id */
const part = (line, id) => line.parts.find((p) => p.id === id);
/** Severity and code of every fault, in order. @param {any} answer */
const faults = (answer) => answer.faults.map((f) => `${f.severity} ${f.code}`);
/** @param {number} got @param {number} want @param {number} within */
const near = (got, want, within) =>
  assert.ok(Math.abs(got - want) <= within, `${got} is not ${want} within ${within}`);

test("before setup there is no line but a way on", async () => {
  for (const reply of [await daemon.get("/api/v1/line"), await trial(soundLine())]) {
    assert.equal(reply.status, 409);
    assert.equal(reply.json.code, "not_set_up");
  }
});

test("a line that nobody described is empty, with a tag and no answer", async () => {
  await setUp(daemon);
  const reply = await stored();
  assert.equal(reply.headers.etag, '"line-1-0"');
  assert.deepEqual(reply.json, { heater: 1, version: 0, changed_at: null, parts: [],
    edges: [], positions: [], answer: null });
  assert.equal((await daemon.get("/api/v1/line?heater=99")).status, 404);
  assert.equal((await daemon.get("/api/v1/line?hours=-1")).status, 400);
  assert.equal((await daemon.get("/api/v1/line?hours=8.5")).status, 400);
});

test("without readings faults are found, and numbers know what they do not know", async () => {
  const answer = await judged(feederFirst());
  assert.deepEqual(faults(answer), ["stop chlorine_before_heater"]);
  assert.equal(answer.water, null);
  // 180 g in 10 h at 90 %: 16.2 g/h into 2.5 L/s
  near(answer.feed[0].fed_g_per_h, 16.2, 1e-9);
  near(answer.feed[0].added_mg_per_l, 16.2 / 3.6 / 2.5, 0.005);
  for (const name of ["chlorine_mg_per_l", "hocl_mg_per_l", "ph"])
    assert.equal(answer.feed[0][name], null, name);
  assert.equal(answer.standing.spread.ph, null);
  assert.equal(answer.standing.flush_s, null);
  assert.ok(answer.assumptions.some((a) => a.code === "water_temp_not_tested"));
});

test("a sound line is well, and says what it takes for granted", async () => {
  await mustRead(daemon, GOOD, { at: now_s() - 600 });
  const answer = await judged(soundLine());
  assert.deepEqual(faults(answer), []);
  assert.equal(answer.all_is_well, true);
  assert.equal(answer.water_side, "run");
  assert.equal(answer.burner_side, "run");
  assert.equal(answer.standing, null);
  assert.deepEqual(answer.assumptions.map((a) => a.code),
    ["pool_mixed", "valves_tight", "check_valves_tight", "pump_flow_as_given"]);
  assert.deepEqual(answer.notes.map((n) => n.code),
    ["heater_could_be_shut_in", "pump_could_be_shut"]);
  assert.match(answer.notes_method, /all open and all shut/);
  assert.equal(answer.water.ph, 7.5);
  assert.match(answer.cautions.join(" "), /relieve the pressure.*Never mix.*out of the water.*[Ll]ocal codes.*licensed electrician/);
});

test("the feeder before the heater: path, change, chlorine and pH at the heater", async () => {
  const answer = await judged(feederFirst(), "?heater=1");
  const [fault] = answer.faults;
  assert.equal(answer.water_side, "hold");
  assert.equal(answer.burner_side, "run");
  assert.deepEqual([fault.code, fault.severity, fault.side, fault.part, fault.other],
    ["chlorine_before_heater", "stop", "water", 7, 5]);
  assert.deepEqual(fault.path, [7, 4, 5]);
  assert.deepEqual(fault.positions, ["normal"]);
  assert.deepEqual([fault.change.code, fault.change.after], ["move_after_heater", 6]);
  near(answer.feed[0].chlorine_mg_per_l, 3 + 1.8, 0.005);
  assert.ok(answer.feed[0].ph < 7.5 && answer.feed[0].ph > 7.2, `${answer.feed[0].ph}`);
  // 4 + 120 + 8 L stand; 16.2 g/h for 8 h
  near(answer.standing.standing_l, 132, 0.05);
  near(answer.standing.spread.chlorine_g, 129.6, 0.05);
  near(answer.standing.spread.peak_mg_per_l, 3 + 129600 / 132, 0.1);
  near(answer.standing.spread.seconds, 132 / 2.5, 0.05);
  // 12 g/L of trichlor (from memory) hold 10.98 g/L of chlorine: 3 x 70.906 / 232.41
  near(answer.standing.close.peak_mg_per_l, 3 + 12000 * 3 * 70.906 / 232.41, 1);
  assert.equal(answer.standing.close.saturated, true);
  assert.ok(answer.standing.close.ph < 3.5);
  assert.equal(answer.standing.flush_s, null); // nothing goes around this heater
  assert.equal(answer.standing.stay_out, false);
});

test("moving the feeder as proposed mends the line", async () => {
  const line = feederFirst();
  line.edges = chain(1, 2, 3, 4, 5, 6, 7, 8);
  const answer = await judged(line);
  assert.deepEqual(faults(answer), []);
  assert.equal(answer.standing, null);
  near(answer.feed[0].ph, 7.5, 0.01);
  assert.equal(answer.feed[0].added_mg_per_l, 0);
});

test("hours of standing: the longer, the more, up to what dissolves", async () => {
  const grams = [];
  for (const hours of [0, 8, 744])
    grams.push((await judged(feederFirst(), `?hours=${hours}`)).standing.spread.chlorine_g);
  near(grams[0], 0, 1e-9);
  near(grams[1], 129.6, 0.05);
  near(grams[2], 132 * 12 * 3 * 70.906 / 232.41, 1);
});

test("what stands without a known volume is not known, which is not the same as nothing", async () => {
  const line = feederFirst();
  for (const p of line.parts) delete p.volume_l;
  const { standing } = await judged(line);
  assert.equal(standing.computed, false);
  assert.equal(standing.why_not, "volume_not_known");
  assert.equal(standing.spread, null);
});

/** Chlorine goes past the heater normally; in the spa position it goes through. */
function pastTheHeater() {
  const line = feederFirst();
  line.parts.push({ id: 9, kind: "three_way_valve" }, { id: 10, kind: "return" },
    { id: 11, kind: "check_valve" });
  line.edges = chain(1, 2, 3, 4, 5, 6, 8).concat(chain(3, 11, 7, 9),
    [{ from: 9, to: 10, from_port: "a" }, { from: 9, to: 4, from_port: "b" }]);
  line.positions = [{ kind: "normal", set: [{ part: 9, to: "a" }] },
    { kind: "spa", set: [{ part: 9, to: "b" }] }];
  return line;
}

test("what stands is looked for in every position in use", async () => {
  const line = pastTheHeater();
  const answer = await judged(line);
  const before = answer.faults.find((f) => f.code === "chlorine_before_heater");
  assert.deepEqual(before.positions, ["spa"]);
  assert.equal(answer.standing.position, "spa");
  assert.ok(answer.standing.spread.chlorine_g > 0);
  line.positions.pop();
  assert.equal((await judged(line)).standing, null);
});

test("a feeder whose amount nobody knows is counted, never taken as nothing", async () => {
  const line = feederFirst();
  part(line, 7).feed = { basis: "unknown" };
  const answer = await judged(line);
  assert.equal(answer.feed[0].unknown_feeders, 1);
  assert.deepEqual([answer.standing.sources, answer.standing.unknown_feeders,
    answer.standing.spread], [1, 1, null]);
  assert.ok(answer.assumptions.some((a) => a.code === "feed_not_known"));
});

test("a salt cell feeds by Faraday's law", async () => {
  const line = soundLine();
  part(line, 15).kind = "salt_cell";
  part(line, 15).feed = { basis: "current", current_a: 5, cell_count: 6,
    efficiency_fraction: 0.8 };
  near((await judged(line)).feed[0].fed_g_per_h, 1.3228 * 5 * 6 * 0.8, 0.006);
});

test("the flush before the heater comes in: a stirred tank, or the heater stays out", async () => {
  const line = soundLine();
  line.parts.push({ id: 17, kind: "erosion_feeder", volume_l: 4, feed: { product: "trichlor",
    basis: "rate", rate_g_per_h: 9 } });
  line.edges = chain(1, 2, 3, 17, 4, 5, 6, 7, 8, 9, 12, 13, 14, 15, 16)
    .concat(chain(5, 11, 10, 12));
  const { standing } = await judged(line);
  assert.equal(standing.stay_out, false);
  // V/Q ln(peak above steady / room up to the ceiling of 5 mg/L); acid may need longer
  const pipes_l = standing.standing_l;
  const steady = 3 + 9 / 3.6 / 2.5;
  const least = pipes_l / 2.5 * Math.log((standing.spread.peak_mg_per_l - steady) / (5 - steady));
  assert.ok(standing.flush_s >= 0.99 * least, `${standing.flush_s} of ${least}`);
  assert.ok(standing.flush_s <= 3 * least, `${standing.flush_s} of ${least}`);
  const unknown = structuredClone(line);
  part(unknown, 15).feed = { basis: "unknown" };
  assert.deepEqual([(await judged(unknown)).standing.flush_s,
    (await judged(unknown)).standing.stay_out], [null, false]);
  part(line, 17).feed.rate_g_per_h = 30; // 3.3 mg/L more all the time: above 5
  const strong = (await judged(line)).standing;
  assert.equal(strong.stay_out, true);
  assert.equal(strong.flush_s, null);
});

test("acid and chlorine fed into a stopped line are found", async () => {
  const line = soundLine();
  part(line, 15).interlocked = false;
  line.parts.push({ id: 17, kind: "acid_injection", interlocked: false, volume_l: 0.1,
    feed: { product: "hydrochloric_acid", basis: "rate", rate_g_per_h: 40 } });
  line.edges = chain(1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 13, 14, 15, 17, 16)
    .concat(chain(5, 11, 10, 12));
  const answer = await judged(line);
  assert.ok(faults(answer).includes("stop acid_and_chlorine_stopped"), faults(answer).join());
  assert.ok(faults(answer).includes("risk feed_not_interlocked"));
  assert.ok(faults(answer).includes("risk acid_near_chlorine"));
  assert.equal(answer.water_side, "hold");
});

test("a three-way valve, a second pump and the positions in use", async () => {
  const line = soundLine();
  Object.assign(part(line, 5), { kind: "three_way_valve" });
  part(line, 6).kind = "tee";
  line.edges = chain(1, 2, 3, 4, 5).concat(
    [{ from: 5, to: 6, from_port: "a" }, { from: 5, to: 11, from_port: "b" }],
    chain(6, 7, 8, 9, 12, 13, 14, 15, 16), chain(11, 10, 12));
  line.positions = [
    { kind: "normal", set: [{ part: 5, to: "a" }] },
    { kind: "heater_off_line", set: [{ part: 5, to: "b" }, { part: 9, to: "closed" }] },
    { kind: "cleaning", burner_may_fire: false, flow_fraction: 0.4,
      set: [{ part: 5, to: "a" }] },
  ];
  const answer = await judged(line);
  assert.deepEqual(faults(answer), []);
  assert.deepEqual(answer.feed.map((f) => f.heater_flow_l_per_s), [2.5, 0, 1]);
  assert.deepEqual(answer.flow.map((f) => f.position),
    ["normal", "heater_off_line", "cleaning"]);
});

test("flow in a circle through a pump is not made up", async () => {
  const line = soundLine();
  line.parts.push({ id: 17, kind: "pump", flow_l_per_s: 1 });
  line.edges.push(...chain(14, 17, 4));
  const answer = await judged(line);
  assert.ok(answer.assumptions.some((a) => a.code === "loop_no_flow"));
  assert.deepEqual(answer.flow[0], { position: "normal", computed: false, parts: [] });
  assert.equal(answer.feed[0].computed, false);
  assert.equal(answer.feed[0].chlorine_mg_per_l, null);
  assert.deepEqual([answer.standing.computed, answer.standing.why_not],
    [false, "not_computable"]);
});

test("flow in each pipe, against what copper bears", async () => {
  const line = feederFirst();
  Object.assign(part(line, 2), { material: "copper", size: "1" });
  const answer = await judged(line);
  const pipe = answer.flow[0].parts.find((p) => p.id === 2);
  // 2.5 L/s through 1.025 inch
  near(pipe.velocity_m_per_s, 0.0025 / (Math.PI / 4 * (1.025 * 0.0254) ** 2), 0.001);
  assert.ok(faults(answer).includes("risk copper_too_fast"));
  assert.ok(pipe.copper_limit_m_per_s < pipe.velocity_m_per_s);
  const fault = answer.faults.find((f) => f.code === "copper_too_fast");
  assert.deepEqual([fault.unit, fault.value, fault.limit],
    ["m/s", pipe.velocity_m_per_s, pipe.copper_limit_m_per_s]);
});

test("trials save nothing and need no key", async () => {
  assert.equal((await stored()).json.version, 0);
  assert.deepEqual(rules(await permit(daemon)), []);
});

test("a line is stored, comes back as it was sent, and is a new version each time", async () => {
  const first = await put({ ...soundLine(), by: "Robin" }, '"line-1-0"');
  assert.equal(first.status, 200, first.text);
  assert.equal(first.headers.etag, '"line-1-1"');
  assert.equal(first.json.version, 1);
  const got = await stored("?heater=1");
  assert.deepEqual({ ...got.json, answer: null }, { ...first.json, answer: null });
  assert.deepEqual(got.json.answer.faults, first.json.answer.faults);
  const { parts, edges, positions } = got.json;
  assert.deepEqual(parts.map((p) => [p.id, p.kind]),
    soundLine().parts.map((p) => [p.id, p.kind]));
  assert.deepEqual(edges.map((e) => [e.from, e.to]),
    soundLine().edges.map((e) => [e.from, e.to]));
  assert.deepEqual(positions.map((p) => p.set), soundLine().positions.map((p) => p.set));
  const again = await put({ parts, edges, positions }, '"line-1-1"');
  assert.equal(again.status, 200, again.text);
  assert.equal(again.json.version, 2);
  assert.deepEqual(again.json.parts, parts);
});

test("who saves over another's change is refused, and the line stays", async () => {
  const late = await put(feederFirst(), '"line-1-1"');
  assert.equal(late.status, 412);
  assert.equal(late.json.code, "changed_meanwhile");
  const blind = await daemon.send("PUT", "/api/v1/line", feederFirst(),
    { "Idempotency-Key": null });
  assert.equal(blind.status, 428);
  assert.equal((await stored()).headers.etag, '"line-1-2"');
});

test("the answer moves with the water, so that no tag says it did not", async () => {
  const reply = await daemon.get("/api/v1/line", { "If-None-Match": '"line-1-2"' });
  assert.equal(reply.status, 200);
});

test("a fault that stops holds the permit at once, and its mending frees it", async () => {
  assert.deepEqual(rules(await permit(daemon)), []);
  assert.equal((await permit(daemon)).permit, "run");
  const bad = await put(feederFirst(), '"line-1-2"');
  assert.equal(bad.status, 200, bad.text);
  const held = await permit(daemon);
  assert.equal(held.permit, "hold");
  assert.equal(held.water_side.permit, "hold");
  assert.deepEqual(rules(held), ["line_fault_water"]);
  assert.match(held.water_side.reasons[0].text, /before it passes the heater/);
  const low = soundLine();
  part(low, 8).min_flow_l_per_s = 3;
  assert.equal((await put(low, '"line-1-3"')).status, 200);
  assert.deepEqual(rules(await permit(daemon)), ["line_fault_burner"]);
  assert.equal((await put(soundLine(), '"line-1-4"')).status, 200);
  assert.equal((await permit(daemon)).permit, "run");
});

test("a risk is a caution of the permit, with what mends it", async () => {
  const line = soundLine();
  part(line, 13).kind = "tee"; // the check valve
  const saved = await put(line, '"line-1-5"');
  assert.deepEqual(faults(saved.json.answer), ["risk no_check_valve"]);
  const answer = await permit(daemon);
  assert.equal(answer.permit, "run");
  const caution = answer.cautions.find((c) => c.rule === "line_risk");
  assert.match(caution.text, /no check valve/);
  assert.match(caution.next, /check valve/);
  assert.equal((await put(soundLine(), '"line-1-6"')).status, 200);
  assert.ok((await permit(daemon)).cautions.every((c) => c.rule !== "line_risk"));
});

test("a fault of any position in use holds; what no position in use shows is a note",
  async () => {
    const line = pastTheHeater();
    const normal = { ...line, positions: line.positions.slice(0, 1) };
    const before = await stored();
    const found = (answer) => answer.faults
      .filter((f) => f.code === "chlorine_before_heater").map((f) => f.positions);
    const one = await put(normal, before.headers.etag);
    assert.equal(one.status, 200, one.text);
    assert.deepEqual(found(one.json.answer), []);
    assert.ok(one.json.answer.notes.some((n) => n.code === "source_could_reach_heater"));
    // A bare line has other faults: of the burner, not of the water.
    const ofWater = async () => rules(await permit(daemon)).includes("line_fault_water");
    assert.equal(await ofWater(), false);
    const both = await put(line, one.headers.etag);
    assert.equal(both.status, 200, both.text);
    assert.deepEqual(found(both.json.answer), [["spa"]]);
    assert.equal(await ofWater(), true);
    assert.equal((await permit(daemon)).water_side.permit, "hold");
    const again = await put(soundLine(), both.headers.etag);
    assert.equal(again.status, 200, again.text);
    assert.deepEqual(rules(await permit(daemon)), []);
  });

test("each heater has a line of its own", async () => {
  const heater = await daemon.send("POST", "/api/v1/heaters",
    { ...HEATER, name: "Spa heater", waters: [1] });
  assert.equal(heater.status, 201, heater.text);
  const id = heater.json.id;
  assert.equal((await stored(`?heater=${id}`)).json.version, 0);
  const saved = await put(feederFirst(), `"line-${id}-0"`, `?heater=${id}`);
  assert.equal(saved.status, 200, saved.text);
  assert.equal(saved.json.heater, id);
  assert.equal((await permit(daemon, `?heater=${id}&water=1`)).permit, "hold");
  assert.equal((await permit(daemon, "?heater=1&water=1")).permit, "run");
});

// ---- what is no line ----

/** @type {[string, (line: any) => void, string, string][]} name, change, code, field */
const REFUSED = [
  ["no heater", (l) => { part(l, 8).kind = "filter"; ["min_flow_l_per_s", "max_flow_l_per_s",
    "interlocked"].forEach((n) => delete part(l, 8)[n]); }, "no_heater", "parts"],
  ["two heaters", (l) => { part(l, 4).kind = "heater"; }, "two_heaters", "parts.7.kind"],
  ["no pump", (l) => { part(l, 3).kind = "filter"; delete part(l, 3).flow_l_per_s; },
    "no_pump", "parts"],
  ["no suction", (l) => { part(l, 1).kind = "tee"; }, "no_suction", "parts"],
  ["no return", (l) => { part(l, 16).kind = "tee"; }, "no_return", "parts"],
  ["no parts", (l) => { l.parts = []; l.edges = []; l.positions[0].set = []; l.positions.pop(); },
    "no_parts", "parts"],
  ["no position", (l) => { l.positions = []; }, "no_position", "positions"],
  ["zero flow", (l) => { part(l, 3).flow_l_per_s = 0; }, "pump_flow_not_positive",
    "parts.2.flow_l_per_s"],
  ["negative flow", (l) => { part(l, 3).flow_l_per_s = -2; }, "pump_flow_not_positive",
    "parts.2.flow_l_per_s"],
  ["no flow", (l) => { delete part(l, 3).flow_l_per_s; }, "member_missing",
    "parts.2.flow_l_per_s"],
  ["flow in words", (l) => { part(l, 3).flow_l_per_s = "fast"; }, "wrong_type",
    "parts.2.flow_l_per_s"],
  ["a pipe of no length", (l) => { part(l, 2).length_m = 0; }, "pipe_length_not_positive",
    "parts.1.length_m"],
  ["a pipe of negative length", (l) => { part(l, 2).length_m = -1; },
    "pipe_length_not_positive", "parts.1.length_m"],
  ["a length past everything", (l) => { part(l, 2).length_m = 1e300; },
    "pipe_length_not_positive", "parts.1.length_m"],
  ["an unknown size", (l) => { part(l, 2).size = "7"; }, "pipe_size_unknown",
    "parts.1.size"],
  ["a size as a number", (l) => { part(l, 2).size = 2; }, "wrong_type", "parts.1.size"],
  ["negative g/h", (l) => { part(l, 15).feed.rate_g_per_h = -1; }, "feed_rate_negative",
    "parts.14.feed.rate_g_per_h"],
  ["a feed without its number", (l) => { delete part(l, 15).feed.rate_g_per_h; },
    "member_missing", "parts.14.feed.rate_g_per_h"],
  ["members of another basis", (l) => { part(l, 15).feed.current_a = 5; },
    "member_unknown", "parts.14.feed.current_a"],
  ["acid from a chlorine pump", (l) => { part(l, 15).feed.product = "hydrochloric_acid"; },
    "feed_product_wrong", "parts.14.feed.product"],
  ["a product nobody knows", (l) => { part(l, 15).feed.product = "snow"; },
    "feed_product_wrong", "parts.14.feed.product"],
  ["tablets that grow", (l) => { part(l, 15).feed = { product: "trichlor", basis: "weighed",
    before_g: 100, after_g: 200, interval_s: 3600, strength_percent: 90 }; },
    "feed_weight_rises", "parts.14.feed.after_g"],
  ["tablets weighed at once", (l) => { part(l, 15).feed = { product: "trichlor",
    basis: "weighed", before_g: 200, after_g: 100, interval_s: 0, strength_percent: 90 }; },
    "feed_interval_not_positive", "parts.14.feed.interval_s"],
  ["current through a pump", (l) => { part(l, 15).feed = { product: null, basis: "current",
    current_a: 5, cell_count: 6, efficiency_fraction: 0.8 }; },
    "feed_basis_wrong", "parts.14.feed.basis"],
  ["a negative volume", (l) => { part(l, 4).volume_l = -1; }, "volume_negative",
    "parts.3.volume_l"],
  ["a least flow above the greatest", (l) => { part(l, 8).min_flow_l_per_s = 7; },
    "max_flow_impossible", "parts.7.max_flow_l_per_s"],
  ["a kind nobody knows", (l) => { part(l, 4).kind = "dragon"; }, "kind_unknown",
    "parts.3.kind"],
  ["the same number twice", (l) => { l.parts[3].id = 3; }, "id_twice", "parts.3.id"],
  ["number 0", (l) => { l.parts[3].id = 0; }, "id_invalid", "parts.3.id"],
  ["half a number", (l) => { l.parts[3].id = 4.5; }, "wrong_type", "parts.3.id"],
  ["a part that is a text", (l) => { l.parts[3] = "filter"; }, "wrong_type", "parts.3"],
  ["a length of a filter", (l) => { part(l, 4).length_m = 3; }, "member_unknown",
    "parts.3.length_m"],
  ["a name past 63 bytes", (l) => { part(l, 4).name = "x".repeat(64); }, "text_too_long",
    "parts.3.name"],
  ["a self-edge", (l) => { l.edges.push({ from: 4, to: 4 }); }, "edge_to_itself",
    "edges.16.to"],
  ["an edge to nowhere", (l) => { l.edges[2].to = 77; }, "edge_part_unknown", "edges.2.to"],
  ["an edge from nowhere", (l) => { l.edges[2].from = 77; }, "edge_part_unknown",
    "edges.2.from"],
  ["an edge twice", (l) => { l.edges.push({ from: 3, to: 4 }); }, "edge_twice",
    "edges.16.to"],
  ["a negative share", (l) => { l.edges[2].share = -0.5; }, "share_negative",
    "edges.2.share"],
  ["a port of a filter", (l) => { l.edges[2].to_port = "a"; }, "port_wrong",
    "edges.2.to_port"],
  ["flow into a skimmer", (l) => { l.edges.push({ from: 4, to: 1 }); }, "flow_into_suction",
    "edges.16.to"],
  ["flow out of a return", (l) => { l.edges.push({ from: 16, to: 4 }); },
    "flow_out_of_return", "edges.16.from"],
  ["a valve with two ways out", (l) => { l.edges.push({ from: 6, to: 12 }); },
    "valve_edges_wrong", "parts.5"],
  ["a position nobody knows", (l) => { l.positions[0].kind = "party"; },
    "position_kind_unknown", "positions.0.kind"],
  ["a pump at no speed", (l) => { l.positions[0].flow_fraction = 0; },
    "flow_fraction_impossible", "positions.0.flow_fraction"],
  ["a burner off line", (l) => { l.positions[1].burner_may_fire = true; },
    "burner_fires_off_line", "positions.1.burner_may_fire"],
  ["a filter shut", (l) => { l.positions[0].set = [{ part: 4, to: "closed" }]; },
    "setting_wrong", "positions.0.set.0.to"],
  ["a valve switched off", (l) => { l.positions[0].set[0].to = "off"; },
    "setting_wrong", "positions.0.set.0.to"],
  ["a valve set twice", (l) => { l.positions[0].set.push({ part: 11, to: "closed" }); },
    "setting_wrong", "positions.0.set.1.part"],
  ["a setting of no part", (l) => { l.positions[0].set[0].part = 99; },
    "setting_wrong", "positions.0.set.0.part"],
  ["a setting as a text", (l) => { l.positions[0].set = "closed"; }, "wrong_type",
    "positions.0.set"],
  ["201 parts", (l) => { for (let id = 17; id <= 201; id += 1) l.parts.push({ id, kind: "tee" }); },
    "too_many_parts", "parts"],
  ["401 edges", (l) => { while (l.edges.length < 401) l.edges.push({ from: 4, to: 5 }); },
    "too_many_edges", "edges"],
  ["9 positions", (l) => { while (l.positions.length < 9) l.positions.push({ kind: "spa" }); },
    "too_many_positions", "positions"],
  ["31 valves", (l) => { for (let id = 17; id < 45; id += 1)
    l.parts.push({ id, kind: "two_way_valve" }); }, "too_many_valves", "parts"],
  ["no edges", (l) => { delete l.edges; }, "member_missing", "edges"],
  ["a member nobody asked for", (l) => { l.colour = "blue"; }, "member_unknown", "colour"],
];

test("every body that is no line is refused, with the field named, and nothing is saved", async () => {
  const { etag } = (await stored()).headers;
  for (const [name, change, code, field] of REFUSED) {
    const line = soundLine();
    change(line);
    for (const reply of [await put(line, etag), await trial(line)]) {
      assert.equal(reply.status, 422, `${name}: ${reply.text.slice(0, 300)}`);
      assert.deepEqual([reply.json.code, reply.json.field], [code, field], name);
      assert.ok(reply.json.detail.length > 10, name);
    }
  }
  assert.equal((await stored()).headers.etag, etag);
});

test("a loop without a pump is refused with its parts in order of flow", async () => {
  const line = soundLine();
  line.edges.push({ from: 12, to: 5 });
  const reply = await put(line, (await stored()).headers.etag);
  assert.equal(reply.status, 422, reply.text);
  assert.deepEqual([reply.json.code, reply.json.field], ["loop_without_pump", "edges"]);
  const path = reply.json.path;
  for (let i = 0; i < path.length; i += 1) {
    const next = path[(i + 1) % path.length];
    assert.ok(line.edges.some((e) => e.from === path[i] && e.to === next),
      `${path[i]} to ${next}`);
  }
});

test("all faults of form are told at once", async () => {
  const line = soundLine();
  part(line, 2).size = "7";
  delete part(line, 3).flow_l_per_s;
  line.edges[0].share = "half";
  line.positions[0].kind = "party";
  const reply = await trial(line);
  assert.deepEqual(reply.json.errors.map((e) => e.field),
    ["parts.1.size", "parts.2.flow_l_per_s", "edges.0.share", "positions.0.kind"]);
});

test("what is no list, no object, no number is refused by its place", async () => {
  const odd = { parts: [null, 5], edges: [[]], positions: [{}] };
  assert.deepEqual((await trial(odd)).json.errors.map((e) => `${e.code} ${e.field}`),
    ["wrong_type parts.0", "wrong_type parts.1", "wrong_type edges.0",
      "member_missing positions.0.kind"]);
  assert.deepEqual((await trial({ ...soundLine(), parts: {} })).json.errors
    .map((e) => `${e.code} ${e.field}`), ["wrong_type parts"]);
  assert.equal((await trial(soundLine(), "?heater=77")).status, 404);
  assert.equal((await trial(soundLine(), "?water=1")).status, 400);
});

test("the largest line is judged and stored", async () => {
  const line = soundLine();
  const ids = [];
  for (let id = 100; line.parts.length < 200; id += 1) {
    line.parts.push({ id, kind: ids.length < 27 ? "two_way_valve" : "pipe", name: `Part ${id}`,
      ...(ids.length < 27 ? {} : { size: "2", length_m: 0.1 }) });
    ids.push(id);
  }
  line.edges = line.edges.filter((e) => e.from !== 14)
    .concat(chain(14, ...ids, 15));
  const saved = await put(line, (await stored()).headers.etag);
  assert.equal(saved.status, 200, saved.text.slice(0, 300));
  assert.deepEqual(faults(saved.json.answer), []);
  assert.equal((await stored()).json.parts.length, 200);
});

test("a long loop's path is told whole", async () => {
  const line = soundLine();
  const ids = [];
  for (let id = 2147483647; line.parts.length < 200; id -= 1) {
    line.parts.push({ id, kind: "tee" });
    ids.push(id);
  }
  line.edges.push(...chain(...ids, ids[0] ?? 0));
  const reply = await trial(line);
  assert.equal(reply.json.code, "loop_without_pump");
  assert.deepEqual([...reply.json.path].sort(), [...ids].sort());
});

test("the demo's line is sound, and stored as a PUT would store it", async () => {
  const demo = await startDaemon({ demo: true });
  const { json, headers } = await demo.get("/api/v1/line");
  assert.equal(json.version, 1);
  assert.deepEqual(faults(json.answer), []);
  assert.equal(json.answer.all_is_well, true);
  assert.deepEqual(json.positions.map((p) => p.kind),
    ["normal", "heater_off_line", "cleaning"]);
  const { parts, edges, positions } = json;
  const again = await demo.send("PUT", "/api/v1/line", { parts, edges, positions },
    { "If-Match": headers.etag, "Idempotency-Key": null });
  assert.equal(again.status, 200, again.text);
  assert.deepEqual([again.json.parts, again.json.edges, again.json.positions],
    [parts, edges, positions]);
  assert.equal((await permit(demo)).permit, "run");
  await demo.stop();
});

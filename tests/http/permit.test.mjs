// From a reading to a permit, over the socket.
// Sources: pH 7.2 and the definition of pH (common practice; definition); 5 mg/L
// MIL-HDBK-1027/4A upper end; seven days and 48 hours are rules of the product.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead as enter, now_s, permit, rules, setUp } from "../support/household.mjs";

const DAY = 86400;

// Each reading 20 seconds after the one before, since of one instant the worse counts.
let last_s = now_s() - 1000;
const mustRead = (daemon, values, more = {}) =>
  enter(daemon, values, { at: (last_s += 20), ...more });

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon({ clock: true });
});
after(() => daemon.stop());

test("before anything is set up there is no permit but a way on", async () => {
  const reply = await daemon.get("/api/v1/permit");
  assert.equal(reply.status, 409);
  assert.equal(reply.json.code, "not_set_up");
  const site = await daemon.get("/api/v1/site");
  assert.equal(site.json.set_up, false);
  assert.equal(site.headers.etag, '"site-0"');
});

test("a heater about whose water nothing is known says test first", async () => {
  await setUp(daemon);
  const answer = await permit(daemon);
  assert.equal(answer.permit, "test");
  assert.equal(answer.good_until, null);
  assert.deepEqual(rules(answer), ["ph_missing", "sanitiser_missing"]);
  assert.deepEqual(answer.next, ["Test pH and the sanitiser."]);
});

test("two good values turn it to run until seven days after the reading", async () => {
  const reading = await mustRead(daemon, { ph: 7.5, free_chlorine_mg_per_l: 2.5 });
  const answer = await permit(daemon);
  assert.equal(answer.permit, "run");
  assert.equal(answer.good_until, reading.at + 7 * DAY);
  assert.equal(answer.valid_for_s, 900);
  assert.equal(answer.likely_back, null);
  assert.deepEqual(answer.values.map((v) => v.quantity),
    ["ph", "free_chlorine_mg_per_l"]);
});

test("chlorine at 14 holds, in the words of the contract", async () => {
  await mustRead(daemon, { free_chlorine_mg_per_l: 14 },
    { details: { free_chlorine_mg_per_l: { diluted: true } } });
  const answer = await permit(daemon);
  assert.equal(answer.permit, "hold");
  assert.equal(answer.good_until, null);
  assert.equal(answer.headline, "Chlorine is almost three times the heater's limit.");
  const reason = answer.water_side.reasons[0];
  assert.deepEqual([reason.rule, reason.value, reason.unit, reason.limit,
    reason.limit_source],
    ["free_chlorine_high", 14, "mg/L", 5, "common practice"]);
  assert.match(answer.next[0], /^Turn the heater off/);
});

test("a zero soon after is not believed; a diluted one is", async () => {
  await mustRead(daemon, { free_chlorine_mg_per_l: 0 });
  let answer = await permit(daemon);
  assert.equal(answer.permit, "hold");
  assert.ok(rules(answer).includes("sanitiser_doubted"));
  await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 3 });
  answer = await permit(daemon);
  assert.equal(answer.permit, "run", JSON.stringify(answer));
});

test("an acid dose ends it until somebody tests", async () => {
  const dose = await daemon.send("POST", "/api/v1/doses",
    { water: 1, product: "hydrochloric_acid", amount: 300, strength_percent: 31.45,
      at: (last_s += 20) });
  assert.equal(dose.status, 201, dose.text);
  let answer = await permit(daemon);
  assert.equal(answer.permit, "test");
  assert.deepEqual(rules(answer), ["ph_after_dose", "sanitiser_after_dose"]);
  const undone = await daemon.send("POST", `/api/v1/doses/${dose.json.id}/withdrawal`,
    { reason: "typed for another pool" }, { "If-Match": dose.json.etag });
  assert.equal(undone.status, 201, undone.text);
  answer = await permit(daemon);
  assert.equal(answer.permit, "run");
});

test("off line, the burner holds; back in line it runs again", async () => {
  const state = await daemon.send("POST", "/api/v1/heater-states",
    { heater: 1, state: "off_line_flushed", bypass_percent_open: 100 });
  assert.equal(state.status, 201, state.text);
  let answer = await permit(daemon);
  assert.deepEqual([answer.permit, answer.water_side.permit, answer.burner_side.permit],
    ["hold", "run", "hold"]);
  assert.equal(answer.heater_state.state, "off_line_flushed");
  await daemon.send("POST", "/api/v1/heater-states", { heater: 1, state: "in_line" });
  answer = await permit(daemon);
  assert.equal(answer.permit, "run");
});

test("as_of answers from what was measured by then", async () => {
  const then = now_s() - 20 * DAY;
  await mustRead(daemon, { ph: 6.9, free_chlorine_mg_per_l: 2 }, { at: then });
  assert.equal((await permit(daemon)).permit, "run");
  assert.equal((await permit(daemon, `?as_of=${then + 60}`)).permit, "hold");
  assert.equal((await permit(daemon, `?as_of=${then - 60}`)).permit, "test");
  assert.equal((await permit(daemon, `?as_of=${then + 60}&known=recorded`)).permit,
    "test");
});

test("a changed limit holds from then on, permits of the past keep theirs", async () => {
  const before_s = now_s() - 1;
  const heater = (await daemon.get("/api/v1/heaters/1")).json;
  const changed = await daemon.send("PUT", "/api/v1/heaters/1", {
    name: heater.name, waters: heater.waters, bypass: heater.bypass,
    limits: { ph_low: { value: 7.2, source: "common practice" },
      free_chlorine_high: { value: 2.5, source: "manual" } },
  }, { "If-Match": heater.etag });
  assert.equal(changed.status, 200, changed.text);
  const answer = await permit(daemon);
  assert.equal(answer.permit, "hold");
  assert.equal(answer.water_side.reasons[0].limit_source, "manual");
  assert.notEqual((await permit(daemon, `?as_of=${before_s}`)).permit, "hold");
  const versions = (await daemon.get("/api/v1/heaters/1/versions")).json.versions;
  assert.deepEqual(versions.map((v) => v.limits.free_chlorine_high.value), [5, 2.5]);
  await daemon.send("PUT", "/api/v1/heaters/1",
    { name: heater.name, waters: heater.waters, bypass: heater.bypass },
    { "If-Match": changed.json.etag });
});

test("the answer gets old by itself", async () => {
  await mustRead(daemon, { ph: 7.5, free_chlorine_mg_per_l: 2.5 });
  const answer = await permit(daemon);
  assert.equal(answer.permit, "run");
  const later = await permit(daemon);
  assert.ok(later.valid_for_s <= 900 && later.valid_for_s > 0);
});

test("a clock that is moved gives test until a person confirms it", async () => {
  for (const jump of [3600, -7200, 86400, 3 * 365 * 86400, -86400]) {
    await daemon.setClock(jump);
    let answer = await permit(daemon);
    // Before the newest readings an older, bad one counts: hold is as good as test.
    assert.notEqual(answer.permit, "run", `jump ${jump}`);
    assert.ok(rules(answer).some((r) => r === "clock_jumped" || r === "clock_behind"));
    const clock = (await daemon.get("/api/v1/clock")).json;
    assert.notEqual(clock.jump_s, 0);
    await daemon.setClock(0);
    answer = await permit(daemon);
    assert.equal(answer.permit, "test", "moved back, still not confirmed");
    const confirmed = await daemon.send("POST", "/api/v1/clock/confirmation",
      { by: "Robin" });
    assert.equal(confirmed.status, 200, confirmed.text);
    assert.equal((await permit(daemon)).permit, "run");
  }
});

test("unknown pairs and odd queries are refused by name", async () => {
  for (const [query, status, code] of [
    ["?heater=9&water=1", 404, "not_found"],
    ["?heater=1", 400, "query_missing"],
    ["?heater=x&water=1", 400, "query_invalid"],
    ["?heater=1&water=1&as_of=-5", 400, "query_invalid"],
    ["?heater=1&water=1&colour=red", 400, "query_unknown"],
    ["?heater=1&heater=1&water=1", 400, undefined],
  ]) {
    const reply = await daemon.get(`/api/v1/permit${query}`);
    assert.equal(reply.status, status, query);
    if (code) assert.equal(reply.json.code, code, query);
  }
});

test("with a history the forecast says until when, and when a hold may end", async () => {
  const other = await startDaemon();
  const DAY_S = 86400;
  try {
    await setUp(other, { site: { latitude: 50, longitude: 8 } });
    const start = now_s() - 20 * DAY_S;
    for (let day = 0; day <= 19; day++)
      await enter(other, { ph: 7.5, free_chlorine_mg_per_l: 4.5 * 0.88 ** day,
        cyanuric_acid_mg_per_l: 40 }, { at: start + day * DAY_S });
    let answer = await permit(other);
    assert.equal(answer.permit, "run");
    // chlorine falls by an eighth a day and pH stands: the band reaches no wall for at least the old week
    const read_at = start + 19 * DAY_S;
    assert.ok(answer.good_until > read_at + 7 * DAY_S
      && answer.good_until <= read_at + 14 * DAY_S, `${answer.good_until - read_at}`);
    // chlorine that rose to eight times what it should be, and nobody dosed: one day
    const odd = await enter(other, { ph: 7.5, free_chlorine_mg_per_l: 3.4 },
      { at: now_s() - 3600 });
    const doubted = await permit(other);
    assert.equal(doubted.permit, "run");
    assert.equal(doubted.good_until, odd.at + DAY_S);
    const gone = await other.send("POST", `/api/v1/readings/${odd.id}/withdrawal`,
      { reason: "wrong pool" }, { "If-Match": odd.etag });
    assert.equal(gone.status, 201, gone.text);
    // a wall close to the usual pH is touched sooner
    const heater = (await other.get("/api/v1/heaters/1")).json;
    const changed = await other.send("PUT", "/api/v1/heaters/1", {
      name: heater.name, waters: heater.waters, bypass: heater.bypass,
      limits: { ph_low: { value: 7.4, source: "manual" } },
    }, { "If-Match": heater.etag });
    assert.equal(changed.status, 200, changed.text);
    const closer = await permit(other);
    assert.ok(closer.good_until === null || closer.good_until < answer.good_until);
    // 40 m3 and 1.6 L of 12.5 % bring 5 mg/L
    const dose = await other.send("POST", "/api/v1/doses", { water: 1,
      product: "sodium_hypochlorite", amount: 1600, strength_percent: 12.5,
      at: now_s() - 7200 });
    assert.equal(dose.status, 201, dose.text);
    await enter(other, { ph: 7.5, free_chlorine_mg_per_l: 6.4 }, { at: now_s() - 60 });
    answer = await permit(other);
    assert.equal(answer.permit, "hold");
    assert.notEqual(answer.likely_back, null);
    assert.equal(answer.back_unknown, null);
    assert.ok(answer.likely_back.earliest >= now_s() - 60);
    assert.ok(answer.likely_back.latest > answer.likely_back.earliest);
    assert.ok(answer.likely_back.latest < now_s() + 14 * DAY_S);
  } finally {
    await other.stop();
  }
});

// CPSC release 79-071: 104 °F, that is 40 °C.
test("the limit of a spa's heat is said to be a published one, a family's own is not", async () => {
  const own = await startDaemon();
  try {
    await setUp(own, { water: { name: "Spa", kind: "spa", volume_m3: 1.5 } });
    await enter(own, { ph: 7.5, free_chlorine_mg_per_l: 3, water_temp_c: 41 });
    const hot = (await permit(own)).burner_side.reasons.find((r) => r.rule === "spa_too_hot");
    assert.deepEqual([hot.limit, hot.limit_source], [40, "published"]);
    const heater = (await own.get("/api/v1/heaters/1")).json;
    assert.equal(heater.limits.spa_temp_high.source, "published");
    const put = (spa) => own.send("PUT", "/api/v1/heaters/1", { name: heater.name,
      waters: heater.waters, bypass: heater.bypass, limits: { spa_temp_high: spa } },
    { "If-Match": heater.etag });
    const changed = await put({ value: 39, source: "own" });
    assert.equal(changed.status, 200, changed.text);
    assert.equal(changed.json.limits.spa_temp_high.source, "own");
  } finally {
    await own.stop();
  }
});

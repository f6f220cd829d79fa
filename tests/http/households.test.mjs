// Homes as they are, each tried as its owner would: fixtures/households says what is done
// and what the permit has to say, with the reason. Nothing in it is taken from the code.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

import { startDaemon } from "../support/daemon.mjs";
import { now_s, rules, SITE } from "../support/household.mjs";

const folder = path.resolve(path.dirname(fileURLToPath(import.meta.url)),
  "../../fixtures/households");
const files = readdirSync(folder).filter((name) => name.endsWith(".json"));

/** @typedef {Awaited<ReturnType<typeof startDaemon>>} Daemon */

/** @param {Daemon} daemon @param {string} where @param {object} body @param {number} status */
async function send(daemon, where, body, status = 201) {
  const reply = await daemon.send("POST", `/api/v1/${where}`, body);
  assert.equal(reply.status, status, reply.text);
  return reply.json;
}

/** @param {any} answer @param {any} want @param {string} why */
function compare(answer, want, why) {
  const said = rules(answer);
  const reasons = [...answer.water_side.reasons, ...answer.burner_side.reasons];
  const context = `${why} Got ${answer.permit}: ${said.join(" ")}`;
  assert.equal(answer.permit, want.permit, context);
  if (want.water_side) assert.equal(answer.water_side.permit, want.water_side, context);
  if (want.burner_side) assert.equal(answer.burner_side.permit, want.burner_side, context);
  if (want.permit === "run") {
    assert.deepEqual(said, [], context);
    assert.ok(answer.good_until > answer.at, context);
  } else {
    assert.ok(reasons.length > 0, context);
    assert.equal(answer.good_until, null, context);
  }
  for (const rule of want.with_rules ?? []) assert.ok(said.includes(rule), context);
  for (const rule of want.without ?? []) assert.ok(!said.includes(rule), context);
  const cautions = answer.cautions.map((/** @type {any} */ one) => one.rule);
  for (const rule of want.cautions ?? []) assert.ok(cautions.includes(rule), context);
  if (want.limit !== undefined) {
    assert.ok(reasons.some((r) => r.limit === want.limit
      && r.limit_source === want.limit_source), JSON.stringify(reasons));
  }
  const next = answer.next.join(" ");
  if (want.next) assert.match(next, new RegExp(want.next), context);
  if (want.not_next) assert.doesNotMatch(next, new RegExp(want.not_next), context);
  if (want.state) assert.equal(answer.heater_state.state, want.state, context);
  if (want.bypass_percent_open !== undefined)
    assert.equal(answer.heater_state.bypass_percent_open, want.bypass_percent_open, context);
  if (want.no_words) {
    const words = JSON.stringify([answer.headline, answer.next, answer.cautions, reasons]);
    assert.doesNotMatch(words, new RegExp(want.no_words), context);
  }
}

/** @param {Daemon} daemon @param {any} step */
async function take(daemon, step) {
  if (step.put) {
    const before = await daemon.get(`/api/v1/${step.put}`);
    const reply = await daemon.send("PUT", `/api/v1/${step.put}`, step.body,
      { "If-Match": before.headers.etag });
    assert.equal(reply.status, 200, reply.text);
  } else if (step.post) {
    const reply = await send(daemon, step.post,
      { ...step.body, at: now_s() - step.ago_s }, step.refused ? 422 : 201);
    if (step.refused) assert.equal(reply.code, step.refused);
  } else if (step.expect_refused) {
    const { heater, water } = step.expect_refused;
    const reply = await daemon.get(`/api/v1/permit?heater=${heater}&water=${water}`);
    assert.equal(reply.status, step.status, step.why);
  } else {
    const { heater, water } = step.expect;
    const reply = await daemon.get(`/api/v1/permit?heater=${heater}&water=${water}`);
    assert.equal(reply.status, 200, reply.text);
    compare(reply.json, step.expect, step.why);
  }
}

test("there are homes to try", () => assert.ok(files.length >= 10));

for (const file of files) {
  const home = JSON.parse(readFileSync(path.join(folder, file), "utf8"));
  test(home.title, async () => {
    const daemon = await startDaemon();
    const site = await daemon.send("PUT", "/api/v1/site", SITE, { "If-Match": '"site-0"' });
    assert.equal(site.status, 200, site.text);
    for (const water of home.waters) await send(daemon, "waters", water);
    for (const heater of home.heaters) await send(daemon, "heaters", heater);
    for (const step of home.steps) await take(daemon, step);
    await daemon.stop();
  });
}

test("the first and last value of a house are those of any of its waters", async () => {
  const daemon = await startDaemon();
  await daemon.send("PUT", "/api/v1/site", SITE, { "If-Match": '"site-0"' });
  for (const name of ["Pool", "Spa"])
    await send(daemon, "waters", { name, kind: name.toLowerCase(), sanitiser: "chlorine" });
  const site = async () => (await daemon.get("/api/v1/site")).json;
  assert.deepEqual([(await site()).first_value_at, (await site()).last_value_at], [null, null]);
  const now = now_s();
  const read = (/** @type {number} */ water, /** @type {number} */ at) =>
    send(daemon, "readings", { water, at, method: "photometer", values: { ph: 7.4 } });
  await read(2, now - 5000);
  assert.deepEqual([(await site()).first_value_at, (await site()).last_value_at],
    [now - 5000, now - 5000]);
  await read(1, now - 3000);
  await read(2, now - 1000);
  assert.deepEqual([(await site()).first_value_at, (await site()).last_value_at],
    [now - 5000, now - 1000]);
  await daemon.stop();
});

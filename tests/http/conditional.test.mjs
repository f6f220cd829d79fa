// Tags and keys on every route, from the document: what it says a call must bring is asked
// for, what it says may be asked with a tag answers 304, and never hides a change.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";
import { loadDocument } from "../support/openapi.mjs";

const DAY = 86400;
const document = loadDocument();

/** Name of a parameter, also of one that stands elsewhere. @param {any} parameter */
const nameOf = (parameter) => parameter.name ?? parameter.$ref.split("/").at(-1);

/** @type {{method: string, template: string, operation: any, names: Set<string>}[]} */
const operations = Object.entries(document.paths).flatMap(([template, methods]) =>
  Object.entries(methods).map(([method, operation]) => ({
    method: method.toUpperCase(), template, operation,
    names: new Set((operation.parameters ?? []).map(nameOf)) })));

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
/** An id that is there, by the path before it. @type {Record<string, number>} */
const ids = { heaters: 1, waters: 1 };

before(async () => {
  daemon = await startDaemon({ clock: true });
  await setUp(daemon);
  const from = now_s() - 3600;
  ids.readings = (await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 2,
    combined_chlorine_mg_per_l: 0.2 })).id;
  const create = async (name, body, { as = name, also = {} } = {}) => {
    const reply = await daemon.send("POST", `/api/v1/${name}`, body, also);
    assert.equal(reply.status, 201, `${name}: ${reply.text}`);
    ids[as] = reply.json.id;
  };
  await create("doses", { water: 1, product: "sodium_bicarbonate", amount: 900 });
  await create("runs", { water: 1, machine: "pump", at: from, ended_at: from + 60 });
  await create("heater-states", { heater: 1, state: "in_line", bypass_percent_open: 0 });
  await create("shed", { product: "sodium_bicarbonate", amount_left: 5000 });
  await create("super-chlorination", { heater: 1, water: 1 });
});
after(() => daemon.stop());

/** Queries that a call cannot do without. @param {any} operation */
function queryOf({ operation, names }) {
  /** @type {Record<string, string | number>} */
  const query = {};
  for (const name of ["water", "heater"])
    if (names.has(name) && operation.parameters.some((p) => p.name === name && p.required))
      query[name] = 1;
  if (names.has("from") && names.has("until")) {
    query.from = now_s() - 7 * DAY;
    query.until = now_s() - 1;
  }
  if (names.has("as_of")) query.as_of = now_s() - 1;
  if (operation.operationId === "seriesGet") query.values = "ph";
  return Object.keys(query).length > 0 ? `?${new URLSearchParams(query)}` : "";
}

/** Its target, or null where nothing of that kind is there.
 *  @param {(typeof operations)[number]} one */
function targetOf(one) {
  if (one.template.includes("{token}")) return null; /* calendar.test.mjs has tokens */
  if (one.template === "/api/v1/events") return null; /* a stream, which does not end */
  const name = one.template.split("/")[3] ?? "";
  if (one.template.includes("{id}") && ids[name] === undefined) return null;
  return one.template.replace("{id}", String(ids[name])) + queryOf(one);
}

/** Posts that need no key, and why. */
const WITHOUT_KEY = new Map([
  ["treatment/trial", "computes, stores nothing"],
  ["line/trial", "computes, stores nothing"],
  ["drift/trial", "computes, stores nothing"],
  ["volume/trial", "computes, stores nothing"],
  ["heater-checks", "computes, stores nothing"],
  ["backups/{id}/restoration", "its answer would be kept in what it puts away"],
  ["import/cancel", "twice is once"],
  ["session", "its answer holds a secret"],
  ["session/end", "twice is once"],
  ["session/proof", "its answer holds a secret"],
  ["claim", "its answer holds a secret"],
  ["people/{id}/pin", "its answer holds a secret"],
  ["people/{id}/passphrase", "twice is once"],
  ["tokens/{id}/issue", "its answer holds a secret"],
]);

test("every change is described with a key or a tag, and nothing else has one", () => {
  for (const { method, template, names } of operations) {
    const name = template.replace("/api/v1/", "");
    if (method === "GET") {
      assert.ok(!names.has("IdempotencyKey") && !names.has("IfMatch"), name);
      continue;
    }
    assert.ok(names.has("Change") && names.has("Origin"), name);
    if (method === "PUT") assert.ok(names.has("IfMatch"), name);
    if (method === "POST")
      assert.equal(names.has("IdempotencyKey"), !WITHOUT_KEY.has(name), name);
  }
  for (const name of WITHOUT_KEY.keys())
    assert.ok(document.paths[`/api/v1/${name}`]?.post !== undefined, `${name} is gone`);
});

test("what a change must bring is asked for, and a tag of before is refused", async () => {
  let keys = 0, tags = 0, stale = 0;
  for (const one of operations.filter(({ method }) => method !== "GET")) {
    const { method, template, names } = one;
    const target = targetOf(one) ?? template.replace("{id}", "1");
    const wanted = Object.keys(one.operation.requestBody?.content ?? {})[0] ?? "";
    const type = wanted === "application/json" ? {} : { "Content-Type": wanted };
    const tag = names.has("IfMatch") ? { "If-Match": '"nothing-1"' } : {};
    const body = Object.keys(type).length > 0 ? "x" : {};
    if (names.has("IdempotencyKey")) {
      keys++;
      const reply = await daemon.send(method, target, body,
        { ...type, ...tag, "Idempotency-Key": null });
      assert.deepEqual([reply.status, reply.json.code], [400, "key_missing"],
        `${method} ${template}`);
      const odd = await daemon.send(method, target, body,
        { ...type, ...tag, "Idempotency-Key": "7" });
      assert.equal(odd.status, 400, `${method} ${template}`);
    }
    if (names.has("IfMatch")) {
      tags++;
      const reply = await daemon.send(method, target, body, { ...type, "If-Match": null });
      assert.deepEqual([reply.status, reply.json.code], [428, "match_missing"],
        `${method} ${template}`);
      if (targetOf(one) === null) continue;
      stale++;
      const late = await daemon.send(method, target, body, tag);
      assert.deepEqual([late.status, late.json.code], [412, "changed_meanwhile"],
        `${method} ${template}: ${late.text}`);
    }
  }
  assert.ok(keys >= 25 && tags >= 18 && stale >= 14, `${keys} ${tags} ${stale}`);
});

/** Every reading route with its answer now. */
async function readAll() {
  const seen = [];
  for (const one of operations.filter(({ method, names }) =>
    method === "GET" && names.has("IfNoneMatch"))) {
    const target = targetOf(one);
    if (target !== null) seen.push({ target, one, reply: await daemon.get(target) });
  }
  return seen;
}

test("what is described with If-None-Match answers 304 to its tag, and only to that",
  async () => {
    const seen = await readAll();
    assert.ok(seen.length >= 25, String(seen.length));
    for (const { target, one, reply } of seen) {
      assert.equal(reply.status, 200, `${target}: ${reply.text}`);
      assert.match(reply.headers.etag ?? "", /^"[^"]+"$/, target);
      assert.ok(one.operation.responses["304"] !== undefined, target);
      const again = await daemon.get(target, { "If-None-Match": reply.headers.etag });
      assert.deepEqual([again.status, again.text], [304, ""], target);
      const other = await daemon.get(target, { "If-None-Match": '"nothing-1"' });
      assert.deepEqual([other.status, other.text], [200, reply.text], target);
    }
  });

test("a reading route without If-None-Match never answers 304", async () => {
  for (const one of operations.filter(({ method, names, operation }) => method === "GET"
    && !names.has("IfNoneMatch") && operation.responses["304"] === undefined)) {
    const target = targetOf(one);
    if (target === null) continue;
    const first = await daemon.get(target);
    const again = await daemon.get(target, { "If-None-Match": first.headers.etag ?? "*" });
    assert.notEqual(again.status, 304, target);
  }
});

test("a 304 hides no change, neither of the clock nor of what is entered", async () => {
  /** How many were still as they had been. */
  const hidden = async (seen) => {
    let unchanged = 0;
    for (const { target, reply } of seen) {
      const fresh = await daemon.get(target);
      const asked = await daemon.get(target, { "If-None-Match": reply.headers.etag });
      if (asked.status !== 304) continue;
      assert.equal(fresh.text, reply.text, target);
      unchanged++;
    }
    return unchanged;
  };
  const seen = await readAll();
  await daemon.setClock(2 * DAY);
  assert.ok(await hidden(seen) > 10);
  await daemon.setClock(0);
  const before_entry = await readAll();
  await mustRead(daemon, { ph: 7.1, free_chlorine_mg_per_l: 9 });
  const unchanged = await hidden(before_entry);
  assert.ok(unchanged > 5 && unchanged < before_entry.length - 5, String(unchanged));
});

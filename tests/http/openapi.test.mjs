// The description that the daemon serves, and the check that holds every answer of these
// suites against it: it must find a seeded fault.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, setUp } from "../support/household.mjs";
import { checkAnswer, loadDocument, makeChecker } from "../support/openapi.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
  await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 2 });
});
after(() => daemon.stop());

test("the document is served as it stands, with a tag", async () => {
  const reply = await daemon.get("/api/v1/openapi.json");
  assert.equal(reply.status, 200);
  assert.deepEqual(reply.json, loadDocument());
  const again = await daemon.get("/api/v1/openapi.json",
    { "If-None-Match": reply.headers.etag });
  assert.equal(again.status, 304);
});

test("every reference in the document leads somewhere, and names are used once", () => {
  const document = loadDocument();
  const names = [];
  /** @param {any} node */
  const walk = (node) => {
    if (node === null || typeof node !== "object") return;
    if (typeof node.$ref === "string") {
      const target = node.$ref.slice(2).split("/")
        .reduce((/** @type {any} */ at, /** @type {string} */ part) => at?.[part], document);
      assert.ok(target !== undefined, node.$ref);
    }
    if (typeof node.operationId === "string") names.push(node.operationId);
    Object.values(node).forEach(walk);
  };
  walk(document);
  assert.ok(names.length > 30);
  assert.equal(new Set(names).size, names.length);
});

/** An answer as the checker takes it, changed. @param {any} reply @param {object} changes */
const answer = (reply, target, changes) => ({ method: "GET", target, status: reply.status,
  headers: reply.headers, text: reply.text, ...changes });

test("a renamed, missing, added or mistyped member is found", async () => {
  const target = "/api/v1/permit";
  const reply = await daemon.get(target);
  checkAnswer(answer(reply, target, {}));
  const { headline, ...rest } = reply.json;
  for (const seeded of [{ ...rest, head_line: headline }, rest,
    { ...reply.json, mood: "fine" }, { ...reply.json, permit: "maybe" },
    { ...reply.json, at: "now" }]) {
    assert.throws(() => checkAnswer(answer(reply, target, { text: JSON.stringify(seeded) })),
      /get \/api\/v1\/permit 200/);
  }
});

test("an undescribed status, type or a tag left out is found", async () => {
  const target = "/api/v1/waters/1";
  const reply = await daemon.get(target);
  assert.throws(() => checkAnswer(answer(reply, target, { status: 206 })), /206/);
  assert.throws(() => checkAnswer(answer(reply, target,
    { headers: { ...reply.headers, "content-type": "text/plain" } })), /text\/plain/);
  assert.throws(() => checkAnswer(answer(reply, target,
    { headers: { ...reply.headers, etag: undefined } })), /without ETag/);
});

test("a refusal in another shape is found", async () => {
  const target = "/api/v1/waters/99";
  const reply = await daemon.get(target);
  assert.equal(reply.status, 404);
  assert.throws(() => checkAnswer(answer(reply, target,
    { text: JSON.stringify({ ...reply.json, type: "elsewhere" }) })), /default|404/);
  assert.throws(() => checkAnswer(answer(reply, "/nowhere",
    { text: JSON.stringify({ title: "x" }) })), /nowhere/);
});

test("a schema that is changed in the document no longer fits the daemon", async () => {
  const document = loadDocument();
  const water = document.components.schemas.Water;
  water.properties.litres = water.properties.volume_m3;
  delete water.properties.volume_m3;
  const reply = await daemon.get("/api/v1/waters/1");
  assert.throws(() => makeChecker(document)(answer(reply, "/api/v1/waters/1", {})),
    /volume_m3/);
});

test("lists and columns answer 304 until something changes", async () => {
  const day = 86400, now = Math.floor(Date.now() / 1000);
  const targets = ["/api/v1/waters", "/api/v1/heaters", "/api/v1/heaters/1/versions",
    "/api/v1/readings?water=1", "/api/v1/doses?water=1", "/api/v1/runs?water=1",
    "/api/v1/heater-states?heater=1",
    `/api/v1/series?water=1&values=ph&from=${now - day}&until=${now}`,
    `/api/v1/permits?from=${now - day}&until=${now}`];
  const tags = [];
  for (const target of targets) {
    const reply = await daemon.get(target);
    assert.equal(reply.status, 200, reply.text);
    assert.ok(reply.headers.etag, target);
    tags.push(reply.headers.etag);
    const again = await daemon.get(target, { "If-None-Match": reply.headers.etag });
    assert.equal(again.status, 304, target);
  }
  await mustRead(daemon, { ph: 7.5 });
  for (const [i, target] of targets.entries()) {
    const reply = await daemon.get(target, { "If-None-Match": tags[i] });
    assert.equal(reply.status, 200, target);
  }
});

test("what depends on the present instant has no tag", async () => {
  for (const target of ["/api/v1/permit", "/api/v1/series?water=1&values=ph",
    "/api/v1/permits", "/api/v1/clock"]) {
    const reply = await daemon.get(target);
    assert.equal(reply.status, 200);
    assert.equal(reply.headers.etag, undefined, target);
  }
});

test("a tag of an earlier run does not fit a later one", async () => {
  const first = await startDaemon();
  await setUp(first);
  const tag = (await first.get("/api/v1/waters")).headers.etag;
  await first.stop({ keep: true });
  const second = await startDaemon({ data: first.data });
  // as many changes as before, but other ones
  for (let i = 0; i < 3; i++) {
    await second.send("POST", "/api/v1/waters", { name: `W${i}`, kind: "pool", sanitiser: "chlorine" });
  }
  const reply = await second.get("/api/v1/waters", { "If-None-Match": tag });
  assert.equal(reply.status, 200);
  await second.stop();
});

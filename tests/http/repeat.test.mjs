// Requests that come twice, and changes that wait for one another.

import assert from "node:assert/strict";
import { rm } from "node:fs/promises";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

const WATER = { name: "Pool", kind: "pool", sanitiser: "chlorine" };

async function waterCount() {
  return (await daemon.get("/api/v1/waters")).json.waters.length;
}

/** @param {unknown} body @param {string | null} key */
function post(body, key) {
  return daemon.send("POST", "/api/v1/waters", body, { "Idempotency-Key": key });
}

test("a creating call needs a key of its own form", async () => {
  const without = await post(WATER, null);
  assert.equal(without.status, 400);
  assert.equal(without.json.code, "key_missing");
  for (const key of ["", "short", "a".repeat(65), "with space", "with_line", "umläut-x"]) {
    const reply = await post(WATER, Buffer.from(key).toString("latin1"));
    assert.equal(reply.status, 400, key);
    assert.equal(reply.json.code, "key_invalid", key);
  }
  assert.equal(await waterCount(), 0);
});

test("the same call twenty times at once makes one row and twenty equal answers", async () => {
  const replies = await Promise.all(
    Array.from({ length: 20 }, () => post(WATER, "twenty-times")));
  for (const reply of replies) {
    assert.equal(reply.status, 201);
    assert.equal(reply.text, replies[0]?.text);
    assert.equal(reply.headers.location, replies[0]?.headers.location);
    assert.equal(reply.headers.etag, replies[0]?.headers.etag);
  }
  assert.equal(await waterCount(), 1);
});

test("the same key with another body is refused", async () => {
  const reply = await post({ ...WATER, name: "Spa" }, "twenty-times");
  assert.equal(reply.status, 422);
  assert.equal(reply.json.code, "key_reused");
  assert.equal(await waterCount(), 1);
});

test("the same key and body for another route is refused", async () => {
  const reply = await daemon.send("POST", "/api/v1/heaters", WATER, {
    "Idempotency-Key": "twenty-times",
  });
  assert.equal(reply.status, 422);
  assert.equal(reply.json.code, "key_reused");
});

test("a refused call leaves its key free", async () => {
  assert.equal((await post({ name: "x" }, "refused-first")).status, 422);
  assert.equal((await post(WATER, "refused-first")).status, 201);
  assert.equal(await waterCount(), 2);
});

test("a change of something without If-Match is refused with 428", async () => {
  const reply = await daemon.send("PUT", "/api/v1/waters/1", WATER);
  assert.equal(reply.status, 428);
  assert.equal(reply.json.code, "match_missing");
});

test("fifty different calls at once all succeed, and reading goes on meanwhile", async () => {
  const before_count = await waterCount();
  const writes = Promise.all(
    Array.from({ length: 50 }, (_, i) => post(WATER, `at-once-${i}`)));
  let reads = 0;
  let done = false;
  void writes.then(() => (done = true));
  do {
    assert.equal((await daemon.get("/healthz")).status, 200);
    reads++;
  } while (!done);
  const created = (await writes).filter((reply) => reply.status === 201).length;
  const refused = (await writes).filter((reply) => reply.status === 409).length;
  assert.equal(created + refused, 50);
  assert.ok(created > 0 && reads > 0);
  assert.equal(await waterCount(), before_count + created);
});

test("an answer outlives a restart: the key is still known", async () => {
  const first = await post(WATER, "twenty-times");
  assert.equal(first.status, 201);
  const { data } = daemon;
  await daemon.stop({ keep: true });
  daemon = await startDaemon({ data });
  const again = await post(WATER, "twenty-times");
  assert.equal(again.status, 201);
  assert.equal(again.text, first.text);
  await daemon.stop();
  await rm(data, { recursive: true });
  daemon = await startDaemon();
});

// Sizes, numbers and times: what is too large is refused, who is too slow is let go, and
// neither keeps a good client waiting.

import assert from "node:assert/strict";
import http from "node:http";
import net from "node:net";
import { after, before, test } from "node:test";

import { pause, request, startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon({ args: ["--connections", "120"] });
});
after(() => daemon.stop());

const WATER = { name: "Pool", kind: "pool", sanitiser: "chlorine" };

/** A JSON water padded with white space to so many bytes. @param {number} length */
function padded(length) {
  const text = JSON.stringify(WATER);
  return text + " ".repeat(length - text.length);
}

test("a JSON body of 64 KiB is taken, one byte more is not", async () => {
  assert.equal((await daemon.send("POST", "/api/v1/waters", padded(65536))).status, 201);
  const reply = await daemon.send("POST", "/api/v1/waters", padded(65537));
  assert.equal(reply.status, 413);
  assert.equal(reply.json.code, "body_too_large");
});

test("a body of some megabytes is read to its end, so that the refusal arrives", async () => {
  const reply = await daemon.send("POST", "/api/v1/waters", "x".repeat(5_000_000));
  assert.equal(reply.status, 413);
});

test("a body for a call that takes none is refused", async () => {
  const reply = await request(daemon.port, "GET", "/healthz", {
    headers: { Host: daemon.host }, body: "x",
  });
  assert.equal(reply.status, 400);
  assert.equal(reply.json.code, "body_unexpected");
});

test("a client that asks first is refused before it sends", async () => {
  const reply = await daemon.raw(
    `POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\nExpect: 100-continue\r\n` +
    "Content-Length: 70000\r\n\r\n");
  assert.match(reply.text, /^HTTP\/1\.1 4\d\d /);
  assert.doesNotMatch(reply.text, /100 Continue/);
  assert.equal(reply.closed, true);
});

test("a client that asks first is told to go on when it may", async () => {
  const body = JSON.stringify(WATER);
  const reply = await daemon.raw([
    `POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\nOrigin: http://${daemon.host}` +
    "\r\nCoilkeep-Change: 1\r\nContent-Type: application/json\r\nExpect: 100-continue\r\n" +
    `Idempotency-Key: asks-first-1\r\nContent-Length: ${body.length}\r\n\r\n`, body],
  { gap_ms: 200 });
  assert.match(reply.text, /^HTTP\/1\.1 100 Continue\r\n\r\nHTTP\/1\.1 201 /);
});

test("the longest URL and header that are allowed are taken", async () => {
  const target = `/${"a".repeat(2047)}`;
  assert.equal((await daemon.get(target)).status, 404);
  assert.equal((await daemon.get("/healthz", { "X-Long": "b".repeat(15000) })).status, 200);
});

test("a truncated body changes nothing", async () => {
  const count = (await daemon.get("/api/v1/waters")).json.waters.length;
  const body = JSON.stringify(WATER);
  const socket = net.connect(daemon.port, "127.0.0.1");
  socket.write(`POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\n` +
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nIdempotency-Key: 12345678\r\n` +
    `Content-Type: application/json\r\nContent-Length: ${body.length + 1}\r\n\r\n${body}`);
  await pause(100);
  socket.end();
  await pause(200);
  socket.destroy();
  assert.equal((await daemon.get("/api/v1/waters")).json.waters.length, count);
});

/** Sends a byte now and then until the other end closes; the time that took, in ms.
 *  @param {string} head @param {string} drip @param {number} every_ms */
function dripFeed(head, drip, every_ms) {
  return new Promise((resolve) => {
    const start_ms = Date.now();
    let text = "";
    const socket = net.connect(daemon.port, "127.0.0.1", () => socket.write(head));
    const timer = setInterval(() => socket.write(drip), every_ms);
    socket.on("data", (bytes) => (text += bytes));
    socket.on("error", () => {});
    socket.on("close", () => {
      clearInterval(timer);
      resolve({ duration_ms: Date.now() - start_ms, text });
    });
  });
}

test("64 clients that drip their headers are cut off after 5 s, and a good client is " +
  "answered within 1 s throughout", async () => {
  const feeders = [];
  for (let i = 0; i < 64; i++) {
    feeders.push(i % 2
      ? dripFeed("GET /healthz HTTP/1.1\r\n", "A: b\r\n", 500)
      : dripFeed("GET /heal", "t", 500));
  }
  let done = false;
  const all = Promise.all(feeders).then((list) => {
    done = true;
    return list;
  });
  let slowest_ms = 0;
  let answers = 0;
  while (!done) {
    const start_ms = Date.now();
    assert.equal((await daemon.get("/healthz")).status, 200);
    slowest_ms = Math.max(slowest_ms, Date.now() - start_ms);
    answers++;
    await pause(50);
  }
  assert.ok(answers > 40, `${answers} answers`);
  assert.ok(slowest_ms <= 1000, `slowest answer took ${slowest_ms} ms`);
  for (const { duration_ms, text } of await all) {
    assert.ok(duration_ms >= 4500 && duration_ms <= 7000, `cut off after ${duration_ms} ms`);
    assert.match(text, /^HTTP\/1\.1 408 /);
  }
});

test("more drip feeders than connections lock nobody out for longer than their limit",
  async () => {
    const feeders = [];
    for (let i = 0; i < 150; i++) feeders.push(dripFeed("GET /heal", "t", 500));
    await pause(300);
    const start_ms = Date.now();
    assert.equal((await daemon.get("/healthz")).status, 200);
    const waited_ms = Date.now() - start_ms;
    assert.ok(waited_ms <= 7000, `waited ${waited_ms} ms`);
    await Promise.all(feeders);
  });

test("a connection that never says anything is closed", async () => {
  const { duration_ms, text } = await dripFeed("", "", 1000);
  assert.ok(duration_ms >= 4500 && duration_ms <= 7000, `closed after ${duration_ms} ms`);
  assert.equal(text, "");
});

test("a body that drips is cut off after 30 s", async () => {
  const head = `POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\n` +
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nIdempotency-Key: 12345678\r\n` +
    "Content-Type: application/json\r\nContent-Length: 5000\r\n\r\n";
  const { duration_ms, text } = await dripFeed(head, " ", 1000);
  assert.ok(duration_ms >= 29_000 && duration_ms <= 32_500, `after ${duration_ms} ms`);
  assert.match(text, /^HTTP\/1\.1 408 /);
});

test("a good client keeps its connection over many requests", async () => {
  const agent = new http.Agent({ keepAlive: true, maxSockets: 1 });
  for (let i = 0; i < 50; i++) {
    const reply = await request(daemon.port, "GET", "/healthz",
      { headers: { Host: daemon.host }, agent });
    assert.equal(reply.status, 200);
  }
  const sockets = Object.values(agent.freeSockets).flat();
  assert.equal(sockets.length, 1);
  agent.destroy();
});

test("200 clients at once are all answered", async () => {
  const replies = await Promise.all(
    Array.from({ length: 200 }, () => daemon.get("/healthz")));
  assert.ok(replies.every((reply) => reply.status === 200));
});

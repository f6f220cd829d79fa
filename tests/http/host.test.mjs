// Which Host values are answered: the wall against DNS rebinding, on every path.

import assert from "node:assert/strict";
import os from "node:os";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

const machine = os.hostname().split(".")[0];

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

const TARGETS = [
  "/", "/readings", "/style.css", "/js/api.js", "/nothing-here", "/healthz", "/readyz",
  "/api/v1/site", "/api/v1/permit", "/api/v1/readings?water=1", "/api/v1/nothing",
];

// P stands for the port. Sources: RFC 9110 section 7.2, RFC 3986 section 3.2.2.
const OURS = [
  "127.0.0.1:P", "localhost:P", "LOCALHOST:P", "LocalHost:P", "[::1]:P", "192.168.1.20:P",
  "10.0.0.7:P", "[fe80::1]:P", "[2001:db8::7]:P", `${machine}.local:P`,
  `${machine.toUpperCase()}.LOCAL:P`, `${machine}-2.local:P`, `${machine}-17.local:P`,
];

const FOREIGN = [
  "evil.test", "evil.test:P", "box.local.evil.test:P", `${machine}.local.evil.test:P`,
  "localhost.evil.test:P", "localhost.:P", `${machine}.local.:P`, `other${machine}.local:P`,
  `${machine}x.local:P`, `${machine}-.local:P`, `${machine}-x.local:P`, `${machine}:P`,
  "127.0.0.1", "localhost", "127.0.0.1:0", "127.0.0.1:80", "localhost:1", "127.0.0.1:0P",
  "127.0.0.1:P0", "127.0.0.1: P", "127.0.0.1:+P", "user@127.0.0.1:P", "127.0.0.1:P@evil.test",
  "http://127.0.0.1:P", "127.0.0.1:P/", "127.1:P", "2130706433:P", "0x7f.0.0.1:P",
  "127.0.0.1.:P", "256.0.0.1:P", "[::1:P", "::1:P", "[::1]P", "[fe80::1%25eth0]:P",
  "[127.0.0.1]:P", "*:P", "", ":P", "127.0.0.1:P, evil.test", "%6cocalhost:P",
];

const withPort = (/** @type {string} */ host) => host.replaceAll("P", String(daemon.port));

/** @param {string} host @param {string} target */
async function statusOf(host, target) {
  const reply = await daemon.raw(
    `GET ${target} HTTP/1.1\r\nHost: ${withPort(host)}\r\nConnection: close\r\n\r\n`,
  );
  return Number(/^HTTP\/1\.1 (\d{3}) /.exec(reply.text)?.[1]);
}

test("the table has at least 40 values", () => {
  assert.ok(OURS.length + FOREIGN.length >= 40);
});

for (const host of OURS) {
  test(`Host "${host}" is answered on every path`, async () => {
    for (const target of TARGETS) {
      const status = await statusOf(host, target);
      assert.ok([200, 404, 409, 422, 503].includes(status), `${target}: ${status}`);
    }
  });
}

for (const host of FOREIGN) {
  test(`Host "${host}" gets 421 on every path`, async () => {
    for (const target of TARGETS) {
      assert.equal(await statusOf(host, target), 421, target);
    }
  });
}

test("a request without Host is refused on every path", async () => {
  for (const target of TARGETS) {
    const reply = await daemon.raw(`GET ${target} HTTP/1.1\r\nConnection: close\r\n\r\n`);
    assert.match(reply.text, /^HTTP\/1\.1 400 /, target);
    assert.match(reply.text, /host_missing/);
  }
});

test("a request with two Host headers is refused, even when both are ours", async () => {
  for (const target of TARGETS) {
    const reply = await daemon.raw(
      `GET ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nHost: ${daemon.host}\r\n\r\n`,
    );
    assert.match(reply.text, /^HTTP\/1\.1 400 /, target);
    assert.equal(reply.closed, true);
  }
});

test("a change under a foreign Host is refused before anything else is looked at", async () => {
  const reply = await daemon.send("POST", "/api/v1/waters", { name: "x" }, {
    Host: `evil.test:${daemon.port}`,
    Origin: `http://evil.test:${daemon.port}`,
  });
  assert.equal(reply.status, 421);
  assert.equal(reply.json.code, "host_unknown");
});

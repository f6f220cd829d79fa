// The headers that every answer carries, whatever its status.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

const GOLDEN = {
  "content-security-policy":
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
    "connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; " +
    "frame-ancestors 'none'",
  "x-content-type-options": "nosniff",
  "referrer-policy": "same-origin",
};

// What else may stand in an answer. Whatever is not named here fails the test.
const OTHERS = [
  "date", "connection", "content-length", "content-type", "content-encoding", "etag",
  "cache-control", "vary", "allow", "location", "retry-after", "keep-alive",
];

/** Splits a raw answer. @param {string} text */
function parseAnswer(text) {
  const [head] = text.split("\r\n\r\n");
  const [first, ...lines] = (head ?? "").split("\r\n");
  /** @type {Record<string, string>} */
  const headers = {};
  for (const line of lines) {
    const colon = line.indexOf(":");
    const name = line.slice(0, colon).toLowerCase();
    assert.equal(name in headers, false, `${name} twice`);
    headers[name] = line.slice(colon + 1).trim();
  }
  return { status: Number(first?.split(" ")[1]), headers };
}

/** @param {Record<string, string | string[] | undefined>} headers @param {string} what */
function assertGolden(headers, what) {
  for (const [name, value] of Object.entries(GOLDEN)) {
    assert.equal(headers[name], value, `${what}: ${name}`);
  }
  for (const name of Object.keys(headers)) {
    assert.ok(name in GOLDEN || OTHERS.includes(name), `${what}: ${name} is not expected`);
    assert.doesNotMatch(name, /^access-control/);
  }
  assert.doesNotMatch(String(headers["content-security-policy"]), /upgrade-insecure/);
}

const good = (/** @type {string} */ line, extra = "") =>
  `${line} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n${extra}\r\n`;

/** Requests by the status they lead to. */
const cases = () => [
  [200, good("GET /healthz")],
  [200, good("GET /")],
  [200, good("HEAD /")],
  [200, good("GET /style.css")],
  [200, good("GET /api/v1/site")],
  [400, good("GET /api/v1/site?colour=1")],
  [400, "GET / HTTP/1.1\r\n\r\n"],
  [400, "NONSENSE\r\n\r\n"],
  [403, good("POST /api/v1/waters", "Content-Type: application/json\r\n")],
  [404, good("GET /nothing")],
  [404, good("GET /api/v1/nothing")],
  [404, good("GET /api/v1/waters/999")],
  [405, good("DELETE /api/v1/site")],
  [405, good("OPTIONS /api/v1/site")],
  [405, good("OPTIONS /")],
  [405, good("POST /")],
  [411, good("POST /api/v1/waters", "Transfer-Encoding: chunked\r\n")],
  [413, good("POST /api/v1/waters", "Content-Length: 9999999999999\r\n")],
  [414, good(`GET /${"a".repeat(3000)}`)],
  [415, good("POST /api/v1/waters",
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nContent-Type: text/plain\r\n`)],
  [421, "GET / HTTP/1.1\r\nHost: evil.test\r\nConnection: close\r\n\r\n"],
  [428, good("PUT /api/v1/site",
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nContent-Type: application/json\r\n`)],
  [431, good("GET /", `X-Long: ${"a".repeat(20000)}\r\n`)],
  [505, "GET / HTTP/2.0\r\nHost: x\r\n\r\n"],
];

test("answers of every status carry the same headers, and none of CORS", async () => {
  for (const [status, bytes] of cases()) {
    const reply = await daemon.raw(String(bytes));
    const answer = parseAnswer(reply.text);
    const what = String(bytes).slice(0, 60);
    assert.equal(answer.status, status, what);
    assertGolden(answer.headers, what);
    if (Number(status) >= 400) {
      assert.equal(answer.headers["content-type"], "application/problem+json", what);
      assert.equal(answer.headers["cache-control"], "no-store", what);
    }
  }
});

test("the API is never stored, pages are always revalidated", async () => {
  assert.equal((await daemon.get("/api/v1/site")).headers["cache-control"], "no-store");
  assert.equal((await daemon.get("/healthz")).headers["cache-control"], "no-store");
  assert.equal((await daemon.get("/")).headers["cache-control"], "no-cache");
  assert.equal((await daemon.get("/style.css")).headers["cache-control"], "no-cache");
});

test("a CORS preflight gets 405 and no permission", async () => {
  const reply = await daemon.raw(
    good("OPTIONS /api/v1/waters",
      "Origin: http://evil.test\r\nAccess-Control-Request-Method: POST\r\n" +
      "Access-Control-Request-Private-Network: true\r\n"),
  );
  const answer = parseAnswer(reply.text);
  assert.equal(answer.status, 405);
  assert.match(answer.headers.allow ?? "", /GET, HEAD, POST/);
  assert.doesNotMatch(reply.text, /access-control/i);
});

test("a 304 carries them too", async () => {
  const first = await daemon.get("/style.css");
  const again = await daemon.get("/style.css", { "If-None-Match": first.headers.etag });
  assert.equal(again.status, 304);
  assertGolden(again.headers, "304");
});

// Requests that are no requests: each is refused and the connection closed, and the
// daemon goes on. Sources: RFC 9112 sections 2.2, 3, 5, 6, 11.2; RFC 9110 section 5.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

// HOST stands for the daemon's own address.
const H = "Host: HOST\r\n";

const REFUSED = [
  ["bare LF everywhere", "GET /healthz HTTP/1.1\nHost: HOST\n\n", 400],
  ["bare LF after the request line", `GET /healthz HTTP/1.1\n${H}\r\n`, 400],
  ["bare LF after a header", "GET /healthz HTTP/1.1\r\nHost: HOST\n\r\n", 400],
  ["bare LF after a middle header", `GET /healthz HTTP/1.1\r\nA: b\n${H}\r\n`, 400],
  ["bare LF as the empty line", `GET /healthz HTTP/1.1\r\n${H}\n`, 400],
  ["bare CR after the request line", "GET /healthz HTTP/1.1\rHost: HOST\r\n\r\n", 400],
  ["bare CR in a header", `GET /healthz HTTP/1.1\r\nA: b\rc\r\n${H}\r\n`, 400],
  ["bare CR as the empty line", `GET /healthz HTTP/1.1\r\n${H}\rX`, 400],
  ["CR CR LF", `GET /healthz HTTP/1.1\r\r\n${H}\r\n`, 400],
  ["no Host", "GET /healthz HTTP/1.1\r\n\r\n", 400],
  ["no Host in HTTP/1.0", "GET /healthz HTTP/1.0\r\n\r\n", 400],
  ["two Host", `GET /healthz HTTP/1.1\r\n${H}${H}\r\n`, 400],
  ["two Host, one foreign", `GET /healthz HTTP/1.1\r\n${H}Host: evil.test\r\n\r\n`, 400],
  ["two Host in other case", `GET /healthz HTTP/1.1\r\n${H}hOST: HOST\r\n\r\n`, 400],
  ["space before the colon", "GET /healthz HTTP/1.1\r\nHost : HOST\r\n\r\n", 400],
  ["tab before the colon", "GET /healthz HTTP/1.1\r\nHost\t: HOST\r\n\r\n", 400],
  ["space before the name", "GET /healthz HTTP/1.1\r\n Host: HOST\r\n\r\n", 400],
  ["folded header", `GET /healthz HTTP/1.1\r\n${H}A: b\r\n c\r\n\r\n`, 400],
  ["folded with a tab", `GET /healthz HTTP/1.1\r\n${H}A: b\r\n\tc\r\n\r\n`, 400],
  ["folded Host", "GET /healthz HTTP/1.1\r\nHost:\r\n HOST\r\n\r\n", 400],
  ["header without a colon", `GET /healthz HTTP/1.1\r\n${H}nonsense\r\n\r\n`, 400],
  ["header without a name", `GET /healthz HTTP/1.1\r\n${H}: x\r\n\r\n`, 400],
  ["parenthesis in a name", `GET /healthz HTTP/1.1\r\n${H}a(b: x\r\n\r\n`, 400],
  ["quote in a name", `GET /healthz HTTP/1.1\r\n${H}a"b: x\r\n\r\n`, 400],
  ["NUL in a name", `GET /healthz HTTP/1.1\r\n${H}a\0b: x\r\n\r\n`, 400],
  ["NUL in a value", `GET /healthz HTTP/1.1\r\n${H}a: x\0y\r\n\r\n`, 400],
  ["control byte in a value", `GET /healthz HTTP/1.1\r\n${H}a: x\x01y\r\n\r\n`, 400],
  ["DEL in a value", `GET /healthz HTTP/1.1\r\n${H}a: x\x7fy\r\n\r\n`, 400],
  ["letters beyond ASCII in a name", `GET /healthz HTTP/1.1\r\n${H}a\xe9: x\r\n\r\n`, 400],
  ["two Content-Length, equal",
    `POST /healthz HTTP/1.1\r\n${H}Content-Length: 1\r\nContent-Length: 1\r\n\r\nx`, 400],
  ["two Content-Length, unequal",
    `POST /healthz HTTP/1.1\r\n${H}Content-Length: 1\r\nContent-Length: 2\r\n\r\nxx`, 400],
  ["list in Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: 1, 1\r\n\r\nx`, 400],
  ["negative Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: -1\r\n\r\n`, 400],
  ["signed Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: +1\r\n\r\nx`, 400],
  ["hexadecimal Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: 0x1\r\n\r\nx`, 400],
  ["fraction in Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: 1.0\r\n\r\nx`, 400],
  ["empty Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length:\r\n\r\n`, 400],
  ["blank Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length:   \r\n\r\n`, 400],
  ["gap in Content-Length", `POST /healthz HTTP/1.1\r\n${H}Content-Length: 1 1\r\n\r\nx`, 400],
  ["huge Content-Length",
    `POST /healthz HTTP/1.1\r\n${H}Content-Length: 99999999999999999999\r\n\r\n`, 413],
  ["Content-Length of 2^64",
    `POST /healthz HTTP/1.1\r\n${H}Content-Length: 18446744073709551616\r\n\r\n`, 413],
  ["both length and chunks",
    `POST /healthz HTTP/1.1\r\n${H}Content-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n`, 400],
  ["both chunks and length",
    `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\n0\r\n\r\n`, 400],
  ["chunks", `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n`, 411],
  ["bad chunks", `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: chunked\r\n\r\nzz\r\n`, 411],
  ["another coding", `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: gzip\r\n\r\n`, 411],
  ["identity coding", `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: identity\r\n\r\n`, 411],
  ["hidden coding", `POST /healthz HTTP/1.1\r\n${H}Transfer-Encoding: \x0bchunked\r\n\r\n`, 400],
  ["no version", `GET /healthz\r\n${H}\r\n`, 400],
  ["HTTP/0.9", "GET /healthz\r\n", 400],
  ["HTTP/1.2", `GET /healthz HTTP/1.2\r\n${H}\r\n`, 505],
  ["HTTP/2.0", `GET /healthz HTTP/2.0\r\n${H}\r\n`, 505],
  ["HTTP/9.9", `GET /healthz HTTP/9.9\r\n${H}\r\n`, 505],
  ["lower-case version", `GET /healthz http/1.1\r\n${H}\r\n`, 400],
  ["HTTP/1.10", `GET /healthz HTTP/1.10\r\n${H}\r\n`, 400],
  ["HTTP/11", `GET /healthz HTTP/11\r\n${H}\r\n`, 400],
  ["space after the version", `GET /healthz HTTP/1.1 \r\n${H}\r\n`, 400],
  ["two spaces before the target", `GET  /healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["two spaces after the target", `GET /healthz  HTTP/1.1\r\n${H}\r\n`, 400],
  ["tabs between", `GET\t/healthz\tHTTP/1.1\r\n${H}\r\n`, 400],
  ["space in the target", `GET /heal thz HTTP/1.1\r\n${H}\r\n`, 400],
  ["control byte in the target", `GET /heal\x01thz HTTP/1.1\r\n${H}\r\n`, 400],
  ["NUL in the target", `GET /healthz\0 HTTP/1.1\r\n${H}\r\n`, 400],
  ["byte beyond ASCII in the target", `GET /\xe9 HTTP/1.1\r\n${H}\r\n`, 400],
  ["absolute target", `GET http://HOST/healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["authority as target", `CONNECT HOST HTTP/1.1\r\n${H}\r\n`, 400],
  ["target without a slash", `GET healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["no method", ` /healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["empty line first", `\r\nGET /healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["endless method", `${"A".repeat(40)} /healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["colon in the method", `GE:T /healthz HTTP/1.1\r\n${H}\r\n`, 400],
  ["h2 preface", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", 505],
  ["TLS hello", "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 400],
  ["SSH greeting", "SSH-2.0-OpenSSH_9.2\r\n", 400],
  ["mail greeting", "EHLO example\r\n", 400],
  ["zeros", "\0".repeat(64), 400],
  ["long target", `GET /${"a".repeat(2100)} HTTP/1.1\r\n${H}\r\n`, 414],
  ["long header", `GET /healthz HTTP/1.1\r\n${H}A: ${"b".repeat(17000)}\r\n\r\n`, 431],
  ["many headers", `GET /healthz HTTP/1.1\r\n${H}${"A: b\r\n".repeat(70)}\r\n`, 431],
  ["long name", `GET /healthz HTTP/1.1\r\n${H}${"a".repeat(17000)}: b\r\n\r\n`, 431],
];

const withHost = (/** @type {unknown} */ text) =>
  String(text).replaceAll("HOST", daemon.host);

test("the table has at least 60 requests", () => {
  assert.ok(REFUSED.length >= 60, String(REFUSED.length));
});

for (const [name, text, status] of REFUSED) {
  test(`${name}: ${status}`, async () => {
    const bytes = withHost(text);
    const reply = await daemon.raw(bytes, { quiet_ms: 4000 });
    assert.match(reply.text, new RegExp(`^HTTP/1\\.1 ${status} `), JSON.stringify(bytes));
    assert.equal(reply.text.match(/HTTP\/1\.1 \d{3} /g)?.length, 1, "one answer");
    assert.match(reply.text, /application\/problem\+json/);
    assert.equal(reply.closed, true);
  });
}

test("each is refused in pieces of one byte as well", async () => {
  const some = REFUSED.filter(([, text]) => String(text).length < 90);
  assert.ok(some.length >= 40);
  await Promise.all(some.map(async ([name, text, status]) => {
    const reply = await daemon.raw([...withHost(text)],
      { quiet_ms: 4000, gap_ms: 1 });
    assert.match(reply.text, new RegExp(`^HTTP/1\\.1 ${status} `), String(name));
  }));
});

test("a good request before a bad one is answered, then the bad one refused", async () => {
  const reply = await daemon.raw(
    `GET /healthz HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\nGET /healthz HTTP/1.1\nHost: x\n\n`,
    { quiet_ms: 4000 });
  assert.deepEqual(reply.text.match(/HTTP\/1\.1 \d{3}/g), ["HTTP/1.1 200", "HTTP/1.1 400"]);
  assert.equal(reply.closed, true);
});

test("pipelined good requests are answered in order", async () => {
  const one = `GET /healthz HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`;
  const other = `GET /nothing HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`;
  const reply = await daemon.raw(one + other + one);
  assert.deepEqual(reply.text.match(/HTTP\/1\.1 \d{3}/g),
    ["HTTP/1.1 200", "HTTP/1.1 404", "HTTP/1.1 200"]);
});

test("a body's bytes are never read as a request", async () => {
  const hidden = `GET /healthz HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`;
  const reply = await daemon.raw(
    `POST /nothing HTTP/1.1\r\nHost: ${daemon.host}\r\nContent-Length: ${hidden.length}` +
    `\r\n\r\n${hidden}GET /api/v1/nothing HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`);
  assert.deepEqual(reply.text.match(/HTTP\/1\.1 \d{3}/g), ["HTTP/1.1 404", "HTTP/1.1 404"]);
});

test("a good request in pieces of one byte is answered", async () => {
  const reply = await daemon.raw(
    [...`GET /healthz HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`], { gap_ms: 1 });
  assert.match(reply.text, /^HTTP\/1\.1 200 /);
});

test("HTTP/1.0 with a Host is answered and closed", async () => {
  const reply = await daemon.raw(`GET /healthz HTTP/1.0\r\nHost: ${daemon.host}\r\n\r\n`);
  assert.match(reply.text, /^HTTP\/1\.[01] 200 /);
  assert.equal(reply.closed, true);
});

test("a client that leaves in the middle of anything harms nobody", async () => {
  const whole = `POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\n` +
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nIdempotency-Key: 12345678\r\n` +
    "Content-Type: application/json\r\nContent-Length: 30\r\n\r\n{\"name\":\"half";
  for (let length = 1; length < whole.length; length += 9) {
    await daemon.raw(whole.slice(0, length), { quiet_ms: 5 });
  }
  assert.equal((await daemon.get("/healthz")).status, 200);
  assert.equal((await daemon.get("/api/v1/waters")).json.waters.length, 0);
});

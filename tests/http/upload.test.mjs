// Large files: their limit, where they wait, and that nobody waits for them.

import assert from "node:assert/strict";
import { readdir } from "node:fs/promises";
import net from "node:net";
import { test } from "node:test";

import { makeFolder, pause, startDaemon } from "../support/daemon.mjs";

const MIB = 1024 * 1024;
const CSV = { "Content-Type": "text/csv" };
const TARGET = "/api/v1/import?water=1";

/** A daemon with a site and a water. @param {{data?: string}} [options] */
async function startWithWater(options) {
  const daemon = await startDaemon(options);
  const site = await daemon.send("PUT", "/api/v1/site",
    { name: "Test", zone: "UTC", units: "si", ppm: true, decimal_comma: false },
    { "If-Match": '"site-0"' });
  assert.equal(site.status, 200, site.text);
  const water = await daemon.send("POST", "/api/v1/waters",
    { name: "Pool", kind: "pool", sanitiser: "chlorine" });
  assert.equal(water.status, 201, water.text);
  return daemon;
}

/** A table of so many readings, 10 minutes apart. @param {number} rows */
function table(rows) {
  const lines = ["date,pH"];
  for (let i = 0; i < rows; i++) {
    const at = new Date((1_000_000_000 + i * 600) * 1000).toISOString();
    lines.push(`${at.slice(0, 10)} ${at.slice(11, 16)},7.${i % 8}`);
  }
  return `${lines.join("\n")}\n`;
}

test("64 MiB are taken in, one byte more is refused with an answer", async () => {
  const daemon = await startWithWater();
  // NUL bytes: the import refuses the file at once, the door must not
  const whole = await daemon.send("POST", TARGET, Buffer.alloc(64 * MIB), CSV);
  assert.equal(whole.status, 422, whole.text);
  const more = await daemon.send("POST", TARGET, Buffer.alloc(64 * MIB + 1), CSV);
  assert.equal(more.status, 413);
  assert.equal(more.json.code, "body_too_large");
  assert.deepEqual((await readdir(daemon.data)).filter((name) => !/^(coilkeep\.|pepper$)/.test(name)),
    [], "no upload is left behind");
  await daemon.stop();
});

test("a body that says it is gigantic is refused at once", async () => {
  const daemon = await startWithWater();
  const reply = await daemon.raw(
    `POST ${TARGET} HTTP/1.1\r\nHost: ${daemon.host}\r\nOrigin: http://${daemon.host}\r\n` +
    "Coilkeep-Change: 1\r\nContent-Type: text/csv\r\nIdempotency-Key: gigantic-1\r\n" +
    "Content-Length: 900000000000\r\n\r\ndate,pH\n", { quiet_ms: 4000 });
  assert.match(reply.text, /^HTTP\/1\.1 413 /);
  assert.equal(reply.closed, true);
  await daemon.stop();
});

test("an upload that stops halfway leaves nothing behind", async () => {
  const daemon = await startWithWater();
  const socket = net.connect(daemon.port, "127.0.0.1");
  socket.write(`POST ${TARGET} HTTP/1.1\r\nHost: ${daemon.host}\r\n` +
    `Origin: http://${daemon.host}\r\nCoilkeep-Change: 1\r\nContent-Type: text/csv\r\n` +
    "Idempotency-Key: halfway-1\r\nContent-Length: 1000000\r\n\r\n" + table(10_000));
  await pause(300);
  socket.destroy();
  await pause(300);
  assert.equal((await daemon.get("/api/v1/readings?water=1")).json.readings.length, 0);
  assert.deepEqual((await readdir(daemon.data)).filter((name) => !/^(coilkeep\.|pepper$)/.test(name)),
    []);
  await daemon.stop();
});

test("reading goes on while a long import is written, and the import is whole", async () => {
  const daemon = await startWithWater();
  let done = false;
  const import_done = daemon.send("POST", TARGET, table(160_000), CSV).then((reply) => {
    done = true;
    return reply;
  });
  let slowest_ms = 0;
  let reads = 0;
  while (!done) {
    const start_ms = Date.now();
    const reply = await daemon.get("/api/v1/readings?water=1&limit=1");
    assert.equal(reply.status, 200);
    if (reply.json.readings.length > 0) { // the commit is there: all of it, and the answer
      assert.equal(reply.json.readings[0].at, 1_000_000_000 - 40 + 159_999 * 600);
      await import_done;
    }
    slowest_ms = Math.max(slowest_ms, Date.now() - start_ms);
    reads++;
    await pause(20);
  }
  const reply = await import_done;
  assert.equal(reply.status, 201, reply.text);
  assert.equal(reply.json.take, 160_000);
  assert.ok(reads >= 10, `${reads} reads`);
  assert.ok(slowest_ms <= 1000, `slowest read took ${slowest_ms} ms`);
  await daemon.stop();
});

test("a stop during a long import is quick, and leaves all or nothing", async (t) => {
  const { folder: data, remove } = await makeFolder();
  t.after(remove);
  const daemon = await startWithWater({ data });
  const status = daemon.send("POST", TARGET, table(400_000), CSV)
    .then((reply) => reply.status, () => 0);
  await pause(1500);
  assert.ok((await daemon.stop()) <= 2000);
  const next = await startDaemon({ data });
  const { readings } = (await next.get("/api/v1/readings?water=1&limit=1")).json;
  await next.stop();
  // an answer came if and only if the rows are there
  assert.equal(readings.length, (await status) === 201 ? 1 : 0);
});

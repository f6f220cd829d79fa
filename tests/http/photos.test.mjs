// Photos over the socket: known by content, kept without place, 10 MiB at most.

import assert from "node:assert/strict";
import { randomBytes, randomUUID } from "node:crypto";
import { readdir, stat, writeFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import zlib from "node:zlib";

import { startDaemon } from "../support/daemon.mjs";
import { setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
let visit;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
  const reply = await daemon.send("POST", "/api/v1/visits", { heater: 1, kind: "inspection" });
  assert.equal(reply.status, 201, reply.text);
  visit = reply.json;
});
after(() => daemon.stop());

// one pixel, arithmetic coding
const JPEG = Buffer.from("/9j/2wBDAAMCAgICAgMCAgIDAwMDBAYEBAQEBAgGBgUGCQgKCgkICQkKDA8MCgsOCwkJDRENDg8Q" +
  "EBEQCgwSExIQEw8QEBD/yQALCAABAAEBAREA/8wABgAQEAX/2gAIAQEAAD8A0s8g/9k=", "base64");
/** @param {string} type @param {Buffer} data */
function chunk(type, data) {
  const body = Buffer.concat([Buffer.from(type), data]);
  let crc = 0xffffffff;
  for (const byte of body) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const sum = Buffer.alloc(4);
  sum.writeUInt32BE((crc ^ 0xffffffff) >>> 0);
  return Buffer.concat([length, body, sum]);
}
/** @param {number} bytes of data that draws nothing */
function png(bytes = 0) {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(1, 0);
  head.writeUInt32BE(1, 4);
  head[8] = 8;
  return Buffer.concat([Buffer.from("89504e470d0a1a0a", "hex"), chunk("IHDR", head),
    chunk("tEXt", Buffer.concat([Buffer.from("Place\0near the pool"), randomBytes(bytes)])),
    chunk("IDAT", zlib.deflateSync(Buffer.from([0, 128]))), chunk("IEND", Buffer.alloc(0))]);
}
const withPlace = Buffer.concat([JPEG.subarray(0, 2), Buffer.from([0xff, 0xe1, 0, 21]),
  Buffer.from("Exif\0\0GPS 52.5 13.4"), JPEG.subarray(2)]);
const send = (body, type = "image/jpeg", query = `of=visit&id=${visit.id}&by=Dana`, more = {}) =>
  daemon.send("POST", `/api/v1/photos?${query}`, body, { "Content-Type": type, ...more });

test("a photo comes back without its place", async () => {
  const reply = await send(withPlace);
  assert.equal(reply.status, 201, reply.text);
  const photo = reply.json;
  assert.equal(photo.by, "Dana");
  assert.equal(photo.heater, 1);
  assert.deepEqual([photo.of, photo.of_id, photo.width, photo.height],
    ["visit", visit.id, 1, 1]);
  const image = await daemon.get(photo.image);
  assert.equal(image.status, 200);
  assert.equal(image.headers["content-type"], "image/jpeg");
  assert.equal(image.headers["x-content-type-options"], "nosniff");
  assert.deepEqual(image.bytes, JPEG);
  assert.equal(photo.byte_count, JPEG.length);
  const { photos } = (await daemon.get("/api/v1/photos?heater=1")).json;
  assert.deepEqual(photos.map((p) => p.id), [photo.id]);
});

test("it lies in a file of its own, for nobody else to read, and once", async () => {
  const folder = path.join(daemon.data, "photos");
  await send(JPEG);
  const names = await readdir(folder);
  assert.equal(names.length, 1);
  assert.match(names[0] ?? "", /^[0-9a-f]{64}$/);
  assert.equal((await stat(path.join(folder, names[0] ?? ""))).mode & 0o077, 0);
  assert.equal((await stat(folder)).mode & 0o077, 0);
});

test("PNG too; its text is taken out", async () => {
  const reply = await send(png(), "image/png", "of=heater&id=1");
  assert.equal(reply.status, 201, reply.text);
  const image = await daemon.get(reply.json.image);
  assert.equal(image.headers["content-type"], "image/png");
  assert.ok(!image.text.includes("pool"));
});

test("the content decides, not the name", async () => {
  const reply = await send(png(), "image/jpeg");
  assert.equal(reply.json.type, "image/png");
  for (const [body, code] of [
    [Buffer.from("GIF89a"), "no_photo"], [Buffer.from("<svg/>"), "no_photo"],
    [JPEG.subarray(0, 60), "photo_broken"], [png().subarray(0, -4), "photo_broken"],
    [Buffer.alloc(0), "no_photo"],
  ]) {
    const refused = await send(body);
    assert.deepEqual([refused.status, refused.json.code], [422, code], String(body));
  }
  assert.equal((await send(JPEG, "text/plain")).status, 415);
  assert.equal((await send(JPEG, "application/json")).status, 415);
});

test("what it shows must be there", async () => {
  for (const [query, status] of [["of=visit&id=99", 422], ["of=visit", 400], ["id=1", 400],
    ["of=garden&id=1", 400], ["of=heater&id=0", 400], ["of=heater&id=1&x=1", 400]])
    assert.equal((await send(JPEG, "image/jpeg", query)).status, status, query);
});

test("10 MiB are taken, more are not", async () => {
  const limit = 10 * 1024 * 1024;
  const rest = limit - png().length;
  assert.equal((await send(png(rest), "image/png")).status, 201);
  const reply = await send(png(rest + 1), "image/png");
  assert.equal(reply.status, 413);
  assert.equal(reply.json.code, "body_too_large");
});

test("sent twice with one key it is one photo", async () => {
  const key = { "Idempotency-Key": randomUUID() };
  const first = await send(JPEG, "image/jpeg", "of=heater&id=1", key);
  const second = await send(JPEG, "image/jpeg", "of=heater&id=1", key);
  assert.equal(second.json.id, first.json.id);
});

test("a withdrawn photo shows nothing; a damaged file neither", async () => {
  const made = (await send(JPEG)).json;
  const gone = await daemon.send("POST", `/api/v1/photos/${made.id}/withdrawal`,
    { reason: "the wrong heater" }, { "If-Match": made.etag });
  assert.equal(gone.status, 201, gone.text);
  assert.equal((await daemon.get(made.image)).status, 404);
  assert.equal((await daemon.get("/api/v1/photos/999/image")).status, 404);
  const other = (await send(JPEG)).json;
  const folder = path.join(daemon.data, "photos");
  for (const name of await readdir(folder)) await writeFile(path.join(folder, name), "x");
  assert.equal((await daemon.get(other.image)).status, 404);
});

// Rounds of: start the daemon on the same folder, let writers and an import work, kill it
// without warning, start again and compare what it holds with what it had confirmed.
//
// What counts as confirmed is an answer 201 that arrived whole. With --acknowledge-early
// the writers take a request for confirmed as soon as it is sent, as a daemon would make
// them that answers before its commit: a harness that finds nothing then is worth nothing.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { randomInt, randomUUID } from "node:crypto";
import { mkdtemp, rm } from "node:fs/promises";
import http from "node:http";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";

import { spawnDaemon } from "../support/unprivileged.mjs";

const WRITERS = 4;
const START_MS_MAX = 1000; // on an idle machine; told, not judged, on a busy one
const { values: options } = parseArgs({ options: {
  rounds: { type: "string", default: "50" },
  "acknowledge-early": { type: "boolean", default: false },
} });
const rounds = Number(options.rounds);
if (!Number.isInteger(rounds) || rounds < 1) {
  console.error("usage: tests/faults/kill --rounds N [--acknowledge-early]");
  process.exit(2);
}
const early = options["acknowledge-early"];
const program = process.env.COILKEEPD ?? "";
const data = await mkdtemp(path.join(os.tmpdir(), "coilkeep-kill-"));
const running = new Set();
process.on("exit", () => running.forEach((child) => child.kill("SIGKILL")));

/** Notes of facts that were confirmed, each the only one of its kind. @type {Set<string>} */
const confirmed = new Set();
/** Notes of facts that were sent; may be there or not. @type {Set<string>} */
const sent = new Set();

async function start() {
  const began = performance.now();
  const child = spawnDaemon(program, ["--port", "0", "--data", data]);
  running.add(child);
  let err = "";
  child.stderr.on("data", (bytes) => (err += bytes));
  const ended = new Promise((resolve) => child.on("close", (code) => {
    running.delete(child);
    resolve(code);
  }));
  const port = await new Promise((resolve, reject) => {
    let out = "";
    child.stdout.on("data", (bytes) => {
      out += bytes;
      const ready = /:(\d+)\n/.exec(out);
      if (ready) resolve(Number(ready[1]));
    });
    child.on("close", () => reject(new Error(`the daemon did not start: ${err}`)));
  });
  return { child, port, ended, start_ms: performance.now() - began };
}

/** The answer's status; 0 when none came whole.
 *  @param {number} port @param {string} method @param {string} target
 *  @param {string} body @param {Record<string, string>} [more] */
function send(port, method, target, body, more = {}) {
  return new Promise((resolve) => {
    const request = http.request({ host: "127.0.0.1", port, method, path: target,
      agent: false, headers: { Host: `127.0.0.1:${port}`,
        Origin: `http://127.0.0.1:${port}`, "Content-Type": "application/json",
        "Coilkeep-Change": "1", "Idempotency-Key": randomUUID(), ...more,
        "Content-Length": Buffer.byteLength(body) } }, (answer) => {
      let text = "";
      answer.on("data", (piece) => (text += piece));
      answer.on("end", () => resolve({ status: answer.complete ? answer.statusCode : 0, text }));
      answer.on("error", () => resolve({ status: 0, text: "" }));
    });
    request.on("error", () => resolve({ status: 0, text: "" }));
    request.end(body);
  });
}

/** Readings and doses one after the other until the daemon is gone; each with its key,
 *  sent again with the same key after a lost answer in the next round.
 *  @param {number} port @param {() => boolean} isOver @param {Map<string, any>} unanswered */
async function write(port, isOver, unanswered) {
  while (!isOver()) {
    const note = randomUUID();
    const dose = randomInt(3) === 0;
    const call = { target: dose ? "/api/v1/doses" : "/api/v1/readings", key: randomUUID(),
      body: JSON.stringify(dose
        ? { water: 1, product: "sodium_hypochlorite", amount: 100, strength_percent: 12.5, note }
        : { water: 1, values: { ph: 7 + randomInt(10) / 10 }, note }) };
    sent.add(note);
    unanswered.set(note, call);
    if (early) confirmed.add(note);
    const { status, text } = await send(port, "POST", call.target, call.body,
      { "Idempotency-Key": call.key });
    if (status === 0) return;
    assert.equal(status, 201, text);
    confirmed.add(note);
    unanswered.delete(note);
  }
}

let importDay = 0;

/** A table of 2,000 readings: all of it counts once it is confirmed, none before.
 *  @param {number} port */
async function importTable(port) {
  const note = `table-${importDay}`;
  const from = 946684800 + importDay++ * 2000 * 60;
  const lines = ["time,pH,note"];
  for (let i = 0; i < 2000; i++)
    lines.push(`${new Date((from + i * 60) * 1000).toISOString()},7.4,${note}`);
  sent.add(note);
  if (early) confirmed.add(note);
  const { status, text } = await send(port, "POST", "/api/v1/import?water=1",
    lines.join("\r\n"), { "Content-Type": "text/csv" });
  if (status === 0) return;
  assert.equal(status, 201, text);
  confirmed.add(note);
}

const ask = (sql) => execFileSync("sqlite3", ["-readonly", path.join(data, "coilkeep.db"), sql],
  { encoding: "utf8", maxBuffer: 1 << 28 }).trim();

/** What the database holds, by note; a table of the import by its number of rows. */
function look() {
  const counts = new Map();
  const rows = ask("SELECT note, count(*) FROM reading WHERE note <> '' GROUP BY note" +
    " UNION ALL SELECT note, count(*) FROM dose WHERE note <> '' GROUP BY note;");
  for (const line of rows === "" ? [] : rows.split("\n")) {
    const at = line.lastIndexOf("|");
    counts.set(line.slice(0, at), Number(line.slice(at + 1)));
  }
  return counts;
}

/** @param {Map<string, number>} counts */
function countLosses(counts) {
  let lost = 0;
  for (const note of confirmed) {
    const wanted = note.startsWith("table-") ? 2000 : 1;
    if (counts.get(note) !== wanted) {
      lost++;
      if (lost <= 5) console.error(`${note}: ${counts.get(note) ?? 0} instead of ${wanted}`);
    }
  }
  for (const [note, count] of counts) {
    const whole = note.startsWith("table-") ? 2000 : 1;
    if (count !== whole && !confirmed.has(note)) {
      lost++;
      console.error(`${note}: ${count}, a part of a whole`);
    }
    if (!sent.has(note)) {
      lost++;
      console.error(`${note}: was never sent`);
    }
  }
  return lost;
}

async function setUp() {
  const { child, port, ended } = await start();
  const site = await send(port, "PUT", "/api/v1/site", JSON.stringify({ name: "Alder Yard",
    zone: "UTC", units: "si", ppm: false, decimal_comma: false }), { "If-Match": '"site-0"' });
  assert.equal(site.status, 200, site.text);
  const water = await send(port, "POST", "/api/v1/waters",
    JSON.stringify({ name: "Pool", kind: "pool", sanitiser: "chlorine", volume_m3: 40 }));
  assert.equal(water.status, 201, water.text);
  child.kill("SIGTERM");
  await ended;
}

let lost = 0;
let slowest_ms = 0;
/** @type {Map<string, any>} */
let unanswered = new Map();
try {
  await setUp();
  for (let round = 1; round <= rounds && lost === 0; round++) {
    const { child, port, ended, start_ms } = await start();
    slowest_ms = Math.max(slowest_ms, start_ms);
    let over = false;
    void ended.then(() => (over = true));

    // a lost answer is asked for again with the same key: one fact, however often
    for (const [note, call] of unanswered) {
      const { status, text } = await send(port, "POST", call.target, call.body,
        { "Idempotency-Key": call.key });
      assert.equal(status, 201, text);
      confirmed.add(note);
    }
    unanswered = new Map();
    const work = Array.from({ length: WRITERS }, () => write(port, () => over, unanswered));
    if (round % 3 === 0) work.push(importTable(port));
    await new Promise((resolve) => setTimeout(resolve, randomInt(10, 160)));
    child.kill("SIGKILL");
    await ended;
    await Promise.all(work);

    if (ask("PRAGMA quick_check;") !== "ok") {
      console.error("the database is damaged");
      lost++;
    }
    lost += countLosses(look());
    if (round % 25 === 0) console.error(`${round} rounds, ${confirmed.size} confirmed`);
    if (lost > 0) console.error(`round ${round}: ${lost} lost`);
  }
  if (lost === 0 && ask("PRAGMA integrity_check;") !== "ok") lost++;
} finally {
  await rm(data, { recursive: true, force: true });
}
if (slowest_ms > START_MS_MAX) console.error(`the slowest start took ${Math.round(slowest_ms)} ms`);
console.log(`${rounds} rounds, ${confirmed.size} acknowledged, ${lost} lost`);
process.exit(lost > 0 ? 1 : 0);

// The daemon over HTTP beside nginx with one worker and beside bare appends to a file, in
// rounds that take turns; then how soon it answers after a start, and its memory.
//
//     node tests/bench/http.mjs [ROWS]    readings stored before the starts are timed
//
// Everything is on loopback and ended by its process id.

import { spawn, spawnSync } from "node:child_process";
import { closeSync, fdatasyncSync, openSync, readFileSync, writeSync } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import http from "node:http";
import net from "node:net";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { makeFolder, pause, startDaemon } from "../support/daemon.mjs";
import { mustRead, setUp } from "../support/household.mjs";

const rows = Number(process.argv[2] ?? 0);
const here = path.dirname(fileURLToPath(import.meta.url));
const ROUNDS = 5;
const ROUND_S = 2;
const CALLERS = 16;
const WRITERS = 32;
const STREAMS = 100;
const ROWS_A_FILE = 1_000_000;
const SCRIPT = "/vendor/uPlot.iife.min.js";

/** @param {number[]} values */
function median(values) {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}

function freePort() {
  return new Promise((resolve, reject) => {
    const server = net.createServer();
    server.on("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const address = /** @type {net.AddressInfo} */ (server.address());
      server.close(() => resolve(address.port));
    });
  });
}

/** Answers a second. @param {string} url @param {number} callers @param {string[]} [more] */
function wrk(url, callers, more = []) {
  const done = spawnSync("wrk", ["-t1", `-c${callers}`, `-d${ROUND_S}s`, ...more, url],
    { encoding: "utf8" });
  const rate = /Requests\/sec:\s+([\d.]+)/.exec(done.stdout ?? "");
  if (done.status !== 0 || !rate || /Non-2xx|Socket errors/.test(done.stdout))
    throw new Error(`wrk ${url}: ${done.stdout}${done.stderr}`);
  return Number(rate[1]);
}

/* As a careful owner would set it for speed: files kept open, no log, long connections. */
async function startNginx(folder, files) {
  const port = await freePort();
  const web = path.join(folder, "web");
  await mkdir(web);
  for (const [name, bytes] of Object.entries(files))
    await writeFile(path.join(web, name), bytes);
  const temporary = ["client_body", "proxy", "fastcgi", "uwsgi", "scgi"]
    .map((kind) => `${kind}_temp_path ${folder}/${kind};`).join("\n");
  await writeFile(path.join(folder, "nginx.conf"), `
    ${process.getuid?.() === 0 ? "user root;" : ""}
    daemon off; worker_processes 1; pid ${folder}/nginx.pid; error_log stderr;
    events { worker_connections 512; }
    http {
      ${temporary}
      access_log off; sendfile on; tcp_nopush on; keepalive_requests 100000000;
      open_file_cache max=16; default_type application/json;
      server { listen 127.0.0.1:${port}; root ${web}; }
    }`);
  const child = spawn("/usr/sbin/nginx", ["-p", folder, "-c", path.join(folder, "nginx.conf")],
    { stdio: ["ignore", "ignore", "pipe"] });
  process.on("exit", () => child.kill("SIGTERM"));
  const ended = new Promise((resolve) => child.on("close", resolve));
  await pause(500);
  if (child.exitCode !== null) throw new Error("nginx did not start");
  return { origin: `http://127.0.0.1:${port}`,
    stop: async () => { child.kill("SIGTERM"); await ended; } };
}

/** Appends of one line, each on the disk before the next. @param {string} folder */
function appends(folder) {
  const file = openSync(path.join(folder, "appended"), "a");
  const line = Buffer.alloc(200, "x");
  const start = performance.now();
  let count = 0;
  while (performance.now() - start < ROUND_S * 1000) {
    writeSync(file, line);
    fdatasyncSync(file);
    count++;
  }
  closeSync(file);
  return count / ((performance.now() - start) / 1000);
}

const resident_mb = (pid) => Number(
  /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1]) / 1024;

/** MB with so many pages listening. @param {any} daemon */
async function withStreams(daemon) {
  const open = await Promise.all(Array.from({ length: STREAMS }, () =>
    new Promise((resolve, reject) => {
      const call = http.get({ host: "127.0.0.1", port: daemon.port, path: "/api/v1/events",
        headers: { Host: daemon.host }, agent: false }, (answer) => {
        if (answer.statusCode !== 200) reject(new Error(`${answer.statusCode}`));
        answer.once("data", () => resolve(call));
        answer.on("error", () => {});
      });
      call.on("error", reject);
    })));
  await pause(500);
  const mb = resident_mb(daemon.pid);
  for (const call of open) { call.on("error", () => {}); call.destroy(); }
  return mb;
}

async function fill(daemon) {
  const STEP_S = 60;
  const from = Math.floor(Date.now() / 1000) - rows * STEP_S - 3600;
  for (let done = 0; done < rows; done += ROWS_A_FILE) {
    const lines = ["at,ph,free_chlorine_mg_per_l,water_temp_c"];
    for (let i = done; i < Math.min(rows, done + ROWS_A_FILE); i++)
      lines.push(`${from + i * STEP_S},${(7 + i * 7919 % 900 / 1000).toFixed(2)},`
        + `${(1 + i * 104729 % 3000 / 1000).toFixed(2)},${(25 + i * 31 % 4000 / 1000).toFixed(1)}`);
    const reply = await daemon.send("POST", "/api/v1/import?water=1", `${lines.join("\n")}\n`,
      { "Content-Type": "text/csv" });
    if (reply.status !== 201) throw new Error(reply.text);
  }
}

/** From the start of the program to the first permit, in ms; and memory then. */
async function starts(data) {
  const took_ms = [], idle_mb = [], streams_mb = [];
  for (let i = 0; i < ROUNDS; i++) {
    const from = performance.now();
    const daemon = await startDaemon({ data, args: ["--connections-per-address", "256"] });
    await new Promise((resolve, reject) => http.get({ host: "127.0.0.1", port: daemon.port,
      path: "/api/v1/permit", headers: { Host: daemon.host }, agent: false },
    (answer) => answer.once("data", resolve)).on("error", reject));
    took_ms.push(performance.now() - from);
    await pause(1000);
    idle_mb.push(resident_mb(daemon.pid));
    streams_mb.push(await withStreams(daemon));
    await daemon.stop();
  }
  return { took_ms, idle_mb, streams_mb };
}

const { folder, remove } = await makeFolder();
const data = path.join(folder, "data");
await mkdir(data);
const daemon = await startDaemon({ data, args: ["--connections-per-address", "256"] });
await setUp(daemon);
await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 1.2, water_temp_c: 27 });
const answers = { permit: "/api/v1/permit", page: "/", script: SCRIPT };
/** @type {Record<string, Buffer>} */
const files = {};
for (const [name, target] of Object.entries(answers))
  files[name] = (await daemon.get(target)).bytes;
const nginx = await startNginx(folder, files);
const written = await startDaemon({ args: ["--connections-per-address", "256"] });
await setUp(written);

/** @type {Record<string, number[]>} */
const rates = {};
const add = (name, rate) => (rates[name] ??= []).push(rate);
const post = ["-s", path.join(here, "reading.lua")];
for (let round = 0; round < ROUNDS; round++) {
  for (const [name, target] of Object.entries(answers)) {
    add(`${name}_anchor`, wrk(`${nginx.origin}/${name}`, CALLERS));
    add(name, wrk(daemon.origin + target, CALLERS));
  }
  add("commits_anchor", appends(folder));
  add("commits_of_1", wrk(`${written.origin}/api/v1/readings`, 1, post));
  add("commits_of_32", wrk(`${written.origin}/api/v1/readings`, WRITERS, post));
}
await nginx.stop();
await written.stop();
if (rows > 0) await fill(daemon);
await daemon.stop();
const start = await starts(data);
await remove();

const figures = [
  { name: "permit", unit: "1/s", anchor: "permit_anchor", goal: 1.2 },
  { name: "page", unit: "1/s", anchor: "page_anchor", goal: 1 },
  { name: "script", unit: "1/s", anchor: "script_anchor", goal: 1 },
  { name: "commits_of_1", unit: "1/s", anchor: "commits_anchor", goal: 0.8 },
  { name: "commits_of_32", unit: "1/s", anchor: "commits_anchor", goal: 3 },
].map(({ name, unit, anchor, goal }) => ({
  name, value: median(rates[name]), unit, anchor: median(rates[anchor]),
  ratio: median(rates[name].map((rate, i) => rate / rates[anchor][i])), goal }));
for (const [name, values, unit, anchor] of [["start", start.took_ms, "ms", 50],
  ["memory_idle", start.idle_mb, "MB", 16], ["memory_100_streams", start.streams_mb, "MB", 24]])
  figures.push({ name, value: median(values), unit, anchor,
    ratio: median(values) / anchor, goal: 1 });
for (const { name, value, unit, anchor, ratio, goal } of figures)
  console.log(name, value.toFixed(1), unit, anchor.toFixed(1), ratio.toFixed(2), goal);
console.log(JSON.stringify({ rows, rounds: ROUNDS, round_s: ROUND_S,
  bytes: Object.fromEntries(Object.entries(files).map(([name, b]) => [name, b.length])),
  figures, rates }));

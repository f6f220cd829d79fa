// Import of ROWS readings with every check, against the SQLite shell's import of the same
// file, which checks nothing but column types; and their export, against the shell's of
// what it imported. Best of three each.

import { spawnSync } from "node:child_process";
import { closeSync, openSync, readFileSync } from "node:fs";
import { rm, writeFile } from "node:fs/promises";
import path from "node:path";

import { makeFolder, startDaemon } from "../support/daemon.mjs";
import { setUp } from "../support/household.mjs";

const rows = Number(process.argv[2] ?? 1_000_000);
const STEP_S = 300;
const ROUNDS = 3;

function makeFile() {
  const lines = ["at,ph,free_chlorine_mg_per_l,water_temp_c,orp_mv"];
  const from = Math.floor(Date.now() / 1000) - rows * STEP_S;
  for (let i = 0; i < rows; i++) {
    lines.push(`${from + i * STEP_S},${(7 + i * 7919 % 900 / 1000).toFixed(2)},`
      + `${(1 + i * 104729 % 3000 / 1000).toFixed(2)},${(25 + i * 31 % 4000 / 1000).toFixed(1)},`
      + `${650 + i * 17 % 90}`);
  }
  return `${lines.join("\n")}\n`;
}

const { folder, remove } = await makeFolder();
const file = path.join(folder, "rows.csv");
await writeFile(file, makeFile());

const database = path.join(folder, "shell.db");

/** Seconds that the shell takes. @param {string[]} words @param {any} out */
function shell_s(words, out) {
  const start = performance.now();
  const done = spawnSync("sqlite3", words, { stdio: ["ignore", out, "pipe"] });
  if (done.status !== 0) throw new Error(String(done.stderr));
  return (performance.now() - start) / 1000;
}

async function shell() {
  await rm(database, { force: true });
  const import_s = shell_s([database,
    "CREATE TABLE t (at INTEGER, ph REAL, chlorine REAL, temp REAL, orp REAL)",
    `.import --csv --skip 1 ${file} t`], "ignore");
  const out = openSync(path.join(folder, "shell.csv"), "w");
  const export_s = shell_s(["-csv", database, "SELECT * FROM t"], out);
  closeSync(out);
  return { import_s, export_s };
}

const peak_kb = (daemon) => Number(/VmHWM:\s+(\d+)/.exec(
  readFileSync(`/proc/${daemon.pid}/status`, "utf8"))?.[1]);

async function ours() {
  const daemon = await startDaemon();
  await setUp(daemon);
  const body = readFileSync(file);
  const rest_kb = peak_kb(daemon);
  const start = performance.now();
  const reply = await daemon.send("POST", "/api/v1/import?water=1", body,
    { "Content-Type": "text/csv" });
  const import_s = (performance.now() - start) / 1000;
  if (reply.status !== 201 || reply.json.take !== rows) throw new Error(reply.text);
  const import_kb = peak_kb(daemon) - rest_kb;
  const again = performance.now();
  await daemon.get("/api/v1/export?what=readings&water=1");
  const export_s = (performance.now() - again) / 1000;
  const export_kb = peak_kb(daemon) - rest_kb - import_kb;
  await daemon.stop();
  return { import_s, import_kb, export_s, export_kb };
}

const anchor = { import_s: Infinity, export_s: Infinity };
const best = { import_s: Infinity, export_s: Infinity, import_kb: 0, export_kb: 0 };
for (let i = 0; i < ROUNDS; i++) {
  const theirs = await shell();
  anchor.import_s = Math.min(anchor.import_s, theirs.import_s);
  anchor.export_s = Math.min(anchor.export_s, theirs.export_s);
  const one = await ours();
  best.import_s = Math.min(best.import_s, one.import_s);
  best.export_s = Math.min(best.export_s, one.export_s);
  best.import_kb = Math.max(best.import_kb, one.import_kb);
  best.export_kb = Math.max(best.export_kb, one.export_kb);
}
await remove();

const figures = [
  { name: "import", value: best.import_s, unit: "s", anchor: anchor.import_s, goal: 1 },
  { name: "export", value: best.export_s, unit: "s", anchor: anchor.export_s, goal: 1 },
  { name: "import_memory", value: best.import_kb / 1024, unit: "MiB", anchor: 16, goal: 1 },
  { name: "export_memory", value: best.export_kb / 1024, unit: "MiB", anchor: 4, goal: 1 },
].map((figure) => ({ ...figure, ratio: figure.value / figure.anchor }));
for (const { name, value, unit, anchor, ratio, goal } of figures)
  console.log(name, value.toFixed(3), unit, anchor.toFixed(3), ratio.toFixed(2), goal);
console.log(JSON.stringify({ rows, figures }));

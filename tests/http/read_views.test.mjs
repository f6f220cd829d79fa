// The database as another tool reads it: by the sqlite3 program, read-only, while the
// daemon runs.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

/** @param {string} sql */
function ask(sql) {
  const text = execFileSync("sqlite3",
    ["-readonly", "-json", path.join(daemon.data, "coilkeep.db"), sql], { encoding: "utf8" });
  return text === "" ? [] : JSON.parse(text);
}

async function post(target, body, headers = {}) {
  const reply = await daemon.send("POST", target, body, headers);
  assert.equal(reply.status, 201, reply.text);
  return reply.json;
}

async function tag(id) {
  const { headers } = await daemon.get(`/api/v1/readings/${id}`);
  return { "If-Match": String(headers.etag) };
}

test("waters stand as they are now", async () => {
  const { headers } = await daemon.get("/api/v1/waters/1");
  const reply = await daemon.send("PUT", "/api/v1/waters/1",
    { name: "Old pool", kind: "pool", sanitiser: "chlorine", volume_m3: 48.5 },
    { "If-Match": String(headers.etag) });
  assert.equal(reply.status, 200, reply.text);
  assert.deepEqual(ask("SELECT * FROM read_water"),
    [{ water: 1, name: "Old pool", kind: "pool", volume_m3: 48.5 }]);
});

test("readings stand as last corrected; withdrawn ones do not", async () => {
  const at = now_s() - 600;
  const first = await mustRead(daemon, { ph: 7.4, orp_mv: 620.5 }, { at });
  const second = await mustRead(daemon, { ph: 7.1 }, { at: at - 60 });
  const right = await post(`/api/v1/readings/${first.id}/correction`,
    { water: 1, at, method: "strip", by: "Dana", values: { ph: 7.65, orp_mv: 620.5 },
      reason: "misread" }, await tag(first.id));
  await post(`/api/v1/readings/${second.id}/withdrawal`, { by: "Dana", reason: "wrong pool" },
    await tag(second.id));
  assert.deepEqual(
    ask('SELECT id, water, at, "by", method, ph, orp_mv, copper_mg_per_l FROM read_reading'),
    [{ id: right.id, water: 1, at, by: "Dana", method: "strip", ph: 7.65, orp_mv: 620.5,
      copper_mg_per_l: null }]);
});

test("every value that can be read has a column of its name", async () => {
  const { quantities } = (await daemon.get("/api/v1/quantities")).json;
  const columns = ask("SELECT name FROM pragma_table_info('read_reading')")
    .map((one) => one.name);
  assert.ok(quantities.length > 10);
  for (const { key } of quantities) assert.ok(columns.includes(key), key);
});

test("runs and heater states tell what was entered, in the API's words", async () => {
  const start = now_s() - 3600;
  await post("/api/v1/runs", { water: 1, heater: 1, machine: "burner", at: start,
    ended_at: start + 900, by: "Robin" });
  await post("/api/v1/heater-states", { heater: 1, state: "off_line_flushed", at: start,
    by: "Robin" });
  assert.deepEqual(ask("SELECT water, heater, machine, from_at, until_at FROM read_run"),
    [{ water: 1, heater: 1, machine: "burner", from_at: start, until_at: start + 900 }]);
  assert.deepEqual(
    ask("SELECT heater, at, state FROM read_heater_state WHERE at > 0"), // 0: at set-up
    [{ heater: 1, at: start, state: "off_line_flushed" }]);
});

test("the question in the guide is answered", async () => {
  const page = await readFile(new URL("../../docs/using-the-api.md", import.meta.url), "utf8");
  const [, sql] = /```sql\n([\s\S]*?)```/.exec(page) ?? [];
  await mustRead(daemon, { ph: 7.25, free_chlorine_mg_per_l: 1.5 });
  const [newest] = ask(String(sql));
  assert.equal(newest.name, "Old pool");
  assert.deepEqual([newest.ph, newest.free_chlorine_mg_per_l], [7.25, 1.5]);
  assert.match(newest.utc, /^\d{4}-\d\d-\d\d \d\d:\d\d:\d\d$/);
});

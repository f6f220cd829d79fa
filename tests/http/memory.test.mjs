// The optimised daemon with the demo stays small: under 16 MB resident.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { permit } from "../support/household.mjs";

const program = process.env.COILKEEPD_RELEASE;
const skip = program ? false : "no optimised build named";

/** @param {{pid: number | undefined}} daemon */
async function residentKb(daemon) {
  const status = await readFile(`/proc/${daemon.pid}/status`, "utf8");
  return Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1]);
}

test("with the demo, pages and long series asked for, under 16 MB are resident",
  { skip }, async () => {
    const daemon = await startDaemon({ program, demo: true });
    const site = (await daemon.get("/api/v1/site")).json;
    for (const path of ["/", "/readings", "/trends", "/api/v1/readings?water=1&limit=500",
      "/api/v1/series?water=1&values=ph,free_chlorine_mg_per_l,water_temp_c"
      + `&from=${site.first_value_at}&until=${site.now}&columns=4000`]) {
      assert.equal((await daemon.get(path)).status, 200, path);
    }
    assert.equal((await permit(daemon)).permit, "run");
    const resident_kb = await residentKb(daemon);
    assert.ok(resident_kb > 1000 && resident_kb < 16 * 1024, `${resident_kb} kB`);
    await daemon.stop();
  });

// Without sanitizers, which keep freed memory for a while.
test("a long export costs no memory", { skip }, async () => {
  const daemon = await startDaemon({ program, demo: true });
  const before_kb = await residentKb(daemon);
  let bytes = 0;
  for (let i = 0; i < 5; i++) {
    const reply = await daemon.get("/api/v1/export?what=readings&water=1&format=json");
    assert.equal(reply.status, 200, reply.text.slice(0, 200));
    bytes += reply.bytes.length;
  }
  assert.ok(bytes > 20e6, String(bytes)); // many times the allowance below
  const after_kb = await residentKb(daemon);
  assert.ok(after_kb - before_kb < 4096, `${before_kb} kB became ${after_kb} kB`);
  await daemon.stop();
});

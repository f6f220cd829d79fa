// The unit of systemd, as far as it can be judged without a running systemd.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import os from "node:os";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

const unit = path.resolve(path.dirname(fileURLToPath(import.meta.url)),
  "../../server/packaging/coilkeep.service");
const analyze = (/** @type {string[]} */ ...args) =>
  spawnSync("systemd-analyze", args, { encoding: "utf8" });
const options = { skip: analyze("--version").status !== 0 };

test("its exposure is 1.5 at most", options, () => {
  const judge = (/** @type {number} */ tenths) =>
    analyze("security", "--offline=true", `--threshold=${tenths}`, unit);
  assert.equal(judge(15).status, 0, judge(15).stdout.slice(-200));
  assert.notEqual(judge(5).status, 0, "the threshold is looked at");
});

test("every line of it is understood", options, async (t) => {
  const folder = await mkdtemp(path.join(os.tmpdir(), "coilkeep-unit-"));
  t.after(() => rm(folder, { recursive: true }));
  const text = (await readFile(unit, "utf8")).replace("/usr/bin/coilkeepd", "/bin/true");
  /** @param {string} name @param {string} words */
  const verify = async (name, words) => {
    await writeFile(path.join(folder, name), words);
    const { status, stderr } = analyze("verify", "--man=no", path.join(folder, name));
    // what is said of other units of this machine is not ours
    return { status, lines: stderr.split("\n").filter((line) => line.includes(name)) };
  };
  assert.deepEqual(await verify("coilkeep.service", text), { status: 0, lines: [] });
  const spoilt = await verify("spoilt.service", text.replace("ProtectClock=", "ProtectClocks="));
  assert.match(spoilt.lines.join(), /ProtectClocks/);
});

test("the file for Avahi announces the daemon's own port", async () => {
  const folder = path.dirname(unit);
  const text = await readFile(path.join(folder, "coilkeep.avahi"), "utf8");
  const config = await readFile(path.join(folder, "../config.h"), "utf8");
  assert.match(text, /<type>_http\._tcp<\/type>/);
  assert.equal(/<port>(\d+)<\/port>/.exec(text)?.[1],
    /#define CONFIG_PORT (\d+)/.exec(config)?.[1] ?? "none");
});

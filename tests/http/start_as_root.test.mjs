// What server/start does when root runs it: the functions that it sources, with a program
// that lies where the daemon's user cannot enter.

import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { cp, mkdir, mkdtemp, readFile, rm, stat, writeFile } from "node:fs/promises";
import os from "node:os";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

import { daemonPath } from "../support/daemon.mjs";
import { isRoot } from "../support/unprivileged.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const NOBODY = 65534;
const options = { skip: !isRoot };

/** A folder of root's that holds the program, closed to others, and one that is open.
 *  @param {import("node:test").TestContext} t */
async function places(t) {
  const open = await mkdtemp(path.join(os.tmpdir(), "coilkeep-start-"));
  t.after(() => rm(open, { recursive: true }));
  const closed = path.join(open, "closed");
  await mkdir(closed, { mode: 0o700 });
  await cp(daemonPath, path.join(closed, "coilkeepd"));
  spawnSync("chmod", ["755", open]);
  return { open, program: path.join(closed, "coilkeepd") };
}

/** @param {string} words a line of shell that may use the functions of setup.sh
 *  @param {string[]} args */
const shell = (words, args) => /** @type {const} */ (["bash", ["-c",
  `set -euo pipefail; . ${root}/server/tools/setup.sh; ${words}`, "bash", ...args]]);

test("the daemon runs as the user, without a right of root's", options, async (t) => {
  const { open, program } = await places(t);
  const data = path.join(open, "deep", "data");
  const [command, args] = shell('run_as nobody "$@"', [program, "--port", "0", "--data", data]);
  const child = spawn(command, args, { stdio: ["ignore", "pipe", "inherit"] });
  t.after(() => child.kill("SIGKILL"));
  const ended = new Promise((resolve) => child.on("close", resolve));
  const line = await new Promise((resolve) => {
    child.stdout.once("data", (bytes) => resolve(String(bytes)));
    child.once("close", () => resolve("ended"));
  });
  assert.match(line, /^listening on /);
  const status = await readFile(`/proc/${child.pid}/status`, "utf8");
  assert.match(status, /^Name:\tcoilkeepd$/m);
  assert.match(status, /^Uid:\t65534\t65534\t65534\t65534$/m);
  assert.match(status, /^Groups:\s*$/m);
  for (const set of ["Inh", "Prm", "Eff", "Bnd", "Amb"]) {
    assert.match(status, new RegExp(`^Cap${set}:\t0+$`, "m"));
  }
  assert.match(status, /^NoNewPrivs:\t1$/m);
  assert.equal((await stat(data)).uid, NOBODY);
  child.kill("SIGTERM");
  assert.equal(await ended, 0);
});

test("data of an earlier root is taken over, other folders of root's are not", options,
  async (t) => {
    const { open, program } = await places(t);
    const ours = path.join(open, "ours");
    await mkdir(ours);
    await writeFile(path.join(ours, "coilkeep.db"), "");
    const give = (/** @type {string} */ folder) =>
      spawnSync(...shell('give_data_folder nobody "$@"', [program, `--data=${folder}`]),
        { encoding: "utf8" });
    assert.equal(give(ours).status, 0);
    assert.equal((await stat(path.join(ours, "coilkeep.db"))).uid, NOBODY);
    const foreign = give(open);
    assert.equal(foreign.status, 1);
    assert.match(foreign.stderr, /is root's and holds other things/);
    assert.equal((await stat(open)).uid, 0);
  });

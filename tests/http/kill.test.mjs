// A daemon that is killed at random moments loses nothing that it confirmed, and the
// harness that says so finds a daemon that confirms too early. 1,000 rounds in a long run.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

import { daemonPath } from "../support/daemon.mjs";

const kill = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../faults/kill");
const run = (...args) => spawnSync(kill, args,
  { encoding: "utf8", env: { ...process.env, COILKEEPD: daemonPath } });

test("no confirmed entry is lost or doubled by a kill", () => {
  const rounds = process.env.COILKEEP_LONG ? "1000" : "50";
  const { status, stdout, stderr } = run("--rounds", rounds);
  const last = /^(\d+) rounds, (\d+) acknowledged, 0 lost\n$/.exec(stdout);
  assert.ok(last, stdout + stderr);
  assert.equal(last[1], rounds);
  assert.ok(Number(last[2]) > Number(rounds), "hardly anything was written");
  assert.equal(status, 0);
});

test("a daemon that confirms before its commit would be found", () => {
  const { status, stdout } = run("--rounds", "50", "--acknowledge-early");
  assert.match(stdout, /, [1-9]\d* lost\n$/);
  assert.equal(status, 1);
});

// Moist air against psychrolib, an independent program (ASHRAE 2017): 3,000 random states,
// the same in every run. COILKEEP_AIR names another build of the program.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { createRequire } from "node:module";
import path from "node:path";
import test from "node:test";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const program = process.env.COILKEEP_AIR ?? path.join(
  path.dirname(process.env.COILKEEPD ?? path.join(root, ".build/sanitize/server/x")),
  "../tests/support/air");
const require = createRequire(path.join(root, "web/package.json"));
const psychro = require("psychrolib");
psychro.SetUnitSystem(psychro.SI);

const STATES = 3000;

/** Even numbers in [0, 1), from a seed. @param {number} seed */
function randomFrom(seed) {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

/** @param {number[][]} states */
function ours(states) {
  const run = spawnSync(program, { input: `${states.map((s) => s.join(" ")).join("\n")}\n`,
    encoding: "utf8" });
  assert.equal(run.status, 0, `${run.error ?? ""} ${run.stderr}`);
  const lines = run.stdout.trim().split("\n");
  assert.equal(lines.length, states.length);
  return lines.map((line) => line.split(" ").map(Number));
}

test("saturation, vapour, dew point, wet bulb and humidity ratio agree", () => {
  const random = randomFrom(7);
  const states = Array.from({ length: STATES }, () => [
    Number((-20 + 75 * random()).toFixed(3)), Number((0.05 + 0.95 * random()).toFixed(4)),
    Math.round(70000 + 35000 * random())]);
  const worst = { full: 0, vapour: 0, dew: 0, wet: 0, ratio: 0 };
  for (const [i, found] of ours(states).entries()) {
    const [temp, humidity, pressure] = /** @type {number[]} */ (states[i]);
    const [full, vapour, dew, wet, ratio] = found;
    const relative = (a, b) => Math.abs(a / b - 1);
    worst.full = Math.max(worst.full, relative(full, psychro.GetSatVapPres(temp)));
    worst.vapour = Math.max(worst.vapour,
      relative(vapour, psychro.GetVapPresFromRelHum(temp, humidity)));
    worst.dew = Math.max(worst.dew,
      Math.abs(dew - psychro.GetTDewPointFromRelHum(temp, humidity)));
    worst.wet = Math.max(worst.wet,
      Math.abs(wet - psychro.GetTWetBulbFromRelHum(temp, humidity, pressure)));
    worst.ratio = Math.max(worst.ratio,
      relative(ratio, psychro.GetHumRatioFromRelHum(temp, humidity, pressure)));
  }
  // psychrolib's own bisection stops at 0.001 K
  const text = JSON.stringify(worst);
  assert.ok(worst.full < 1e-6, text);
  assert.ok(worst.vapour < 1e-6, text);
  assert.ok(worst.dew < 1e-4, text);
  assert.ok(worst.wet < 0.002, text);
  assert.ok(worst.ratio < 1e-6, text);
});

test("the comparison would notice: another temperature is another state", () => {
  const [[full = 0] = []] = ours([[25, 0.5, 101325]]);
  assert.ok(Math.abs(full / psychro.GetSatVapPres(25.1) - 1) > 1e-3);
});

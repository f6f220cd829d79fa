// The rules of the pages that need no browser: when an answer runs out, what lies outside
// a channel, what a drawing says.

import assert from "node:assert/strict";
import { test } from "node:test";

import { load } from "./support.mjs";

globalThis.performance ??= { now: () => 0 };
const { Elapsed } = await load("elapsed.js");
const { judge, position } = await load("permit.js");
const { extent, outside, spread } = await load("channel.js");
const { sentence, spells, trendWords } = await load("trendwords.js");
const { inSentence, words } = await load("words.js");

const answer = (permit, good_until = null) => ({ permit, good_until, at: 1000,
  valid_for_s: 900, headline: "" });

test("time passed is the larger step of the two clocks", () => {
  const elapsed = new Elapsed({ steady_ms: 0, wall_ms: 1000000 });
  assert.equal(elapsed.seconds({ steady_ms: 10000, wall_ms: 1010000 }), 10);
  // the device slept: the steady clock stood still
  assert.equal(elapsed.seconds({ steady_ms: 11000, wall_ms: 1610000 }), 610);
  // somebody set the wall clock forward a little: it counts
  assert.equal(elapsed.seconds({ steady_ms: 20000, wall_ms: 1650000 }), 650);
});

test("a clock that goes backwards ends every answer", () => {
  for (const back of [{ steady_ms: 5000, wall_ms: 999999 },
    { steady_ms: -1, wall_ms: 1010000 }]) {
    const elapsed = new Elapsed({ steady_ms: 0, wall_ms: 1000000 });
    assert.equal(elapsed.seconds(back), Infinity);
    assert.equal(elapsed.seconds({ steady_ms: 9000, wall_ms: 2000000 }), Infinity);
    assert.equal(judge(answer("run", 9e9), elapsed.seconds()).shown, "test");
  }
});

test("only a live run within its time is shown as run", () => {
  const shown = [];
  for (const permit of ["run", "test", "hold"])
    for (const good_until of [null, 1500, 9e9])
      for (const seconds of [0, 499, 500, 899, 900, 1e7, Infinity]) {
        const judged = judge(answer(permit, good_until), seconds);
        const good = permit === "run" && seconds < 900 &&
          (good_until === null || 1000 + seconds < good_until);
        shown.push(judged.shown);
        if (permit === "hold") assert.equal(judged.shown, "hold");
        else assert.equal(judged.shown, good ? "run" : "test",
          `${permit} ${good_until} ${seconds}`);
        assert.equal(judged.live, seconds < 900);
      }
  assert.ok(shown.includes("run"));
});

test("a run that ended by its time says so, one that lost the daemon says that", () => {
  assert.equal(judge(answer("run", 1500), 500).turned, "over");
  assert.equal(judge(answer("run", 9e9), 900).turned, "lost");
  assert.equal(judge(answer("run", 9e9), 10).turned, null);
  assert.equal(judge(answer("hold"), 1e6).turned, null);
});

test("a value on its wall is inside", () => {
  const value = (v, low, high) => position({ value: v, low, high });
  assert.equal(value(7.2, 7.2, 7.8), "inside");
  assert.equal(value(7.19, 7.2, 7.8), "below");
  assert.equal(value(5.01, 0, 5), "above");
  assert.equal(value(5, 0, 5), "inside");
  assert.equal(value(5, null, null), null);
  assert.equal(value(null, 0, 5), null);
});

test("what lies outside a wall is cut where the line crosses it", () => {
  const [piece, ...rest] = outside([0, 10, 20], [7.0, 8.0, 7.0], null, 7.5);
  assert.deepEqual(rest, []);
  assert.deepEqual(piece, { side: "high", points: [[5, 7.5], [10, 8], [15, 7.5]] });
  assert.deepEqual(outside([0, 10], [7.2, 7.5], 7.2, 7.8), []);
});

test("a gap ends a piece, a lone value outside is one", () => {
  const pieces = outside([0, 5, 6, 20], [8, 9, null, 8.5], null, 7.8);
  assert.deepEqual(pieces.map((piece) => piece.points),
    [[[0, 8], [5, 9]], [[20, 8.5]]]);
});

test("both walls are seen, in the order of time", () => {
  const pieces = outside([0, 10, 20, 30], [8.0, 7.5, 7.0, 7.5], 7.2, 7.8);
  assert.deepEqual(pieces.map((piece) => piece.side), ["high", "low"]);
});

test("a drawing holds walls and values, and nothing less than none", () => {
  const [bottom, top] = extent([7.4, 6.9], 7.2, 7.8);
  assert.ok(bottom < 6.9 && top > 7.8);
  assert.equal(extent([2, 14], 0, 5)[0], 0);
  assert.ok(extent([2, 14], 0, 5)[1] > 14);
  const plain = extent([100, 120], null, null);
  assert.ok(plain[0] < 100 && plain[0] > 50 && plain[1] > 120);
  assert.deepEqual(extent([], null, null), [0, 1]);
  assert.deepEqual(spread(10, 12, 16), [3, 19]);
  assert.deepEqual(spread(10, 60, 16), [10, 60]);
});

const chart = (time_s, value, more = {}) => ({ time_s, value, from: 0, until: 1e6,
  walls: [{ from: 0, low: 7.2, high: 7.8, high_is_limit: false }], now: 1e6, offLine: [], doses: [], ...more });

test("a trend's sentence says newest, range, times outside and gaps", () => {
  const text = (v) => v.toFixed(1);
  const calm = sentence(chart([0, 1e6], [7.4, 7.5]), "UTC", "in the last month", text);
  assert.equal(calm, "7.5, just now. Between 7.4 and 7.5 in the last month. " +
    trendWords.never);
  const acid = chart([0, 100000, 200000], [7.4, 7.0, 7.4]);
  assert.deepEqual(spells(acid).length, 1);
  // it crosses 7.2 half way down and half way up: 100000 s outside
  assert.equal(spells(acid)[0].until - spells(acid)[0].from, 100000);
  assert.match(sentence(acid, "UTC", "x", text), /Outside its channel once/);
  const off = chart([0, 100000, 200000], [7.4, 7.0, 7.4],
    { offLine: [{ from: 90000, until: 160000, text: "" }] });
  assert.match(sentence(off, "UTC", "x", text), /heater was off line then/);
  const gap = chart([0, 1, 1e6], [7.4, null, 7.4]);
  assert.match(sentence(gap, "UTC", "x", text), /One gap/);
  assert.equal(sentence(chart([], []), "UTC", "x", text), trendWords.none);
});

test("a value's name inside a sentence keeps what must stay large", () => {
  assert.equal(inSentence("Free chlorine"), "free chlorine");
  assert.equal(inSentence("pH"), "pH");
});

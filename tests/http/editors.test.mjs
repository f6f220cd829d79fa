// Two editors of one thing: whatever the order of their reading and saving, no change of
// either is lost. Each round both add one to a number of their own; at the end both
// numbers have to be there.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { HEATER, mustRead, POOL, setUp, SITE } from "../support/household.mjs";

const ROUNDS = 250; // of each of the four kinds: 1,000 interleavings

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
  await setUp(daemon);
});
after(() => daemon.stop());

/** A small generator, so that every run tries the same orders (mulberry32). */
function random(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * Both read; then both save in a random order or at once; who is refused takes what the
 * refusal shows or reads again, and saves then. tally: how many were refused.
 * @param {{read: () => Promise<{state: any, etag: string}>,
 *   save: (state: any, etag: string) => Promise<any>,
 *   fromRefusal?: (current: any) => {state: any, etag: string},
 *   edits: ((state: any) => any)[]}} thing
 */
async function race(thing, next, tally) {
  const save = async (i, seen) => {
    let { state, etag } = seen;
    for (let tries = 0; tries < 4; tries++) {
      const reply = await thing.save(thing.edits[i](state), etag);
      if (reply.status < 300) return;
      assert.equal(reply.status, 412, reply.text);
      assert.equal(reply.json.code, "changed_meanwhile");
      tally.refused++;
      ({ state, etag } = thing.fromRefusal !== undefined && reply.json.current !== undefined
        ? thing.fromRefusal(reply.json.current) : await thing.read());
    }
    assert.fail("refused four times by one other editor");
  };
  const order = Math.floor(next() * 4);
  const [first, second] = next() < 0.5 ? [0, 1] : [1, 0];
  if (order === 0) { // one after the other, both from what was read before
    const [a, b] = [await thing.read(), await thing.read()];
    await save(first, a);
    await save(second, b);
  } else if (order === 1) { // at once
    const [a, b] = await Promise.all([thing.read(), thing.read()]);
    await Promise.all([save(first, a), save(second, b)]);
  } else if (order === 2) { // the second reads while the first saves
    const a = await thing.read();
    const [, b] = await Promise.all([save(first, a), thing.read()]);
    await save(second, b);
  } else { // no overlap
    await save(first, await thing.read());
    await save(second, await thing.read());
  }
}

const wishOf = (answer, names) =>
  Object.fromEntries(names.filter((name) => answer[name] !== null)
    .map((name) => [name, answer[name]]));

async function run(thing, count) {
  const next = random(4711), tally = { refused: 0 };
  for (let i = 0; i < ROUNDS; i++) await race(thing, next, tally);
  const { state } = await thing.read();
  assert.deepEqual(count(state), [ROUNDS, ROUNDS]);
  assert.ok(tally.refused > ROUNDS / 4, `only ${tally.refused} were refused`);
  assert.ok(tally.refused <= ROUNDS * 2, `${tally.refused} were refused`);
}

const reader = (target) => async () => {
  const reply = await daemon.get(target);
  assert.equal(reply.status, 200, reply.text);
  return { state: reply.json, etag: reply.headers.etag };
};
const writer = (target, names) => (state, etag) =>
  daemon.send("PUT", target, wishOf(state, names), { "If-Match": etag });
const fromRefusal = (current) => ({ state: current, etag: current.etag });

test("the site", () => run({
  read: reader("/api/v1/site"),
  save: writer("/api/v1/site", [...Object.keys(SITE), "latitude", "longitude"]),
  edits: [(s) => ({ ...s, name: `Home ${Number(s.name.split(" ")[1] ?? 0) + 1 || 1}` }),
    (s) => ({ ...s, latitude: (s.latitude ?? 0) + 0.01, longitude: 8 })],
}, (s) => [Number(s.name.split(" ")[1]), Math.round(s.latitude * 100)]));

test("a water", () => run({
  read: reader("/api/v1/waters/1"),
  save: writer("/api/v1/waters/1", [...Object.keys(POOL), "surface_m2"]),
  fromRefusal,
  edits: [(s) => ({ ...s, volume_m3: s.volume_m3 + 1 }),
    (s) => ({ ...s, surface_m2: (s.surface_m2 ?? 100) + 1 })],
}, (s) => [s.volume_m3 - POOL.volume_m3, s.surface_m2 - 100]));

test("a heater", () => run({
  read: reader("/api/v1/heaters/1"),
  save: writer("/api/v1/heaters/1", [...Object.keys(HEATER), "input_w", "limits"]),
  fromRefusal,
  edits: [(s) => ({ ...s, input_w: (s.input_w ?? 50_000) + 1 }),
    (s) => ({ ...s, limits: { ...s.limits, free_chlorine_high: { source: "own",
      value: Math.round((s.limits.free_chlorine_high.value + 0.01) * 100) / 100 } } })],
}, (s) => [s.input_w - 50_000, Math.round((s.limits.free_chlorine_high.value - 5) * 100)]));

test("a reading that both correct", async () => {
  const first = await mustRead(daemon, { orp_mv: 300, total_alkalinity_mg_per_l_caco3: 50 },
    { at: Math.floor(Date.now() / 1000) - 3600 });
  const read = async () => { // the newest word of its chain
    let one = first;
    for (let id = known.newest; id !== null;) {
      one = (await daemon.get(`/api/v1/readings/${id}`)).json;
      id = one.superseded_by;
    }
    known.newest = one.id;
    return { state: one, etag: one.etag };
  };
  const known = { newest: first.id };
  const plus = (key) => (s) => ({ ...s, values: { ...s.values, [key]: s.values[key] + 1 } });
  await run({
    read,
    save: (s, etag) => daemon.send("POST", `/api/v1/readings/${s.id}/correction`,
      { water: 1, at: s.at, method: s.method, by: "Robin", values: s.values, reason: "again" },
      { "If-Match": etag }),
    edits: [plus("orp_mv"), plus("total_alkalinity_mg_per_l_caco3")],
  }, (s) => [s.values.orp_mv - 300, s.values.total_alkalinity_mg_per_l_caco3 - 50]);
  const all = (await daemon.get("/api/v1/readings?water=1&history=true&limit=500")).json;
  assert.equal(all.readings.length, 500);
  const current = (await daemon.get("/api/v1/readings?water=1")).json.readings;
  assert.equal(current.length, 1); // one chain, no fork
});

// The modules of the Line page that need no browser: list and graph say the same, moves
// keep ways nested, the drawing's places do not overlap, changes do what they say.

import assert from "node:assert/strict";
import { test } from "node:test";

import { load } from "./support.mjs";

const list = await load("linelist.js");
const { LineDraft } = await load("linedraft.js");
const { PRESETS, preset } = await load("linepresets.js");
const { layoutOf, bandsOf, moving } = await load("linelayout.js");
const { mended } = await load("linechange.js");
const { newPart } = await load("linekinds.js");
const { fieldAt } = await load("lineplace.js");
const { fieldText, readField } = await load("lineunits.js");

/** A generator of numbers below 1, the same in every run. @param {number} seed */
function numbers(seed) {
  let state = seed;
  return () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return state / 2147483648;
  };
}

/** @param {{parts: any[], edges: any[]}} graph */
const bare = (graph) => ({ parts: graph.parts,
  edges: graph.edges.map(({ owner: _, ...edge }) => edge) });

/** Edges by the names of their ends, for sentences in tests. @param {any[]} rows */
function flows(rows) {
  const { parts, edges } = list.graphOf(rows);
  const name = new Map(parts.map((part) => [part.id, part.name || part.kind]));
  return edges.map((e) => `${name.get(e.from)}${e.from_port ? `.${e.from_port}` : ""}>` +
    `${name.get(e.to)}${e.to_port ? `.${e.to_port}` : ""}`).sort();
}

/** Rows from kinds. @param {...string} kinds */
function rowsOf(...kinds) {
  let rows = [];
  for (const kind of kinds) rows = list.withPart(rows, rows.length, kind).rows;
  return rows;
}

/** A list of random parts and ways. @param {() => number} random */
function randomList(random) {
  const kinds = ["skimmer", "pump", "filter", "heater", "two_way_valve", "pipe",
    "salt_cell", "return", "main_drain", "skimmer_tablets", "floating_dispenser"];
  let rows = [];
  for (let n = 0; n < 12; n++) {
    const at = Math.floor(random() * (rows.length + 1));
    rows = random() < 0.25
      ? list.withWays(rows, at, random() < 0.5 ? "tee" : "three_way_valve",
        random() < 0.5 ? "tee" : "three_way_valve").rows
      : list.withPart(rows, at, kinds[Math.floor(random() * kinds.length)]).rows;
  }
  return rows;
}

test("a straight list joins every part to the next", () => {
  assert.deepEqual(flows(rowsOf("skimmer", "pump", "filter", "heater", "return")),
    ["filter>heater", "heater>return", "pump>filter", "skimmer>pump"]);
});

test("suctions in a row feed the next part, returns in a row are fed together", () => {
  assert.deepEqual(flows(rowsOf("skimmer", "main_drain", "pump", "return", "spa_spillway")),
    ["main_drain>pump", "pump>return", "pump>spa_spillway", "skimmer>pump"]);
});

test("tablets before a skimmer lie in its basket; a dispenser in the pool joins nothing", () => {
  assert.deepEqual(flows(rowsOf("main_drain", "skimmer_tablets", "skimmer",
    "floating_dispenser", "pump")), ["main_drain>pump", "skimmer>pump",
    "skimmer_tablets>skimmer"]);
});

test("the bypass arrangement has a way through the heater and one around it", () => {
  const { rows } = preset("bypass", { heater_in: "in", heater_out: "out",
    bypass_valve: "around" });
  const { parts, edges } = list.graphOf(rows);
  const tees = parts.filter((part) => part.kind === "tee");
  assert.equal(tees.length, 2);
  const next = (id) => edges.filter((e) => e.from === id).map((e) =>
    parts.find((p) => p.id === e.to));
  assert.deepEqual(next(tees[0].id).map((p) => p.name), ["in", "around"]);
  assert.deepEqual(edges.filter((e) => e.to === tees[1].id).map((e) =>
    parts.find((p) => p.id === e.from).kind), ["two_way_valve", "bypass"]);
});

test("a pool and spa has ports a and b on both three-way valves", () => {
  const { rows } = preset("spa", { pool_return: "pool", spa_return: "spa",
    spa_drain: "drain", pool_drain: "deep" });
  const said = flows(rows);
  assert.ok(said.includes("three_way_valve.a>pool") && said.includes("three_way_valve.b>spa"));
  assert.ok(said.includes("drain>three_way_valve.b") && said.includes("tee>three_way_valve.a"));
});

test("every arrangement comes back as the list it was", () => {
  for (const key of PRESETS) {
    const { rows } = preset(key, {});
    const back = list.listOf(bare(list.graphOf(rows)));
    assert.deepEqual(back.map((r) => [r.row, r.row === "path" ? "" : r.part.kind]),
      rows.map((r) => [r.row, r.row === "path" ? "" : r.part.kind]), key);
  }
});

test("random lists come back as the same graph", () => {
  const random = numbers(7);
  for (let n = 0; n < 300; n++) {
    const graph = bare(list.graphOf(randomList(random)));
    assert.ok(list.sameGraph(bare(list.graphOf(list.listOf(graph))), graph),
      JSON.stringify(graph));
  }
});

test("any graph comes back as the same graph, loops, ports and shares too", () => {
  const random = numbers(11);
  const kinds = ["skimmer", "pump", "tee", "three_way_valve", "heater", "return", "filter",
    "floating_dispenser", "skimmer_tablets"];
  for (let n = 0; n < 300; n++) {
    const count = 2 + Math.floor(random() * 9);
    const parts = Array.from({ length: count }, (_, i) =>
      newPart(kinds[Math.floor(random() * kinds.length)], 10 * i + 3));
    const edges = [];
    for (let e = 0; e < count + 2; e++) {
      const [from, to] = [0, 0].map(() => parts[Math.floor(random() * count)].id);
      const edge = { from, to };
      if (random() < 0.2) edge.from_port = random() < 0.5 ? "a" : "b";
      if (random() < 0.2) edge.to_port = "b";
      if (random() < 0.2) edge.share = Math.round(random() * 9);
      if (!edges.some((x) => x.from === from && x.to === to)) edges.push(edge);
    }
    const graph = { parts, edges };
    assert.ok(list.sameGraph(bare(list.graphOf(list.listOf(graph))), graph),
      JSON.stringify(graph));
  }
});

test("steps up and down keep all rows and the ways nested, and one undoes the other", () => {
  const random = numbers(3);
  for (let n = 0; n < 300; n++) {
    const rows = randomList(random);
    const at = Math.floor(random() * rows.length);
    const next = list.stepped(rows, at, random() < 0.5 ? 1 : -1);
    if (!next) continue;
    assert.ok(list.isNested(next));
    assert.deepEqual(next.map((r) => r.id).sort((a, b) => a - b),
      rows.map((r) => r.id).sort((a, b) => a - b));
  }
  const rows = rowsOf("skimmer", "salt_cell", "heater");
  assert.deepEqual(list.stepped(list.stepped(rows, 1, 1), 2, -1), rows);
  assert.equal(list.stepped(rows, 0, -1), null);
  assert.equal(list.stepped(rows, 2, 1), null);
});

test("a part steps into a way, and a whole group steps over a part", () => {
  const { rows } = list.withWays(rowsOf("skimmer", "pump", "return"), 2, "tee", "tee");
  const inside = list.stepped(rows, 1, 1);
  assert.deepEqual(inside.map((r) => r.row), ["part", "split", "part", "path", "join", "part"]);
  const group = list.stepped(rows, 2, -1);
  assert.deepEqual(group.map((r) => r.row), ["part", "split", "path", "join", "part", "part"]);
});

test("taking ways apart leaves their parts; links to what is gone go too", () => {
  const { rows } = preset("bypass", {});
  const at = rows.findIndex((r) => r.row === "split");
  const apart = list.without(rows, at);
  assert.ok(apart.every((r) => r.row === "part"));
  assert.equal(apart.length, rows.length - 3);
  const linked = rowsOf("skimmer", "pump", "return").map((r, i) =>
    i === 0 ? { ...r, also: [{ to: 3 }] } : r);
  assert.deepEqual(list.without(linked, 2)[0].also, []);
});

test("water moves only along open ways", () => {
  const { rows, positions } = preset("bypass", {});
  const graph = list.graphOf(rows);
  const moved = (position) => new Set([...moving(graph, position)].flatMap((i) =>
    [graph.edges[i].from, graph.edges[i].to]));
  const id = (kind) => graph.parts.find((part) => part.kind === kind).id;
  const [normal, off] = positions;
  assert.ok(moved(normal).has(id("heater")) && !moved(normal).has(id("bypass")));
  assert.ok(!moved(off).has(id("heater")) && moved(off).has(id("bypass")));
  assert.equal(moving(graph, { ...normal, set: [{ part: id("pump"), to: "off" }] }).size, 0);
});

test("no two parts or pipes stand in one place, in any line", () => {
  const random = numbers(5);
  for (let n = 0; n < 200; n++) {
    const layout = layoutOf(list.graphOf(randomList(random)));
    const places = layout.all.map((spot) => `${spot.rank} ${spot.lane}`);
    assert.equal(new Set(places).size, places.length);
    for (const spot of layout.all)
      for (const next of spot.next) assert.equal(next.rank, spot.rank + 1);
    const bands = bandsOf(layout, 5);
    assert.equal(bands[0], 0);
    assert.deepEqual([...bands].sort((a, b) => a - b), bands);
  }
});

test("a loop is drawn, not followed for ever", () => {
  const parts = [1, 2, 3].map((id) => newPart("pump", id));
  const layout = layoutOf({ parts, edges: [{ from: 1, to: 2 }, { from: 2, to: 3 },
    { from: 3, to: 1 }] });
  assert.equal(layout.loops.length, 1);
});

/** @param {string} code @param {object} [more] */
const fault = (code, more = {}) => ({ part: 0, other: null, positions: ["normal"], path: [],
  change: { code, after: null, needs_check_valve: false, text: "", ...more }, ...more });

test("move after the heater: behind the place that is named, with its check valve", () => {
  const rows = rowsOf("skimmer", "pump", "salt_cell", "heater", "return");
  const { rows: next } = mended({ rows, positions: [] },
    fault("move_after_heater", { part: 3, after: 4, needs_check_valve: true }));
  assert.deepEqual(next.map((r) => r.part.kind),
    ["skimmer", "pump", "heater", "check_valve", "salt_cell", "return"]);
});

test("an interlock, a check valve, a flow switch, a wider pipe, no tablets", () => {
  const rows = rowsOf("skimmer_tablets", "skimmer", "pump", "heater", "pipe", "salt_cell",
    "return");
  const draft = { rows, positions: [] };
  const kinds = (change) => change.rows.map((r) => r.part.kind).join(" ");
  assert.equal(mended(draft, fault("add_interlock", { part: 6 })).rows[5].part.interlocked, true);
  assert.match(kinds(mended(draft, fault("add_check_valve", { part: 6, after: 4 }))),
    /heater check_valve pipe/);
  assert.match(kinds(mended(draft, fault("add_flow_switch", { part: 4 }))),
    /pump flow_switch heater/);
  assert.doesNotMatch(kinds(mended(draft, fault("take_tablets_out", { part: 1 }))), /tablets/);
  assert.equal(mended(draft, fault("wider_pipe", { part: 5 })).rows[4].part.size, "2.5");
  assert.equal(mended(draft, fault("raise_flow", { part: 4 })), null);
  assert.equal(mended(draft, fault("move_after_heater", { part: 6 })), null);
});

test("shutting a heater off: the valves on both its sides, in that position alone", () => {
  const { rows, positions } = preset("bypass", {});
  const draft = { rows, positions: [positions[0], { ...positions[1], set: [] }] };
  const next = mended(draft, fault("shut_valve", { positions: ["heater_off_line"] }));
  assert.deepEqual(next.positions[0], positions[0]);
  assert.deepEqual([...next.positions[1].set].sort((a, b) => a.part - b.part),
    positions[1].set);
  assert.equal(mended({ rows: rowsOf("skimmer", "pump", "heater", "return"), positions },
    fault("shut_valve", { positions: ["heater_off_line"] })), null);
});

const EMPTY = { heater: 1, version: 0, parts: [], edges: [], positions: [], answer: null };

test("a draft knows whether it differs from what is kept, and goes back and forth", () => {
  const draft = new LineDraft(EMPTY);
  assert.equal(draft.is_changed, false);
  draft.change(preset("plain", {}));
  const full = draft.body();
  assert.equal(draft.is_changed, true);
  draft.setPart(4, { flow_l_per_s: 1 }, "flow 4");
  draft.setPart(4, { flow_l_per_s: 1.5 }, "flow 4");
  assert.equal(draft.step("undo"), true);
  assert.deepEqual(draft.body(), full); // typing is one step
  assert.equal(draft.step("redo"), true);
  assert.equal(draft.body().parts[3].flow_l_per_s, 1.5);
  draft.step("undo");
  draft.step("undo");
  assert.equal(draft.is_changed, false);
  assert.equal(draft.step("undo"), false);
  assert.equal(draft.restore("{nonsense"), false);
  assert.equal(draft.restore('{"rows":{},"positions":[]}'), false);
});

test("a body names only settings of parts that are there and differ from the usual", () => {
  const draft = new LineDraft(EMPTY);
  draft.change(preset("bypass", {}));
  const valve = draft.positions[0].set[0].part;
  const at = draft.rows.findIndex((row) => row.id === valve);
  draft.change({ rows: list.without(draft.rows, at) });
  assert.deepEqual(draft.body().positions[0].set, []);
});

test("a refusal finds its row and its control", () => {
  const draft = new LineDraft(EMPTY);
  draft.change({ rows: list.withWays(rowsOf("skimmer", "pump", "salt_cell", "return"), 3,
    "tee", "tee").rows });
  const parts = draft.body().parts;
  assert.deepEqual(fieldAt("parts.2.feed.rate_g_per_h", draft),
    { control: `row.${parts[2].id}.rate_g_per_h`, row: parts[2].id });
  const split = draft.rows.find((row) => row.row === "split");
  const path = draft.rows.find((row) => row.row === "path");
  const edges = draft.body().edges;
  const from_split = edges.flatMap((edge, i) => edge.from === split.id ? [i] : []);
  assert.deepEqual(from_split.map((i) => fieldAt(`edges.${i}.share`, draft).row),
    [split.id, path.id]);
  assert.deepEqual(fieldAt("parts", draft), { control: "parts", row: 0 });
  assert.deepEqual(fieldAt("positions.0.flow_fraction", draft),
    { control: "positions.0.flow_fraction", row: 0 });
  assert.deepEqual(fieldAt("parts.99.size", draft), { control: "parts.99.size", row: 0 });
});

test("flows, lengths and volumes are shown and read in the site's units", () => {
  const us = { units: "us", decimal_comma: false };
  const si = { units: "si", decimal_comma: true };
  // 1 US gallon = 3.785411784 L, 1 ft = 0.3048 m [nist-hb44]
  assert.equal(readField("flow_l_per_s", "60", us), 3.785411784);
  assert.equal(readField("length_m", "10", us), 3.048);
  assert.equal(fieldText("length_m", 3.048, us), "10");
  assert.equal(readField("flow_l_per_s", "9", si), 2.5);
  assert.equal(fieldText("volume_l", 4.5, si), "4,5");
  assert.equal(readField("efficiency_fraction", "85", si), 0.85);
  assert.equal(readField("length_m", "  ", si), null);
  assert.equal(readField("length_m", "ten", si), undefined);
  assert.equal(readField("length_m", "1.2.3", us), undefined);
});

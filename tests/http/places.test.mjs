// Cities that stand for a place: what the daemon hands out is the system's own table.

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

const table = [process.env.TZDIR ?? "/usr/share/zoneinfo"].flatMap((folder) =>
  [`${folder}/zone.tab`, `${folder}/zone1970.tab`]).find((name) => existsSync(name));

test("every line of the zone table is a place, with its coordinates", async () => {
  assert.ok(table, "this system has no zone table");
  const lines = readFileSync(table, "utf8").split("\n")
    .filter((line) => line !== "" && !line.startsWith("#"));
  assert.ok(lines.length > 300);
  const daemon = await startDaemon();
  const { places } = (await daemon.get("/api/v1/places")).json;
  assert.deepEqual(places.map((place) => place.zone),
    lines.map((line) => line.split("\t")[2]));
  for (const [i, line] of lines.entries()) {
    const parts = /^([+-])(\d\d)(\d\d)(\d\d)?([+-])(\d{3})(\d\d)(\d\d)?$/
      .exec(line.split("\t")[1]);
    assert.ok(parts, line);
    const degrees = (sign, d, m, s) => (sign === "-" ? -1 : 1) *
      (Number(d) + Number(m) / 60 + Number(s ?? 0) / 3600);
    const [, ns, d, m, s, ew, e, n, t] = parts;
    assert.ok(Math.abs(places[i].latitude - degrees(ns, d, m, s)) < 1e-6, line);
    assert.ok(Math.abs(places[i].longitude - degrees(ew, e, n, t)) < 1e-6, line);
  }
  await daemon.stop();
});

test("a system without zone data has no places, and says so with an empty list",
  async () => {
    const daemon = await startDaemon({ env: { TZDIR: "/nonexistent" } });
    assert.deepEqual((await daemon.get("/api/v1/places")).json, { places: [] });
    await daemon.stop();
  });

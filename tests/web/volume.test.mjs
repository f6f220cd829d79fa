// How much water a pool holds, against closed forms of geometry; lengths and angles as typed.

import assert from "node:assert/strict";
import { test } from "node:test";

import { load } from "./support.mjs";

const { depthAt, lengthOf, poolVolume, widthAt } = await load("volume.js");
const { areaText, lengthText, readAngle, readArea, readLength } = await load("lengths.js");
const { cityNamed, cityName, cityOfZone, placeText } = await load("placefield.js");

const near = (seen, wanted, what) => assert.ok(Math.abs(seen / wanted - 1) < 1e-5,
  `${what}: ${seen}, not ${wanted}`);
const of = (shape, bottom, m) => {
  const found = poolVolume(shape, bottom, m);
  assert.ok(found.ok, JSON.stringify(found));
  return found;
};

const PLANS = [ // surface by geometry
  ["rectangle", { length: 10, width: 4 }, 40],
  ["round", { diameter: 6 }, Math.PI * 9],
  ["oval", { length: 9, width: 5 }, Math.PI * 9 * 5 / 4],
  ["round_ends", { length: 10, width: 4 }, 6 * 4 + Math.PI * 4],
  ["round_ends", { length: 4, width: 4 }, Math.PI * 4],
  ["kidney", { length: 10, width: 5, width_2: 4 }, 0.45 * 9 * 10], // common practice
];

test("a level bottom: surface times depth, for every shape", () => {
  for (const [shape, m, surface] of PLANS) {
    const found = of(shape, "flat", { ...m, depth: 1.5 });
    near(found.surface_m2, surface, shape);
    near(found.volume_m3, surface * 1.5, shape);
    near(found.depth_m, 1.5, shape);
  }
});

test("an even slope: the mean of both depths where both halves are alike", () => {
  for (const [shape, m, surface] of PLANS.filter(([shape]) => shape !== "kidney")) {
    const found = of(shape, "slope", { ...m, shallow: 1, deep: 2.4 });
    near(found.volume_m3, surface * 1.7, shape);
  }
  // more water where the wide end of a kidney is the shallow one
  const wide = of("kidney", "slope", { length: 10, width: 6, width_2: 3, shallow: 1, deep: 2 });
  const narrow = of("kidney", "slope", { length: 10, width: 3, width_2: 6, shallow: 1, deep: 2 });
  assert.ok(wide.depth_m < 1.5 && narrow.depth_m > 1.5);
  near(wide.depth_m + narrow.depth_m, 3, "mirrored");
});

test("a deep end: each part by itself", () => {
  const m = { length: 10, width: 4, shallow: 1, deep: 2.5, shallow_length: 3, deep_length: 2 };
  near(of("rectangle", "deep_end", m).volume_m3, 4 * (3 * 1 + 5 * 1.75 + 2 * 2.5), "parts");
  const step = { ...m, shallow_length: 6, deep_length: 4 };
  const found = of("rectangle", "deep_end", step);
  assert.ok(Math.abs(found.volume_m3 - 4 * (6 * 1 + 4 * 2.5)) < 0.02, "a wall between");
  const none = { ...m, shallow_length: 0, deep_length: 0 };
  near(of("rectangle", "deep_end", none).volume_m3, 4 * 10 * 1.75, "all slope");
});

test("what cannot be is refused at its field", () => {
  const m = { length: 10, width: 4, shallow: 1, deep: 2, shallow_length: 3, deep_length: 2 };
  const refused = (shape, bottom, change) => {
    const found = poolVolume(shape, bottom, { ...m, ...change });
    return found.ok ? "taken" : `${found.field} ${found.code}`;
  };
  assert.equal(refused("rectangle", "slope", { width: undefined }), "width missing");
  assert.equal(refused("rectangle", "slope", { length: 0 }), "length missing");
  assert.equal(refused("rectangle", "slope", { length: NaN }), "length missing");
  assert.equal(refused("rectangle", "slope", { length: -3 }), "length missing");
  assert.equal(refused("rectangle", "slope", { deep: 0.5 }), "deep not_shallower");
  assert.equal(refused("rectangle", "deep_end", { deep_length: 8 }), "deep_length too_long");
  assert.equal(refused("round_ends", "slope", { width: 11 }), "width too_wide");
  assert.equal(refused("round", "flat", { depth: 1 }), "diameter missing");
  assert.equal(refused("kidney", "slope", {}), "width_2 missing");
});

test("twice as large in all measures holds eight times as much", () => {
  for (const [shape, m] of PLANS) {
    const all = { ...m, shallow: 1, deep: 2, shallow_length: 1, deep_length: 1 };
    const twice = Object.fromEntries(Object.entries(all).map(([k, v]) => [k, v * 2]));
    near(of(shape, "deep_end", twice).volume_m3, 8 * of(shape, "deep_end", all).volume_m3,
      shape);
    assert.ok(widthAt(shape, all, 0.5) > 0 && lengthOf(shape, all) > 0);
    assert.equal(depthAt("deep_end", all, lengthOf(shape, all), 1), 2);
  }
});

test("lengths are read in the site's unit or in the one behind the number", () => {
  const us = { units: "us", decimal_comma: false };
  const si = { units: "si", decimal_comma: true };
  const rows = [ // 1 ft = 0.3048 m, exactly
    ["10", si, 10], ["10", us, 3.048], ["3,5 m", us, 3.5], ["33 ft", si, 10.0584],
    ["150 cm", si, 1.5], ["16'", si, 4.8768], ["12 ft 6 in", si, 3.81], ["12' 6\"", si, 3.81],
    ["12’6”", us, 3.81], ["6 in", us, 0.1524], ["", si, "empty"], ["ten", si, "not_a_number"],
    ["10 yd", si, "not_a_number"], ["1.2.3", si, "two_separators"], ["12' 13\"", si, "not_a_number"],
    ["12' x\"", si, "not_a_number"], ["-3", si, -3]];
  for (const [text, site, wanted] of rows) {
    const read = readLength(text, site);
    assert.deepEqual(read.ok ? read.stored : read.code, wanted, text);
  }
  assert.deepEqual(readArea("100", us), { ok: true, stored: 9.290304 });
  assert.deepEqual(readArea("32 m²", us), { ok: true, stored: 32 });
  assert.deepEqual(readArea("32 m", us), { ok: false, code: "not_a_number" });
  assert.equal(lengthText(3.048, us), "10");
  assert.equal(lengthText(1.5, si), "1,5");
  assert.equal(areaText(9.290304, us), "100");
});

test("what a length shows as reads back as what it shows", () => {
  for (const units of ["us", "si"])
    for (let i = 1; i <= 5000; i++) {
      const site = { units, decimal_comma: i % 2 === 0 };
      const shown = lengthText(i * 0.0173, site);
      const read = readLength(shown, site);
      assert.ok(read.ok);
      assert.equal(lengthText(read.stored, site), shown);
    }
});

test("angles may carry the letter of their side", () => {
  const rows = [["-77.1", "EW", -77.1], ["77,1 W", "EW", -77.1], ["77.1° w", "EW", -77.1],
    ["52.5N", "NS", 52.5], ["52.5 E", "NS", "not_a_number"], ["-52.5 S", "NS", "not_a_number"],
    ["", "NS", "empty"], ["north", "NS", "not_a_number"], ["33.9° S", "NS", -33.9]];
  for (const [text, ends, wanted] of rows) {
    const read = readAngle(text, ends);
    assert.deepEqual(read.ok ? read.stored : read.code, wanted, text);
  }
});

test("a zone has its city, by either of its names", () => {
  const cities = [{ zone: "America/Indiana/Indianapolis", latitude: 1, longitude: 2 },
    { zone: "Asia/Kolkata", latitude: 3, longitude: 4 },
    { zone: "America/New_York", latitude: 5, longitude: 6 }];
  assert.equal(cityName("America/Indiana/Indianapolis"), "Indianapolis");
  assert.equal(cityOfZone(cities, "Asia/Calcutta"), cities[1]);
  assert.equal(cityOfZone(cities, "Mars/Olympus"), undefined);
  assert.equal(cityOfZone(cities, ""), undefined);
  assert.equal(cityNamed(cities, " new  york "), cities[2]);
  assert.equal(cityNamed(cities, "America/New_York"), cities[2]);
  assert.equal(cityNamed(cities, ""), undefined);
  assert.equal(placeText(-33.87, 151.2, false), "33.87° S, 151.2° E");
});

// How the pages read what people type and show what the daemon keeps: no browser needed.

import assert from "node:assert/strict";
import { test } from "node:test";

import { load, table } from "./support.mjs";

const { readDecimal, writeNumber } = await load("numbers.js");
const { readDay, readTime, dayText } = await load("dates.js");
const { civil, dayLength, dayStart, instants, momentText, ageText } = await load("time.js");
const units = { ...await load("units.js"), ...await load("typed.js") };

const US = { units: "us", ppm: true, decimal_comma: false };
const SI = { units: "si", ppm: false, decimal_comma: true };
const SEPARATORS = { any: "", point: ".", comma: "," };

test("decimals are read as the daemon reads them (fixtures/decimal.csv)", () => {
  for (const row of table("decimal.csv")) {
    const read = readDecimal(row.text, SEPARATORS[row.separator]);
    const status = read.ok ? "DECIMAL_OK" : `DECIMAL_${read.code.toUpperCase()}`;
    assert.equal(status, row.status, JSON.stringify(row));
    if (read.ok) assert.equal(String(read.e6), row.value_e6, JSON.stringify(row));
  }
});

test("days of the site's zone begin and last as tzdata says (fixtures/zone_days.csv)", () => {
  for (const row of table("zone_days.csv")) {
    const [year, month, day] = row.date.split("-").map(Number);
    assert.equal(dayStart(row.zone, year, month, day), Number(row.start_utc_s),
      JSON.stringify(row));
    assert.equal(dayLength(row.zone, year, month, day), Number(row.length_s),
      JSON.stringify(row));
  }
});

test("an hour that comes twice has two instants, a skipped one none", () => {
  // New York 2026-11-01: 01:30 EDT is 05:30 UTC, 01:30 EST is 06:30 UTC (tzdata).
  assert.deepEqual(instants("America/New_York", 2026, 11, 1, 1, 30),
    [Date.UTC(2026, 10, 1, 5, 30) / 1000, Date.UTC(2026, 10, 1, 6, 30) / 1000]);
  assert.deepEqual(instants("America/New_York", 2026, 3, 8, 2, 30), []);
  const lord_howe = civil("Australia/Lord_Howe", Date.UTC(2026, 0, 1) / 1000);
  assert.equal(`${lord_howe.hour}:${lord_howe.minute}`, "11:0"); // UTC+11 in summer
});

test("days as people write them", () => {
  const today = { year: 2026, month: 11, day: 25 }; // a Wednesday
  const right = {
    "today": "2026-11-25", " Today ": "2026-11-25", "yesterday": "2026-11-24",
    "Wednesday": "2026-11-25", "tue": "2026-11-24", "Thursday": "2026-11-19",
    "24 Nov": "2026-11-24", "Nov 24": "2026-11-24", "24 November 2025": "2025-11-24",
    "November 24, 2025": "2025-11-24", "24th nov": "2026-11-24", "24.11.": "2026-11-24",
    "24.11.2025": "2025-11-24", "3.4.2026": "2026-04-03", "2026-11-24": "2026-11-24",
    "2026/11/24": "2026-11-24", "24/11": "2026-11-24", "11/24": "2026-11-24",
    "5/5": "2026-05-05", "26 Nov": "2025-11-26", "24-nov-2026": "2026-11-24",
    "29 Feb 2024": "2024-02-29", "1 sept": "2026-09-01",
  };
  for (const [text, day] of Object.entries(right)) {
    const read = readDay(text, today);
    assert.ok(read.ok, text);
    assert.equal(dayText(read.day), day, text);
  }
  const wrong = {
    "": "empty", "  ": "empty", "soon": "not_a_date", "31 Nov 2025": "not_a_date",
    "29 Feb 2025": "not_a_date", "32/13": "not_a_date", "Nov": "not_a_date",
    "3/4": "two_days", "03/04/2026": "two_days", "3-4-2026": "two_days",
    "26 Nov 2026": "in_future", "2027-01-01": "in_future", "24 nonsense": "not_a_date",
    "0 Nov": "not_a_date", "24 Nov 26": "not_a_date",
  };
  for (const [text, code] of Object.entries(wrong)) {
    const read = readDay(text, today);
    assert.equal(read.ok ? "ok" : read.code, code, text);
  }
});

test("times as people write them", () => {
  const right = {
    "14:05": "14:05", "14.05": "14:05", "1405": "14:05", "2:05 pm": "14:05",
    "2 pm": "14:00", "2PM": "14:00", "12 am": "00:00", "12:30 pm": "12:30",
    "7:00": "07:00", "0:00": "00:00", "23:59": "23:59", "9.5 am": null,
  };
  for (const [text, time] of Object.entries(right)) {
    const read = readTime(text);
    assert.equal(read.ok ? read.time : null, time, text);
  }
  for (const text of ["", "24:00", "14:60", "14", "13 pm", "0 am", "noon", "-1:00"])
    assert.equal(readTime(text).ok, false, text);
});

test("moments and ages are said in the site's days", () => {
  const now = Date.UTC(2026, 10, 25, 19, 5) / 1000; // Wed 14:05 in New York
  const zone = "America/New_York";
  assert.equal(momentText(zone, now + 3600, now), "today 15:05");
  assert.equal(momentText(zone, now + 10 * 3600, now), "tomorrow 00:05");
  assert.equal(momentText(zone, now + 4 * 86400, now), "Sunday 14:05");
  assert.equal(momentText(zone, now - 20 * 86400, now), "5 November, 14:05");
  assert.equal(momentText(zone, now - 400 * 86400, now), "21 October 2025, 15:05");
  assert.equal(ageText(60), "just now");
  assert.equal(ageText(1200), "20 min ago");
  assert.equal(ageText(9 * 86400), "9 days ago");
});

test("a value shown and typed back is the value", () => {
  const kinds = [
    ["ph", "", 2, 1, 13], ["free_chlorine_mg_per_l", "mg/L", 2, 0, 500],
    ["water_temp_c", "°C", 1, -2, 60], ["salt_mg_per_l_nacl", "mg/L", 1, 0, 50000],
    ["phosphate_mg_per_l", "mg/L", 3, 0, 100], ["orp_mv", "mV", 0, -1000, 1500],
  ];
  let seed = 20261125;
  const random = () => (seed = (seed * 1103515245 + 12345) % 2 ** 31) / 2 ** 31;
  let count = 0;
  for (const site of [US, SI])
    for (const [key, unit, decimals, low, high] of kinds)
      for (let i = 0; i < 850; i++, count++) {
        // a value as a person typed it, in the unit of the site
        const shown = units.shownUnit(unit, site);
        const typed = (low + (high - low) * random()).toFixed(decimals);
        const first = units.readValue(key, typed, unit, site);
        assert.ok(first.ok, `${key} ${typed}`);
        const text = units.valueText(key, first.stored, unit, site);
        const again = units.readValue(key, text, unit, site);
        assert.ok(again.ok, `${key} ${text}`);
        assert.equal(again.stored, first.stored, `${key} ${typed} ${shown.symbol} ${text}`);
      }
  assert.ok(count >= 10000);
});

test("a unit typed behind the number is understood, a foreign one is not", () => {
  const alkalinity = "total_alkalinity_mg_per_l_caco3";
  const hardness = "calcium_hardness_mg_per_l_caco3";
  const read = (key, text, unit, site = US) => {
    const found = units.readValue(key, text, unit, site);
    return found.ok ? found.stored : found.code;
  };
  assert.equal(read("free_chlorine_mg_per_l", "2.5 ppm", "mg/L"), 2.5);
  assert.equal(read("free_chlorine_mg_per_l", "2,5mg/l", "mg/L"), 2.5);
  assert.equal(read("water_temp_c", "82", "°C"), 27.777778);
  assert.equal(read("water_temp_c", "28 °C", "°C"), 28);
  assert.equal(read("water_temp_c", "82 F", "°C", SI), 27.777778);
  assert.equal(read("water_temp_c", "28", "°C", SI), 28);
  assert.equal(read(hardness, "10 °fH", "mg/L"), 100);
  // 1 °dH is 10 mg/L CaO: 17.848 mg/L CaCO3 (molar masses 100.0869 and 56.0774)
  assert.ok(Math.abs(read(alkalinity, "8 °dH", "mg/L") - 142.784) < 0.001);
  assert.equal(read(hardness, "2 mmol/l", "mg/L"), 200.1738);
  assert.equal(read(alkalinity, "2 mmol/l", "mg/L"), "not_a_number");
  assert.equal(read("free_chlorine_mg_per_l", "8 °dH", "mg/L"), "not_a_number");
  assert.equal(read("ph", "7.4 ppm", ""), "not_a_number");
  assert.equal(read("ph", "7.4.1", ""), "two_separators");
  assert.equal(read("ph", "about 7", ""), "not_a_number");
});

test("a separator before three digits is asked about, never rescaled", () => {
  const read = units.readValue("salt_mg_per_l_nacl", "3,200", "mg/L", US);
  assert.deepEqual([read.stored, read.thousands], [3.2, true]);
  assert.equal(units.readValue("ph", "7.45", "", US).thousands, false);
  assert.equal(units.readValue("salt_mg_per_l_nacl", "0.125", "mg/L", US).thousands, false);
});

test("numbers are written in the site's form", () => {
  assert.equal(writeNumber(7.4, 2, false, 1), "7.4");
  assert.equal(writeNumber(7, 2, true, 1), "7,0");
  assert.equal(writeNumber(-0.001, 2, false), "0");
  assert.equal(writeNumber(-1.5, 1, false), "\u22121.5");
  assert.equal(writeNumber(3200, 1, false), "3200");
});

test("amounts and volumes convert by their definitions (NIST Handbook 44)", () => {
  assert.equal(units.amountToStored(1, "gal"), 3785.411784);
  assert.equal(units.amountToStored(1, "fl oz"), 29.573530); // 29.5735295625, 6 decimals
  assert.equal(units.amountToStored(2, "lb"), 907.18474);
  const volume = (text, site) => units.readVolume(text, site).stored;
  assert.equal(volume("13000", US), 49.210353); // 13000 x 3.785411784 L
  assert.equal(volume("50 m³", US), 50);
  assert.equal(volume("1200 L", SI), 1.2);
  assert.equal(volume("48,5", SI), 48.5);
});

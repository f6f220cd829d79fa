// Heat over the socket: "warm by", the tariff, warm-ups, efficiency.
// Sources: heat of water 4.18 kJ/(kg K) and 0.998 kg/L (tables of water's properties, 20 degC),
// 1 therm = 105.4804 MJ (NIST SP 811), a kilowatt hour 3.6 MJ.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { mustRead, now_s, setUp } from "../support/household.mjs";

const HOUR = 3600;
const DAY = 86400;
const THERM_MJ = 105.4804;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

/** @param {Record<string, string | number>} query */
const ask = (query) => daemon.get(`/api/v1/warm-by?${new URLSearchParams(
  Object.entries(query).map(([name, value]) => [name, String(value)]))}`);
/** @param {Record<string, string | number>} query */
async function plan(query) {
  const reply = await ask({ by: now_s() + 2 * DAY, wanted_temp_c: 28, ...query });
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}
const share = (answer, part) => answer.losses.find((l) => l.part === part).share;

test("before anything is set up it says so", async () => {
  const reply = await ask({ by: now_s() + DAY, wanted_temp_c: 28 });
  assert.equal(reply.status, 409);
  assert.equal(reply.json.code, "not_set_up");
});

test("what is missing is named, and nothing is planned without it", async () => {
  await setUp(daemon, { site: { units: "us", latitude: 50, longitude: 8 } });
  const answer = await plan({});
  assert.deepEqual(answer.lacks, ["temp_c", "surface_m2", "input_w"]);
  assert.equal(answer.plan, null);
  assert.deepEqual(answer.beside, []);
  const water = await daemon.send("PUT", "/api/v1/waters/1", { name: "Pool", kind: "pool",
    sanitiser: "chlorine", volume_m3: 50, surface_m2: 32, cover: "bubble" },
  { "If-Match": '"water-1-1"' });
  assert.equal(water.status, 200, water.text);
  const heater = await daemon.send("PUT", "/api/v1/heaters/1", { name: "Heater",
    waters: [1], bypass: "full", input_w: 117228 }, { "If-Match": '"heater-1-1"' });
  assert.equal(heater.status, 200, heater.text);
  assert.deepEqual((await plan({})).lacks, ["temp_c"]);
});

test("a temperature older than three days says nothing of now", async () => {
  await mustRead(daemon, { water_temp_c: 18 }, { at: now_s() - 4 * DAY });
  assert.deepEqual((await plan({})).lacks, ["temp_c"]);
  await mustRead(daemon, { water_temp_c: 18 }, { at: now_s() - HOUR });
  const answer = await plan({});
  assert.deepEqual(answer.lacks, []);
  assert.equal(answer.basis.temp_c, 18);
  assert.ok(answer.basis.temp_at > 0);
});

test("fuel is at least what warms the water, and the start leaves time for it", async () => {
  const answer = await plan({ air_low_c: 10, air_high_c: 20 });
  const { likely, easy, hard } = answer.plan;
  // 50 m3 by 10 K
  const water_mj = 50000 * 0.998 * 4.18e-3 * 10;
  assert.equal(answer.basis.efficiency, 0.8);
  assert.ok(likely.fuel_mj > water_mj / 0.8, `${likely.fuel_mj}`);
  assert.ok(likely.fuel_mj < water_mj / 0.8 * 1.5, `${likely.fuel_mj}`);
  // fuel is input times time
  assert.ok(Math.abs(likely.firing_h * HOUR * 117228 / 1e6 - likely.fuel_mj) <
    0.002 * likely.fuel_mj);
  assert.ok(Math.abs(likely.fuel * THERM_MJ - likely.fuel_mj) < 0.006 * THERM_MJ + 0.1);
  assert.ok(likely.in_time && likely.start_at > answer.at);
  assert.ok(likely.start_at + likely.firing_h * HOUR <= answer.by + 60);
  assert.ok(hard.start_at < likely.start_at && likely.start_at < easy.start_at);
  assert.ok(easy.fuel < likely.fuel && likely.fuel < hard.fuel);
  assert.equal(likely.cost, null);
});

test("a cover saves and wind costs; the shares are of what is lost", async () => {
  const answer = await plan({ air_low_c: 8, air_high_c: 18, wind_m_per_s: 1 });
  assert.equal(answer.plan.cover, "bubble");
  const fuel = (cover, wind) => [answer.plan, ...answer.beside]
    .find((w) => w.cover === cover && w.wind_m_per_s === wind).likely.fuel;
  assert.ok(fuel("none", 1) > fuel("bubble", 1));
  assert.ok(fuel("none", 3) > fuel("none", 1));
  assert.ok(fuel("bubble", 3) >= fuel("bubble", 1));
  const open = await plan({ air_low_c: 8, air_high_c: 18, wind_m_per_s: 3, cover: "none" });
  const sum = open.losses.reduce((all, loss) => all + loss.share, 0);
  assert.ok(Math.abs(sum - 1) < 0.01, `${sum}`);
  // open water in the wind loses most by evaporation
  assert.ok(share(open, "evaporation") > 0.4);
  assert.ok(share(open, "evaporation") > share(answer, "evaporation"));
  assert.equal(share(open, "sun"), 0);
  assert.ok(open.losses.find((l) => l.part === "sun").mean_w <= 0);
});

test("what nobody said is named as assumed, and widens the range", async () => {
  const guessed = await plan({});
  assert.deepEqual(guessed.basis.assumed,
    ["air_low_c", "air_high_c", "wind_m_per_s", "cloud_fraction", "efficiency", "altitude"]);
  const known = await plan({ air_low_c: 10, air_high_c: 20, wind_m_per_s: 1,
    cloud_fraction: 0.5 });
  assert.deepEqual(known.basis.assumed, ["efficiency", "altitude"]);
  const width = (a) => a.plan.hard.fuel - a.plan.easy.fuel;
  assert.ok(width(guessed) > width(known));
  assert.ok(Math.abs(guessed.plan.likely.fuel - known.plan.likely.fuel) < 0.02);
});

test("too late is said, with when it will be warm", async () => {
  const answer = await plan({ by: now_s() + HOUR });
  assert.equal(answer.plan.likely.in_time, false);
  assert.ok(answer.plan.likely.reached_at > answer.by);
  const never = await plan({ wanted_temp_c: 42, temp_c: 5, air_low_c: -25, air_high_c: -20,
    wind_m_per_s: 12, cover: "none" });
  assert.equal(never.plan.hard.in_time, false);
  assert.equal(never.basis.out_of_range, true);
  assert.equal((await plan({ temp_c: 0, air_low_c: -5, air_high_c: 2 })).basis.temp_c, 0);
});

test("water that is warm enough needs no fuel", async () => {
  const { likely } = (await plan({ temp_c: 30, by: now_s() + 2 * HOUR })).plan;
  assert.equal(likely.fuel, 0);
  assert.equal(likely.firing_h, 0);
});

test("the tariff: cost in its unit; a heating value of the bill counts", async () => {
  const path = "/api/v1/heaters/1/tariff";
  const none = await daemon.get(path);
  assert.equal(none.json.version, 0);
  assert.equal(none.json.unit, null);
  const put = (body, tag) => daemon.send("PUT", path, body, { "If-Match": tag });
  assert.equal((await put({ unit: "therm", price_per_unit: 2, currency: "$" },
    '"tariff-1-0"')).status, 200);
  const therms = (await plan({ temp_c: 18 })).plan.likely;
  assert.ok(Math.abs(therms.cost - 2 * therms.fuel) < 0.02);
  assert.equal((await put({ unit: "m3", price_per_unit: 1, mj_per_unit: 40 },
    '"tariff-1-0"')).status, 412);
  assert.equal((await put({ unit: "m3", price_per_unit: 1, mj_per_unit: 40 },
    '"tariff-1-1"')).status, 200);
  const metres = await plan({ temp_c: 18 });
  assert.equal(metres.unit, "m3");
  assert.ok(Math.abs(metres.plan.likely.fuel * 40 - metres.plan.likely.fuel_mj) < 0.5);
  assert.equal((await put({ unit: "kwh", price_per_unit: 0.1 }, '"tariff-1-2"')).status, 200);
  const hours = (await plan({ temp_c: 18 })).plan.likely;
  assert.ok(Math.abs(hours.fuel * 3.6 - hours.fuel_mj) < 0.2);
  for (const [body, code, field] of [
    [{ unit: "barrel", price_per_unit: 1 }, "not_in_list", "unit"],
    [{ unit: "m3" }, "member_missing", "price_per_unit"],
    [{ unit: "m3", price_per_unit: -1 }, "out_of_range", "price_per_unit"],
    [{ unit: "m3", price_per_unit: 1, mj_per_unit: 0 }, "out_of_range", "mj_per_unit"],
    [{ unit: "kwh", price_per_unit: 1, mj_per_unit: 40 }, "member_unknown", "mj_per_unit"],
  ]) {
    const reply = await put(body, '"tariff-1-3"');
    assert.equal(reply.status, 422, reply.text);
    assert.equal(reply.json.code, code);
    assert.equal(reply.json.field, field);
  }
  assert.equal((await daemon.get("/api/v1/heaters/9/tariff")).status, 404);
});

test("what makes no question is refused with its field", async () => {
  const good = { by: now_s() + DAY, wanted_temp_c: 28 };
  for (const [query, field] of [
    [{ ...good, wanted_temp_c: "warm" }, "wanted_temp_c"],
    [{ ...good, wanted_temp_c: 90 }, "wanted_temp_c"],
    [{ ...good, by: now_s() - HOUR }, "by"],
    [{ ...good, by: now_s() + 15 * DAY }, "by"],
    [{ by: good.by }, "wanted_temp_c"],
    [{ wanted_temp_c: 28 }, "by"],
    [{ ...good, temp_c: "NaN" }, "temp_c"],
    [{ ...good, air_low_c: 20, air_high_c: 10 }, "air_low_c"],
    [{ ...good, wind_m_per_s: -1 }, "wind_m_per_s"],
    [{ ...good, cloud_fraction: 2 }, "cloud_fraction"],
    [{ ...good, cover: "blanket" }, "cover"],
    [{ ...good, heater: 1 }, "water"],
  ]) {
    const reply = await ask(query);
    assert.equal(reply.status, 400, reply.text);
    assert.equal(reply.json.field, field, reply.text);
  }
  assert.equal((await ask({ ...good, heater: 7, water: 1 })).status, 404);
});

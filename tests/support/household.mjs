// A small invented home for tests: one pool, one heater, and short words for entering
// facts. Everything goes through the API.

import assert from "node:assert/strict";

/** @typedef {Awaited<ReturnType<typeof import("./daemon.mjs").startDaemon>>} Daemon */

export const SITE = {
  name: "Fern Court", zone: "Europe/Berlin", units: "si", ppm: false, decimal_comma: true,
};
export const POOL = { name: "Pool", kind: "pool", sanitiser: "chlorine", volume_m3: 40 };
export const HEATER = { name: "Heater", waters: [1], bypass: "full" };

/**
 * @param {Daemon} daemon
 * @param {{site?: object, water?: object, heater?: object}} [changes]
 */
export async function setUp(daemon, changes = {}) {
  const site = await daemon.send("PUT", "/api/v1/site", { ...SITE, ...changes.site },
    { "If-Match": '"site-0"' });
  assert.equal(site.status, 200, site.text);
  const water = await daemon.send("POST", "/api/v1/waters",
    { ...POOL, ...changes.water });
  assert.equal(water.status, 201, water.text);
  const heater = await daemon.send("POST", "/api/v1/heaters",
    { ...HEATER, waters: [water.json.id], ...changes.heater });
  assert.equal(heater.status, 201, heater.text);
  return { water: water.json, heater: heater.json };
}

/**
 * A reading; the answer, whatever its status.
 * @param {Daemon} daemon
 * @param {Record<string, number>} values
 * @param {object} [more]
 */
export function read(daemon, values, more = {}) {
  return daemon.send("POST", "/api/v1/readings",
    { water: 1, method: "photometer", by: "Robin", values, ...more });
}

/** A reading that must be taken. @param {Daemon} daemon
 * @param {Record<string, number>} values @param {object} [more] */
export async function mustRead(daemon, values, more = {}) {
  const reply = await read(daemon, values, more);
  assert.equal(reply.status, 201, reply.text);
  return reply.json;
}

/** The permit as JSON. @param {Daemon} daemon @param {string} [query] */
export async function permit(daemon, query = "") {
  const reply = await daemon.get(`/api/v1/permit${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}

/** Rules that speak, in order. @param {any} answer */
export function rules(answer) {
  return [...answer.water_side.reasons, ...answer.burner_side.reasons].map((r) => r.rule);
}

export const now_s = () => Math.floor(Date.now() / 1000);

// A daemon with an owner, and people who log in: what tests of the door need.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import path from "node:path";

/** @typedef {Awaited<ReturnType<typeof import("./daemon.mjs").startDaemon>>} Daemon */
/** @typedef {Record<string, string>} Identity headers that say who is calling */

export const PASSPHRASE = "five blue herons stand still";

/** "name=value; …" of all cookies that an answer sets.
 *  @param {{headers: Record<string, string | string[] | undefined>}} answer */
export function cookiesOf(answer) {
  const lines = answer.headers["set-cookie"];
  return (Array.isArray(lines) ? lines : [lines ?? ""])
    .map((line) => line.split(";")[0]).join("; ");
}

/** @param {Daemon} daemon */
export const claimCode = async (daemon) =>
  (await readFile(path.join(daemon.data, "claim-code"), "utf8")).trim();

/** Makes the first owner and gives the headers of the login. @param {Daemon} daemon */
export async function claim(daemon) {
  const answer = await daemon.send("POST", "/api/v1/claim",
    { code: await claimCode(daemon), name: "Ada", passphrase: PASSPHRASE });
  assert.equal(answer.status, 201, answer.text);
  return { Cookie: cookiesOf(answer) };
}

/** @param {Daemon} daemon @param {string} name @param {string} secret
 *  @param {Identity} [headers] */
export const logIn = (daemon, name, secret, headers = {}) =>
  daemon.send("POST", "/api/v1/session", { name, secret }, headers);

/** A person with a PIN, logged in.
 *  @param {Daemon} daemon @param {Identity} owner @param {string} name
 *  @param {"viewer" | "technician"} role */
export async function addPerson(daemon, owner, name, role) {
  const person = await daemon.send("POST", "/api/v1/people", { name, role }, owner);
  assert.equal(person.status, 201, person.text);
  const pin = await daemon.send("POST", `/api/v1/people/${person.json.id}/pin`, {}, owner);
  assert.equal(pin.status, 200, pin.text);
  const login = await logIn(daemon, name, pin.json.pin);
  assert.equal(login.status, 201, login.text);
  return { id: person.json.id, pin: pin.json.pin, identity: { Cookie: cookiesOf(login) } };
}

/** A token's headers.
 *  @param {Daemon} daemon @param {Identity} owner @param {object} wish */
export async function addToken(daemon, owner, wish) {
  const token = await daemon.send("POST", "/api/v1/tokens", wish, owner);
  assert.equal(token.status, 201, token.text);
  const issued = await daemon.send("POST", `/api/v1/tokens/${token.json.id}/issue`, {}, owner);
  assert.equal(issued.status, 200, issued.text);
  return { id: token.json.id, text: issued.json.token,
    identity: { Authorization: `Bearer ${issued.json.token}` } };
}

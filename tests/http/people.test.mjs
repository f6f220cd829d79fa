// Claiming, logging in and out, PINs, tokens, and what the family sees.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { readFile, readdir, stat } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { promisify } from "node:util";

import { daemonPath, makeFolder, startDaemon } from "../support/daemon.mjs";
import { read, setUp } from "../support/household.mjs";
import { PASSPHRASE, addPerson, addToken, claim, claimCode, cookiesOf, logIn }
  from "../support/people.mjs";

const run = promisify(execFile);
const onNetwork = (more = {}) => startDaemon({ args: ["--bind", "0.0.0.0"], ...more });

/** The daemon with somebody's headers on every call. */
const as = (daemon, identity) => /** @type {any} */ ({ ...daemon,
  get: (target, headers = {}) => daemon.get(target, { ...identity, ...headers }),
  send: (method, target, body, headers = {}) =>
    daemon.send(method, target, body, { ...identity, ...headers }) });

test("on the network nothing but the claim page answers until there is an owner", async () => {
  const daemon = await onNetwork();
  for (const target of ["/api/v1/permit", "/api/v1/site", "/api/v1/people"]) {
    const answer = await daemon.get(target);
    assert.equal(answer.status, 401, target);
    assert.equal(answer.json.code, "not_claimed");
  }
  for (const page of ["/", "/readings", "/setup", "/anything"]) {
    const answer = await daemon.get(page);
    assert.equal(answer.status, 303, page);
    assert.equal(answer.headers.location, "/claim");
  }
  assert.equal((await daemon.get("/healthz")).status, 200);
  assert.equal((await daemon.get("/api/v1/session")).json.door, "unclaimed");
  await claim(daemon);
  assert.equal((await daemon.get("/")).status, 200);
  await daemon.stop();
});

test("of 50 claims with the right code one wins, and then the claim is gone", async () => {
  const daemon = await onNetwork();
  const code = await claimCode(daemon);
  const answers = await Promise.all(Array.from({ length: 50 }, (_, i) =>
    daemon.send("POST", "/api/v1/claim",
      { code, name: `Ada ${i}`, passphrase: PASSPHRASE })));
  const by = (status) => answers.filter((answer) => answer.status === status).length;
  assert.equal(by(201), 1, answers.map((answer) => answer.status).join(" "));
  assert.equal(by(201) + by(409) + by(404) + by(429), 50);
  const late = await daemon.send("POST", "/api/v1/claim",
    { code, name: "Late", passphrase: PASSPHRASE });
  assert.equal(late.status, 404);
  await assert.rejects(stat(path.join(daemon.data, "claim-code")));
  await daemon.stop();
});

test("a wrong code is refused, and the fifth makes a new one", async () => {
  const daemon = await onNetwork();
  const code = await claimCode(daemon);
  for (let i = 0; i < 5; i++) {
    const answer = await daemon.send("POST", "/api/v1/claim",
      { code: "AAAAA-AAAAA", name: "Eve", passphrase: PASSPHRASE });
    assert.equal(answer.status, 403);
    assert.equal(answer.json.code, "code_wrong");
  }
  const next = await claimCode(daemon);
  assert.notEqual(next, code);
  assert.match(next, /^[A-Z2-9]{5}-[A-Z2-9]{5}$/);
  assert.ok(!daemon.stderr().includes(code) && !daemon.stderr().includes(next));
  await daemon.stop();
});

test("the claim's form says what is wrong with it", async () => {
  const daemon = await onNetwork();
  const code = await claimCode(daemon);
  for (const [passphrase, fault] of [["short", "passphrase_weak"],
    ["aaaaaaaaaaaaaaaaaaaaa", "passphrase_weak"], [12, "wrong_type"], ["", "member_missing"]]) {
    const answer = await daemon.send("POST", "/api/v1/claim", { code, name: "Ada", passphrase });
    assert.equal(answer.status, 422, answer.text);
    assert.equal(answer.json.code, fault);
    assert.equal(answer.json.field, "passphrase");
  }
  assert.equal((await daemon.get("/api/v1/session")).json.door, "unclaimed");
  await daemon.stop();
});

test("cookies are ours alone, and a dead login is told so", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  const login = await logIn(daemon, "ada", PASSPHRASE);
  const lines = /** @type {string[]} */ (login.headers["set-cookie"]);
  assert.match(lines[0] ?? "",
    /^coilkeep_session=[\w-]{43}; Path=\/; Max-Age=43200; HttpOnly; SameSite=Strict$/);
  assert.match(lines[1] ?? "",
    /^coilkeep_device=[\w-]{43}; Path=\/; Max-Age=34560000; HttpOnly; SameSite=Strict$/);
  const second = { Cookie: cookiesOf(login) };
  assert.equal((await daemon.get("/api/v1/session", second)).json.role, "owner");
  const out = await daemon.send("POST", "/api/v1/session/end", {}, second);
  assert.match(String(out.headers["set-cookie"]), /^coilkeep_session=; Path=\/; Max-Age=0;/);
  const dead = await daemon.get("/api/v1/people", second);
  assert.equal(dead.status, 401);
  assert.equal((await daemon.get("/api/v1/session", second)).json.ended, true);
  assert.equal((await daemon.get("/api/v1/people", owner)).status, 200);
  await daemon.stop();
});

test("the owner is out after 30 minutes without use, and after 12 hours with", async () => {
  const daemon = await onNetwork({ clock: true });
  const owner = await claim(daemon);
  for (let minutes = 25; minutes < 12 * 60; minutes += 25) {
    await daemon.setClock(minutes * 60);
    assert.equal((await daemon.get("/api/v1/people", owner)).status, 200, `${minutes} min`);
    await daemon.get("/readyz"); // passes the writer, so the last use is noted
  }
  await daemon.setClock(12 * 3600 + 1);
  assert.equal((await daemon.get("/api/v1/people", owner)).status, 401);
  const next = { Cookie: cookiesOf(await logIn(daemon, "Ada", PASSPHRASE)) };
  await daemon.setClock(12 * 3600 + 1 + 1801);
  assert.equal((await daemon.get("/api/v1/people", next)).status, 401);
  await daemon.stop();
});

test("wrong secrets: five are free, then each waits; a known device has its own count", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const device = { Cookie: (bo.identity.Cookie ?? "").split("; ")[1] ?? "" };
  for (let i = 0; i < 5; i++) {
    const answer = await logIn(daemon, "Bo", "000000" === bo.pin ? "000001" : "000000");
    assert.equal(answer.status, 401);
    assert.equal(answer.json.code, "secret_wrong");
  }
  const sixth = await logIn(daemon, "Bo", bo.pin);
  assert.equal(sixth.status, 429);
  assert.equal(sixth.json.code, "login_wait");
  assert.ok(Number(sixth.headers["retry-after"]) <= 30);
  assert.equal((await logIn(daemon, "Bo", bo.pin, device)).status, 201);

  // a name that nobody has behaves the same
  const stranger = [];
  for (let i = 0; i < 6; i++) stranger.push((await logIn(daemon, "Nobody", "000000")).status);
  assert.deepEqual(stranger, [401, 401, 401, 401, 401, 429]);

  // and a restart forgives nothing
  await daemon.stop({ keep: true });
  const next = await onNetwork({ data: daemon.data });
  assert.equal((await logIn(next, "Bo", bo.pin)).status, 429);
  await next.stop();
});

test("a new PIN ends the old one and its logins", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const pin = await daemon.send("POST", `/api/v1/people/${bo.id}/pin`, {}, owner);
  assert.match(pin.json.pin, /^\d{6}$/);
  assert.equal((await daemon.get("/api/v1/site", bo.identity)).status, 401);
  if (pin.json.pin !== bo.pin) assert.equal((await logIn(daemon, "Bo", bo.pin)).status, 401);
  assert.equal((await logIn(daemon, "Bo", pin.json.pin)).status, 201);
  await daemon.stop();
});

test("somebody stays owner, and a changed role ends what was open", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  const ada = await daemon.get("/api/v1/people/1", owner);
  const change = await daemon.send("PUT", "/api/v1/people/1", { name: "Ada", role: "viewer" },
    { ...owner, "If-Match": String(ada.headers.etag) });
  assert.equal(change.status, 422);
  assert.equal(change.json.code, "last_owner");
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const person = await daemon.get(`/api/v1/people/${bo.id}`, owner);
  const up = await daemon.send("PUT", `/api/v1/people/${bo.id}`, { name: "Bo", role: "owner" },
    { ...owner, "If-Match": String(person.headers.etag) });
  assert.equal(up.status, 200, up.text);
  assert.equal(up.json.can_log_in, false); // a PIN is no owner's passphrase
  assert.equal((await daemon.get("/api/v1/site", bo.identity)).status, 401);
  const pin = await daemon.send("POST", `/api/v1/people/${bo.id}/pin`, {}, owner);
  assert.equal(pin.json.code, "owner_needs_passphrase");
  const taken = await daemon.send("POST", "/api/v1/people", { name: "BO", role: "viewer" }, owner);
  assert.equal(taken.json.code, "name_taken");
  await daemon.stop();
});

test("entries are by whoever is logged in, and only their own are corrected", async () => {
  const daemon = await onNetwork({ clock: true });
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const cy = await addPerson(daemon, owner, "Cy", "technician");
  const entered = await read(as(daemon, bo.identity), { ph: 7.4 }, { by: "Somebody else" });
  assert.equal(entered.status, 201, entered.text);
  assert.equal(entered.json.by, "Bo");
  const correct = (who) => daemon.send("POST",
    `/api/v1/readings/${entered.json.id}/correction`,
    { water: 1, values: { ph: 7.5 }, reason: "typed wrong" },
    { ...who, "If-Match": String(entered.headers.etag) });
  const foreign = await correct(cy.identity);
  assert.equal(foreign.status, 403);
  assert.equal(foreign.json.code, "not_yours");
  await daemon.setClock(86400 + 60);
  assert.equal((await correct(bo.identity)).status, 403);
  await daemon.setClock(86400 - 60);
  assert.equal((await correct(bo.identity)).status, 201);
  const journal = await daemon.get("/api/v1/journal?limit=1",
    { Cookie: cookiesOf(await logIn(daemon, "Ada", PASSPHRASE)) });
  assert.equal(journal.json.entries[0].action, "log_in");
  await daemon.stop();
});

test("the family hears the permit and nothing else, while the owner lets it", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  await read(as(daemon, owner), { ph: 6.8, free_chlorine_mg_per_l: 2 });
  const permit = await daemon.get("/api/v1/permit");
  assert.equal(permit.status, 200, permit.text);
  assert.deepEqual(Object.keys(permit.json).sort(),
    ["at", "good_until", "headline", "heater", "permit", "reasons", "valid_for_s", "water"]);
  assert.equal(permit.json.permit, "hold");
  assert.deepEqual(Object.keys(permit.json.reasons[0]).sort(), ["next", "text"]);
  assert.equal((await daemon.get("/api/v1/permit?as_of=1700000000")).status, 401);
  const door = await daemon.get("/api/v1/door", owner);
  const off = await daemon.send("PUT", "/api/v1/door", { family_sees_permit: false },
    { ...owner, "If-Match": String(door.headers.etag) });
  assert.equal(off.status, 200, off.text);
  assert.equal((await daemon.get("/api/v1/permit")).status, 401);
  assert.equal((await daemon.get("/api/v1/permit", owner)).json.water_side.permit, "hold");
  await daemon.stop();
});

test("a probe's token writes readings of its own water and does nothing else", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  await daemon.send("POST", "/api/v1/waters",
    { name: "Spa", kind: "spa", sanitiser: "chlorine", volume_m3: 1 }, owner);
  const probe = await addToken(daemon, owner,
    { name: "pH probe", scope: "readings:write", water: 1 });
  // no browser sends a token by itself: neither our header nor an Origin is asked for
  const bare = { ...probe.identity, Origin: null, "Coilkeep-Change": null };
  const body = { water: 1, method: "probe", values: { ph: 7.42 } };
  const answer = await daemon.send("POST", "/api/v1/readings", body, bare);
  assert.equal(answer.status, 201, answer.text);
  assert.equal(answer.json.by, "pH probe");
  const other = await daemon.send("POST", "/api/v1/readings", { ...body, water: 2 }, bare);
  assert.equal(other.status, 403);
  assert.equal((await daemon.get("/api/v1/readings", probe.identity)).status, 403);
  const gone = await daemon.send("POST", `/api/v1/tokens/${probe.id}/revocation`, {}, owner);
  assert.equal(gone.status, 200);
  assert.equal((await daemon.send("POST", "/api/v1/readings", body, bare)).status, 401);
  await daemon.stop();
});

test("no secret lies in the database, the log or the answers that are kept", async () => {
  const daemon = await onNetwork();
  const code = await claimCode(daemon);
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const probe = await addToken(daemon, owner, { name: "lamp", scope: "status:read" });
  await logIn(daemon, "Bo", "canary-of-a-wrong-secret");
  const ids = [owner, bo.identity].flatMap((who) => (who.Cookie ?? "").split("; "))
    .map((cookie) => cookie.split("=")[1] ?? "");
  await daemon.stop({ keep: true });
  const secrets = [PASSPHRASE, code, probe.text, "canary-of-a-wrong-secret", ...ids];
  assert.ok(secrets.every((secret) => secret.length > 10), secrets.join(" "));
  const places = [Buffer.from(daemon.stderr())];
  for (const name of await readdir(daemon.data)) {
    const file = path.join(daemon.data, name);
    if (name !== "pepper") places.push(await readFile(file));
    assert.equal((await stat(file)).mode & 0o077, 0, `${name} is open to others`);
  }
  for (const secret of secrets) {
    for (const place of places) assert.ok(!place.includes(secret), secret);
  }
  // six digits may stand anywhere by chance, but not as a text of the journal or an answer
  for (const place of places) assert.ok(!place.includes(`"${bo.pin}"`));
  await makeFolder().then(({ remove }) => remove());
});

test("the local commands show the code and mend a forgotten passphrase", async () => {
  const { folder, remove } = await makeFolder();
  const first = (await run(daemonPath, ["claim-code", "--data", folder])).stdout.trim();
  const daemon = await onNetwork({ data: folder });
  assert.equal(await claimCode(daemon), first);
  const owner = await claim(daemon);
  await assert.rejects(run(daemonPath, ["claim-code", "--data", folder]),
    (/** @type {any} */ fault) => fault.code === 65 && /has an owner/.test(fault.stderr));
  const told = (await run(daemonPath, ["reset-owner", "--data", folder])).stdout;
  const passphrase = /passphrase: (\S+)/.exec(told)?.[1] ?? "";
  assert.equal((await daemon.get("/api/v1/people", owner)).status, 401);
  assert.equal((await logIn(daemon, "Ada", PASSPHRASE)).status, 401);
  assert.equal((await logIn(daemon, "Ada", passphrase)).status, 201);
  await daemon.stop();
  await remove();
});

test("a daemon on this machine alone is open until somebody claims it", async () => {
  const daemon = await startDaemon();
  assert.deepEqual((await daemon.get("/api/v1/session")).json,
    { door: "open", role: "owner", person: null, name: "", ended: false,
      family_sees_permit: false, proved_for_s: 0 });
  await setUp(daemon);
  await run(daemonPath, ["claim-code", "--data", daemon.data]);
  await claim(daemon);
  assert.equal((await daemon.get("/api/v1/site")).status, 401);
  await daemon.stop();
});

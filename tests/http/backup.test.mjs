// Copies of the database: made while it is used, checked, sealed, put back; and the
// journal's chain, which shows changes made behind the program's back.

import assert from "node:assert/strict";
import { execFile, execFileSync } from "node:child_process";
import { copyFile, readFile, readdir, stat, writeFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { promisify } from "node:util";

import { daemonPath, makeFolder, startDaemon } from "../support/daemon.mjs";
import { read, setUp } from "../support/household.mjs";
import { PASSPHRASE, addToken, claim, cookiesOf, logIn } from "../support/people.mjs";

const run = promisify(execFile);
const sql = (file, text) => execFileSync("sqlite3", [file, text], { encoding: "utf8" }).trim();
const count = (daemon) => daemon.get("/api/v1/readings?water=1&limit=500")
  .then((answer) => answer.json.readings.length);

/** A command that is to be refused: its code and words. */
const refused = (args) => run(daemonPath, args).then(
  () => assert.fail(`${args.join(" ")} was not refused`),
  (fault) => ({ code: fault.code, err: fault.stderr }));

test("a copy is made while readings come in, and holds what was there at one instant", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  for (let i = 0; i < 5; i++) await read(daemon, { ph: 7.4 });
  let over = false;
  let written = 5;
  const writing = (async () => {
    while (!over) {
      assert.equal((await read(daemon, { ph: 7.5 })).status, 201);
      written += 1;
    }
  })();
  const made = [];
  for (let i = 0; i < 3; i++) {
    const answer = await daemon.send("POST", "/api/v1/backups", {});
    assert.equal(answer.status, 201, answer.text);
    made.push(answer.json);
  }
  over = true;
  await writing;
  assert.equal(await count(daemon), written);
  const list = await daemon.get("/api/v1/backups");
  assert.equal(list.json.fault, "");
  assert.ok(list.json.backups.length >= 1);
  for (const name of await readdir(path.join(daemon.data, "backups"))) {
    const file = path.join(daemon.data, "backups", name);
    assert.equal((await stat(file)).mode & 0o077, 0);
    assert.equal(sql(file, "PRAGMA integrity_check"), "ok");
    const inside = Number(sql(file, "SELECT count(*) FROM reading"));
    assert.ok(inside >= 5 && inside <= written, `${inside} of ${written}`);
  }
  await daemon.stop();
});

test("restoring by page: a dry run first, then all of it, and what was there is kept", async () => {
  const daemon = await startDaemon({ clock: true });
  await setUp(daemon);
  await read(daemon, { ph: 7.1 });
  const copy = (await daemon.send("POST", "/api/v1/backups", {})).json;
  await daemon.setClock(60);
  await read(daemon, { ph: 7.9 });
  assert.equal(await count(daemon), 2);
  const permit = async () => (await daemon.get("/api/v1/permit")).json.values
    .find((value) => value.quantity === "ph").value;
  assert.equal(await permit(), 7.9);
  const target = `/api/v1/backups/${copy.id}/restoration`;
  const dry = await daemon.send("POST", target, { dry_run: true });
  assert.equal(dry.status, 200, dry.text);
  assert.equal(dry.json.copy.facts, 2); // the heater's first state is one
  assert.equal(dry.json.here.facts, 3);
  assert.equal(await count(daemon), 2);
  const done = await daemon.send("POST", target, { dry_run: false });
  assert.equal(done.status, 200, done.text);
  assert.equal(await count(daemon), 1);
  assert.equal(await permit(), 7.1);
  assert.equal((await read(daemon, { ph: 7.3 })).status, 201);
  const kept = await daemon.send("POST", `/api/v1/backups/${done.json.kept_as}/restoration`,
    { dry_run: false });
  assert.equal(kept.status, 200, kept.text);
  assert.equal(await count(daemon), 2);
  assert.ok(!(await readdir(daemon.data)).some((name) => name.startsWith("restoring")));
  await daemon.stop();
});

test("no copy opens a door: logins and tokens are left out, and the pepper with them", async () => {
  const daemon = await startDaemon({ args: ["--bind", "0.0.0.0"] });
  const owner = await claim(daemon);
  const probe = await addToken(daemon, owner, { name: "lamp", scope: "status:read" });
  const copy = (await daemon.send("POST", "/api/v1/backups", {}, owner)).json;
  const taken = await daemon.get(`/api/v1/backups/${copy.id}/file`, owner);
  assert.equal(taken.status, 200);
  const { folder, remove } = await makeFolder();
  const file = path.join(folder, "copy.db");
  await writeFile(file, taken.bytes);
  assert.equal(sql(file, "SELECT (SELECT count(*) FROM session) +" +
    " (SELECT count(*) FROM known_device) + (SELECT count(*) FROM token WHERE hash NOT NULL)"),
  "0");
  const live = path.join(daemon.data, "coilkeep.db");
  const hashes = sql(live, "SELECT hex(hash) FROM session UNION SELECT hex(hash) FROM token");
  const bytes = await readFile(file);
  for (const hash of hashes.split("\n"))
    assert.ok(!bytes.includes(Buffer.from(hash, "hex")), "a hash is still on a page");
  assert.ok(!bytes.includes(await readFile(path.join(daemon.data, "pepper"))));

  const back = await daemon.send("POST", `/api/v1/backups/${copy.id}/restoration`,
    { dry_run: false }, owner);
  assert.equal(back.status, 200, back.text);
  assert.equal((await daemon.get("/api/v1/people", owner)).status, 401);
  assert.equal((await daemon.get("/api/v1/permit", probe.identity)).status, 401);
  const again = await logIn(daemon, "Ada", PASSPHRASE);
  assert.equal(again.status, 201, again.text);
  assert.equal((await daemon.get("/api/v1/people", { Cookie: cookiesOf(again) })).status, 200);
  await daemon.stop();
  await remove();
});

test("the commands copy, check and put back; a sealed copy needs its passphrase", async () => {
  const { folder, remove } = await makeFolder();
  const data = path.join(folder, "data");
  const daemon = await startDaemon({ data });
  await setUp(daemon);
  await read(daemon, { ph: 7.1 });
  const secret = path.join(folder, "passphrase");
  await writeFile(secret, "nine herons\n");
  const copy = path.join(folder, "copy.sealed");
  await run(daemonPath, ["backup", "--data", data, "--to", copy,
    "--backup-passphrase-file", secret]);
  const told = await run(daemonPath, ["check", "--data", data]);
  assert.match(told.stdout, /^sound: 2 readings, .* newest hash [0-9a-f]{64}\n$/);
  await read(daemon, { ph: 7.2 });
  const busy = await refused(["restore", "--data", data, "--from", copy]);
  assert.equal(busy.code, 75);
  await daemon.stop();

  const without = await refused(["restore", "--data", data, "--from", copy]);
  assert.equal(without.code, 65);
  assert.match(without.err, /sealed/);
  const dry = await run(daemonPath, ["restore", "--data", data, "--from", copy, "--dry-run",
    "--backup-passphrase-file", secret]);
  assert.match(dry.stdout, /: 2 readings,/);
  assert.equal(sql(path.join(data, "coilkeep.db"), "SELECT count(*) FROM reading"), "2");
  const done = await run(daemonPath, ["restore", "--data", data, "--from", copy,
    "--backup-passphrase-file", secret]);
  const head = /newest hash ([0-9a-f]{64})/.exec(dry.stdout)?.[1];
  assert.ok(done.stdout.includes(String(head)));
  assert.match(done.stdout, /what was there before is kept in/);
  assert.equal(sql(path.join(data, "coilkeep.db"), "SELECT count(*) FROM reading"), "1");

  const elsewhere = await makeFolder(); // another machine: an empty folder there
  const moved = elsewhere.folder;
  await run(daemonPath, ["restore", "--data", moved, "--from", copy,
    "--backup-passphrase-file", secret]);
  const other = await startDaemon({ data: moved });
  assert.equal(await count(other), 1);
  await other.stop();
  await elsewhere.remove();
  await remove();
});

test("a damaged or foreign copy is refused and changes nothing", async () => {
  const { folder, remove } = await makeFolder();
  const daemon = await startDaemon({ data: folder });
  await setUp(daemon);
  for (let i = 0; i < 300; i++) await read(daemon, { ph: 7.1 }, { note: "x".repeat(400) });
  await daemon.stop();
  const good = path.join(folder, "good.db");
  const bad = path.join(folder, "bad.db");
  await run(daemonPath, ["backup", "--data", folder, "--to", good]);
  const bytes = await readFile(good);
  const page = bytes.length - 2 * 4096; // one byte of a page
  bytes[page] = (bytes[page] ?? 0) ^ 0xff;
  await writeFile(bad, bytes);
  assert.equal((await refused(["restore", "--data", folder, "--from", bad])).code, 65);
  await writeFile(bad, "no database at all, but a text");
  assert.equal((await refused(["restore", "--data", folder, "--from", bad])).code, 65);
  await copyFile(good, bad);
  sql(bad, "PRAGMA user_version = 9999");
  assert.equal((await refused(["restore", "--data", folder, "--from", bad])).code, 65);
  assert.equal((await refused(["restore", "--data", folder, "--from",
    path.join(folder, "nowhere.db")])).code, 65);
  assert.match((await run(daemonPath, ["check", "--data", folder])).stdout, /^sound: 301 /);
  await remove();
});

test("each kind of change to the journal behind the program's back is found", async () => {
  const { folder, remove } = await makeFolder();
  const daemon = await startDaemon({ data: folder });
  await setUp(daemon);
  for (let i = 0; i < 6; i++) await read(daemon, { ph: 7.1 });
  await daemon.stop();
  const file = path.join(folder, "coilkeep.db");
  const kept = path.join(folder, "kept.db");
  await copyFile(file, kept);
  const unguarded = "DROP TRIGGER journal_no_update; DROP TRIGGER journal_no_delete;" +
    " DROP TRIGGER chain_no_delete; PRAGMA foreign_keys = off;";
  const changes = {
    edited: ["UPDATE journal SET action = 'edit' WHERE id = 5;", 5],
    deleted: ["DELETE FROM journal WHERE id = 5; DELETE FROM chain WHERE id = 5;", 6],
    swapped: ["UPDATE journal SET id = 999 WHERE id = 4; UPDATE journal SET id = 4 WHERE" +
      " id = 5; UPDATE journal SET id = 5 WHERE id = 999;", 4],
    cut: ["DELETE FROM journal WHERE id > 7;", 8],
  };
  for (const [name, [change, bad]] of Object.entries(changes)) {
    await copyFile(kept, file);
    assert.match((await run(daemonPath, ["check", "--data", folder])).stdout, /^sound/);
    sql(file, unguarded + change);
    const { code, err } = await refused(["check", "--data", folder]);
    assert.equal(code, 65, name);
    if (name === "cut") assert.match(err, /belongs to something|entry 8/, name);
    else assert.match(err, new RegExp(`entry ${bad} of the journal`), name);
  }
  await remove();
});

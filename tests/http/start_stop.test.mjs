// How the daemon starts, refuses to start, and ends.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { createHash } from "node:crypto";
import { chmod, mkdir, mkdtemp, readdir, readFile, rm, stat, symlink, writeFile }
  from "node:fs/promises";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { test } from "node:test";
import { promisify } from "node:util";

import { daemonPath, makeFolder, pause, runDaemon, startDaemon } from "../support/daemon.mjs";
import { isRoot } from "../support/unprivileged.mjs";

const run = promisify(execFile);
const WATER = { name: "Pool", kind: "pool", sanitiser: "chlorine" };

/** @param {import("node:test").TestContext} t */
async function folderFor(t) {
  const { folder, remove } = await makeFolder();
  t.after(remove);
  return folder;
}

/** A folder that is a small disk of its own. @param {import("node:test").TestContext} t
 *  @param {string} options of the mount */
async function diskFor(t, options) {
  const { folder, remove } = await makeFolder();
  await run("mount", ["-t", "tmpfs", "-o", options, "tmpfs", folder]);
  t.after(async () => {
    await run("umount", ["-l", folder]);
    await remove();
  });
  return folder;
}

const hash = (/** @type {Buffer} */ bytes) =>
  createHash("sha256").update(bytes).digest("hex");

for (const signal of /** @type {const} */ (["SIGTERM", "SIGINT", "SIGHUP"])) {
  test(`${signal} ends it cleanly within 2 s`, async () => {
    const daemon = await startDaemon();
    assert.equal((await daemon.get("/healthz")).status, 200);
    assert.ok((await daemon.stop({ signal })) <= 2000);
  });
}

test("it ends within 2 s with open connections of every kind", async () => {
  const daemon = await startDaemon();
  const sockets = ["", "GET /hea", `GET /healthz HTTP/1.1\r\nHost: ${daemon.host}\r\n\r\n`,
    `POST /api/v1/waters HTTP/1.1\r\nHost: ${daemon.host}\r\nContent-Length: 9\r\n\r\n1`]
    .flatMap((text) => Array.from({ length: 5 }, () => {
      const socket = net.connect(daemon.port, "127.0.0.1", () => socket.write(text));
      socket.on("error", () => {});
      return socket;
    }));
  await pause(200);
  assert.ok((await daemon.stop()) <= 2000);
  sockets.forEach((socket) => socket.destroy());
});

test("what was acknowledged before the end is there after it, files closed to others",
  async (t) => {
    const data = path.join(await folderFor(t), "state", "coilkeep");
    const first = await startDaemon({ data });
    const writes = Array.from({ length: 12 }, () =>
      first.send("POST", "/api/v1/waters", WATER).then((reply) => reply.status, () => 0));
    await Promise.race(writes);
    await first.stop();
    const acknowledged = (await Promise.all(writes)).filter((code) => code === 201).length;
    assert.ok(acknowledged > 0);
    assert.equal((await stat(data)).mode & 0o777, 0o700);
    for (const name of await readdir(data)) {
      assert.equal((await stat(path.join(data, name))).mode & 0o077, 0, name);
    }
    const second = await startDaemon({ data });
    const { waters } = (await second.get("/api/v1/waters")).json;
    await second.stop();
    assert.ok(waters.length >= acknowledged);
  });

test("a folder that was open to others is closed", async (t) => {
  const data = await folderFor(t);
  await chmod(data, 0o755);
  const daemon = await startDaemon({ data });
  assert.equal((await stat(data)).mode & 0o777, 0o700);
  await daemon.stop();
});

test("a second daemon on one folder is refused, the first goes on", async (t) => {
  const data = await folderFor(t);
  const daemon = await startDaemon({ data });
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 75);
  assert.match(err, /another coilkeepd is using the data folder/);
  const link = path.join(await folderFor(t), "link");
  await symlink(data, link);
  assert.equal((await runDaemon(["--port", "0", "--data", link])).code, 75);
  assert.equal((await daemon.get("/healthz")).status, 200);
  await daemon.stop();
});

test("the folder is free again after a kill", async (t) => {
  const data = await folderFor(t);
  const daemon = await startDaemon({ data });
  assert.equal((await daemon.send("POST", "/api/v1/waters", WATER)).status, 201);
  await daemon.kill();
  const next = await startDaemon({ data });
  assert.equal((await next.get("/api/v1/waters")).json.waters.length, 1);
  await next.stop();
});

test("a taken port is refused with clear words", async (t) => {
  const data = await folderFor(t);
  const daemon = await startDaemon();
  const { code, out, err } = await runDaemon(
    ["--port", String(daemon.port), "--data", data]);
  assert.equal(code, 69);
  assert.equal(out, "");
  assert.match(err, new RegExp(`port ${daemon.port} is taken`));
  await daemon.stop();
});

test("IPv6 loopback works", async () => {
  const daemon = await startDaemon({ args: ["--bind", "::1"] });
  assert.match(daemon.origin, /^http:\/\/\[::1\]:\d+$/);
  const socket = net.connect(daemon.port, "::1");
  socket.write(`GET /healthz HTTP/1.1\r\nHost: [::1]:${daemon.port}\r\nConnection: close\r\n\r\n`);
  let text = "";
  for await (const bytes of socket) text += bytes;
  assert.match(text, /^HTTP\/1\.1 200 /);
  await daemon.stop();
});

test("options that do not fit are refused with the option's name", async () => {
  const cases = [
    [["--port", "70000"], /--port/], [["--port", "-1"], /--port/], [["--port", "x"], /--port/],
    [["--port"], /--port/], [["--port="], /--port/], [["--data", ""], /--data/],
    [["--bind", "localhost"], /not an IP address/], [["--colour"], /--colour/],
    [["extra"], /extra/], [["--demo=yes"], /--demo=yes/], [["--connections", "0"], /--connections/],
  ];
  for (const [args, words] of cases) {
    const { code, err } = await runDaemon(/** @type {string[]} */ (args));
    assert.equal(code, 64, String(args));
    assert.match(err, /** @type {RegExp} */ (words));
  }
});

test("--help names every option, --version the version", async () => {
  const help = await runDaemon(["--help"]);
  assert.equal(help.code, 0);
  for (const option of ["--demo", "--data DIR", "--port N", "--bind ADDR", "--web-root DIR",
    "--test-clock FILE", "--help", "--version"]) {
    assert.ok(help.out.includes(option), option);
  }
  const version = await runDaemon(["--version"]);
  assert.match(version.out, /^coilkeepd \d+\.\d+\.\d+\n$/);
});

test("without a home folder it asks for --data", async () => {
  const { code, err } = await runDaemon(["--port", "0"],
    { HOME: undefined, XDG_STATE_HOME: undefined });
  assert.equal(code, 64);
  assert.match(err, /--data DIR/);
});

test("the data folder follows XDG_STATE_HOME, then HOME", async (t) => {
  const home = await folderFor(t);
  const state = path.join(home, "elsewhere");
  for (const [env, expected] of [
    [{ HOME: home, XDG_STATE_HOME: state }, path.join(state, "coilkeep")],
    [{ HOME: home, XDG_STATE_HOME: "relative" }, path.join(home, ".local/state/coilkeep")],
    [{ HOME: home, XDG_STATE_HOME: undefined }, path.join(home, ".local/state/coilkeep")],
  ]) {
    await rm(String(expected), { recursive: true, force: true });
    // a folder where the database belongs stops the start after the folder was made
    await mkdir(path.join(String(expected), "coilkeep.db"), { recursive: true });
    const { err } = await runDaemon(["--port", "0"], /** @type {any} */ (env));
    assert.ok(err.includes(String(expected)), err);
  }
});

test("a data folder that is a file is refused", async (t) => {
  const file = path.join(await folderFor(t), "file");
  await writeFile(file, "x");
  for (const data of [file, path.join(file, "below")]) {
    const { code, err } = await runDaemon(["--port", "0", "--data", data]);
    assert.equal(code, 73);
    assert.match(err, /cannot be written: Not a directory/);
  }
});

test("a data folder that cannot be written is refused", { skip: !isRoot }, async (t) => {
  // root may write anywhere but on a file system that is mounted read-only
  const folder = await diskFor(t, "ro,size=1m");
  const { code, err } = await runDaemon(["--port", "0", "--data", path.join(folder, "data")]);
  assert.equal(code, 73);
  assert.match(err, /cannot be written: Read-only file system/);
});

test("a file that is no database is refused and left as it is", async (t) => {
  const data = await folderFor(t);
  const file = path.join(data, "coilkeep.db");
  const bytes = Buffer.from("This is a letter to the editor, not a database.\n".repeat(100));
  await writeFile(file, bytes);
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 65, err);
  assert.match(err, /is not a database/);
  assert.equal(hash(await readFile(file)), hash(bytes));
});

/** A database that our daemon made, with one number of its header changed: SQLite keeps
 *  user_version at byte 60 and application_id at byte 68 (file format, section 1.3).
 *  @param {string} data @param {number} offset @param {number} value */
async function writeHeader(data, offset, value) {
  const daemon = await startDaemon({ data });
  await daemon.stop();
  const file = path.join(data, "coilkeep.db");
  const bytes = await readFile(file);
  bytes.writeUInt32BE(value, offset);
  await writeFile(file, bytes);
  return bytes;
}

test("a database of a newer version is refused and left as it is", async (t) => {
  const data = await folderFor(t);
  const bytes = await writeHeader(data, 60, 9999);
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 78, err);
  assert.match(err, /newer version/);
  assert.equal(hash(await readFile(path.join(data, "coilkeep.db"))), hash(bytes));
});

test("another program's database is refused and left as it is", async (t) => {
  const data = await folderFor(t);
  const bytes = await writeHeader(data, 68, 0x12345678);
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 78, err);
  assert.match(err, /another program/);
  assert.equal(hash(await readFile(path.join(data, "coilkeep.db"))), hash(bytes));
});

test("a damaged database is refused", async (t) => {
  const data = await folderFor(t);
  const daemon = await startDaemon({ data });
  await daemon.stop();
  const file = path.join(data, "coilkeep.db");
  const bytes = await readFile(file);
  bytes.fill(0xff, 100, 4096);
  await writeFile(file, bytes);
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 65, err);
});

test("on a full disk reading goes on, writing says so, and comes back without a restart",
  { skip: !isRoot }, async (t) => {
    const data = await diskFor(t, "size=8m");
    const daemon = await startDaemon({ data });
    assert.equal((await daemon.send("POST", "/api/v1/waters", WATER)).status, 201);
    const ballast = path.join(data, "ballast");
    await writeFile(ballast, Buffer.alloc(16 << 20, 1)).catch(() => {});

    let full = null;
    for (let i = 0; i < 12 && full === null; i++) {
      const reply = await daemon.send("POST", "/api/v1/waters", WATER);
      if (reply.status !== 201) full = reply;
    }
    assert.equal(full?.status, 507, full?.text);
    assert.equal(full?.json.code, "disk_full");
    assert.equal((await daemon.get("/api/v1/waters")).status, 200);
    assert.equal((await daemon.get("/readyz")).status, 503);
    assert.equal((await daemon.get("/healthz")).status, 200);
    const upload = await daemon.send("POST", "/api/v1/import?water=1&dry_run=true",
      "date,ph\n".repeat(100), { "Content-Type": "text/csv" });
    assert.equal(upload.status, 507);

    await rm(ballast);
    assert.equal((await daemon.get("/readyz")).status, 200);
    assert.equal((await daemon.send("POST", "/api/v1/waters", WATER)).status, 201);
    await daemon.stop();
  });

test("a start on a full disk is refused", { skip: !isRoot }, async (t) => {
  const data = await diskFor(t, "size=1m");
  await writeFile(path.join(data, "ballast"), Buffer.alloc(2 << 20, 1)).catch(() => {});
  const { code, err } = await runDaemon(["--port", "0", "--data", data]);
  assert.equal(code, 73, err);
});

test("pages come from a folder with --web-root, and never from outside it", async (t) => {
  const folder = await folderFor(t);
  const web = path.join(folder, "web");
  await mkdir(path.join(web, "js"), { recursive: true });
  await writeFile(path.join(folder, "secret.html"), "secret");
  await writeFile(path.join(web, "index.html"), "one");
  await writeFile(path.join(web, "other.html"), "other");
  await writeFile(path.join(web, "js", "a.js"), "script");
  await symlink("../secret.html", path.join(web, "link.html"));
  await symlink("/etc/passwd", path.join(web, "passwd.html"));
  const daemon = await startDaemon({ args: ["--web-root", web] });
  assert.equal((await daemon.get("/")).text, "one");
  assert.equal((await daemon.get("/other")).text, "other");
  assert.equal((await daemon.get("/js/a.js")).text, "script");
  await writeFile(path.join(web, "index.html"), "two");
  assert.equal((await daemon.get("/")).text, "two");
  for (const target of ["/link", "/passwd", "/../secret.html", "/js/../../secret.html",
    "/js", "//etc/passwd.html", "/absent"]) {
    const reply = await daemon.raw(
      `GET ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n\r\n`);
    assert.match(reply.text, /^HTTP\/1\.1 404 /, target);
  }
  await daemon.stop();
});

test("no request reaches the file system of pages", async (t) => {
  const strace = await run("sh", ["-c", "command -v strace"]).catch(() => null);
  if (strace === null) return t.skip("strace is not here");
  const daemon = await startDaemon();
  await daemon.get("/"); // the C library looks for the zone once, at the first date
  const log = path.join(daemon.data, "strace");
  const { spawn } = await import("node:child_process");
  const tracer = spawn("strace", ["-f", "-qq", "-e", "trace=open,openat,openat2", "-o", log,
    "-p", String(daemon.pid)]);
  await pause(1000);
  for (const target of ["/", "/..%2f..%2fetc/passwd", "/style.css", "/js/../../etc/passwd",
    "/%00", "/nothing"]) {
    await daemon.raw(`GET ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n\r\n`);
  }
  tracer.kill("SIGINT");
  await new Promise((resolve) => tracer.on("close", resolve));
  assert.equal(await readFile(log, "utf8"), "");
  await daemon.stop();
});

test("no answer to a request stands in the log, and no request can forge a line", async () => {
  const daemon = await startDaemon();
  const secret = "canary-7f3a91";
  await daemon.get(`/api/v1/readings?water=${secret}`, {
    Cookie: secret, Authorization: `Bearer ${secret}`, "X-Other": secret,
  });
  await daemon.send("POST", "/api/v1/waters", { name: secret });
  await daemon.raw(`GET /${secret}%0d%0aerror%20x HTTP/1.1\r\nHost: ${secret}\r\n\r\n`);
  const words = daemon.stderr();
  await daemon.stop();
  assert.ok(!words.includes(secret), words);
});

test("root is refused with a word on how to go on, and leaves nothing behind",
  { skip: !isRoot }, async (t) => {
    const data = path.join(await folderFor(t), "data");
    await assert.rejects(run(daemonPath, ["--port", "0", "--data", data]), (fault) => {
      assert.equal(/** @type {any} */ (fault).code, 78);
      assert.match(/** @type {any} */ (fault).stderr, /this is root.*server\/start/);
      return true;
    });
    await assert.rejects(stat(data), { code: "ENOENT" });
    assert.match((await run(daemonPath, ["--version"])).stdout, /^coilkeepd /);
    assert.match((await run(daemonPath, ["--help"])).stdout, /--data DIR/);
  });

test("a command that root runs works as the owner of the data folder", { skip: !isRoot },
  async (t) => {
    const data = await folderFor(t);
    const code = (await run(daemonPath, ["claim-code", "--data", data])).stdout;
    assert.match(code, /^\S+\n$/);
    for (const name of await readdir(data)) {
      assert.equal((await stat(path.join(data, name))).uid, (await stat(data)).uid, name);
    }
    const roots = await mkdtemp(path.join(os.tmpdir(), "coilkeep-root-"));
    t.after(() => rm(roots, { recursive: true }));
    await assert.rejects(run(daemonPath, ["claim-code", "--data", roots]), { code: 78 });
    assert.deepEqual(await readdir(roots), []);
    await assert.rejects(
      run(daemonPath, ["claim-code", "--data", path.join(roots, "absent")]), { code: 66 });
  });

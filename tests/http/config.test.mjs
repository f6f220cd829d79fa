// Options from a file, other names, and a proxy in front.

import assert from "node:assert/strict";
import { mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";

import { makeFolder, runDaemon, startDaemon } from "../support/daemon.mjs";

const OWNER = { name: "Ada", passphrase: "a warm pool in winter" };
const WATER = { name: "Pool", kind: "pool", sanitiser: "chlorine" };

/** @param {import("node:test").TestContext} t @param {string} text */
async function fileWith(t, text) {
  const { folder, remove } = await makeFolder();
  t.after(remove);
  const file = path.join(folder, "coilkeep.conf");
  await writeFile(file, text);
  return file;
}

test("a file's options hold, and the command line's hold over them", async (t) => {
  const file = await fileWith(t,
    "# our house\nport = 8500\n\nconnections = 20\nname = pool.example\ndata = /srv/coil\n");
  const { code, out } = await runDaemon(
    ["print-config", "--config", file, "--port", "0", "--name=other.example:8443"]);
  assert.equal(code, 0);
  for (const line of ["port = 0", "connections = 20", "name = pool.example",
    "name = other.example:8443", "data = /srv/coil", "bind = 127.0.0.1", "demo = no"]) {
    assert.ok(out.split("\n").includes(line), `${line}\n${out}`);
  }
  const again = await runDaemon(["print-config", "--config", await fileWith(t, out)]);
  assert.equal(again.out, out); // what is printed is a file
});

test("check-config names the line that is wrong, and so does a start", async (t) => {
  const file = await fileWith(t, "port = 8500\n# fine\nprot = 8501\n");
  for (const args of [["check-config"], ["print-config"], []]) {
    const { code, out, err } = await runDaemon([...args, "--config", file]);
    assert.equal(code, 64);
    assert.equal(out, "");
    assert.match(err, /coilkeep\.conf, line 3: "prot" is no option of a file\./);
  }
  const good = await runDaemon(["check-config", "--config", await fileWith(t, "port = 1\n")]);
  assert.deepEqual([good.code, good.out, good.err], [0, "", ""]);
  const long = await runDaemon(
    ["check-config", "--config", await fileWith(t, `\n${"x".repeat(2000)}`)]);
  assert.match(long.err, /line 2: it is too long/);
  const absent = await runDaemon(["check-config", "--config", "/absent/file"]);
  assert.equal(absent.code, 64);
  assert.match(absent.err, /--config: \/absent\/file cannot be read/);
  const { folder, remove } = await makeFolder();
  t.after(remove);
  await mkdir(path.join(folder, "dir"));
  const directory = await runDaemon(["check-config", "--config", path.join(folder, "dir")]);
  assert.equal(directory.code, 64, "a folder is no file");
});

test("a name of the configuration is answered, others are not", async () => {
  const daemon = await startDaemon({ args: ["--name", "pool.example"] });
  const status = async (/** @type {string} */ host) =>
    (await daemon.get("/healthz", { Host: host })).status;
  assert.equal(await status("pool.example"), 200);
  assert.equal(await status(`POOL.example:${daemon.port}`), 200);
  assert.equal(await status("pool.example:1"), 421);
  assert.equal(await status("evil.example"), 421);
  await daemon.stop();
});

/** Headers of a proxy that takes TLS from a browser at 192.168.1.7. */
const PROXIED = { Host: "pool.example", Origin: "https://pool.example",
  "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.168.1.7" };

test("behind a trusted proxy the door is the network's, cookies are Secure", async () => {
  const daemon = await startDaemon({
    args: ["--name", "pool.example", "--trusted-proxy", "127.0.0.1"] });
  assert.equal((await daemon.get("/api/v1/waters", PROXIED)).status, 401);
  const code = (await runDaemon(["claim-code", "--data", daemon.data])).out.trim();
  const claim = await daemon.send("POST", "/api/v1/claim", { code, ...OWNER }, PROXIED);
  assert.equal(claim.status, 201, claim.text);
  const cookies = /** @type {string[]} */ (claim.headers["set-cookie"]);
  const session = cookies.find((text) => text.startsWith("__Host-coilkeep_session="));
  assert.ok(session !== undefined, String(cookies));
  for (const text of cookies) {
    assert.match(text,
      /^__Host-\w+=\S+; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/);
  }
  const Cookie = session.split(";")[0];
  const change = (/** @type {object} */ headers) =>
    daemon.send("POST", "/api/v1/waters", WATER, { ...PROXIED, Cookie, ...headers });
  assert.equal((await change({})).status, 201);
  assert.equal((await change({ Origin: "http://pool.example" })).status, 403);
  assert.equal((await change({ "X-Forwarded-Proto": "http" })).status, 401,
    "the cookie of https is none of http's");
  await daemon.stop();
});

test("what a stranger says of itself in a proxy's headers changes nothing", async () => {
  const daemon = await startDaemon({
    args: ["--name", "pool.example", "--trusted-proxy", "10.9.9.9"] });
  const code = (await runDaemon(["claim-code", "--data", daemon.data])).out.trim();
  const forged = await daemon.send("POST", "/api/v1/claim", { code, ...OWNER }, PROXIED);
  assert.equal(forged.status, 403, "http is the scheme, whatever the header says");
  const claim = await daemon.send("POST", "/api/v1/claim", { code, ...OWNER },
    { ...PROXIED, Origin: "http://pool.example" });
  assert.equal(claim.status, 201, claim.text);
  assert.doesNotMatch(String(claim.headers["set-cookie"]), /Secure|__Host/);
  await daemon.stop();
  assert.match(daemon.stderr(), /was claimed from 127\.0\.0\.1/);
});

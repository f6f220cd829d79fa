// What docs/using-the-api.md shows, run as it stands: the shell's blocks in one shell in
// their order, the spreadsheet's address, the microcontroller's bytes.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { readFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

import { makeFolder, startDaemon } from "../support/daemon.mjs";
import { mustRead, setUp } from "../support/household.mjs";
import { addToken, claim } from "../support/people.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const run = promisify(execFile);

/** @type {string} */
let page;
/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon, other;
before(async () => {
  page = await readFile(path.join(root, "docs/using-the-api.md"), "utf8");
  [daemon, other] = await Promise.all([startDaemon(), startDaemon()]);
  await setUp(daemon);
  await setUp(other);
});
after(() => Promise.all([daemon.stop(), other.stop()]));

/** Code blocks of one kind. @param {string} kind */
const blocks = (kind) =>
  [...page.matchAll(/^```(\w*)\n([\s\S]*?)^```$/gm)]
    .filter((match) => match[1] === kind).map((match) => String(match[2]));

/** One request of the page as bytes for a daemon; the empty line after its headers
 *  belongs to it, the end of a body's line does not. @param {string} block
 *  @param {number} port @param {string} [token] */
const bytes = (block, port, token = "") => block.replace(/(?<!\n)\n$/, "")
  .replace(/:8425/, `:${port}`).replace("ck_…", token).replaceAll("\n", "\r\n");

test("the shell's commands all do what is said of them", async () => {
  const shell = blocks("sh");
  assert.ok(shell.length >= 4, `${shell.length} blocks`);
  const { folder, remove } = await makeFolder();
  const script = ["set -euo pipefail", "curl() { command curl --fail \"$@\"; }",
    `other=http://127.0.0.1:${other.port}`,
    ...shell.map((text) => `${text.replaceAll(":8425", `:${daemon.port}`)}\necho`)].join("\n");
  const { stdout } = await run("bash", ["-c", script], { cwd: folder });

  const answers = stdout.split("\n").filter((line) => line !== "").map((line) =>
    JSON.parse(line));
  assert.equal(answers[0].permit, "test"); // nothing was measured yet
  assert.deepEqual(answers[1].values, { ph: 7.4, free_chlorine_mg_per_l: 2.5 });
  assert.deepEqual([answers[2].volume_m3, answers[2].version], [48, 2]);
  assert.deepEqual([answers[3].dry_run, answers[3].take, answers[3].refused], [true, 1, 0]);
  assert.equal((await daemon.get("/api/v1/readings?water=1")).json.readings.length, 1);
  assert.equal((await other.get("/api/v1/readings?water=1")).json.readings.length, 0);
  assert.match(await readFile(path.join(folder, "readings.csv"), "utf8"), /,7\.4,2\.5,/);
  await remove();
});

test("the spreadsheet's address gives what is said of it", async () => {
  const [, target] = /`http:\/\/…(\/api\/v1\/export[^`]*)`/.exec(page) ?? [];
  assert.ok(target !== undefined);
  await mustRead(daemon, { ph: 7.25 }, { note: "=1+1" });
  const file = await daemon.get(target);
  assert.equal(file.status, 200, file.text);
  assert.deepEqual([...file.bytes.subarray(0, 3)], [0xef, 0xbb, 0xbf]);
  assert.match(file.text, /;7,25;/); // the site writes decimals with a comma
  assert.match(file.text, /;'=1\+1;/);
  assert.match(file.text, /;\d{4}-\d\d-\d\d \d\d:\d\d:\d\d;/);
  const back = await daemon.send("POST", "/api/v1/import?water=1&dry_run=true", file.bytes,
    { "Content-Type": "text/csv" });
  assert.deepEqual([back.json.take, back.json.already_there], [0, back.json.rows]);
});

test("the microcontroller's bytes get the permit, and a probe's reading is taken once",
  async () => {
    const house = await startDaemon({ args: ["--bind", "0.0.0.0"] });
    const owner = await claim(house);
    const as = { ...house, send: (method, target, body, headers = {}) =>
      house.send(method, target, body, { ...owner, ...headers }) };
    await setUp(as);
    const token = await addToken(house, owner, { name: "Probe", scope: "readings:write",
      water: 1 });
    const [ask, tell, ...more] = blocks("");
    assert.deepEqual(more, []);
    const permit = await house.raw(bytes(String(ask), house.port));
    const [, body] = permit.text.split("\r\n\r\n");
    assert.match(permit.text, /^HTTP\/1\.1 200 /);
    assert.match(String(body), /^.{0,100}"permit":"test"/s);
    assert.ok(String(body).length < 8192);
    const replies = [];
    for (let i = 0; i < 2; i++)
      replies.push(await house.raw(bytes(String(tell), house.port, token.text)));
    for (const { text } of replies) assert.match(text, /^HTTP\/1\.1 201 /, text);
    const { readings } = (await house.get("/api/v1/readings?water=1", owner)).json;
    assert.deepEqual(readings.map((one) => [one.method, one.values]),
      [["probe", { ph: 7.4, orp_mv: 690 }]]);
    await house.stop();
  });

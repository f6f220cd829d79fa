// Who may change anything: every combination of the signals that tell our own pages from
// foreign ones.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

const WATER = { name: "Pool", kind: "pool", sanitiser: "chlorine" };

/** Each signal: header, and its values by kind. null sends no such header. */
const signals = () => [
  { name: "Content-Type", right: ["application/json", "Application/JSON"],
    wrong: ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data",
      "application/json; charset=utf-7", ""],
    absent: [null] },
  { name: "Coilkeep-Change", right: ["1"], wrong: ["0", "true", ""], absent: [null] },
  { name: "Origin", right: [`http://${daemon.host}`],
    wrong: ["null", "http://evil.test", `https://${daemon.host}`,
      `http://127.0.0.1:${daemon.port + 1}`, "http://127.0.0.1",
      `http://localhost:${daemon.port}`, `http://${daemon.host}/`,
      `http://${daemon.host}.evil.test`],
    absent: [null] },
  { name: "Sec-Fetch-Site", right: ["same-origin"],
    wrong: ["cross-site", "same-site", "none"], absent: [null] },
];

const KINDS = /** @type {const} */ (["right", "wrong", "absent"]);

/** Every combination of kinds, with the first value of each kind. */
function* combinations() {
  const list = signals();
  const total = KINDS.length ** list.length;
  for (let number = 0; number < total; number++) {
    /** @type {Record<string, string | null>} */
    const headers = {};
    const kinds = [];
    let rest = number;
    for (const signal of list) {
      const kind = KINDS[rest % KINDS.length];
      rest = Math.floor(rest / KINDS.length);
      headers[signal.name] = signal[kind][0];
      kinds.push(kind);
    }
    yield { headers, kinds };
  }
}

async function waterCount() {
  return (await daemon.get("/api/v1/waters")).json.waters.length;
}

test("of all 81 combinations only the right ones change anything", async () => {
  let accepted = 0;
  let seen = 0;
  for (const { headers, kinds } of combinations()) {
    const [type, change, origin, site] = kinds;
    // a browser without Sec-Fetch-Site is no suspect; one that sends it must say the truth
    const isRight =
      type === "right" && change === "right" && origin === "right" && site !== "wrong";
    const reply = await daemon.send("POST", "/api/v1/waters", WATER, headers);
    seen++;
    if (isRight) {
      assert.equal(reply.status, 201, JSON.stringify(kinds) + reply.text);
      accepted++;
    } else {
      assert.ok([403, 415].includes(reply.status), JSON.stringify(kinds) + reply.status);
    }
  }
  assert.equal(seen, 81);
  assert.equal(accepted, 2);
  assert.equal(await waterCount(), 2);
});

test("each wrong value of each signal is refused by itself", async () => {
  const count = await waterCount();
  for (const signal of signals()) {
    for (const value of signal.wrong) {
      const reply = await daemon.send("POST", "/api/v1/waters", WATER, {
        [signal.name]: value,
      });
      assert.ok([403, 415].includes(reply.status), `${signal.name}: ${value}`);
      assert.equal(reply.headers["content-type"], "application/problem+json");
    }
  }
  assert.equal(await waterCount(), count);
});

test("each right value of each signal is taken", async () => {
  for (const signal of signals()) {
    for (const value of signal.right) {
      const reply = await daemon.send("POST", "/api/v1/waters", WATER, {
        [signal.name]: value,
      });
      assert.equal(reply.status, 201, `${signal.name}: ${value} ${reply.text}`);
    }
  }
});

test("every changing route refuses a foreign origin", async () => {
  const routes = [
    ["PUT", "/api/v1/site"], ["POST", "/api/v1/waters"], ["PUT", "/api/v1/waters/1"],
    ["POST", "/api/v1/heaters"], ["PUT", "/api/v1/heaters/1"],
    ["POST", "/api/v1/readings"], ["POST", "/api/v1/readings/1/correction"],
    ["POST", "/api/v1/readings/1/withdrawal"], ["POST", "/api/v1/doses"],
    ["POST", "/api/v1/runs"], ["POST", "/api/v1/heater-states"],
    ["POST", "/api/v1/import?water=1"], ["POST", "/api/v1/import/1/withdrawal"],
    ["POST", "/api/v1/clock/confirmation"],
  ];
  for (const [method, target] of routes) {
    const reply = await daemon.send(method, target, {}, { Origin: "http://evil.test" });
    assert.equal(reply.status, 403, target);
    assert.equal(reply.json.code, "not_same_origin", target);
  }
});

test("import takes text/csv only", async () => {
  for (const type of ["application/json", "text/plain", "text/csv; header=present"]) {
    const reply = await daemon.send("POST", "/api/v1/import?water=1", "x", {
      "Content-Type": type,
    });
    assert.equal(reply.status, 415, type);
    assert.equal(reply.json.code, "content_type");
  }
});

test("reading needs none of the signals", async () => {
  assert.equal((await daemon.get("/healthz", { Origin: "http://evil.test" })).status, 200);
});

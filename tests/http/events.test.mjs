// The stream that tells pages to ask again (HTML Living Standard, section 9.2).

import assert from "node:assert/strict";
import http from "node:http";
import { test } from "node:test";

import { pause, startDaemon } from "../support/daemon.mjs";
import { read, setUp } from "../support/household.mjs";
import { addPerson, claim } from "../support/people.mjs";

/**
 * Listens; events as {id, event}. @param {any} daemon
 * @param {Record<string, string>} [headers]
 */
function listen(daemon, headers = {}) {
  const heard = /** @type {{id: string, event: string}[]} */ ([]);
  const state = { heard, comments: 0, status: 0, ended: false, type: "", close: () => {} };
  let waiting = /** @type {(() => void)[]} */ ([]);
  const wake = () => {
    waiting.forEach((go) => go());
    waiting = [];
  };
  const request = http.get({ host: "127.0.0.1", port: daemon.port, path: "/api/v1/events",
    agent: false, headers: { Host: daemon.host, ...headers } }, (answer) => {
    state.status = answer.statusCode ?? 0;
    state.type = answer.headers["content-type"] ?? "";
    let rest = "";
    answer.setEncoding("utf8");
    answer.on("data", (text) => {
      rest += text;
      for (let end = rest.indexOf("\n\n"); end >= 0; end = rest.indexOf("\n\n")) {
        const lines = rest.slice(0, end).split("\n");
        rest = rest.slice(end + 2);
        const field = (name) => lines.find((line) => line.startsWith(`${name}: `))
          ?.slice(name.length + 2) ?? "";
        if (lines.some((line) => line.startsWith(":"))) state.comments += 1;
        if (field("event") !== "") heard.push({ id: field("id"), event: field("event") });
      }
      wake();
    });
    answer.on("error", () => {});
    answer.on("close", () => {
      state.ended = true;
      wake();
    });
    wake();
  });
  request.on("error", () => {
    state.ended = true;
    wake();
  });
  state.close = () => request.destroy();
  return Object.assign(state, {
    /** Waits until it is so. @param {() => boolean} so @param {number} [limit_ms] */
    async until(so, limit_ms = 20_000) {
      const end = Date.now() + limit_ms;
      while (!so()) {
        assert.ok(Date.now() < end, `not so after ${limit_ms} ms: ${JSON.stringify(state)}`);
        await Promise.race([new Promise((go) => waiting.push(() => go(null))), pause(50)]);
      }
    },
  });
}

const number = (id) => Number(id.split("-")[1]);

test("whoever listens hears of each change, and with Last-Event-ID of none twice", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const first = listen(daemon);
  await first.until(() => first.heard.length === 1);
  assert.equal(first.status, 200);
  assert.equal(first.type, "text/event-stream");
  await read(daemon, { ph: 7.4 });
  await first.until(() => first.heard.length === 2);
  const last = first.heard[1]?.id ?? "";
  assert.equal(number(last), number(first.heard[0]?.id ?? "") + 1);
  first.close();

  const again = listen(daemon, { "Last-Event-ID": last });
  await again.until(() => again.status === 200);
  await pause(300);
  assert.deepEqual(again.heard, [], "nothing changed meanwhile");
  again.close();

  await read(daemon, { ph: 7.5 });
  await read(daemon, { ph: 7.6 });
  const third = listen(daemon, { "Last-Event-ID": last });
  await third.until(() => third.heard.length > 0);
  assert.equal(number(third.heard[0]?.id ?? ""), number(last) + 2);
  third.close();

  const other = listen(daemon, { "Last-Event-ID": "0-0" }); // of another run
  await other.until(() => other.heard.length === 1);
  other.close();
  await daemon.stop();
});

test("over 100 reconnections while things change nothing is missed or doubled", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  let last = "";
  const heard = /** @type {string[]} */ ([]);
  let written = 0;
  const writing = (async () => {
    for (let i = 0; i < 60; i++) {
      const answer = await read(daemon, { ph: 7 + (i % 10) / 10 });
      assert.equal(answer.status, 201, answer.text);
      written += 1;
      await pause(10);
    }
  })();
  for (let i = 0; i < 100; i++) {
    const stream = listen(daemon, last === "" ? {} : { "Last-Event-ID": last });
    await stream.until(() => stream.status === 200);
    await pause(i % 7 * 3);
    stream.close();
    heard.push(...stream.heard.map((event) => event.id));
    last = stream.heard.at(-1)?.id ?? last;
  }
  await writing;
  const final = listen(daemon, { "Last-Event-ID": last });
  await final.until(() => final.status === 200);
  await pause(300);
  heard.push(...final.heard.map((event) => event.id));
  final.close();
  const numbers = heard.map(number);
  assert.equal(new Set(numbers).size, numbers.length, "one was heard twice");
  assert.deepEqual(numbers, [...numbers].sort((a, b) => a - b));
  assert.equal(numbers.at(-1), 3 + written, "the newest change was heard");
  await daemon.stop();
});

test("a hundred phones hear the same change; the daemon ends within 2 s with them open", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const streams = Array.from({ length: 100 }, () => listen(daemon));
  await Promise.all(streams.map((stream) => stream.until(() => stream.heard.length === 1)));
  await read(daemon, { ph: 7.4 });
  await Promise.all(streams.map((stream) => stream.until(() => stream.heard.length === 2)));
  assert.equal(new Set(streams.map((stream) => stream.heard[1]?.id)).size, 1);
  const took_ms = await daemon.stop();
  assert.ok(took_ms < 2000, `${took_ms} ms`);
  await Promise.all(streams.map((stream) => stream.until(() => stream.ended)));
});

test("streams of phones that went away make room", async () => {
  const daemon = await startDaemon({ args: ["--connections", "30"] });
  await setUp(daemon);
  for (let round = 0; round < 3; round++) {
    const streams = Array.from({ length: 25 }, () => listen(daemon));
    await Promise.all(streams.map((stream) => stream.until(() => stream.heard.length === 1)));
    streams.forEach((stream) => stream.close());
    await pause(5000);
  }
  await daemon.stop();
});

test("a stream ends within 5 s of the login that it belongs to", async () => {
  const daemon = await startDaemon({ args: ["--bind", "0.0.0.0"] });
  const owner = await claim(daemon);
  const bo = await addPerson(daemon, owner, "Bo", "technician");
  const stream = listen(daemon, bo.identity);
  await stream.until(() => stream.heard.length === 1);
  await daemon.send("POST", "/api/v1/session/end", {}, bo.identity);
  await stream.until(() => stream.ended, 5000);
  const family = listen(daemon);
  await family.until(() => family.heard.length === 1);
  const door = await daemon.get("/api/v1/door", owner);
  await daemon.send("PUT", "/api/v1/door", { family_sees_permit: false },
    { ...owner, "If-Match": String(door.headers.etag) });
  await family.until(() => family.ended, 5000);
  const refused = listen(daemon);
  await refused.until(() => refused.status !== 0);
  assert.equal(refused.status, 401);
  refused.close();
  await daemon.stop();
});

test("a silent stream shows every 15 s that it lives", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const stream = listen(daemon);
  await stream.until(() => stream.heard.length === 1);
  await stream.until(() => stream.comments > 0, 20_500); // 15 s and one look
  stream.close();
  await daemon.stop();
});

// The calendar feed, read by ical.js, an independent reader of RFC 5545.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";

import { daemonPath, startDaemon } from "../support/daemon.mjs";
import { setUp } from "../support/household.mjs";
import { addToken } from "../support/people.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(path.join(root, "web/package.json"));
const loaded = await import(pathToFileURL(require.resolve("ical.js")).href);
const ICAL = loaded.default ?? loaded;

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
/** @type {string} */
let address;
/** @type {{id: number}} */
let token;
const start_s = Date.parse("2027-02-10T12:00:00Z") / 1000;
before(async () => {
  daemon = await startDaemon({ clock: true });
  await daemon.setClock(start_s - Math.floor(Date.now() / 1000));
  await setUp(daemon, { site: { latitude: 52.5, longitude: 13.4 } });
  token = await addToken(daemon, {}, { name: "Phone", scope: "calendar:read" });
  address = `/calendar/${/** @type {any} */ (token).text}.ics`;
});
after(() => daemon.stop());

const must = (reply, status = 201) => {
  assert.equal(reply.status, status, reply.text);
  return reply.json;
};
async function events() {
  const reply = await daemon.get(address);
  assert.equal(reply.status, 200, reply.text);
  assert.equal(reply.headers["content-type"], "text/calendar; charset=utf-8");
  assert.ok(reply.text.endsWith("\r\n") && !/[^\r]\n/.test(reply.text));
  for (const line of reply.text.split("\r\n"))
    assert.ok(Buffer.byteLength(line) <= 75, line);
  const calendar = new ICAL.Component(ICAL.parse(reply.text));
  assert.equal(calendar.getFirstPropertyValue("version"), "2.0");
  assert.equal(calendar.getFirstPropertyValue("x-wr-timezone"), "Europe/Berlin");
  return calendar.getAllSubcomponents("vevent").map((one) => ({
    event: new ICAL.Event(one),
    status: one.getFirstPropertyValue("status"),
    stamp: String(one.getFirstPropertyValue("dtstamp")),
    rule: one.getFirstPropertyValue("rrule"),
  }));
}
const newTask = (body) => daemon.send("POST", "/api/v1/care-tasks",
  { heater: 1, name: "Task", ...body });
const putTask = (task, changes) => daemon.send("PUT", `/api/v1/care-tasks/${task.id}`,
  { name: task.name, timing: task.timing, soon_days: task.soon_days, moved_to: task.moved_to,
    ...changes }, { "If-Match": task.etag });

test("the yearly cleaning is a whole day that comes every year", async () => {
  const [{ event, stamp, rule }] = await events();
  assert.equal(event.summary, "Heater: Yearly cleaning and inspection");
  assert.match(event.uid, /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-a[0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.equal(event.startDate.isDate, true);
  assert.equal(event.startDate.toString(), "2027-04-01");
  assert.equal(event.sequence, 0);
  assert.match(stamp, /^2027-02-10T12:0.*Z$/);
  assert.equal(rule.freq, "YEARLY");
  const days = event.iterator();
  assert.deepEqual([days.next(), days.next(), days.next()].map(String),
    ["2027-04-01", "2028-04-01", "2029-04-01"]);
});

const reader = path.join(path.dirname(daemonPath), "../tests/support/ical_read");

test("libical reads the same entries and days as ical.js", { skip: !existsSync(reader)
  && "built without libical" }, async () => {
  must(await newTask({ name: "Every; fortnight, \\ – ölig", timing: { kind: "calendar",
    rrule: "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH", start: "2027-02-11" } }));
  const made = must(await newTask({ name: "Last day", timing: { kind: "calendar",
    rrule: "FREQ=MONTHLY;INTERVAL=12;BYMONTHDAY=-1", start: "2028-02-01" } }));
  const wanted = (await events()).map(({ event, status }) => {
    const days = event.iterator();
    const list = [days.next(), days.next(), days.next()].map(String);
    return `${event.uid}|${event.sequence}|${status}|${event.summary}|${list.join(" ")}`;
  });
  assert.equal(wanted.length, 3);
  assert.match(wanted[2] ?? "", /2028-02-29 2029-02-28 2030-02-28$/);
  const got = spawnSync(reader, { input: (await daemon.get(address)).text, encoding: "utf8" });
  assert.equal(got.status, 0, got.stderr + got.stdout);
  assert.deepEqual(got.stdout.trimEnd().split("\n"), wanted);
  assert.equal(spawnSync(reader, { input: "BEGIN:VCALENDAR\r\nEND:X\r\n" }).status, 2);
  must(await putTask(made, { ended: true, moved_to: null }), 200);
});

test("unchanged it is the same to the byte, and its tag says so", async () => {
  const first = await daemon.get(address);
  const again = await daemon.get(address);
  assert.equal(again.text, first.text);
  const held = await daemon.get(address, { "If-None-Match": String(first.headers.etag) });
  assert.equal(held.status, 304);
});

test("every change keeps the UID and raises SEQUENCE", async () => {
  const task = must(await newTask({ name: "Flame; vent, \\ alarm – größer 🔥 und noch etwas länger",
    timing: { kind: "calendar", rrule: "FREQ=MONTHLY;BYDAY=1SA", start: "2027-02-10" } }));
  const look = async () => (await events()).find((e) => e.event.summary.includes("Flame"));
  const first = await look();
  assert.equal(first.event.summary, `Heater: ${task.name}`);
  assert.equal(first.event.startDate.toString(), "2027-03-06");
  const moved = must(await putTask(task, { moved_to: "2027-03-09" }), 200);
  const second = await look();
  assert.equal(second.event.uid, first.event.uid);
  assert.equal(second.event.sequence, first.event.sequence + 1);
  assert.equal(second.event.startDate.toString(), "2027-03-09");
  assert.equal(second.rule, null);
  must(await daemon.send("POST", "/api/v1/visits", { heater: 1, kind: "other", task: task.id }));
  const third = await look();
  assert.equal(third.event.sequence, first.event.sequence + 2);
  must(await putTask(moved, { ended: true, moved_to: null }), 200);
  const fourth = await look();
  assert.equal(fourth.status, "CANCELLED");
  assert.equal(fourth.event.uid, first.event.uid);
  assert.ok(fourth.event.sequence > third.event.sequence);
  await daemon.setClock(start_s + 31 * 86400 - Math.floor(Date.now() / 1000));
  assert.equal(await look(), undefined);
  await daemon.setClock(start_s - Math.floor(Date.now() / 1000));
});

test("a task without a day has no entry", async () => {
  must(await newTask({ name: "After it",
    timing: { kind: "after_event", event: "super_chlorination" } }));
  assert.ok(!(await events()).some((e) => e.event.summary.includes("After it")));
});

test("no other address answers, and a revoked one no more", async () => {
  const other = await addToken(daemon, {}, { name: "Lamp", scope: "status:read" });
  for (const text of [other.text, "x", "ck_", address.slice(10, -5) + "x"])
    assert.equal((await daemon.get(`/calendar/${text}.ics`)).status, 404, text);
  assert.equal((await daemon.get("/calendar/.ics")).status, 404);
  const reply = await daemon.send("POST", `/api/v1/tokens/${token.id}/revocation`, {});
  assert.equal(reply.status, 200, reply.text);
  assert.equal((await daemon.get(address)).status, 404);
});

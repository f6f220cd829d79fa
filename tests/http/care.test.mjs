// Care over the socket: tasks and when they are due, visits, seasons.
// Due dates are counted by hand from the calendar; recurrence itself is compared with
// another program in recurrence.test.mjs.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { setUp } from "../support/household.mjs";

const DAY = 86400;
const utc = (text) => Date.parse(`${text}Z`) / 1000;

/** A home whose clock stands at an instant. */
async function home(at, place = { latitude: 52.5, longitude: 13.4 }, more = {}) {
  const daemon = await startDaemon({ clock: true });
  await daemon.setClock(at - Math.floor(Date.now() / 1000));
  await setUp(daemon, { site: { ...place }, ...more });
  return daemon;
}

const care = async (daemon, query = "") => {
  const reply = await daemon.get(`/api/v1/care${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
};
const newTask = (daemon, body) =>
  daemon.send("POST", "/api/v1/care-tasks", { heater: 1, name: "Task", by: "Robin", ...body });
const visit = (daemon, body) =>
  daemon.send("POST", "/api/v1/visits", { heater: 1, kind: "other", by: "Robin", ...body });
const must = (reply, status = 201) => {
  assert.equal(reply.status, status, reply.text);
  return reply.json;
};
const putTask = (daemon, task, changes) => {
  const { name, timing, soon_days, waits_for_season, moved_to } = task;
  return daemon.send("PUT", `/api/v1/care-tasks/${task.id}`,
    { name, timing, soon_days, waits_for_season, moved_to, ...changes },
    { "If-Match": task.etag });
};
const faultsOf = (reply) => reply.json.errors.map((e) => `${e.code} ${e.field}`);

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await home(utc("2027-02-10T12:00:00"));
});
after(() => daemon.stop());

test("before a heater is set up there is no care", async () => {
  const empty = await startDaemon();
  assert.equal((await empty.get("/api/v1/care")).json.code, "not_set_up");
  await empty.stop();
});

test("the yearly cleaning is there from the start, a month before the season", async () => {
  const answer = await care(daemon);
  assert.equal(answer.today, "2027-02-10");
  assert.equal(answer.hemisphere, "north");
  assert.equal(answer.heaters[0].season.source, "usual");
  assert.equal(answer.heaters[0].season.opens, "05-01");
  assert.equal(answer.heaters[0].season.is_open, false);
  assert.equal(answer.heaters[0].season.next_opening, "2027-05-01");
  assert.equal(answer.tasks.length, 1);
  const [task] = answer.tasks;
  assert.equal(task.stays, true);
  // 30 days before 1 May is 1 April: 50 days from 10 February
  assert.deepEqual(task.due, { state: "later", day: "2027-04-01", days_left: 50,
    is_estimate: false, is_moved: false, burner_h_left: null });
  assert.equal(task.last, null);
  assert.deepEqual(answer.counts, { due_soon: 0, due: 0, overdue: 0 });
});

test("in the south it comes before the southern season, by the site's own day", async () => {
  // 23:30 UTC on 9 February is already the 10th in Sydney (UTC+11)
  const south = await home(utc("2027-02-09T23:30:00"), { zone: "Australia/Sydney",
    latitude: -33.9, longitude: 151.2 });
  const answer = await care(south);
  assert.equal(answer.today, "2027-02-10");
  assert.equal(answer.hemisphere, "south");
  // 30 days before 1 November
  assert.equal(answer.tasks[0].due.day, "2027-10-02");
  await south.stop();
});

test("a year-round pool is cleaned too, and an unknown place is said to be one", async () => {
  const indoor = await home(utc("2027-02-10T12:00:00"), {},
    { water: { indoor: true } });
  const answer = await care(indoor);
  assert.equal(answer.hemisphere_is_assumed, true);
  assert.equal(answer.heaters[0].season.year_round, true);
  assert.equal(answer.tasks[0].due.day, "2027-04-01");
  await indoor.stop();
});

test("it goes from later over soon and due to overdue, and a visit ends the turn", async () => {
  const own = await home(utc("2027-02-10T12:00:00"));
  const state = async (at) => {
    await own.setClock(utc(at) - Math.floor(Date.now() / 1000));
    return (await care(own)).tasks[0].due.state;
  };
  assert.equal(await state("2027-03-01T12:00:00"), "later"); // 31 days before
  assert.equal(await state("2027-03-02T12:00:00"), "due_soon"); // 30
  assert.equal(await state("2027-04-01T12:00:00"), "due");
  assert.equal(await state("2027-04-02T12:00:00"), "overdue");
  assert.equal((await care(own)).counts.overdue, 1);
  const made = must(await visit(own, { kind: "cleaning", technician: true,
    done_by: "Sam", findings: "Webs in two orifices.", cost: 180.5, currency: "EUR",
    checklist: { webs: { result: "put_right", note: "two orifices" },
      gas_pressure: { result: "good", value: 872, unit: "Pa" } } }));
  assert.equal(made.task, 1);
  assert.deepEqual(made.checklist.gas_pressure, { result: "good", value: 872, unit: "Pa" });
  assert.equal(made.cost, 180.5);
  const [task] = (await care(own)).tasks;
  assert.equal(task.due.day, "2028-04-01");
  assert.deepEqual(task.last, { visit: made.id, day: "2027-04-02", outcome: "done" });
  await own.stop();
});

test("the cleaning is moved, but neither ended nor made rare", async () => {
  let task = must(await daemon.get("/api/v1/care-tasks/1"), 200);
  const ended = await putTask(daemon, task, { ended: true });
  assert.equal(ended.status, 422);
  assert.deepEqual(faultsOf(ended), ["task_stays ended"]);
  for (const timing of [
    { kind: "burner_hours", every_burner_h: 500 },
    { kind: "after_event", event: "exposure" },
    { kind: "calendar", rrule: "FREQ=YEARLY;INTERVAL=2", start: "2027-04-01" },
    { kind: "calendar", rrule: "FREQ=YEARLY;COUNT=1", start: "2027-04-01" },
    { kind: "calendar", rrule: "FREQ=YEARLY;UNTIL=20300101", start: "2027-04-01" },
    { kind: "calendar", rrule: "FREQ=YEARLY", start: "2029-04-01" },
  ]) {
    const reply = await putTask(daemon, task, { timing });
    assert.deepEqual(faultsOf(reply), ["task_stays timing"], JSON.stringify(timing));
  }
  assert.deepEqual(faultsOf(await putTask(daemon, task, { moved_to: "2031-01-01" })),
    ["date_range moved_to"]);
  assert.deepEqual(faultsOf(await putTask(daemon, task, { moved_to: "2027-02-09" })),
    ["date_range moved_to"]);
  task = must(await putTask(daemon, task, { moved_to: "2027-04-20" }), 200);
  assert.equal(task.version, 2);
  const [due] = (await care(daemon)).tasks;
  assert.equal(due.due.day, "2027-04-20");
  assert.equal(due.due.is_moved, true);
  assert.equal((await putTask(daemon, { ...task, etag: '"care-task-1-1"' }, {})).status, 412);
  must(await putTask(daemon, task, { moved_to: null }), 200);
});

test("the family's own dusting does not end the yearly cleaning", async () => {
  const named = await visit(daemon, { kind: "cleaning", task: 1 });
  assert.deepEqual(faultsOf(named), ["needs_technician technician"]);
  const free = must(await visit(daemon, { kind: "cleaning" }));
  assert.equal(free.task, null);
  assert.equal((await care(daemon)).tasks[0].last, null);
});

test("29 February comes every year; 30 February never", async () => {
  const task = must(await newTask(daemon, { name: "Leap", timing: { kind: "calendar",
    rrule: "FREQ=MONTHLY;INTERVAL=12;BYMONTHDAY=-1", start: "2024-02-29" } }));
  assert.equal((await care(daemon)).tasks.find((t) => t.id === task.id).due.day, "2024-02-29");
  must(await visit(daemon, { task: task.id, at: utc("2026-03-05T12:00:00") }));
  assert.equal((await care(daemon)).tasks.find((t) => t.id === task.id).due.day, "2027-02-28");
  const never = await newTask(daemon, { timing: { kind: "calendar", rrule: "FREQ=YEARLY",
    start: "2027-02-30" } });
  assert.deepEqual(faultsOf(never), ["date_invalid timing.start"]);
  must(await putTask(daemon, task, { ended: true }), 200);
  assert.ok(!(await care(daemon)).tasks.some((t) => t.id === task.id));
});

test("a rule that is none, or that ends before it starts, is refused", async () => {
  for (const rrule of ["YEARLY", "FREQ=HOURLY", "FREQ=YEARLY;COUNT=2;UNTIL=20300101",
    "FREQ=YEARLY;UNTIL=20260101", "FREQ=YEARLY\r\nATTACH:x"]) {
    const reply = await newTask(daemon, { timing: { kind: "calendar", rrule,
      start: "2027-04-01" } });
    assert.equal(reply.status, 422, rrule);
    assert.equal(reply.json.field, "timing.rrule", rrule);
  }
  const extra = await newTask(daemon, { timing: { kind: "burner_hours", every_burner_h: 500,
    rrule: "FREQ=YEARLY" } });
  assert.equal(extra.json.code, "member_unknown");
});

test("burner hours: due by the hours that were logged, with a day from the rate", async () => {
  const task = must(await newTask(daemon, { name: "Every 20 h", soon_days: 0,
    timing: { kind: "burner_hours", every_burner_h: 20 } }));
  const look = async () => (await care(daemon)).tasks.find((t) => t.id === task.id).due;
  assert.deepEqual(await look(), { state: "later", day: null, days_left: null,
    is_estimate: true, is_moved: false, burner_h_left: 20 });
  const start = utc("2027-02-01T08:00:00");
  const run = must(await daemon.send("POST", "/api/v1/runs", { water: 1, machine: "burner",
    heater: 1, at: start, ended_at: start + 15 * 3600 }));
  // 5 h left at 15 h in 365 days: 121.7 days
  assert.equal((await look()).burner_h_left, 5);
  assert.equal((await look()).days_left, 122);
  must(await daemon.send("POST", "/api/v1/runs", { water: 1, machine: "burner", heater: 1,
    at: start + 2 * DAY, ended_at: start + 2 * DAY + 6 * 3600 }));
  assert.equal((await look()).state, "overdue");
  must(await visit(daemon, { task: task.id, at: start + DAY }));
  assert.equal((await look()).burner_h_left, 14); // 6 of 20 h since
  must(await daemon.send("POST", `/api/v1/runs/${run.id}/withdrawal`, { reason: "wrong" },
    { "If-Match": run.etag }));
  assert.equal((await look()).burner_h_left, 14);
  assert.equal((await care(daemon)).heaters[0].burner_h, 6);
});

test("after a super-chlorination: due once, done once", async () => {
  const task = must(await newTask(daemon, { name: "Look after it", timing:
    { kind: "after_event", event: "super_chlorination", after_days: 3 } }));
  const look = async () => (await care(daemon)).tasks.find((t) => t.id === task.id).due;
  assert.equal((await look()).state, "nothing");
  must(await daemon.send("POST", "/api/v1/doses", { water: 1, product: "sodium_hypochlorite",
    amount: 2000, super_chlorination: true, at: utc("2027-02-05T18:00:00") }));
  assert.equal((await look()).day, "2027-02-08");
  assert.equal((await look()).state, "overdue");
  must(await visit(daemon, { task: task.id }));
  assert.equal((await look()).state, "nothing");
});

test("after acid and strong chlorine at once", async () => {
  const own = await home(utc("2027-06-10T12:00:00"));
  const task = must(await newTask(own, { name: "Look for copper", timing:
    { kind: "after_event", event: "exposure", after_days: 0 } }));
  const look = async () => (await care(own)).tasks.find((t) => t.id === task.id).due;
  assert.equal((await look()).state, "nothing");
  for (const [hours, ph, chlorine] of [[72, 6.2, 20], [48, 7.4, 3]])
    must(await own.send("POST", "/api/v1/readings", { water: 1, method: "photometer",
      at: utc("2027-06-10T12:00:00") - hours * 3600,
      values: { ph, free_chlorine_mg_per_l: chlorine },
      confirmed: ["ph", "free_chlorine_mg_per_l"] }));
  assert.notEqual((await look()).state, "nothing");
  must(await visit(own, { task: task.id, kind: "inspection", technician: true }));
  assert.equal((await look()).state, "nothing");
  await own.stop();
});

test("a skipped turn says why, passes, and may name the next day", async () => {
  const own = await home(utc("2027-04-05T12:00:00"));
  assert.deepEqual(faultsOf(await visit(own, { outcome: "skipped", task: 1 })),
    ["member_missing note"]);
  assert.deepEqual(faultsOf(await visit(own, { outcome: "skipped", note: "No time" })),
    ["member_missing task"]);
  assert.deepEqual(faultsOf(await visit(own, { outcome: "skipped", note: "x", task: 1,
    checklist: { soot: { result: "good" } } })), ["checklist_skipped checklist"]);
  const skipped = must(await visit(own, { outcome: "skipped", task: 1, note: "No time",
    next_on: "2027-06-01" }));
  let [task] = (await care(own)).tasks;
  assert.equal(task.due.day, "2027-06-01");
  assert.equal(task.last.outcome, "skipped");
  must(await own.send("POST", `/api/v1/visits/${skipped.id}/withdrawal`,
    { reason: "It was done after all" }, { "If-Match": skipped.etag }));
  [task] = (await care(own)).tasks;
  assert.equal(task.last, null);
  await own.stop();
});

test("a visit's odd members are refused with the field's name", async () => {
  const table = [
    [{ heater: 9 }, "not_found heater"],
    [{ kind: "party" }, "not_in_list kind"],
    [{ task: 99 }, "not_found task"],
    [{ cost: -1, currency: "EUR" }, "out_of_range cost"],
    [{ cost: 5 }, "member_missing currency"],
    [{ cost: 5, currency: "eur" }, "currency_invalid currency"],
    [{ currency: "EUR" }, "member_missing cost"],
    [{ next_on: "2027-02-29" }, "date_invalid next_on"],
    [{ next_on: "2027-02-10" }, "date_range next_on"],
    [{ next_on: "2026-01-01" }, "date_range next_on"],
    [{ at: utc("2028-01-01T00:00:00") }, "time_in_future at"],
    [{ checklist: { webs: {} } }, "member_missing checklist.webs.result"],
    [{ checklist: { spiders: { result: "good" } } }, "member_unknown checklist.spiders"],
    [{ checklist: { flame: { result: "good", value: 3 } } },
      "member_missing checklist.flame.unit"],
  ];
  for (const [body, fault] of table)
    assert.deepEqual(faultsOf(await visit(daemon, body)), [fault], JSON.stringify(body));
});

test("a local time that clocks skip is refused, one that comes twice asks", async () => {
  const skipped = await visit(daemon, { local: { date: "2026-03-29", time: "02:30" } });
  assert.equal(skipped.json.code, "time_skipped");
  const twice = await visit(daemon, { local: { date: "2026-10-25", time: "02:30" } });
  assert.equal(twice.json.code, "time_twice");
  assert.equal(twice.json.choices.length, 2);
});

test("days follow the site when its zone changes", async () => {
  const own = await home(utc("2027-03-31T23:00:00")); // Berlin: 1 April, 01:00
  assert.equal((await care(own)).tasks[0].due.state, "due");
  const site = must(await own.get("/api/v1/site"), 200);
  must(await own.send("PUT", "/api/v1/site", { name: site.name, zone: "America/New_York",
    units: "us", ppm: true, decimal_comma: false, latitude: 40.7, longitude: -74 },
  { "If-Match": '"site-1"' }), 200);
  const answer = await care(own);
  assert.equal(answer.today, "2027-03-31");
  assert.equal(answer.tasks[0].due.state, "due_soon");
  await own.stop();
});

test("the season is said once for a water, and tasks follow it", async () => {
  const own = await home(utc("2027-02-10T12:00:00"));
  const put = (body, tag) => own.send("PUT", "/api/v1/waters/1/season", body,
    { "If-Match": tag });
  assert.equal((await own.get("/api/v1/waters/1/season")).json.season, null);
  for (const [body, fault] of [
    [{ year_round: false, opens: "06-31", closes: "09-01" }, "date_invalid opens"],
    [{ year_round: false, opens: "06-15", closes: "06-15" }, "date_range closes"],
    [{ year_round: false, opens: "06-15" }, "member_missing closes"],
    [{ year_round: true, opens: "06-15" }, "date_range opens"],
    [{ opens: "06-15", closes: "09-01" }, "member_missing year_round"],
  ])
    assert.equal(faultsOf(await put(body, '"season-1-0"'))[0], fault, JSON.stringify(body));
  const made = must(await put({ year_round: false, opens: "06-15", closes: "09-15" },
    '"season-1-0"'), 200);
  assert.equal(made.etag, '"season-1-1"');
  const answer = await care(own);
  assert.equal(answer.heaters[0].season.source, "own");
  assert.equal(answer.tasks[0].due.day, "2027-05-16"); // 30 days before 15 June
  const waits = must(await newTask(own, { name: "Monthly look", waits_for_season: true,
    timing: { kind: "calendar", rrule: "FREQ=MONTHLY", start: "2027-03-01" } }));
  assert.equal((await care(own)).tasks.find((t) => t.id === waits.id).due.day, "2027-06-15");
  assert.equal((await own.get("/api/v1/waters/7/season")).status, 404);
  await own.stop();
});

test("a heater is drained cold: not within half an hour of firing", async () => {
  const own = await home(utc("2027-10-20T12:00:00"));
  const end = utc("2027-10-20T11:00:00");
  must(await own.send("POST", "/api/v1/runs", { water: 1, machine: "burner", heater: 1,
    at: end - 3600, ended_at: end }));
  const drain = (at) => own.send("POST", "/api/v1/heater-states",
    { heater: 1, state: "drained", at });
  for (const at of [end - 1800, end, end + 1799])
    assert.deepEqual(faultsOf(await drain(at)), ["heater_hot state"], `${at - end}`);
  must(await drain(end + 1800));
  await own.stop();
});

test("a second heater has a cleaning of its own", async () => {
  const own = await home(utc("2027-02-10T12:00:00"));
  must(await own.send("POST", "/api/v1/heaters", { name: "Second", waters: [1],
    bypass: "none" }));
  assert.deepEqual((await care(own)).tasks.map((t) => t.heater), [1, 2]);
  const answer = await care(own, "?heater=2");
  assert.deepEqual(answer.tasks.map((t) => t.heater), [2]);
  assert.equal((await own.get("/api/v1/care?heater=9")).status, 404);
  assert.equal((await visit(own, { heater: 1, task: answer.tasks[0].id })).json.field, "task");
  await own.stop();
});

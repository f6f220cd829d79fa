// Permits of the past as spans: they begin and end where the single permit changes.

import assert from "node:assert/strict";
import { test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { HEATER, mustRead, now_s, permit, setUp } from "../support/household.mjs";

const DAY_S = 86400;

const spans = async (daemon, query = "") => {
  const reply = await daemon.get(`/api/v1/permits${query}`);
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
};

/** Each span says what the single permit says at its first and last second. */
async function assertAgrees(daemon, answer) {
  let at = answer.from;
  for (const span of answer.permits) {
    assert.equal(span.from, at);
    assert.ok(span.until > span.from);
    for (const instant of [span.from, span.until - 1]) {
      const one = await permit(daemon, `?as_of=${instant}`);
      assert.equal(one.permit, span.permit, `at ${instant}`);
      assert.equal(one.water_side.permit, span.water_side);
      assert.equal(one.burner_side.permit, span.burner_side);
    }
    at = span.until;
  }
  assert.equal(at, answer.more ?? answer.until);
}

test("test, run for seven days, test, hold, run", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const now = now_s() - 10;
  const good = { ph: 7.4, free_chlorine_mg_per_l: 2.5 };
  await mustRead(daemon, good, { at: now - 20 * DAY_S });
  await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 9 }, { at: now - 5 * DAY_S,
    details: { free_chlorine_mg_per_l: { diluted: true } } });
  await mustRead(daemon, good, { at: now - 2 * DAY_S });
  const answer = await spans(daemon, `?from=${now - 21 * DAY_S}&until=${now}`);
  assert.deepEqual(answer.permits.map((s) => [s.permit, (s.from - now) / DAY_S,
    (s.until - now) / DAY_S]), [["test", -21, -20], ["run", -20, -13], ["test", -13, -5],
    ["hold", -5, -2], ["run", -2, 0]]);
  assert.deepEqual(answer.permits.map((s) => s.rules), [["ph_missing", "sanitiser_missing"],
    [], ["ph_old", "sanitiser_old"], ["free_chlorine_high"], []]);
  assert.equal(answer.more, null);
  await assertAgrees(daemon, answer);
  await daemon.stop();
});

test("a changed limit holds from then on and not before", async () => {
  const daemon = await startDaemon({ clock: true });
  const { heater } = await setUp(daemon);
  const first = now_s();
  await mustRead(daemon, { ph: 7.4, free_chlorine_mg_per_l: 4 });
  await daemon.setClock(DAY_S);
  const changed = await daemon.send("PUT", "/api/v1/heaters/1", { ...HEATER,
    limits: { free_chlorine_high: { value: 3, source: "manual" } } },
  { "If-Match": heater.etag });
  assert.equal(changed.status, 200, changed.text);
  await daemon.setClock(2 * DAY_S);
  const answer = await spans(daemon, `?from=${first + 60}&until=${first + 2 * DAY_S}`);
  assert.deepEqual(answer.permits.map((s) => s.permit), ["run", "hold"]);
  assert.equal(answer.permits[1].from, changed.json.changed_at);
  await assertAgrees(daemon, answer);
  await daemon.stop();
});

test("a long history comes in parts that fit together", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const until = now_s() - 60, from = until - 900 * DAY_S;
  let text = "at,ph,free_chlorine_mg_per_l\n";
  for (let i = 0; i < 900; i++) {
    text += `${from + i * DAY_S + (i * 7919) % 40000},${i % 5 === 0 ? 6.9 : 7.4},2.5\n`;
  }
  const taken = await daemon.send("POST", "/api/v1/import?water=1", text,
    { "Content-Type": "text/csv" });
  assert.equal(taken.status, 201, taken.text);
  const all = [];
  let parts = 0;
  for (let at = from; at !== null; parts++) {
    const answer = await spans(daemon, `?from=${at}&until=${until}`);
    assert.ok(answer.more === null || answer.more > at);
    all.push(...answer.permits);
    at = answer.more;
    if (parts === 0) await assertAgrees(daemon, { ...answer, permits: answer.permits.slice(0, 20),
      more: answer.permits[19].until });
  }
  assert.ok(parts > 1);
  for (let i = 1; i < all.length; i++) assert.equal(all[i].from, all[i - 1].until);
  assert.equal(all.at(-1).until, until);
  // a hold from each acid reading, every fifth day
  assert.equal(all.filter((s) => s.permit === "hold"
    && (s.from === from || all[all.indexOf(s) - 1]?.permit !== "hold")).length, 180);
  await daemon.stop();
});

test("nonsense is refused", async () => {
  const daemon = await startDaemon();
  assert.equal((await daemon.get("/api/v1/permits")).json.code, "not_set_up");
  await setUp(daemon);
  for (const query of ["?from=5&until=5", "?from=x", "?heater=1", `?until=${now_s() + 9999}`]) {
    assert.equal((await daemon.get(`/api/v1/permits${query}`)).status, 400, query);
  }
  assert.equal((await daemon.get("/api/v1/permits?heater=1&water=9")).status, 404);
  await daemon.stop();
});

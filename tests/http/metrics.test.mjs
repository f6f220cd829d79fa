// The figures, read by a parser written from the format's description (Prometheus
// documentation, "Exposition formats", text format 0.0.4).

import assert from "node:assert/strict";
import { test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { read, setUp } from "../support/household.mjs";
import { addToken, claim } from "../support/people.mjs";

/** Strict: each series has its TYPE before it, all of one name stand together, no series
 *  stands twice. @param {string} text */
function parse(text) {
  assert.ok(text.endsWith("\n"));
  const types = new Map();
  const series = new Map();
  const done = new Set();
  let current = "";
  for (const line of text.split("\n").slice(0, -1)) {
    const type = /^# TYPE ([a-z_:][a-z0-9_:]*) (counter|gauge|histogram)$/.exec(line);
    if (type) {
      assert.ok(!types.has(type[1]), `two types: ${line}`);
      types.set(type[1], type[2]);
      current = type[1] ?? "";
      continue;
    }
    if (/^# HELP [a-z_:][a-z0-9_:]* .+$/.test(line)) continue;
    const sample = /^([a-z_:][a-z0-9_:]*)(\{[a-z_]+="[^"\\\n]*"(?:,[a-z_]+="[^"\\\n]*")*\})? (-?[0-9.e+-]+|\+Inf|NaN)$/
      .exec(line);
    assert.ok(sample, `no line of the format: ${line}`);
    const [, name = "", labels = "", value = ""] = sample;
    const family = types.get(current) === "histogram"
      ? name.replace(/_(bucket|sum|count)$/, "") : name;
    assert.equal(family, current, `${name} stands outside its family`);
    assert.ok(!done.has(name + labels), `twice: ${line}`);
    done.add(name + labels);
    series.set(name + labels, Number(value));
    if (types.get(current) === "counter") assert.match(name, /_total$/);
  }
  return { types, series };
}

test("permit, values, ages and counters are told, with units in their names", async () => {
  const daemon = await startDaemon({ clock: true });
  await setUp(daemon);
  await read(daemon, { ph: 7.4, free_chlorine_mg_per_l: 2.5, total_alkalinity_mg_per_l_caco3: 90 });
  const answer = await daemon.get("/metrics");
  assert.equal(answer.status, 200);
  const { series } = parse(answer.text);
  assert.ok(series.size <= 200, `${series.size} series`);
  assert.equal(series.get('coilkeep_permit{heater="1",water="1",state="run"}'), 1);
  assert.equal(series.get('coilkeep_permit{heater="1",water="1",state="hold"}'), 0);
  assert.equal(series.get('coilkeep_ph{water="1"}'), 7.4);
  assert.equal(series.get('coilkeep_free_chlorine_mg_per_l{water="1"}'), 2.5);
  const at = series.get('coilkeep_last_reading_timestamp_seconds{water="1",quantity="ph"}') ?? 0;
  assert.ok(Math.abs(at - Date.now() / 1000) < 60);
  assert.equal(series.get("coilkeep_changes_total"), 4);

  // an old value is left out; when it was measured is still told
  await daemon.setClock(8 * 86400);
  const later = parse((await daemon.get("/metrics")).text).series;
  assert.equal(later.get('coilkeep_ph{water="1"}'), undefined);
  assert.equal(later.get('coilkeep_last_reading_timestamp_seconds{water="1",quantity="ph"}'), at);
  assert.equal(later.get('coilkeep_permit{heater="1",water="1",state="run"}'), 0);

  const name = 'coilkeep_http_answers_total{class="4xx"}';
  await daemon.get("/api/v1/nothing");
  const last = parse((await daemon.get("/metrics")).text).series;
  assert.equal(last.get(name), (later.get(name) ?? 0) + 1);
  const buckets = [...last].filter(([key]) => key.includes("_bucket")).map(([, value]) => value);
  assert.deepEqual(buckets, [...buckets].sort((a, b) => a - b));
  assert.equal(buckets.at(-1), last.get("coilkeep_http_answer_seconds_count"));
  await daemon.stop();
});

test("only the owner and a token for it read them; an empty house has figures too", async () => {
  const daemon = await startDaemon({ args: ["--bind", "0.0.0.0"] });
  const owner = await claim(daemon);
  parse((await daemon.get("/metrics", owner)).text);
  const token = await addToken(daemon, owner, { name: "graphs", scope: "metrics:read" });
  assert.equal((await daemon.get("/metrics", token.identity)).status, 200);
  assert.equal((await daemon.get("/metrics")).status, 401);
  await daemon.stop();
});

test("a permit that is kept for a second is never told after a change", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  const began = Math.floor(Date.now() / 1000) - 100; // each at an instant of its own
  for (let i = 0; i < 40; i++) {
    const ph = i % 2 === 0 ? 7.4 : 6.5;
    await read(daemon, { ph, free_chlorine_mg_per_l: 2 }, { at: began + i });
    const answers = await Promise.all(Array.from({ length: 4 }, () =>
      daemon.get("/api/v1/permit")));
    for (const answer of answers)
      assert.equal(answer.json.permit, i % 2 === 0 ? "run" : "hold", `round ${i}`);
  }
  await daemon.stop();
});

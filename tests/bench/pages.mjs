// The pages as a person meets them. Trends over ROWS readings on a phone slowed four times:
// how long until the drawing stands, until a tap is answered by a new one, and how long
// it is busy with one move of the cursor. Setup: from nothing to the first permit by somebody who types.
//
// Times are of the page's own clock in a throttled browser (Emulation.setCPUThrottlingRate);
// the daemon is not slowed.

import { startDaemon } from "../support/daemon.mjs";
import { setUp } from "../support/household.mjs";
import { adopt, Person } from "../web/person.mjs";
import { openPage, PHONE, startBrowser, untilText } from "../web/support.mjs";

const rows = Number(process.argv[2] ?? 10_000_000);
const SLOWER = 4;
const STEP_S = 30; // ten million of them are nine and a half years
const PIECE = 1_000_000;
const FEW = 1000;

/** @param {any} daemon @param {number} count */
async function fill(daemon, count) {
  const end = Math.floor(Date.now() / 1000) - 60;
  for (let done = 0; done < count; done += PIECE) {
    const lines = ["at,ph,orp_mv"];
    for (let i = done; i < Math.min(count, done + PIECE); i++) {
      const swing = Math.sin(i / 9000) * 0.35 + (i * 7919 % 100) / 2000;
      lines.push(`${end - (count - i) * STEP_S},${(7.5 + swing).toFixed(2)},`
        + `${Math.round(700 - 60 * swing)}`);
    }
    const reply = await daemon.send("POST", "/api/v1/import?water=1&method=probe",
      `${lines.join("\n")}\n`, { "Content-Type": "text/csv" });
    if (reply.status !== 201) throw new Error(reply.text);
  }
}

/** Taps a span: ms until the button shows it, and until the new drawing stands. */
const tap = (page, name) => page.evaluate(async (text) => {
  const button = () => [...document.querySelectorAll("#spans button")]
    .find((one) => one.textContent === text);
  const painted = () => new Promise((next) =>
    requestAnimationFrame(() => setTimeout(next)));
  const before = document.querySelector("#figure-ph canvas");
  const start = performance.now();
  button().click();
  while (button().getAttribute("aria-pressed") !== "true") await painted();
  await painted();
  const seen_ms = performance.now() - start;
  while (document.querySelector("#figure-ph canvas") === before &&
    performance.now() - start < 20000) await painted(); // 20 s: the daemon does not answer
  await painted();
  return { seen_ms, drawn_ms: performance.now() - start };
}, name);

/** How long the page is busy with one move of the cursor, all but the slowest in twenty. */
const cursorBusy = (page) => page.evaluate(async () => {
  const over = document.querySelector("#figure-ph .u-over");
  const box = over.getBoundingClientRect();
  const busy = [];
  for (let i = 0; i < 100; i++) {
    const start = performance.now();
    over.dispatchEvent(new MouseEvent("mousemove", { bubbles: true,
      clientX: box.left + box.width * i / 100, clientY: box.top + 40 }));
    await Promise.resolve();
    document.querySelector("#figure-ph .readout").getBoundingClientRect();
    busy.push(performance.now() - start);
    await new Promise((next) => requestAnimationFrame(next));
  }
  return busy.sort((a, b) => a - b)[94];
});

/** @param {import("playwright-core").Browser} browser @param {number} count */
async function trends(browser, count) {
  const daemon = await startDaemon();
  await setUp(daemon);
  await fill(daemon, count);
  const { page, context, go, close } = await openPage(browser,
    `http://localhost:${daemon.port}`, { viewport: PHONE, deviceScaleFactor: 3 });
  const slow = await context.newCDPSession(page);
  await slow.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
  const start = performance.now();
  await go("/trends?span=all&values=ph,orp_mv");
  await page.waitForSelector("#figure-orp_mv canvas", { timeout: 60000 });
  const first_ms = performance.now() - start;
  await page.waitForSelector('body[data-ready="yes"]', { timeout: 60000 });
  const taps = [];
  for (const name of ["Year", "Season", "Month", "Week", "Day", "Hour", "All"])
    taps.push(await tap(page, name));
  /** @param {"seen_ms" | "drawn_ms"} what */
  const middle = (what) => taps.map((one) => one[what]).sort((a, b) => a - b)[3];
  const cursor_ms = await cursorBusy(page);
  await close();
  await daemon.stop();
  return { first_ms, seen_ms: middle("seen_ms"), drawn_ms: middle("drawn_ms"),
    slowest_ms: Math.max(...taps.map((one) => one.drawn_ms)), cursor_ms };
}

async function setup_s(browser) {
  const daemon = await startDaemon();
  const { page, go, close } = await openPage(browser, `http://localhost:${daemon.port}`,
    { viewport: PHONE, timezoneId: "Europe/Madrid" });
  const start = performance.now();
  await go("/");
  await adopt(page, new Person(page, true), (selector, pattern) =>
    untilText(page, selector, pattern));
  const taken = (performance.now() - start) / 1000;
  await close();
  await daemon.stop();
  return taken;
}

const browser = await startBrowser();
const few = await trends(browser, FEW);
const many = await trends(browser, rows);
const adopted_s = await setup_s(browser);
await browser.close();

/* Anchors: 2.5 s until a page stands and 200 ms to a tap's answer are what a good page on a
 * phone takes (web.dev/articles/vitals, LCP and INP); a pause of 50 ms is felt (the same, long tasks); two minutes
 * are what a stranger has; a second to a new drawing keeps one's thought (common practice, no
 * source). "few" is the same with 1,000 readings. */
const figures = [
  ["trends_first", many.first_ms, "ms", 2500], ["trends_first_few", few.first_ms, "ms", 2500],
  ["trends_tap_seen", many.seen_ms, "ms", 200], ["trends_tap_seen_few", few.seen_ms, "ms", 200],
  ["trends_tap_drawn", many.drawn_ms, "ms", 1000],
  ["trends_tap_drawn_few", few.drawn_ms, "ms", 1000],
  ["trends_tap_slowest", many.slowest_ms, "ms", 1000],
  ["trends_cursor", many.cursor_ms, "ms", 50], ["trends_cursor_few", few.cursor_ms, "ms", 50],
  ["setup_to_permit", adopted_s, "s", 120],
].map(([name, value, unit, anchor]) => ({ name, value, unit, anchor, ratio: value / anchor,
  goal: 1 }));
for (const { name, value, unit, anchor, ratio, goal } of figures)
  console.log(name, value.toFixed(1), unit, anchor, ratio.toFixed(2), goal);
console.log(JSON.stringify({ rows, figures }));

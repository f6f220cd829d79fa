// What Trends shows of what was entered.

import assert from "node:assert/strict";
import { after, before } from "node:test";

import { flow, openPage, startBrowser, TABLET, textOf, until,
  untilText } from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

/** How many different colours a canvas shows: 1 is blank. */
const colours = (page, figure) => page.locator(`${figure} canvas`).evaluate((canvas) => {
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  const seen = new Map();
  for (let i = 0; i < data.length; i += 4)
    if (data[i + 3] === 255) {
      const key = `${data[i]},${data[i + 1]},${data[i + 2]}`;
      seen.set(key, (seen.get(key) ?? 0) + 1);
    }
  return Object.fromEntries([...seen].filter(([, n]) => n > 20));
});

const rgb = (page, name) => page.evaluate((variable) => {
  const hex = getComputedStyle(document.documentElement).getPropertyValue(variable).trim();
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(",");
}, name);

async function fillHouse(house) {
  const DAY = 86400;
  for (let i = 20; i >= 1; i--)
    await house.reading(i * DAY, { ph: i === 10 ? 6.9 : 7.5,
      free_chlorine_mg_per_l: i === 9 ? 12 : 2 });
  const now = (await house.get("/api/v1/clock")).json.now;
  for (const [age, state] of [[11, "off_line_flushed"], [8, "in_line"]])
    await house.send("POST", "/api/v1/heater-states",
      { heater: 1, state, at: now - age * DAY,
        bypass_percent_open: state === "in_line" ? 0 : 100 });
  await house.send("POST", "/api/v1/doses", { water: 1, product: "sodium_hypochlorite",
    amount: 4000, at: now - 9.5 * DAY, super_chlorination: true });
}

flow("Trends shows values, channel, hatching, and says the same in words and table",
  async (house, host) => {
    await fillHouse(house);
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/trends");
    await untilText(page, "#figure-ph figcaption", /7\.5, .* ago/);
    const said = await textOf(page, "#figure-ph figcaption");
    assert.match(said, /Between 6\.9 and 7\.5 in the last month\. Outside its channel once/);
    assert.match(said, /The heater was off line then\./);
    assert.match(await textOf(page, "#figure-free_chlorine_mg_per_l figcaption"),
      /Between 2 ppm and 12 ppm/);
    for (const figure of ["#figure-ph", "#figure-free_chlorine_mg_per_l"]) {
      const seen = await until(() => colours(page, figure),
        (found) => Object.keys(found).length > 3);
      for (const name of ["--water", "--channel", "--wall", "--hatch", "--ink"])
        assert.ok(seen[await rgb(page, name)] > 20, `${figure} lacks ${name}`);
    }
    await page.click("text=The same as a table");
    await until(() => page.locator("#table table.values tbody tr").count(), (n) => n === 20);
    const rows = await page.locator("#table table.values tbody tr").allInnerTexts();
    assert.ok(rows.some((row) => /6\.9\s+2$/.test(row)), rows.join("\n"));
    assert.ok(rows.some((row) => /7\.5\s+12$/.test(row)));
    assert.match(await textOf(page, "#doses"), /super-chlorination/);

    const download = page.waitForEvent("download");
    await page.click("text=Download all tests");
    const file = await (await download).createReadStream();
    let text = "";
    for await (const piece of file) text += piece;
    const [head, ...lines] = text.trim().split("\r\n");
    const columns = head.split(",");
    assert.equal(lines.length, 20);
    const acid = lines.filter((line) => line.split(",")[columns.indexOf("ph")] === "6.9");
    assert.equal(acid.length, 1, text);
    assert.equal(acid[0].split(",")[columns.indexOf("free_chlorine_mg_per_l")], "2");
    await close();
  });

flow("the view is kept in the address, and back goes back", async (house, host) => {
  await fillHouse(house);
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/trends");
  await untilText(page, "#figure-ph figcaption", /last month/);
  await page.click("#spans button:text-is('Week')");
  await untilText(page, "#figure-ph figcaption", /last week/);
  assert.match(page.url(), /span=week/);
  await page.reload();
  await untilText(page, "#figure-ph figcaption", /last week/);
  assert.equal(await page.locator("#spans [aria-pressed=true]").innerText(), "Week");
  await page.click("#spans button:text-is('Earlier')");
  await untilText(page, "#figure-ph figcaption", /this time/);
  assert.match(page.url(), /from=\d+&until=\d+/);
  await page.goBack();
  await untilText(page, "#figure-ph figcaption", /last week/);
  await page.click("#spans button:text-is('All')");
  await untilText(page, "#figure-ph figcaption", /since the first test/);
  await page.click("summary:has-text('Values shown')");
  await page.uncheck("#choice label:has-text('Free chlorine') input");
  await until(() => page.locator("#figures figure").count(), (n) => n === 1);
  assert.match(page.url(), /values=ph$/);
  await close();
});

flow("dragging zooms in", async (house, host) => {
  await fillHouse(house);
  const { page, go, close } = await openPage(browser, house.at(host), { viewport: TABLET });
  await go("/trends");
  await untilText(page, "#figure-ph figcaption", /last month/);
  const box = await page.locator("#figure-ph .u-over").boundingBox();
  await page.mouse.move(box.x + box.width * 0.6, box.y + 60);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.8, box.y + 80, { steps: 5 });
  await page.mouse.up();
  await untilText(page, "#figure-ph figcaption", /this time/);
  const query = new URL(page.url()).searchParams;
  const width_s = Number(query.get("until")) - Number(query.get("from"));
  // a fifth of the month and of the forecast beside it, which takes a fifth more
  assert.ok(Math.abs(width_s / (30 * 86400 * 1.2 * 0.2) - 1) < 0.05, String(width_s));
  await close();
});

flow("keys move through the points, speak them, and zoom", async (house, host) => {
  await fillHouse(house);
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/trends");
  await untilText(page, "#figure-ph figcaption", /last month/);
  await page.locator("#figure-ph .plot").focus();
  const said = () => page.locator("#said").innerText().catch(() => "");
  await page.keyboard.press("End");
  const last = await until(said, (text) => /: 7\.5$/.test(text));
  await page.keyboard.press("ArrowLeft");
  await until(said, (text) => text !== last && /: 7\.5$/.test(text));
  for (let i = 0; i < 8; i++) await page.keyboard.press("ArrowLeft");
  await until(said, (text) => /: 6\.9$/.test(text));
  await page.keyboard.press("Home");
  await until(said, (text) => /: 7\.5$/.test(text));
  await page.keyboard.press("+");
  await until(async () => page.url(), (url) => /from=/.test(url));
  const width = () => {
    const query = new URL(page.url()).searchParams;
    return Number(query.get("until")) - Number(query.get("from"));
  };
  assert.equal(width(), 15 * 86400);
  await untilText(page, "#figure-ph figcaption", /this time/);
  await page.keyboard.press("-");
  await until(async () => width(), (seconds) => seconds === 30 * 86400);
  await close();
});

flow("the drawing follows dark and print", async (house, host) => {
  await fillHouse(house);
  const { page, go, close } = await openPage(browser, house.at(host));
  await page.emulateMedia({ colorScheme: "light" });
  await go("/trends");
  await untilText(page, "#figure-ph figcaption", /last month/);
  const light = await rgb(page, "--water");
  await until(() => colours(page, "#figure-ph"), (seen) => seen[light] > 20);
  await page.emulateMedia({ colorScheme: "dark" });
  const dark = await rgb(page, "--water");
  assert.notEqual(dark, light);
  await until(() => colours(page, "#figure-ph"), (seen) => seen[dark] > 20 && !seen[light]);
  await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
  await until(() => colours(page, "#figure-ph"), (seen) => seen[light] > 20);
  assert.equal(await page.locator("#table").getAttribute("open"), "");
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  await until(() => colours(page, "#figure-ph"), (seen) => seen[dark] > 20);
  await close();
});

flow("times on the axis are the site's, whatever the device's zone", async (house, host) => {
  await house.reading(600, { ph: 7.5 });
  const { page, go, close } = await openPage(browser, house.at(host),
    { timezoneId: "Pacific/Auckland" });
  await go("/trends?span=day");
  await page.click("text=The same as a table");
  const [fact] = (await house.get("/api/v1/readings?water=1")).json.readings;
  const clock = new Date(fact.at * 1000).toLocaleTimeString("en-GB",
    { timeZone: "America/New_York", hour: "2-digit", minute: "2-digit" });
  await untilText(page, "#table table.values tbody th", new RegExp(`, ${clock}$`));
  await close();
});

flow("a finger zooms in too", async (house, host) => {
  await fillHouse(house);
  const { page, context, go, close } = await openPage(browser, house.at(host),
    { viewport: { width: 820, height: 1180 }, hasTouch: true });
  await go("/trends");
  await untilText(page, "#figure-ph figcaption", /last month/);
  const box = await page.locator("#figure-ph .u-over").boundingBox();
  const touch = await context.newCDPSession(page);
  const send = (type, x) => touch.send("Input.dispatchTouchEvent", { type,
    touchPoints: type === "touchEnd" ? [] : [{ x, y: box.y + 60 }] });
  await send("touchStart", box.x + box.width * 0.5);
  for (let i = 1; i <= 6; i++) await send("touchMove", box.x + box.width * (0.5 + i * 0.05));
  await send("touchEnd", 0);
  await untilText(page, "#figure-ph figcaption", /this time/);
  await close();
});

// The Line page: a line built by keyboard, moved by button, mouse and finger, judged
// without being saved, saved, printed; refusals at their fields; axe in both schemes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, openPage, PHONE, startBrowser, startHouse, TABLET, textOf, until,
  untilText } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const WATER = { ph: 7.4, free_chlorine_mg_per_l: 2.5, total_alkalinity_mg_per_l_caco3: 90,
  calcium_hardness_mg_per_l_caco3: 250, cyanuric_acid_mg_per_l: 30, water_temp_c: 27 };

/** 180 g of tablets with 90 % available chlorine in ten hours are 16.2 g/h; into 2.5 L/s,
 * which is 9000 L/h, they are 1.8 mg/L. */
const FEED = { product: "trichlor", basis: "weighed", before_g: 1000, after_g: 820,
  interval_s: 36000, strength_percent: 90 };
const GOOD = {
  parts: [{ id: 1, kind: "skimmer", name: "" },
    { id: 2, kind: "pump", name: "", flow_l_per_s: 2.5 }, { id: 3, kind: "filter", name: "" },
    { id: 4, kind: "heater", name: "", interlocked: true },
    { id: 5, kind: "check_valve", name: "" },
    { id: 6, kind: "erosion_feeder", name: "Feeder", volume_l: 4, feed: FEED },
    { id: 7, kind: "return", name: "" }],
  edges: [[1, 2], [2, 3], [3, 4], [4, 5], [5, 6], [6, 7]].map(([from, to]) => ({ from, to })),
  positions: [{ kind: "normal", burner_may_fire: true, flow_fraction: 1, set: [] }],
};

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

/** @param {any} house @param {object} line @param {number} [version] */
async function put(house, line, version = 0) {
  const reply = await house.daemon.send("PUT", "/api/v1/line?heater=1", line,
    { "If-Match": `"line-1-${version}"` });
  assert.equal(reply.status, 200, reply.text);
  return reply.json;
}

/** @param {any} house */
const stored = async (house) => (await house.daemon.get("/api/v1/line?heater=1")).json;

/** @param {any} house @param {object} [options] of the context */
async function open(house, options = {}) {
  const opened = await openPage(browser, house.at("localhost"), { viewport: TABLET,
    ...options });
  await opened.go("/line");
  await until(() => opened.page.evaluate(() => document.body.dataset.ready),
    (r) => r === "yes");
  return opened;
}

/** A test against a daemon of its own. @param {string} name
 * @param {(house: any) => Promise<void>} body @param {object} [options] */
function housed(name, body, options) {
  test(name, async () => {
    const house = await startHouse(options);
    try {
      await body(house);
    } finally {
      await house.daemon.stop();
    }
  });
}

/** Names of the rows, in order. @param {import("playwright-core").Page} page */
const names = (page) => page.locator("ol.parts .name b").allInnerTexts();

/** Presses Tab until that has the focus. @param {import("playwright-core").Page} page
 * @param {string} selector */
async function tabTo(page, selector) {
  for (let n = 0; n < 120; n++) {
    if (await page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail(`Tab never comes to ${selector}`);
}

housed("keys alone build a line and save it", async (house) => {
  const opened = await open(house);
  const { page } = opened;
  opened.expectStatus(422); // a line without a heater cannot be judged
  assert.match(await textOf(page, "#lead"), /Which way does the water go/);
  await tabTo(page, "[name=parts]");
  for (const kind of ["Skimmer", "Pump", "Filter", "Return", "Heater"]) {
    await page.keyboard.type(kind);
    await tabTo(page, ".adder button");
    await page.keyboard.press("Enter");
    await until(() => names(page), (seen) => seen.at(-1) === kind);
    assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")),
      "parts"); // ready for the next
  }
  await page.locator('[aria-label="Move up: Heater"]').focus();
  await page.keyboard.press("Enter");
  assert.deepEqual(await names(page), ["Skimmer", "Pump", "Filter", "Heater", "Return"]);
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("aria-label")),
    "Move up: Heater"); // the focus moves along
  await page.locator('[aria-label="Edit Pump"]').focus();
  await page.keyboard.press("Enter");
  await tabTo(page, '[name$=".flow_l_per_s"]');
  await page.keyboard.press("Control+A");
  await page.keyboard.type("60");
  await untilText(page, "#lead", /wrong|well/);
  assert.equal((await stored(house)).version, 0);
  await page.locator("#save").focus();
  await page.keyboard.press("Enter");
  await untilText(page, "#unsaved", /^Saved\.$/);
  const line = await stored(house);
  assert.deepEqual(line.parts.map((p) => p.kind),
    ["skimmer", "pump", "filter", "heater", "return"]);
  assert.deepEqual(line.edges.map((e) => [e.from, e.to].map((id) =>
    line.parts.findIndex((p) => p.id === id))), [[0, 1], [1, 2], [2, 3], [3, 4]]);
  // 60 US gal/min: one gallon, 3.785411784 L [nist-hb44], a second
  assert.ok(Math.abs(line.parts[1].flow_l_per_s - 3.785411784) < 1e-6);
  await page.reload();
  await until(() => names(page), (seen) => seen.length === 5);
  await opened.close();
});

housed("a move shows at once what it does to the heater's water, and saves nothing",
  async (house) => {
    await house.reading(600, WATER);
    await put(house, GOOD);
    const opened = await open(house);
    const { page } = opened;
    assert.match(await textOf(page, "#lead"), /All is well/);
    assert.match(await textOf(page, "#lead"), /What comes from the pool/); // an assumption
    await untilText(page, "#heater-line", /2\.5 ppm chlorine, pH 7\.4$/);
    for (let n = 0; n < 2; n++) await page.click('[aria-label="Move up: Feeder"]');
    await untilText(page, "#heater-line", /4\.3 ppm/); // 2.5 and 1.8
    await untilText(page, "#unsaved", /^Not saved\.$/);
    assert.match(await textOf(page, "#water"), /as saved: 2\.5 ppm/);
    const low = Number(/pH (7\.\d+)/.exec(await textOf(page, "#heater-line"))?.[1]);
    assert.ok(low < 7.4, `trichlor is acid: pH ${low}`);
    await untilText(page, "#faults", /Chlorine is fed into the water before it passes/);
    assert.match(await textOf(page, "#faults"), /Keeps the heater off/);
    assert.match(await textOf(page, "#stopped"), /On restart it passes the heater/);
    assert.ok(await page.locator("svg .fault-line").count() > 0);
    assert.ok(await page.locator("svg .badge").count() > 0);
    assert.equal((await stored(house)).version, 1);
    assert.equal((await house.permit()).water_side.permit, "run");
    for (let n = 0; n < 2; n++) await page.click("#undo");
    await untilText(page, "#heater-line", /2\.5 ppm/);
    await untilText(page, "#unsaved", /^Saved\.$/);
    await page.keyboard.press("Control+Shift+Z");
    await untilText(page, "#unsaved", /^Not saved\.$/);
    await opened.close();
  });

housed("the smallest change is one button; saved faults reach the permit", async (house) => {
  await house.reading(600, WATER);
  const order = [1, 2, 6, 3, 4, 7];
  await put(house, { ...GOOD, parts: GOOD.parts.filter((p) => p.id !== 5),
    edges: order.slice(1).map((to, i) => ({ from: order[i], to })) });
  assert.equal((await house.permit()).water_side.permit, "hold");
  const opened = await open(house);
  const { page } = opened;
  await opened.go("/");
  await page.getByRole("link", { name: "See it on Line" }).click();
  await untilText(page, "#lead", /It keeps the heater off/);
  await page.locator("#faults button", { hasText: "Do this change" }).first().click();
  await untilText(page, "#lead", /All is well/);
  assert.deepEqual(await names(page),
    ["Skimmer", "Pump", "Filter", "Heater", "Check valve", "Feeder", "Return"]);
  assert.equal((await stored(house)).version, 1);
  await page.click("#save");
  await untilText(page, "#unsaved", /^Saved\.$/);
  assert.equal((await house.permit()).water_side.permit, "run");
  await opened.close();
});

housed("a row is dragged with the mouse, and with a finger", async (house) => {
  await house.reading(600, WATER);
  await put(house, GOOD);
  /** @param {import("playwright-core").Page} page @param {number} row */
  const grip = async (page, row) => {
    const node = page.locator("ol.parts .grip").nth(row);
    await node.evaluate((n) => n.scrollIntoView({ block: "center" }));
    const box = await node.boundingBox();
    assert.ok(box);
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  };
  const opened = await open(house);
  const from = await grip(opened.page, 5);
  const to = await opened.page.locator("ol.parts > li").nth(2).boundingBox();
  await opened.page.mouse.move(from.x, from.y);
  await opened.page.mouse.down();
  for (let n = 1; n <= 8; n++)
    await opened.page.mouse.move(from.x, from.y + (to.y + 6 - from.y) * n / 8);
  await untilText(opened.page, "#heater-line", /4\.3 ppm/); // before it is let go
  await opened.page.mouse.up();
  assert.equal((await names(opened.page)).indexOf("Feeder"), 2);
  await opened.page.click("#undo"); // the whole drag is one step
  assert.equal((await names(opened.page)).indexOf("Feeder"), 5);
  await opened.close();

  const touched = await open(house, { viewport: PHONE, hasTouch: true, isMobile: true });
  const { page } = touched;
  await page.locator('[aria-label="Move up: Feeder"]').tap();
  assert.equal((await names(page)).indexOf("Feeder"), 4);
  const start = await grip(page, 4);
  const cdp = await touched.context.newCDPSession(page);
  /** @param {string} type @param {number} y */
  const finger = (type, y) => cdp.send("Input.dispatchTouchEvent", { type,
    touchPoints: type === "touchEnd" ? [] : [{ x: start.x, y }] });
  await finger("touchStart", start.y);
  for (let n = 1; n <= 8; n++) await finger("touchMove", start.y - 20 * n);
  await finger("touchEnd", start.y - 160);
  await until(() => names(page), (seen) => seen.indexOf("Feeder") < 4);
  await touched.close();
});

housed("valve positions are switched and the drawing follows", async (house) => {
  const opened = await open(house);
  const { page } = opened;
  await page.click("#presets >> text=With a bypass");
  const idle = () => page.locator("svg .idle").count();
  await until(idle, (n) => n === 3); // around the heater: in, within, out
  assert.equal(await page.locator("svg text.state", { hasText: "closed" }).count(), 1);
  await page.check("#positions input[value=heater_off_line]");
  await until(idle, (n) => n === 4); // through the heater
  assert.equal(await page.locator("svg text.state", { hasText: "closed" }).count(), 2);
  assert.match(await textOf(page, "#heater-line"), /No water moves through the heater/);
  await page.locator("#settings select").nth(3).selectOption("closed");
  await untilText(page, "#faults", /pump runs against shut valves/i);
  await page.click("text=Add position");
  assert.equal(await page.locator("#positions input").count(), 3);
  await opened.close();
});

housed("every arrangement can be judged, saved and opened again as it was", async (house) => {
  await house.reading(600, WATER);
  const opened = await open(house);
  const { page } = opened;
  for (let n = 0; n < 7; n++) {
    if (n > 0) await page.click("#presets summary");
    await page.locator("#presets button.choice").nth(n).click();
    await untilText(page, "#lead", /All is well|wrong with this line/);
    const before = await names(page);
    await page.click("#save");
    await untilText(page, "#unsaved", /^Saved\.$/);
    const stops = (await stored(house)).answer.faults.filter((f) => f.severity === "stop");
    // only two metering pumps that nobody has wired to stop are worse than a risk
    assert.deepEqual(stops.map((f) => f.code), n === 4 ? ["acid_and_chlorine_stopped"] : []);
    await page.reload();
    await until(() => names(page), (seen) => seen.length > 0);
    assert.deepEqual(await names(page), before);
    assert.match(await textOf(page, "#unsaved"), /^Saved\.$/);
  }
  await opened.close();
});

housed("nonsense is refused at its field, and nothing is saved", async (house) => {
  const opened = await open(house);
  const { page } = opened;
  opened.expectStatus(422);
  await page.click("#presets >> text=With a bypass");
  await page.click('[aria-label="Edit Bypass pipe"]');
  const length = page.locator('[name$=".length_m"]');
  await length.fill("a bit");
  await page.click("#save");
  await untilText(page, ".summary", /Not a number/);
  assert.equal(await length.getAttribute("aria-invalid"), "true");
  for (const text of ["-3", "0"]) {
    await length.fill(text);
    await untilText(page, "#lead", /cannot be judged yet/);
    await untilText(page, "ol.parts .wrong", /must be above zero/);
    await page.click("#save");
    await untilText(page, ".summary", /must be above zero/);
    assert.match(await textOf(page, ".panel .message:not(:empty)"), /must be above zero/);
  }
  await length.fill("");
  await page.click("#save");
  await until(() => length.getAttribute("aria-invalid"), (seen) => seen === "true");
  await length.fill("1");
  await page.locator("[name=parts]").selectOption("heater");
  await page.click(".adder button");
  await untilText(page, "#lead", /two heaters/);
  await page.click("#lead >> text=Show me");
  await page.fill('[name$=".name"] >> nth=0', "<b>x</b> ".repeat(20));
  assert.equal((await stored(house)).version, 0);
  assert.equal(await page.locator("ol.parts b b").count(), 0);
  await opened.close();
});

housed("no part, and a part that only one way reaches", async (house) => {
  const opened = await open(house);
  const { page } = opened;
  opened.expectStatus(422);
  await page.locator("[name=parts]").selectOption("pump");
  await page.click(".adder button");
  await untilText(page, "#lead", /no heater/);
  await page.click("#save");
  await untilText(page, ".summary", /no heater/);
  await page.click(".summary a");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("name")), "parts");
  await opened.close();
});

housed("what is not saved survives a reload, and can be thrown away", async (house) => {
  await put(house, GOOD);
  const opened = await open(house);
  const { page } = opened;
  await page.click('[aria-label="Move up: Feeder"]');
  await page.reload();
  await untilText(page, "#lead", /still here, not saved/);
  assert.equal((await names(page)).indexOf("Feeder"), 4);
  await page.click("#discard");
  await untilText(page, "#unsaved", /^Saved\.$/);
  assert.equal((await names(page)).indexOf("Feeder"), 5);
  await opened.close();
});

housed("two people: the later one is told, and chooses", async (house) => {
  await put(house, GOOD);
  const opened = await open(house);
  const { page } = opened;
  opened.expectStatus(412);
  await put(house, { ...GOOD, parts: GOOD.parts.map((p) => p.id === 3
    ? { ...p, name: "Sand" } : p) }, 1);
  await page.click('[aria-label="Move up: Feeder"]');
  await page.click("#save");
  await untilText(page, "#lead", /Somebody else has saved/);
  assert.equal((await stored(house)).version, 2);
  await page.click("button:text('Load theirs')");
  await untilText(page, "ol.parts", /Sand/);
  await page.click('[aria-label="Move up: Feeder"]');
  await page.click("#save");
  await untilText(page, "#unsaved", /^Saved\.$/);
  assert.equal((await stored(house)).version, 3);
  await opened.close();
});

housed("what no button can change says so, and where it is changed", async (house) => {
  await put(house, { ...GOOD, parts: GOOD.parts.map((p) => p.kind === "heater"
    ? { ...p, min_flow_l_per_s: 12 } : p) });
  const opened = await open(house);
  const { page } = opened;
  await untilText(page, "#faults", /No button can do this.*Change it in the list/);
  assert.equal(await page.locator("#faults button", { hasText: "Do this change" }).count(),
    0);
  assert.equal(await page.locator("#faults button", { hasText: "Show me" }).count(), 1);
  await opened.close();
});

housed("a line that another program made is shown and not changed by looking", async (house) => {
  const edges = [{ from: 1, to: 2 }, { from: 2, to: 3 }, { from: 3, to: 4, share: 2 },
    { from: 3, to: 7, share: 1 }, { from: 4, to: 7 }, { from: 8, to: 4 }];
  await put(house, { ...GOOD, edges, parts: [...GOOD.parts.filter((p) =>
    p.id !== 5 && p.id !== 6), { id: 8, kind: "acid_injection", name: "",
    feed: { basis: "unknown" } }] });
  const opened = await open(house);
  await untilText(opened.page, "#unsaved", /^Saved\.$/);
  await untilText(opened.page, "#faults", /Acid is fed into the water before/);
  assert.equal(await opened.page.locator("svg [data-part]").count(), 6);
  await opened.close();
});

/** Pages of a PDF: what its page tree says. @param {Buffer} pdf */
const pageCount = (pdf) => Number(/\/Count (\d+)/.exec(pdf.toString("latin1"))?.[1]);

/** Sizes of paper on which the page does not fit one sheet.
 * @param {import("playwright-core").Page} page */
async function tooLong(page) {
  const long = [];
  for (const format of ["A4", "Letter"])
    if (pageCount(await page.pdf({ format, margin: { top: "12mm", bottom: "12mm",
      left: "12mm", right: "12mm" } })) !== 1) long.push(format);
  return long;
}

housed("prints on one page, A4 and Letter, from phone and tablet", async (house) => {
  await house.reading(600, WATER);
  for (const viewport of [PHONE, TABLET]) {
    const opened = await open(house, { viewport });
    const { page } = opened;
    for (let n = 3; n < 7; n++) {
      if (n > 3) await page.click("#presets summary");
      await page.locator("#presets button.choice").nth(n).click();
      await untilText(page, "#lead", /All is well|wrong with this line/);
      await page.click('[aria-label="Move up: Heater"]');
      assert.deepEqual(await tooLong(page), [], `arrangement ${n}`);
    }
    for (const kind of ["erosion_feeder", "salt_cell", "acid_injection", "skimmer_tablets"]) {
      await page.locator("[name=parts]").selectOption(kind);
      await page.locator("[name=after]").selectOption({ index: 4 });
      await page.click(".adder button");
    }
    await until(() => page.locator("ol.line-faults > li").count(), (n) => n >= 6);
    assert.deepEqual(await tooLong(page), [], "a bad line");
    for (const kind of ["chlorine_injection", "salt_cell", "strainer_tablets", "erosion_feeder",
      "salt_cell", "acid_injection"]) {
      await page.locator("[name=parts]").selectOption(kind);
      await page.locator("[name=after]").selectOption({ index: 3 });
      await page.click(".adder button");
    }
    await until(() => page.locator("ol.line-faults > li").count(), (n) => n >= 17);
    assert.deepEqual(await tooLong(page), [], "seventeen faults and more");
    await opened.close();
  }
});

for (const colorScheme of /** @type {const} */ (["light", "dark"]))
  for (const viewport of [PHONE, TABLET])
    housed(`axe finds nothing, ${colorScheme}, ${viewport.width} px`, async (house) => {
      await house.reading(600, WATER);
      const opened = await open(house, { viewport, colorScheme });
      const { page } = opened;
      const look = async () => {
        // whole in the window: the bars cover a button only until one scrolls
        const height = await page.evaluate(() => document.body.scrollHeight + 200);
        await page.setViewportSize({ width: viewport.width, height });
        const found = await page.evaluate((tags) => window.axe.run(document,
          { runOnly: { type: "tag", values: tags } }), TAGS);
        assert.deepEqual(found.violations.map((v) =>
          `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
        const wide = await page.evaluate(() =>
          document.documentElement.scrollWidth - innerWidth);
        assert.ok(wide <= 0, `wider than the window by ${wide}`);
      };
      await page.evaluate(axeSource());
      await look();
      await page.click("#presets >> text=Pool and spa");
      await untilText(page, "#lead", /wrong|well/);
      await page.click('[aria-label="Move up: Salt cell"] >> nth=0');
      await page.click('[aria-label="Move up: Salt cell"] >> nth=0');
      await untilText(page, "#faults", /before it passes the heater/);
      await page.click('[aria-label="Edit Salt cell"]');
      await page.click('[aria-label="Edit Pump"]');
      await page.click("#flow summary");
      await look();
      const small = await page.locator("main button:visible, main select:visible")
        .evaluateAll((nodes) => nodes.map((n) => n.getBoundingClientRect())
          .filter((box) => box.height < 48 || box.width < 48).length);
      assert.equal(small, 0);
      await opened.close();
    });

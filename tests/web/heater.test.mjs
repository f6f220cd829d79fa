// The Heater page in a real browser against the real daemon.

import assert from "node:assert/strict";
import { after, before } from "node:test";

import { flow, freeze, openPage, PHONE, startBrowser, textOf, until,
  untilText } from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

const GOOD = { ph: 7.5, free_chlorine_mg_per_l: 2 };

flow("a house without anything is led to Setup", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/");
  await untilText(page, "h1", /Nothing is set up yet/);
  await page.click("text=Start");
  await untilText(page, "h2", /Step 1 of 3/);
  await close();
}, { empty: true });

flow("no test yet: test first, and what to do", async (house, host) => {
  const { page, go, close } = await openPage(browser, house.at(host), { viewport: PHONE });
  await go("/");
  await untilText(page, "h1", /^Test first$/);
  assert.match(await page.title(), /^Test first: Marlow Lane heater$/);
  assert.match(await textOf(page, "#next"), /Test pH and the sanitiser/);
  assert.match(await textOf(page, "#why"), /Not tested yet/);
  await close();
});

flow("good water: may run, good until a day in the site's zone", async (house, host) => {
  await house.reading(1200, GOOD);
  const { page, go, close } = await openPage(browser, house.at(host), { viewport: PHONE });
  await go("/");
  await untilText(page, "h1", /^May run$/);
  assert.match(await page.title(), /^May run: /);
  const { good_until } = await house.permit();
  const clock = new Date(good_until * 1000).toLocaleTimeString("en-GB",
    { timeZone: "America/New_York", hour: "2-digit", minute: "2-digit" });
  assert.match(await textOf(page, ".until"), new RegExp(`Good until .*${clock}`));
  const values = await textOf(page, "#why");
  assert.match(values, /pH\s+7\.5/);
  assert.match(values, /Free chlorine\s+2 ppm/);
  assert.match(values, /Drop count, 20 min ago/);
  assert.equal(await page.locator("svg.channel").count(), 2);
  // the word, large, in the first screen
  const word = await page.locator("h1").evaluate((node) => ({
    size: parseFloat(getComputedStyle(node).fontSize),
    bottom: node.getBoundingClientRect().bottom }));
  assert.ok(word.size >= 48 && word.bottom < 664, JSON.stringify(word));
  await close();
});

flow("chlorine of 14 holds; the drawing shows it outside", async (house, host) => {
  await house.reading(86400, GOOD);
  await house.reading(600, { ph: 7.5, free_chlorine_mg_per_l: 14 },
    { details: { free_chlorine_mg_per_l: { diluted: true } } });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/");
  await untilText(page, "h1", /^Keep off$/);
  assert.match(await textOf(page, ".sentence"), /almost three times the heater's limit/);
  assert.match(await textOf(page, "#next"), /1?\s*Turn the heater off at its own control/);
  assert.match(await textOf(page, "#why"),
    /Limit 5 ppm, common practice\s+Drop count, diluted, 10 min ago/);
  await until(() => page.locator("polygon.out").count(), (n) => n >= 1);
  await close();
});

flow("anybody says that the heater is off line, takes it back, and says it again",
  async (house, host) => {
    await house.reading(600, GOOD);
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/");
    await page.click("text=Heater is off line now");
    await page.click("button:has-text('Flushed')");
    await untilText(page, ".note", /Noted at \d\d:\d\d: off line and flushed/);
    await untilText(page, ".state-line", /Off line and flushed/);
    assert.equal((await house.permit()).heater_state.state, "off_line_flushed");
    await untilText(page, "h1", /^Keep off$/);
    await page.click("button:has-text('Undo')");
    await untilText(page, ".state-line", /In line/);
    await untilText(page, "h1", /^May run$/);
    assert.equal((await house.permit()).heater_state.state, "in_line");
    await page.click("text=Heater is off line now");
    await page.click("button:has-text('Pool water')");
    await untilText(page, ".state-line", /pool water stands in it/);
    await page.click("text=Heater is back in line");
    await untilText(page, "h1", /^May run$/);
    await close();
  });

flow("who brings the heater back into bad water is warned first", async (house, host) => {
  await house.reading(600, { ph: 6.9, free_chlorine_mg_per_l: 2 });
  await house.send("POST", "/api/v1/heater-states",
    { heater: 1, state: "off_line_flushed" });
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/");
  await page.click("text=Heater is back in line");
  await untilText(page, "#state", /would harm the heater now.*more acidic|twice as acidic/);
  await page.click("button:has-text('Leave it off line')");
  assert.equal((await house.permit()).heater_state.state, "off_line_flushed");
  await page.click("text=Heater is back in line");
  await page.click("text=It is back in line all the same");
  await untilText(page, ".state-line", /In line/);
  await close();
});

flow("after acid and strong chlorine a technician's inspection is asked for and logged",
  async (house, host) => {
    const strong = { details: { free_chlorine_mg_per_l: { diluted: true } },
      method: "laboratory" };
    await house.reading(7200, { ph: 6.6, free_chlorine_mg_per_l: 14 }, strong);
    await house.reading(600, GOOD);
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/");
    await untilText(page, "h1", /^Keep off$/);
    await untilText(page, "#inspection", /Clear water proves nothing/);
    await page.click("text=Log an inspection");
    await page.click("button:has-text('Save the inspection')");
    await untilText(page, "#inspection .summary", /Say who inspected it/);
    await page.fill("#inspection input[name=done_by]", "Ash & Reed");
    await page.click("#inspection label:has-text('It may run')");
    await page.click("button:has-text('Save the inspection')");
    await untilText(page, "h1", /^May run$/);
    await untilText(page, "#inspection", /The inspection is logged/);
    await page.click("#inspection button:has-text('Undo')");
    await untilText(page, "h1", /^Keep off$/);
    await close();
  });

flow("the page turns to test first by itself when the daemon falls silent",
  async (house, host) => {
    await house.reading(600, GOOD);
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await page.clock.install();
    await go("/");
    await untilText(page, "h1", /^May run$/);
    await freeze(house.pid);
    try {
      await page.clock.runFor(899 * 1000 - 5000);
      assert.match(await textOf(page, "h1"), /^May run$/);
      assert.match(await textOf(page, "#live"), /Not live since \d\d:\d\d/);
      await page.clock.runFor(60 * 1000);
      await untilText(page, "h1", /^Test first$/);
      assert.match(await textOf(page, ".until"), /Not live since \d\d:\d\d/);
      assert.match(await textOf(page, ".sentence"), /lost the house computer/);
      assert.match(await page.title(), /^Test first: /);
    } finally {
      process.kill(house.pid, "SIGCONT");
    }
    await page.clock.runFor(20 * 1000);
    await untilText(page, "h1", /^May run$/);
    await close();
  });

flow("after a sleep it is test first at once, not after a poll", async (house, host) => {
  await house.reading(600, GOOD);
  const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
  expectStatus(0);
  // Sleep as most devices do it: the steady clock stands still, the wall clock moves.
  await page.addInitScript(() => {
    const real = Date.now;
    window.slept_ms = 0;
    Date.now = () => real() + window.slept_ms;
  });
  await go("/");
  await untilText(page, "h1", /^May run$/);
  await freeze(house.pid);
  try {
    await page.evaluate(() => {
      window.slept_ms = 3600 * 1000;
      dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }));
    });
    assert.match(await textOf(page, "h1"), /^Test first$/);
  } finally {
    process.kill(house.pid, "SIGCONT");
  }
  await untilText(page, "h1", /^May run$/, 15000);
  // a clock that was set back ends the answer too
  await freeze(house.pid);
  try {
    await page.evaluate(() => {
      window.slept_ms = 0;
      document.dispatchEvent(new Event("visibilitychange"));
    });
    assert.match(await textOf(page, "h1"), /^Test first$/);
  } finally {
    process.kill(house.pid, "SIGCONT");
  }
  await close();
});

flow("a hold stays a hold without the daemon, and says that it is not live",
  async (house, host) => {
    await house.reading(600, { ph: 6.8, free_chlorine_mg_per_l: 2 });
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await page.clock.install();
    await go("/");
    await untilText(page, "h1", /^Keep off$/);
    await freeze(house.pid);
    try {
      await page.clock.runFor(3600 * 1000);
      assert.match(await textOf(page, "h1"), /^Keep off$/);
      assert.match(await textOf(page, ".until"), /Not live since \d\d:\d\d/);
      assert.match(await page.title(), /^Keep off: /);
    } finally {
      process.kill(house.pid, "SIGCONT");
    }
    await close();
  });

flow("a run ends at its time though the daemon lives on another clock",
  async (house, host) => {
    await house.reading(7 * 86400 - 120, GOOD); // counts for two more minutes
    const { page, go, expectStatus, close } = await openPage(browser, house.at(host));
    expectStatus(0);
    await page.clock.install();
    await go("/");
    await untilText(page, "h1", /^May run$/);
    await freeze(house.pid);
    try {
      await page.clock.runFor(121 * 1000);
      await untilText(page, "h1", /^Test first$/);
    } finally {
      process.kill(house.pid, "SIGCONT");
    }
    await close();
  });

flow("a moved clock is told and confirmed", async (house, host) => {
  await house.reading(600, GOOD);
  await house.setClock(3 * 3600);
  const { page, go, close } = await openPage(browser, house.at(host));
  await go("/");
  await untilText(page, "#clock-doubt", /moved by 3 hours/);
  await untilText(page, "h1", /^Test first$/);
  assert.match(await textOf(page, "#clock-doubt"), /Is it \w{3} \d\d:\d\d now\?/);
  await page.click("text=Yes, that is the time");
  await untilText(page, "h1", /^May run$/);
  await until(() => page.locator("#clock-doubt").innerText(), (text) => text === "");
  await close();
}, { daemon: { clock: true } });

flow("a heater without a bypass can be drained, not taken off line",
  async (house, host) => {
    await house.reading(600, GOOD);
    const { page, go, close } = await openPage(browser, house.at(host));
    await go("/");
    await page.click("text=Heater is drained now");
    await untilText(page, ".state-line", /Drained/);
    await untilText(page, ".sentence", /dry heater must never fire/);
    await close();
  }, { heater: { bypass: "none" } });

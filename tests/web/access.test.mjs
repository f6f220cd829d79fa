// Every page, light and dark, phone and tablet, in a good and a bad state: axe, sizes of
// targets, no sideways scrolling, headings, and nothing blocked by the policy.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { axeSource, LAN_NAME, openPage, PHONE, startBrowser, startHouse, TABLET,
  until } from "./support.mjs";

const TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
const axe = axeSource();

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {any} */
let full;
/** @type {any} */
let empty;

before(async () => {
  browser = await startBrowser();
  full = await startHouse();
  empty = await startHouse({ empty: true });
  for (let i = 12; i >= 0; i--)
    await full.reading(600 + i * 86400, { ph: i === 5 ? 6.9 : 7.5,
      free_chlorine_mg_per_l: 2, water_temp_c: 27, total_alkalinity_mg_per_l_caco3: 60 });
  const fact = await full.reading(300, { ph: 8.2 });
  await full.send("POST", `/api/v1/readings/${fact.id}/withdrawal`, { reason: "slip" },
    { "If-Match": fact.etag });
  await full.send("POST", "/api/v1/doses",
    { water: 1, product: "sodium_bicarbonate", amount: 900 });
});
after(async () => {
  await browser.close();
  await full.daemon.stop();
  await empty.daemon.stop();
});

const openAll = (page) => page.evaluate(() => {
  for (const details of document.querySelectorAll("details")) details.open = true;
});
const ready = (page) => until(() => page.evaluate(() =>
  document.body.dataset.ready === "yes"), (yes) => yes);

/** What is looked at: a name, where it is, and how to get it there. */
const VIEWS = [
  ["Heater, may run or test", () => full, "/", (page) =>
    until(() => page.locator("svg.channel").count(), (n) => n === 2)],
  ["Heater, what stands in it", () => full, "/", async (page) => {
    await page.click("text=Heater is off line now");
  }],
  ["Heater, not set up", () => empty, "/", (page) =>
    until(() => page.locator("text=Start").count(), (n) => n === 1)],
  ["Heater, daemon gone", () => full, "/", async (page) => {
    await until(() => page.locator("svg.channel").count(), (n) => n === 2);
    await page.evaluate(() => {
      const real = Date.now;
      Date.now = () => real() + 3600 * 1000;
    });
    await page.route("**/api/**", (route) => route.abort());
    await until(() => page.locator("text=Ask again").count(), (n) => n === 1);
  }],
  ["Test", () => full, "/readings", async (page) => {
    await ready(page);
    await openAll(page);
  }],
  ["Test, with faults", () => full, "/readings", async (page) => {
    await ready(page);
    await page.fill('#test [name="values.ph"]', "9.1");
    await page.fill('#test [name="values.free_chlorine_mg_per_l"]', "7.4.1");
    await page.check('#test [name="when"][value="earlier"]', { force: true });
    await page.click("#test button.strong");
    await until(() => page.locator(".summary").count(), (n) => n === 1);
  }],
  ["Dose", () => full, "/readings#dose", async (page) => {
    await ready(page);
    await page.selectOption('#dose [name="product"]', "trichlor");
  }],
  ["Test, one waiting for a day and one refused", () => full, "/readings", async (page) => {
    await ready(page);
    await page.evaluate(() => new Promise((done) => {
      const wish = indexedDB.open("coilkeep");
      wish.onsuccess = () => {
        const store = wish.result.transaction("outbox", "readwrite").objectStore("outbox");
        const entry = { key: "a-key-of-a-test", path: "readings", body: {}, refused: null,
          at_ms: Date.now() - 25 * 3600 * 1000, said: "pH 7.4", draft: null };
        store.put(entry);
        store.put({ ...entry, key: "another-key", at_ms: Date.now(), refused: { status: 422,
          text: "The time lies ahead." }, draft: { name: "n", text: "{}", page: "readings" } })
          .onsuccess = done;
      };
    }));
    await page.route("**/api/v1/readings", (route) => route.abort());
    await page.evaluate(() => localStorage.setItem("coilkeep.waiting", "2"));
    await page.reload();
    await ready(page);
    await until(() => page.locator("#waiting textarea").count(), (n) => n === 1);
    await openAll(page);
  }],
  ["Dose, with faults", () => full, "/readings#dose", async (page) => {
    await ready(page);
    await page.click("#dose button.strong");
    await until(() => page.locator(".summary").count(), (n) => n === 1);
  }],
  ["History", () => full, "/readings#history", async (page) => {
    await until(() => page.locator(".facts > li").count(), (n) => n > 5);
    await page.locator("button:has-text('Withdraw')").nth(1).click();
  }],
  ["Files, take in", () => full, "/files", async (page) => {
    await ready(page);
    await openAll(page);
    await page.setInputFiles("#take-part input[type=file]", { name: "x.csv",
      mimeType: "text/csv", buffer: Buffer.from("date;pH;note\n1.2.2025;74;\n2.2.2025;7,4;x\n") });
    await until(() => page.locator("#take-part table").count(), (n) => n === 3);
  }],
  ["Files, download", () => full, "/files#give", (page) => ready(page)],
  ["Trends", () => full, "/trends", async (page) => {
    await ready(page);
    await openAll(page);
    await until(() => page.locator("#table tbody tr").count(), (n) => n > 5);
  }],
  ["Setup", () => full, "/setup", async (page) => {
    await ready(page);
    await openAll(page);
  }],
  ["Setup, first step with faults", () => empty, "/setup", async (page) => {
    await ready(page);
    await page.click("button.strong");
    await until(() => page.locator(".summary").count(), (n) => n === 1);
  }],
  ["More", () => full, "/more", (page) =>
    until(() => page.locator("#clock").innerText(), (text) => text !== "")],
];

/** The window as tall as the page: the bar at the bottom then covers nothing. */
async function growTall(page, width) {
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  await page.setViewportSize({ width, height: Math.max(height, 640) + 40 });
}

const smallTargets = (page, least) => page.evaluate((min) => {
  const skipped = (node) => node.closest(".skip, .check, .chips, p, li, figcaption") &&
    !node.matches("button, .button, select, input[type=text], .plain-list a");
  const targets = "a, button, input, select, summary, .check, .chips label";
  return [...document.querySelectorAll(targets)].filter((node) => {
      const box = node.getBoundingClientRect();
      return box.width > 0 && !skipped(node) && (box.height < min || box.width < min);
    }).map((node) => `${node.outerHTML.slice(0, 90)} ` +
      JSON.stringify(node.getBoundingClientRect()));
}, least);

for (const [name, house, target, arrange] of VIEWS)
  for (const scheme of /** @type {const} */ (["light", "dark"]))
    test(`${name}, ${scheme}: axe, targets, no sideways scrolling`, async () => {
      const least = /^\/(readings|files)/.test(target) ? 48 : 24;
      const { page, go, expectStatus, close } = await openPage(browser,
        house().at(LAN_NAME),
        { viewport: PHONE, colorScheme: scheme, reducedMotion: "reduce" });
      expectStatus(0);
      await go(target);
      await arrange(page);
      await page.evaluate(axe);
      for (const { width, height } of [PHONE, TABLET, { width: 320, height: 640 }]) {
        await page.setViewportSize({ width, height });
        const sideways = () => page.evaluate(() =>
          document.documentElement.scrollWidth - innerWidth);
        await until(sideways, (px) => px <= 0); // drawings follow a moment later
        await growTall(page, width);
        const { violations } = await page.evaluate((tags) =>
          // @ts-expect-error axe was put there
          window.axe.run(document, { runOnly: tags }), TAGS);
        assert.deepEqual(violations.map((v) => [v.id, v.nodes.map((n) => n.html)]), [],
          `${width}`);
        assert.deepEqual(await smallTargets(page, least), [], `${width}`);
      }
      await close();
    });

test("the checks above see what is wrong", async () => {
  const { page, context, go } = await openPage(browser, full.at(LAN_NAME));
  const said = [];
  page.on("console", (message) => said.push(message.text()));
  await go("/more");
  await until(() => page.locator("#clock").innerText(), (text) => text !== "");
  await page.evaluate(() => {
    const picture = document.createElement("img");
    picture.src = "/icon.svg";
    const button = document.createElement("button");
    button.textContent = "x";
    button.style.cssText = "min-height: 0; height: 20px; width: 20px; padding: 0";
    const script = document.createElement("script");
    script.textContent = "window.ran = true";
    document.querySelector("main").append(picture, button, script);
  });
  await page.evaluate(axe);
  const { violations } = await page.evaluate((tags) =>
    // @ts-expect-error axe was put there
    window.axe.run(document, { runOnly: tags }), TAGS);
  assert.ok(violations.some((v) => v.id === "image-alt"));
  assert.ok((await smallTargets(page, 24)).some((text) => text.startsWith("<button")));
  assert.equal(await page.evaluate(() => window.ran), undefined);
  await until(async () => said.join("\n"), (text) => /CSP: script-src/.test(text));
  await context.close();
});

test("focus is seen on every page", async () => {
  for (const target of ["/", "/readings", "/files", "/trends", "/setup", "/more"]) {
    const { page, go, close } = await openPage(browser, full.at(LAN_NAME));
    await go(target);
    await until(() => page.locator("#clock").innerText(), (text) => text !== "");
    for (let i = 0; i < 12; i++) {
      await page.keyboard.press("Tab");
      const seen = await page.evaluate(() => {
        const node = document.activeElement;
        if (!node || node === document.body) return "body";
        const shown = node.matches(".chips input") ? node.nextElementSibling : node;
        const style = getComputedStyle(shown ?? node);
        return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2
          ? "seen" : node.outerHTML.slice(0, 100);
      });
      if (seen !== "body") assert.equal(seen, "seen", target);
    }
    await close();
  }
});

test("the three signs differ in word and in shape, not only in colour", async () => {
  const { page, go, close } = await openPage(browser, full.at(LAN_NAME));
  await go("/");
  const seen = await page.evaluate(async () => {
    const { sign } = await import("/js/sign.js");
    const { words } = await import("/js/words.js");
    return ["run", "hold", "test"].map((permit) => ({ word: words.permit[permit],
      shape: [...sign(permit).children].map((part) => part.tagName +
        (part.getAttribute("d") ?? "")).join(" ") }));
  });
  assert.equal(new Set(seen.map(({ word }) => word)).size, 3);
  assert.equal(new Set(seen.map(({ shape }) => shape)).size, 3);
  await close();
});

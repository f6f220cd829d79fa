// Claiming, logging in, giving a PIN, what the family sees: in a real browser under both
// names, since a plain-http name lacks what localhost has.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";
import { read, setUp } from "../support/household.mjs";
import { PASSPHRASE, addPerson, claim } from "../support/people.mjs";
import { LAN_NAME, NAMES, PHONE, TABLET, axeSource, openPage, startBrowser }
  from "./support.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser.close());

const onNetwork = () => startDaemon({ args: ["--bind", "0.0.0.0"] });
const at = (daemon, name) => `http://${name}:${daemon.port}`;
const as = (daemon, identity) => /** @type {any} */ ({ ...daemon,
  send: (method, target, body, headers = {}) =>
    daemon.send(method, target, body, { ...identity, ...headers }) });

async function axe(page, where) {
  await page.evaluate(axeSource());
  const found = await page.evaluate(async () => {
    // @ts-ignore axe is in the page now
    const result = await axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa",
      "wcag22aa"] });
    return result.violations.map((one) => `${one.id}: ${one.nodes[0]?.html}`);
  });
  assert.deepEqual(found, [], where);
}

for (const name of NAMES) {
  test(`a stranger's first page is the claim; the owner adds a technician (${name})`, async () => {
    const daemon = await onNetwork();
    const { page, go, close, expectStatus } = await openPage(browser, at(daemon, name),
      { viewport: PHONE });
    expectStatus(401, 403, 409, 422);
    await go("/");
    assert.equal(new URL(page.url()).pathname, "/claim");
    await axe(page, "claim");
    const code = (await readFile(path.join(daemon.data, "claim-code"), "utf8")).trim();
    await page.getByLabel("The code").fill(code.toLowerCase().replace("-", " "));
    await page.getByLabel("Your name").fill("Ada");
    await page.getByLabel("A passphrase").fill("short");
    await page.getByRole("button", { name: "Claim" }).click();
    await page.getByText("at least 15 letters").first().waitFor();
    await page.getByLabel("A passphrase").fill(PASSPHRASE);
    await page.getByRole("button", { name: "Claim" }).click();
    await page.waitForURL(/\/$/);

    await go("/people");
    await page.getByText("Somebody new").click();
    await page.locator("#f-person-name").fill("Bo");
    await page.getByRole("button", { name: "Add a person" }).click();
    const pin = await page.locator(".secret").textContent();
    assert.match(pin ?? "", /^\d{6}$/);
    await axe(page, "people");
    await close();

    const tablet = await openPage(browser, at(daemon, name), { viewport: TABLET });
    tablet.expectStatus(401, 403, 409);
    await tablet.go("/readings");
    await tablet.page.waitForURL(/\/login\?next=readings$/);
    await axe(tablet.page, "login");
    await tablet.page.getByLabel("Name").fill("bo");
    await tablet.page.getByLabel("PIN or passphrase").fill("0" + pin?.slice(1) === pin
      ? "1" + pin?.slice(1) : "0" + pin?.slice(1));
    await tablet.page.getByRole("button", { name: "Log in" }).click();
    await tablet.page.getByText("do not fit").first().waitFor();
    await tablet.page.getByLabel("PIN or passphrase").fill(pin ?? "");
    await tablet.page.keyboard.press("Enter");
    await tablet.page.waitForURL(/\/readings$/);
    await tablet.go("/people");
    await tablet.page.getByRole("heading", { name: "not yours" }).waitFor();
    await tablet.close();
    await daemon.stop();
  });
}

test("the family sees the permit without a login, and why, and nothing else", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  await read(as(daemon, owner), { ph: 6.8, free_chlorine_mg_per_l: 2 });
  for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
    const { page, go, close, expectStatus } = await openPage(browser, at(daemon, LAN_NAME),
      { viewport: PHONE, colorScheme });
    expectStatus(401);
    await go("/");
    await page.getByRole("heading", { name: "Keep off" }).waitFor();
    await page.getByRole("link", { name: "Log in for more" }).waitFor();
    assert.match(await page.title(), /^Keep off/);
    await axe(page, `family ${colorScheme}`);
    if (process.env.SHOTS) await page.screenshot({ path: `${process.env.SHOTS}/family-${colorScheme}.png` });
    await close();
  }
  const door = await daemon.get("/api/v1/door", owner);
  await daemon.send("PUT", "/api/v1/door", { family_sees_permit: false },
    { ...owner, "If-Match": String(door.headers.etag) });
  const { page, go, close, expectStatus } = await openPage(browser, at(daemon, LAN_NAME));
  expectStatus(401);
  await go("/");
  await page.waitForURL(/\/login/);
  await close();
  await daemon.stop();
});

test("a shared tablet switches from person to person by their PINs", async () => {
  const daemon = await onNetwork();
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  const people = [await addPerson(daemon, owner, "Bo", "technician"),
    await addPerson(daemon, owner, "Cy", "technician")];
  const { page, go, close, expectStatus } = await openPage(browser, at(daemon, LAN_NAME),
    { viewport: TABLET });
  expectStatus(401);
  for (const [index, name] of ["Bo", "Cy"].entries()) {
    await go("/login");
    const other = page.getByRole("button", { name: "Switch to somebody else" })
      .or(page.getByRole("button", { name: "Log out" }));
    if (index > 0) {
      await other.click();
      await page.getByRole("button", { name: "Somebody else" }).click();
    }
    await page.getByLabel("Name", { exact: true }).fill(name);
    await page.getByLabel("PIN or passphrase").fill(people[index]?.pin ?? "");
    if (index === 0)
      await page.getByLabel("What is this device called?").fill("Pool tablet");
    await page.getByRole("button", { name: "Log in" }).click();
    await page.waitForURL(/\/$/);
  }
  await go("/login");
  await page.getByText("You are Cy, technician.").waitFor();
  await page.getByRole("button", { name: "Switch to somebody else" }).click();
  const target = page.getByRole("button", { name: "Bo", exact: true });
  const box = await target.boundingBox();
  assert.ok((box?.height ?? 0) >= 48, `only ${box?.height} px high`);
  await target.click();
  await page.keyboard.type(people[0]?.pin ?? "");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/$/);
  const sessions = await daemon.get("/api/v1/sessions", owner);
  assert.ok(sessions.json.sessions.some((one) => one.device === "Pool tablet" &&
    one.name === "Bo"));
  await close();
  await daemon.stop();
});

test("after five minutes the passphrase is asked for once more, then the change goes on", async () => {
  const daemon = await startDaemon({ args: ["--bind", "0.0.0.0"], clock: true });
  const owner = await claim(daemon);
  await setUp(as(daemon, owner));
  const { page, context, go, close, expectStatus } = await openPage(browser,
    at(daemon, LAN_NAME), { viewport: TABLET });
  expectStatus(401, 403);
  const [name, value] = (owner.Cookie ?? "").split("; ")[0]?.split("=") ?? [];
  await context.addCookies([{ name: name ?? "", value: value ?? "",
    url: at(daemon, LAN_NAME) }]);
  await daemon.setClock(600);
  await go("/people");
  await page.getByLabel("sees the permit without logging in").click();
  const dialog = page.getByRole("dialog");
  await dialog.getByLabel("PIN or passphrase").fill("wrong wrong wrong wrong");
  await dialog.getByRole("button", { name: "Go on" }).click();
  await dialog.getByText("do not fit").first().waitFor();
  await axe(page, "passphrase again");
  await dialog.getByLabel("PIN or passphrase").fill(PASSPHRASE);
  await dialog.getByRole("button", { name: "Go on" }).click();
  await dialog.waitFor({ state: "hidden" });
  await page.waitForFunction(() => !(/** @type {HTMLInputElement} */ (
    document.querySelector("[name=family_sees_permit]"))).checked);
  assert.equal((await daemon.get("/api/v1/permit")).status, 401);
  if (process.env.SHOTS) await page.screenshot({ path: `${process.env.SHOTS}/people.png`, fullPage: true });
  await close();
  await daemon.stop();
});

test("a page that is seen shows a new permit at once; a hidden one keeps no line open", async () => {
  const daemon = await startDaemon();
  await setUp(daemon);
  await read(daemon, { ph: 7.4, free_chlorine_mg_per_l: 2 });
  const { page, go, close } = await openPage(browser, at(daemon, LAN_NAME), { viewport: PHONE });
  const lines = /** @type {string[]} */ ([]);
  page.on("request", (request) => {
    if (request.url().endsWith("/events")) lines.push("open");
  });
  page.on("requestfailed", (request) => {
    if (request.url().endsWith("/events")) lines.push("closed");
  });
  await go("/");
  await page.getByRole("heading", { name: "May run" }).waitFor();
  await read(daemon, { ph: 6.6, free_chlorine_mg_per_l: 2 });
  await page.getByRole("heading", { name: "Keep off" }).waitFor({ timeout: 10_000 });
  await page.evaluate(() => {
    Object.defineProperty(document, "visibilityState", { value: "hidden", configurable: true });
    document.dispatchEvent(new Event("visibilitychange"));
  });
  await page.waitForTimeout(500);
  assert.deepEqual(lines, ["open", "closed"]);
  await close();
  await daemon.stop();
});

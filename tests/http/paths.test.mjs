// What is there and what is not: pages, methods, HEAD, entity tags, traversal.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { gunzipSync } from "node:zlib";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  daemon = await startDaemon();
});
after(() => daemon.stop());

const web = new URL("../../web/", import.meta.url);

test("pages answer under their short name and that of their file", async () => {
  const file = readFileSync(new URL("index.html", web), "utf8");
  for (const target of ["/", "/index.html", "/?from=icon"]) {
    const reply = await daemon.get(target);
    assert.equal(reply.status, 200, target);
    assert.equal(reply.headers["content-type"], "text/html; charset=utf-8");
    assert.equal(reply.text, file);
  }
});

test("scripts, styles and the chart library come with their types", async () => {
  const types = [
    ["/style.css", "text/css; charset=utf-8"],
    ["/js/api.js", "text/javascript; charset=utf-8"],
    ["/vendor/uPlot.iife.min.js", "text/javascript; charset=utf-8"],
    ["/vendor/uPlot.min.css", "text/css; charset=utf-8"],
  ];
  for (const [target, type] of types) {
    const reply = await daemon.get(target);
    assert.equal(reply.status, 200, target);
    assert.equal(reply.headers["content-type"], type);
    assert.ok(reply.bytes.length > 0);
  }
});

test("our scripts and styles come line for line as they are, without comment lines and indents",
  async () => {
    let left_out = 0;
    const folder = new URL("js/", web);
    const names = [...readdirSync(web).filter((name) => name.endsWith(".css")),
      ...readdirSync(folder).map((name) => `js/${name}`)];
    for (const name of names) {
      const source = readFileSync(new URL(name, web), "utf8").split("\n");
      const served = (await daemon.get(`/${name}`)).text.split("\n");
      assert.equal(served.length, source.length, name);
      let inside = false;
      source.forEach((line, i) => {
        const begins = !inside && /^[ \t]*\/\*/.test(line);
        const is_cast = begins && /\*\/.*\S/.test(line);
        const is_comment = (begins && !is_cast) || inside;
        const wanted = is_cast ? line : line.replace(/^[ \t]+/, "");
        assert.equal(served[i], is_comment ? "" : wanted, `${name}:${i + 1}`);
        if (is_comment) {
          left_out += 1;
          inside = !line.includes("*/");
        }
      });
      assert.equal(inside, false, name);
    }
    assert.ok(names.length > 40 && left_out > 1000, `${names.length} ${left_out}`);
  });

test("no text of a script spans lines, so that no indent belongs to a text", () => {
  const ts = createRequire(new URL("package.json", web))("typescript");
  const folder = new URL("js/", web);
  let texts = 0;
  for (const name of readdirSync(folder)) {
    const source = ts.createSourceFile(name, readFileSync(new URL(name, folder), "utf8"),
      ts.ScriptTarget.Latest, true);
    const look = (node) => {
      if (ts.isTemplateHead(node) || ts.isTemplateMiddleOrTemplateTail(node) ||
          ts.isNoSubstitutionTemplateLiteral(node)) {
        texts += 1;
        assert.ok(!node.getText(source).includes("\n"), `${name}: ${node.text}`);
      }
      ts.forEachChild(node, look);
    };
    look(source);
  }
  assert.ok(texts > 500, String(texts));
});

test("what lies in web/ for tools is not served", async () => {
  for (const name of ["package.json", "package-lock.json", "tsconfig.json",
    "node_modules/uplot/package.json", ".gitignore"]) {
    assert.equal((await daemon.get(`/${name}`)).status, 404, name);
  }
});

test("packed and plain answers differ in tag and unpack to the same bytes", async () => {
  const plain = await daemon.get("/style.css");
  const packed = await daemon.get("/style.css", { "Accept-Encoding": "br, gzip;q=0.8" });
  const refused = await daemon.get("/style.css", { "Accept-Encoding": "gzip;q=0, br" });
  assert.equal(plain.headers["content-encoding"], undefined);
  assert.equal(packed.headers["content-encoding"], "gzip");
  assert.equal(refused.headers["content-encoding"], undefined);
  assert.deepEqual(gunzipSync(packed.bytes), plain.bytes);
  assert.notEqual(packed.headers.etag, plain.headers.etag);
  for (const reply of [plain, packed, refused]) {
    assert.equal(reply.headers.vary, "Accept-Encoding");
  }
});

test("If-None-Match answers 304 for the same strong tag only", async () => {
  const first = await daemon.get("/style.css");
  const tag = String(first.headers.etag);
  assert.match(tag, /^"[^"]+"$/);
  const same = [tag, `"other", ${tag}`, `${tag}, "other"`, "*"];
  const other = [`W/${tag}`, '"other"', tag.slice(1, -1), `"x${tag.slice(1)}`, ""];
  for (const list of same) {
    const reply = await daemon.get("/style.css", { "If-None-Match": list });
    assert.equal(reply.status, 304, list);
    assert.equal(reply.bytes.length, 0);
    assert.equal(reply.headers.etag, tag);
  }
  for (const list of other) {
    const reply = await daemon.get("/style.css", { "If-None-Match": list });
    assert.equal(reply.status, 200, list);
  }
});

test("the API's own tags lead to 304 as well", async () => {
  const first = await daemon.get("/api/v1/waters");
  assert.equal(first.status, 200);
  const again = await daemon.get("/api/v1/waters", { "If-None-Match": first.headers.etag });
  assert.equal(again.status, 304);
});

test("HEAD says what GET says, without a body", async () => {
  for (const target of ["/", "/healthz", "/api/v1/site", "/nothing"]) {
    const whole = await daemon.get(target);
    const reply = await daemon.raw(
      `HEAD ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n\r\n`);
    const [head, body] = reply.text.split("\r\n\r\n");
    assert.equal(Number(head?.split(" ")[1]), whole.status, target);
    assert.equal(body, "", target);
    if (target !== "/api/v1/site") { // whose body tells the time
      assert.match(String(head), new RegExp(`content-length: ${whole.bytes.length}`, "i"));
    }
  }
});

test("a wrong method gets 405 with the right ones", async () => {
  const cases = [
    ["POST", "/healthz", "GET, HEAD"], ["DELETE", "/api/v1/waters", "GET, HEAD, POST"],
    ["PATCH", "/api/v1/waters/1", "GET, HEAD, PUT"], ["GET", "/api/v1/import", "POST"],
    ["PUT", "/style.css", "GET, HEAD"], ["TRACE", "/", "GET, HEAD"],
    ["OPTIONS", "/nothing", "GET, HEAD"], ["BREW", "/healthz", "GET, HEAD"],
    ["get", "/healthz", "GET, HEAD"],
  ];
  for (const [method, target, allow] of cases) {
    const reply = await daemon.raw(
      `${method} ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n\r\n`);
    assert.match(reply.text, /^HTTP\/1\.1 405 /, `${method} ${target}`);
    assert.match(reply.text, new RegExp(`allow: ${allow}\r\n`, "i"), `${method} ${target}`);
  }
});

test("an unknown route is a problem with a code", async () => {
  for (const target of ["/api/v1", "/api/v1/", "/api/v2/site", "/api/v1/waters/",
    "/api/v1/waters/0", "/api/v1/waters/01", "/api/v1/waters/-1", "/api/v1/waters/1.0",
    "/api/v1/waters/99999999999999999999", "/api/v1/waters/1/", "/API/v1/site"]) {
    const reply = await daemon.get(target);
    assert.equal(reply.status, 404, target);
    assert.equal(reply.json.code, "not_found", target);
    assert.equal(reply.json.type, "/problems/not_found");
    assert.equal(reply.json.status, 404);
  }
});

test("a query that the route does not know is refused, each part by name", async () => {
  const reply = await daemon.get("/api/v1/readings?watr=1&water=1&x=%C3%A9");
  assert.equal(reply.status, 400);
  assert.deepEqual(reply.json.errors.map((/** @type {any} */ e) => [e.code, e.field]),
    [["query_unknown", "watr"], ["query_unknown", "x"]]);
  for (const target of ["/api/v1/readings?water=1&water=1", "/api/v1/readings?water=%zz",
    "/api/v1/readings?water=%00", "/api/v1/readings?water=%ff", "/api/v1/readings?%",
    "/api/v1/readings?water=1&wat%65r=2", "/api/v1/readings?=1"]) {
    assert.equal((await daemon.get(target)).status, 400, target);
  }
});

/** Ways to climb out of a folder: raw, encoded, doubly, overlong, with NUL, backslash. */
function traversals() {
  const ups = ["..", "%2e%2e", ".%2e", "%2e.", "%252e%252e", "..%00", "..;", "....",
    "%c0%ae%c0%ae", "%u002e%u002e", "..%5c", "..\\"];
  const slashes = ["/", "%2f", "%252f", "\\", "%5c", "//", "%c0%af"];
  const goals = ["etc/passwd", "coilkeep.db", "package.json"];
  const list = [];
  for (const up of ups) {
    for (const slash of slashes) {
      for (const goal of goals) {
        list.push(`/${(up + slash).repeat(4)}${goal}`);
      }
    }
  }
  for (const end of ["%00", "%00.html", "%20", "%0a", "%2f", "/", "/.", "/..", "::$DATA", "~",
    ".bak"]) {
    list.push(`/style.css${end}`, `/index.html${end}`, `/js${end}`);
  }
  list.push("/js/../style.css", "/./style.css", "//style.css", "/js//api.js", "/%73tyle.css",
    "/js", "/js/", "/.git/config", "/proc/self/environ", "/file:///etc/passwd");
  return list;
}

test("no path leads out of the table of pages", async () => {
  const list = traversals();
  assert.ok(list.length >= 200, String(list.length));
  for (const target of list) {
    const reply = await daemon.raw(
      `GET ${target} HTTP/1.1\r\nHost: ${daemon.host}\r\nConnection: close\r\n\r\n`);
    assert.match(reply.text, /^HTTP\/1\.1 404 /, target);
  }
});

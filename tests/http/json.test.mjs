// JSON as cJSON alone would take it, and as nobody should: each is refused with a clear
// code and changes nothing. Sources: RFC 8259 sections 4, 6, 7, 8; RFC 3629 section 3.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startDaemon } from "../support/daemon.mjs";

/** @type {Awaited<ReturnType<typeof startDaemon>>} */
let daemon;
before(async () => {
  // a decimal comma in the environment must change nothing
  daemon = await startDaemon({ env: { LC_ALL: "de_DE.UTF-8" } });
});
after(() => daemon.stop());

const bytes = (/** @type {string} */ text) => Buffer.from(text, "latin1");
const water = (/** @type {string} */ more) =>
  `{"name":"Pool","kind":"pool","sanitiser":"chlorine"${more}}`;

const NOT_JSON = [
  ["nothing", ""],
  ["white space", "  \r\n\t"],
  ["text after the object", water("") + "x"],
  ["a second object", water("") + water("")],
  ["a NUL after the object", bytes(water("") + "\0")],
  ["cut short", water("").slice(0, -1)],
  ["a comma at the end", water(",")],
  ["two commas", water(',,"indoor":true')],
  ["single quotes", "{'name':'Pool'}"],
  ["a name without quotes", '{name:"Pool"}'],
  ["a comment", water("/* note */")],
  ["leading zeros", water(',"volume_m3":007')],
  ["a point without digits", water(',"volume_m3":1.')],
  ["a point without a whole part", water(',"volume_m3":.5')],
  ["a plus sign", water(',"volume_m3":+5')],
  ["a minus sign alone", water(',"volume_m3":-')],
  ["an exponent without digits", water(',"volume_m3":1e')],
  ["hexadecimal", water(',"volume_m3":0x10')],
  ["a decimal comma", water(',"volume_m3":7,4')],
  ["two points", water(',"volume_m3":7.4.1')],
  ["a number beyond doubles", water(',"volume_m3":1e999')],
  ["a negative one", water(',"volume_m3":-1e999')],
  ["NaN", water(',"volume_m3":NaN')],
  ["Infinity", water(',"volume_m3":Infinity')],
  ["minus infinity", water(',"volume_m3":-Infinity')],
  ["True", water(',"indoor":True')],
  ["malformed UTF-8", bytes(water("").replace("Pool", "P\xff"))],
  ["overlong UTF-8", bytes(water("").replace("Pool", "P\xc0\xaf"))],
  ["UTF-8 of a surrogate", bytes(water("").replace("Pool", "P\xed\xa0\x80"))],
  ["UTF-8 cut short", bytes(water("").replace("Pool", "P\xe2\x82"))],
  ["UTF-8 above U+10FFFF", bytes(water("").replace("Pool", "P\xf4\x90\x80\x80"))],
  ["a byte order mark", bytes("\xef\xbb\xbf" + water(""))],
  ["UTF-16", Buffer.from(water(""), "utf16le")],
  ["an escaped NUL", water("").replace("Pool", "Po\\u0000ol")],
  ["a raw NUL in a text", bytes(water("").replace("Pool", "Po\0ol"))],
  ["a raw line feed in a text", water("").replace("Pool", "Po\nol")],
  ["a raw tab in a text", water("").replace("Pool", "Po\tol")],
  ["a lone high surrogate", water("").replace("Pool", "\\ud800")],
  ["a lone low surrogate", water("").replace("Pool", "\\udc00x")],
  ["an unknown escape", water("").replace("Pool", "\\x41")],
  ["half an escape", water("").replace("Pool", "\\u00")],
  ["a member twice", water(',"name":"Other"')],
  ["a member twice, escaped once", water(',"n\\u0061me":"Other"')],
  ["nine levels", '{"a":'.repeat(9) + "1" + "}".repeat(9)],
  ["a thousand levels", "[".repeat(1000) + "]".repeat(1000)],
  ["thirty thousand levels", "[".repeat(30000)],
  ["an array", "[]"],
  ["a text", '"Pool"'],
  ["a number", "7"],
  ["null", "null"],
];

for (const [name, body] of NOT_JSON) {
  test(`${name} is no JSON object of ours: 400`, async () => {
    const reply = await daemon.send("POST", "/api/v1/waters", body);
    assert.equal(reply.status, 400, reply.text);
    assert.equal(reply.json.code, "json_invalid");
    assert.ok(reply.json.detail.length > 10);
  });
}

const BAD_MEMBERS = [
  ["an unknown member", water(',"colour":"blue"'), "member_unknown", "colour"],
  ["a member in other case", water("").replace('"name"', '"Name"'), "member_unknown", "Name"],
  ["a missing member", '{"kind":"pool","sanitiser":"chlorine"}', "member_missing", "name"],
  ["null for a required member", water("").replace('"Pool"', "null"), "member_missing", "name"],
  ["a number for a text", water("").replace('"Pool"', "7"), "wrong_type", "name"],
  ["a text that is blank", water("").replace("Pool", " \\t "), "member_missing", "name"],
  ["a text that is too long", water("").replace("Pool", "x".repeat(64)), "text_too_long", "name"],
  ["an escaped control character", water("").replace("Pool", "a\\u0007b"), "text_invalid", "name"],
  ["a word that is not in the list", water("").replace('"pool"', '"pond"'), "not_in_list", "kind"],
];

for (const [name, body, code, field] of BAD_MEMBERS) {
  test(`${name}: 422 ${code}`, async () => {
    const reply = await daemon.send("POST", "/api/v1/waters", body);
    assert.equal(reply.status, 422, reply.text);
    const found = reply.json.errors.some(
      (/** @type {any} */ error) => error.code === code && error.field === field);
    assert.ok(found, reply.text);
  });
}

test("several faults of one form are told at once", async () => {
  const reply = await daemon.send("POST", "/api/v1/waters",
    '{"kind":"pond","sanitiser":7,"colour":1}');
  assert.equal(reply.status, 422);
  assert.deepEqual(
    reply.json.errors.map((/** @type {any} */ e) => `${e.field} ${e.code}`).sort(),
    ["colour member_unknown", "kind not_in_list", "name member_missing",
      "sanitiser wrong_type"]);
});

test("none of them changed anything, and good JSON is still taken", async () => {
  assert.equal((await daemon.get("/api/v1/waters")).json.waters.length, 0);
  const body = '\r\n {"name" : "P\\u00f6\\ud83d\\ude00l\\/" ,\t"kind":"pool",' +
    '"sanitiser":"chlorine"}\n';
  assert.equal((await daemon.send("POST", "/api/v1/waters", body)).status, 201);
});

// docs/api.md names every code with which the daemon refuses, so that programs can rely
// on them.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");

/** Codes in the daemon's sources: the argument after a status or a problem. */
export function codesIn(source) {
  const found = new Set();
  const calls = [
    /reply_refuse\(\s*[^,]+,\s*[^,]+,\s*"([a-z_]+)"/g,
    /problem_add\(\s*[^,]+,\s*"([a-z_]+)"/g,
    /refuse\(\s*[a-z_]+,\s*\d{3},\s*"([a-z_]+)"/g,
    /fault\(\s*[a-z_]+,\s*"([a-z_]+)"/g,
  ];
  for (const call of calls) {
    for (const match of source.matchAll(call)) found.add(match[1]);
  }
  return found;
}

test("every code in the sources stands in docs/api.md", async () => {
  const docs = await readFile(path.join(root, "docs/api.md"), "utf8");
  const missing = [];
  let count = 0;
  for (const name of await readdir(path.join(root, "server"))) {
    if (!name.endsWith(".c")) continue;
    const source = await readFile(path.join(root, "server", name), "utf8");
    for (const code of codesIn(source)) {
      count += 1;
      if (!docs.includes(`\`${code}\``)) missing.push(`${code} (${name})`);
    }
  }
  assert.ok(count > 40, `only ${count} codes found`);
  assert.deepEqual(missing, []);
});

test("a code that nobody described is found", () => {
  assert.ok(codesIn('reply_refuse(out, 409, "brand_new", NULL, "x");').has("brand_new"));
  assert.ok(codesIn('problem_add(form->problem, "brand_new", "x", "y");').has("brand_new"));
});

// The examples of docs/api.md, sent as they stand.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import path from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

import { startDaemon } from "../support/daemon.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");

/** @param {string} text */
function examplesIn(text) {
  return [...text.matchAll(/```http\n(GET|POST|PUT) (\S+) -> (\d{3})\n([\s\S]*?)```/g)]
    .map(([, method, target, status, rest]) => {
      const tag = /^If-Match: (.*)\n/.exec(rest ?? "");
      return { method, target, status: Number(status), tag: tag?.[1],
        body: tag ? (rest ?? "").slice(tag[0].length) : rest };
    });
}

test("the examples of the documentation work in their order", async () => {
  const examples = examplesIn(await readFile(path.join(root, "docs/api.md"), "utf8"));
  assert.ok(examples.length >= 20, `${examples.length} examples`);
  const daemon = await startDaemon();
  for (const { method, target, status, tag, body } of examples) {
    const reply = method === "GET" ? await daemon.get(target)
      : await daemon.send(method, target, body, {
        ...(tag ? { "If-Match": tag } : {}),
        "Content-Type": target.startsWith("/api/v1/import?") ? "text/csv"
          : "application/json",
      });
    assert.equal(reply.status, status, `${method} ${target}: ${reply.text}`);
  }
  await daemon.stop();
});

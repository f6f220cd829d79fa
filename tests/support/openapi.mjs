// Holds every answer against docs/openapi.json: the status and content type must be
// described, the body must fit its schema, and a tag or place that the description
// promises must be there.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");
const { default: Ajv } = createRequire(path.join(root, "web/package.json"))("ajv/dist/2020.js");

export const loadDocument = () =>
  JSON.parse(readFileSync(path.join(root, "docs/openapi.json"), "utf8"));

/** @param {any} document */
export function makeChecker(document) {
  const ajv = new Ajv({ strict: true, strictRequired: false, strictTypes: false,
    allErrors: true });
  ajv.addKeyword("components");
  ajv.addSchema({ $id: "api", components: document.components });
  const templates = Object.keys(document.paths).map((template) => ({
    template,
    pattern: new RegExp(`^${template.replace(/[.]/g, "\\.")
      .replace("{id}", "[1-9][0-9]{0,17}").replace("{token}", "[A-Za-z0-9_]+")}$`),
  }));
  /** @type {Map<string, import("ajv").ValidateFunction>} */
  const compiled = new Map();

  /** References inside the document lead into the added schema. @param {any} schema */
  const absolute = (schema) =>
    JSON.parse(JSON.stringify(schema).replaceAll('"#/components/', '"api#/components/'));
  const follow = (node) => node?.$ref === undefined ? node
    : node.$ref.slice(2).split("/").reduce((at, part) => at[part], document);

  /** @param {string} key @param {any} schema */
  function validator(key, schema) {
    const known = compiled.get(key);
    if (known !== undefined) return known;
    const made = ajv.compile(absolute(schema));
    compiled.set(key, made);
    return made;
  }

  /** What the document says of a call: null for paths that are no part of it.
   *  @param {string} method @param {string} target */
  function find(method, target) {
    const wanted = (target.split("?")[0] ?? "").replace(/^http:\/\/[^/]*/, "");
    const hit = templates.find(({ pattern }) => pattern.test(wanted));
    const verb = method === "HEAD" ? "get" : method.toLowerCase();
    const operation = hit === undefined ? undefined : document.paths[hit.template][verb];
    return operation === undefined ? null
      : { name: `${verb} ${hit?.template}`, operation };
  }

  /**
   * @param {{method: string, target: string, status: number, text: string,
   *   headers: Record<string, string | string[] | undefined>}} answer
   */
  return function check({ method, target, status, headers, text }) {
    const found = find(method, target);
    const type = String(headers["content-type"] ?? "").split(";")[0];
    if (found === null) {
      // no route: only our own refusals have a shape
      if (type !== "application/problem+json" || method === "HEAD") return;
      const valid = validator("problem", { $ref: "#/components/schemas/Problem" });
      assert.ok(valid(JSON.parse(text)), `${method} ${target}: ${ajv.errorsText(valid.errors)}: ${text}`);
      return;
    }
    const { name, operation } = found;
    const said = follow(operation.responses[status]
      ?? (status >= 400 ? operation.responses.default : undefined));
    assert.ok(said !== undefined, `${name} is not described as answering ${status}: ${text}`);
    for (const header of Object.keys(said.headers ?? {}))
      assert.ok(headers[header.toLowerCase()], `${name} ${status} without ${header}`);
    if (status === 304 || said.content === undefined) {
      assert.equal(text, "", `${name} ${status} has a body`);
      return;
    }
    const content = said.content[type];
    assert.ok(content !== undefined, `${name} ${status} is not described as ${type}`);
    if (method === "HEAD" || !type.endsWith("json")) return;
    const valid = validator(`${name} ${operation.responses[status] ? status : "default"} ${type}`,
      content.schema);
    assert.ok(valid(JSON.parse(text)),
      `${name} ${status}: ${ajv.errorsText(valid.errors)}: ${text.slice(0, 600)}`);
  };
}

/** The checker of the document as it stands. */
export const checkAnswer = makeChecker(loadDocument());

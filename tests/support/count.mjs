// Counts what a test run passed and failed: prints "PASSED FAILED".
//
//     count.mjs meson testlog.json   each program's TAP lines, or its closing
//                                    "N passed, N failed"; a program that ended badly
//                                    without a failed line counts as one failure
//     count.mjs tap report.tap       the closing counts of node's test runner

import { readFileSync } from "node:fs";

/** @param {string} text @param {RegExp} pattern */
function countLines(text, pattern) {
  return text.split("\n").filter((line) => pattern.test(line)).length;
}

/** @param {{result: string, stdout?: string}} program */
function countProgram(program) {
  const text = program.stdout ?? "";
  const closing = /^(\d+) passed, (\d+) failed$/m.exec(text);
  let passed = countLines(text, /^ok\b/);
  let failed = countLines(text, /^not ok\b/);
  if (closing) {
    passed = Number(closing[1]);
    failed = Number(closing[2]);
  } else if (passed + failed === 0 && program.result === "OK") {
    passed = 1;
  }
  if (program.result !== "OK" && failed === 0) failed = 1;
  return [passed, failed];
}

/** @param {string} text */
function countMeson(text) {
  let passed = 0;
  let failed = 0;
  for (const line of text.split("\n")) {
    if (line === "") continue;
    const [good, bad] = countProgram(JSON.parse(line));
    passed += good;
    failed += bad;
  }
  return [passed, failed];
}

/** @param {string} text */
function countTap(text) {
  const closing = (/** @type {string} */ word) =>
    Number(new RegExp(`^# ${word} (\\d+)$`, "m").exec(text)?.[1] ?? 0);
  // a report without its end was cut short
  const cut = /^# tests \d+$/m.test(text) ? 0 : 1;
  return [closing("pass"), closing("fail") + closing("cancelled") + cut];
}

const [kind, path] = process.argv.slice(2);
const text = readFileSync(path ?? "", "utf8");
console.log((kind === "meson" ? countMeson(text) : countTap(text)).join(" "));

// The daemon refuses root, and tests often run as root: in a container, on a build
// machine. There it is started through setpriv as a user of no rights, who gets the
// folders that it is pointed to. The program is handed over as an open file, because it
// may lie in a folder that this user cannot enter.

import { spawn } from "node:child_process";
import { closeSync, lchownSync, lstatSync, openSync, readdirSync } from "node:fs";
import os from "node:os";
import path from "node:path";

const NOBODY = 65534;

export const isRoot = process.getuid?.() === 0;

/** Gives a folder or file with all that is in it to the daemon's user.
 *  @param {string} place */
export function giveAway(place) {
  if (!isRoot) return;
  try {
    if (lstatSync(place).isDirectory()) {
      for (const name of readdirSync(place)) giveAway(path.join(place, name));
    }
    lchownSync(place, NOBODY, NOBODY);
  } catch (fault) {
    // a test may point to what is not there, or to a disk that cannot be written
    const { code } = /** @type {NodeJS.ErrnoException} */ (fault);
    if (!["ENOENT", "ENOTDIR", "EROFS"].includes(String(code))) throw fault;
  }
}

/** The command that runs a program as the daemon's user.
 *  @param {string} program @param {string[]} args @returns {[string, string[]]} */
function asNobody(program, args) {
  return ["setpriv", [`--reuid=${NOBODY}`, `--regid=${NOBODY}`, "--clear-groups",
    "--inh-caps=-all", "--no-new-privs", program, ...args]];
}

/**
 * @param {string} program @param {string[]} args
 * @param {Record<string, string | undefined>} [env] on top of ours
 */
export function spawnDaemon(program, args, env = {}) {
  const all = { env: { ...process.env, ...env } };
  if (!isRoot) return spawn(program, args, { ...all, stdio: ["ignore", "pipe", "pipe"] });
  for (const word of [...args, ...Object.values(env)]) {
    if (word?.startsWith(os.tmpdir() + path.sep)) giveAway(word);
  }
  const file = openSync(program, "r");
  try {
    const [command, words] = asNobody("/proc/self/fd/3", args);
    return spawn(command, words, { ...all, stdio: ["ignore", "pipe", "pipe", file] });
  } finally {
    closeSync(file);
  }
}

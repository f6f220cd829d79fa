// Starts the daemon on a free port with a data folder of its own, talks to it, and ends
// it by its process id. stop() fails the test when the daemon did not end cleanly or a
// sanitizer spoke.
//
//     const daemon = await startDaemon();          // { args, data, clock, env }
//     const reply = await daemon.get("/healthz");  // { status, headers, text, json }
//     await daemon.send("POST", "/api/v1/waters", { name: "Pool", … });
//     await daemon.stop();

import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import http from "node:http";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { checkAnswer } from "./openapi.mjs";
import { giveAway, spawnDaemon } from "./unprivileged.mjs";

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");

export const daemonPath =
  process.env.COILKEEPD ?? path.join(root, ".build/sanitize/server/coilkeepd");

/** @type {Set<import("node:child_process").ChildProcess>} */
const running = new Set();
process.on("exit", () => running.forEach((child) => child.kill("SIGKILL")));

const SANITIZER_WORDS = /AddressSanitizer|LeakSanitizer|runtime error:|ThreadSanitizer/;

/** A folder that goes away with remove(). */
export async function makeFolder() {
  const folder = await mkdtemp(path.join(os.tmpdir(), "coilkeep-test-"));
  giveAway(folder);
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
}

/**
 * Runs the daemon until it ends by itself: for starts that are to fail.
 * @param {string[]} args
 * @param {Record<string, string | undefined>} [env]
 */
export async function runDaemon(args, env = {}) {
  const child = spawnDaemon(daemonPath, args, env);
  let out = "";
  let err = "";
  child.stdout.on("data", (bytes) => (out += bytes));
  child.stderr.on("data", (bytes) => (err += bytes));
  const code = await new Promise((resolve, reject) => {
    const timer = setTimeout(() => {
      child.kill("SIGKILL");
      reject(new Error(`the daemon did not end by itself: ${out}${err}`));
    }, 20_000);
    child.on("error", reject);
    child.on("close", (status) => {
      clearTimeout(timer);
      resolve(status);
    });
  });
  assert.doesNotMatch(err, SANITIZER_WORDS);
  return { code, out, err };
}

/** @param {import("node:child_process").ChildProcess} child @param {() => string} err */
function waitUntilReady(child, err) {
  return new Promise((resolve, reject) => {
    let out = "";
    const timer = setTimeout(() => reject(new Error(`not ready: ${err()}`)), 60_000);
    child.stdout?.on("data", (bytes) => {
      out += bytes;
      const ready = /^listening on (http:\/\/\S+)$/m.exec(out);
      if (ready) {
        clearTimeout(timer);
        resolve(/** @type {string} */ (ready[1]));
      }
    });
    child.on("error", reject);
    child.on("close", (code) => {
      clearTimeout(timer);
      reject(new Error(`the daemon ended with ${code}: ${err()}`));
    });
  });
}

/**
 * One request, answered whole; the answer must fit docs/openapi.json. headers: null takes a default header away.
 * @param {number} port
 * @param {string} method
 * @param {string} target
 * @param {{headers?: Record<string, string | null>, body?: string | Buffer | null,
 *   agent?: http.Agent, address?: string}} [options]
 */
export function request(port, method, target, options = {}) {
  const headers = {};
  for (const [name, value] of Object.entries(options.headers ?? {})) {
    if (value !== null) headers[name] = value;
  }
  const body = options.body ?? null;
  if (body !== null) headers["Content-Length"] = String(Buffer.byteLength(body));
  return new Promise((resolve, reject) => {
    const outgoing = http.request(
      { host: options.address ?? "127.0.0.1", port, method, path: target, headers,
        agent: options.agent ?? false },
      (incoming) => {
        const pieces = [];
        incoming.on("data", (piece) => pieces.push(piece));
        incoming.on("error", reject);
        incoming.on("end", () => {
          const bytes = Buffer.concat(pieces);
          try {
            checkAnswer({ method, target, status: incoming.statusCode ?? 0,
              headers: incoming.headers, text: bytes.toString("utf8") });
          } catch (fault) {
            reject(fault);
          }
          resolve({
            status: incoming.statusCode,
            headers: incoming.headers,
            rawHeaders: incoming.rawHeaders,
            bytes,
            text: bytes.toString("utf8"),
            get json() {
              return JSON.parse(this.text);
            },
          });
        });
      },
    );
    outgoing.on("error", reject);
    outgoing.end(body ?? undefined);
  });
}

/**
 * Sends bytes as they are and gives back all that came until the other end closed or was
 * silent for quiet_ms.
 * @param {number} port
 * @param {string | Buffer | (string | Buffer)[]} pieces
 * @param {{quiet_ms?: number, gap_ms?: number}} [options]
 */
export function sendRaw(port, pieces, options = {}) {
  const { quiet_ms = 1500, gap_ms = 20 } = options;
  const list = Array.isArray(pieces) ? pieces : [pieces];
  return new Promise((resolve) => {
    const socket = net.connect(port, "127.0.0.1");
    const got = [];
    let closed = false;
    const finish = () => {
      socket.destroy();
      resolve({ text: Buffer.concat(got).toString("latin1"), closed });
    };
    let timer = setTimeout(finish, quiet_ms);
    socket.setNoDelay(true);
    socket.on("data", (bytes) => {
      got.push(bytes);
      clearTimeout(timer);
      timer = setTimeout(finish, quiet_ms);
    });
    socket.on("error", () => {
      closed = true;
    });
    socket.on("close", () => {
      closed = true;
      clearTimeout(timer);
      finish();
    });
    socket.on("end", () => {
      closed = true;
    });
    socket.on("connect", async () => {
      for (const piece of list) {
        if (socket.destroyed) return;
        socket.write(typeof piece === "string" ? Buffer.from(piece, "latin1") : piece);
        if (list.length > 1) await pause(gap_ms);
      }
    });
  });
}

/** @param {number} duration_ms */
export function pause(duration_ms) {
  return new Promise((resolve) => setTimeout(resolve, duration_ms));
}

/**
 * @param {{args?: string[], data?: string, clock?: boolean, demo?: boolean,
 *   env?: Record<string, string | undefined>, program?: string}} [options]
 *   clock: give the daemon a clock that setClock() moves
 */
export async function startDaemon(options = {}) {
  const own = options.data === undefined ? await makeFolder() : null;
  const data = options.data ?? own?.folder ?? "";
  const clockFile = path.join(data, "test-clock");
  const args = ["--port", "0", "--data", data, ...(options.args ?? [])];
  if (options.demo) args.push("--demo");
  if (options.clock) {
    await writeFile(clockFile, "0\n");
    args.push("--test-clock", clockFile);
  }
  const child = spawnDaemon(options.program ?? daemonPath, args, options.env);
  // a test that fails before stop() must neither hang nor leave a daemon behind
  child.unref();
  child.stdout.unref?.();
  child.stderr.unref?.();
  running.add(child);
  let err = "";
  child.stderr.on("data", (bytes) => (err += bytes));
  const ended = new Promise((resolve) => child.on("close", resolve));
  void ended.then(() => running.delete(child));
  const origin = await waitUntilReady(child, () => err);
  const port = Number(new URL(origin).port);
  const host = `127.0.0.1:${port}`;

  return {
    port,
    origin,
    host,
    data,
    pid: child.pid,
    stderr: () => err,

    /** @param {string} target @param {Record<string, string | null>} [headers] */
    get(target, headers = {}) {
      return request(port, "GET", target, { headers: { Host: host, ...headers } });
    },

    /**
     * A change with all the headers that our own pages send. body: an object is sent as
     * JSON, a text or bytes as they are.
     * @param {string} method @param {string} target @param {unknown} body
     * @param {Record<string, string | null>} [headers]
     */
    send(method, target, body, headers = {}) {
      const isRaw = typeof body === "string" || Buffer.isBuffer(body);
      return request(port, method, target, {
        headers: {
          Host: host,
          Origin: `http://${host}`,
          "Content-Type": "application/json",
          "Coilkeep-Change": "1",
          "Idempotency-Key": randomUUID(),
          ...headers,
        },
        body: isRaw ? body : JSON.stringify(body),
      });
    },

    /** @param {string | Buffer | (string | Buffer)[]} pieces
     *  @param {{quiet_ms?: number, gap_ms?: number}} [rawOptions] */
    raw(pieces, rawOptions) {
      return sendRaw(port, pieces, rawOptions);
    },

    /** Moves the daemon's clock to now plus so many seconds. @param {number} offset_s */
    setClock(offset_s) {
      return writeFile(clockFile, `${offset_s}\n`);
    },

    /** Ends the daemon; the time it took, in ms. keep: leave the data folder.
     *  @param {{signal?: NodeJS.Signals, keep?: boolean}} [how] */
    async stop({ signal = "SIGTERM", keep = false } = {}) {
      const start_ms = Date.now();
      child.ref();
      child.kill(signal);
      const late = setTimeout(() => child.kill("SIGKILL"), 20_000);
      const code = await ended;
      clearTimeout(late);
      if (!keep) await own?.remove();
      assert.doesNotMatch(err, SANITIZER_WORDS);
      assert.equal(code, 0, `the daemon ended with ${code}: ${err}`);
      return Date.now() - start_ms;
    },

    /** Ends it without warning, as a crash would. */
    async kill({ keep = false } = {}) {
      child.ref();
      child.kill("SIGKILL");
      await ended;
      if (!keep) await own?.remove();
    },
  };
}

// The authority for a page: the engine in a worker as soon as it is ready, the server
// until then and where there is no engine.

import { Client } from "../client.js";
import { ApiError } from "../error.js";
import { ofTables, withMethods } from "../methods.js";
import { Offline } from "./offline.js";

// A spin, to have the engine compiled to the end before somebody waits for it.
const warmUp = {
  category: "senior-women",
  segment: "free-skating",
  elements: [{ spin: { feet: [{ positions: [{ position: "CAMEL", variation: "CAMEL_UPWARD", revolutions: 8 }] }] } }],
};
const ROUNDS = 20;

// The page is seen first: the engine takes both cores of a phone for a while.
const seen = () => new Promise((resolve) => (globalThis.requestIdleCallback ?? setTimeout)(resolve));

/**
 * openEngine returns at once. Whether calls need the network says .offline; .ready
 * resolves to it when the engine is ready or known to be missing.
 */
export function openEngine(server, { seasons = ["current"], ...options } = {}) {
  return new Engine(server, seasons, options);
}

class Engine {
  #server;
  #local;

  constructor(server, seasons, options) {
    this.#server = new Client(server);
    this.offline = false;
    this.reason = ""; // why there is no engine
    this.ready = this.#open(seasons, options).then(
      () => (this.offline = true),
      (error) => {
        this.reason = error.message;
        return false;
      },
    );
  }

  async #open(seasons, options) {
    await seen();
    const local = new Offline(await work({ seasons, ...options }));
    await local.load(seasons);
    for (let i = 0; i < ROUNDS; i++) await local.call("CallLevels", { season: seasons[0] ?? "current", ...warmUp }).catch(() => undefined);
    this.#local = local;
  }

  /** call makes a call and resolves to its answer; it throws an ApiError. */
  async call(call, request = {}, options = {}) {
    const computed = ofTables(call);
    const local = async () => {
      try {
        return await this.#local.call(call, request, options);
      } catch (error) {
        if (error.status !== 0) throw error; // a season did not load: the server may have it
        return this.#server.call(call, request, options);
      }
    };
    if (computed && this.offline) return local();
    try {
      return await this.#server.call(call, request, options);
    } catch (error) {
      if (!computed || error.status !== 0 || !(await this.ready)) throw error;
      return local();
    }
  }
}

withMethods(Engine);

// fromElsewhere is a script of this site that loads one of another site: a browser starts
// workers only from a page's own.
const fromElsewhere = (script) => URL.createObjectURL(new Blob([`import ${JSON.stringify(script.href)};`], { type: "text/javascript" }));

// work starts a worker. What it resolves to answers as what start resolves to.
async function work(options) {
  const script = new URL("./worker.js", import.meta.url);
  const worker = script.origin === location.origin
    ? new Worker(new URL("./worker.js", import.meta.url), { type: "module" }) // as bundlers look for it
    : new Worker(fromElsewhere(script), { type: "module" });
  const waiting = new Map();
  let last = 0;
  worker.onmessage = ({ data: { id, status, answer } }) => {
    waiting.get(id)({ status, answer });
    waiting.delete(id);
  };
  worker.onerror = () => {
    for (const resolve of waiting.values()) resolve({ status: 0, answer: { message: "the engine's worker cannot be started" } });
    waiting.clear();
  };
  const ask = (message) =>
    new Promise((resolve) => {
      waiting.set(++last, resolve);
      worker.postMessage({ id: last, ...message });
    });
  const { wasm } = options;
  const address = typeof wasm === "string" || wasm instanceof URL ? new URL(wasm, document.baseURI).href : wasm;
  const { status, answer } = await ask({ start: { ...options, wasm: address } });
  if (status !== 200) {
    worker.terminate();
    throw new ApiError(status, answer);
  }
  return (method, path, body) => ask({ method, path, body });
}

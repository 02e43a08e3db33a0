// Starts the engine as WebAssembly.

import { ApiError } from "../error.js";

const built = new URL("./built/", import.meta.url);

let Go; // the compiler's own side of the engine in JavaScript
let started = 0;

/**
 * start starts an engine and resolves when it has read the list of its seasons; it fetches
 * the named seasons beside it, for calls to come. What it resolves to answers one call in
 * the REST form: (method, path, body) => {status, answer}.
 */
export async function start({ wasm, seasons = [], rules, signal } = {}) {
  signal?.throwIfAborted();
  const address = await location(wasm);
  const compiling = compiled(address ?? (await wasm), signal);
  const folder = new URL("seasons/", address ?? built);
  const load = async (name) => new Uint8Array(await bytes(new URL(encodeURIComponent(name), folder)));
  const first = rules ? ["sources.zip"] : ["index", ...seasons.filter((season) => season !== "current")]; // what that is the engine finds out
  const coming = new Map(first.map((name) => [name, load(name)]));
  for (const early of [compiling, ...coming.values()]) early.catch(() => undefined); // whoever waits for it reports it
  const once = (name) => { // a file that did not come is fetched when it is asked for again
    const early = coming.get(name);
    coming.delete(name);
    return early ?? load(name);
  };
  const page = { load: once, rules: rules ? filesOf(rules) : null };
  if (!Go) {
    await import(new URL("wasm_exec.js", address ?? built).href);
    Go = globalThis.Go;
  }

  const go = new Go();
  const instance = await WebAssembly.instantiate(await compiling, go.importObject);
  const name = `rinktally engine ${++started}`;
  globalThis[name] = page;
  go.argv = ["rinktally", name];
  const waiting = new Set(); // of what an engine that ends will not answer any more
  const ended = () => {
    for (const fail of waiting) fail(new ApiError(0, { message: "the engine has ended" }));
  };
  try {
    const call = await new Promise((resolve, reject) => {
      waiting.add(reject);
      page.ready = resolve;
      page.failed = (message) => reject(new Error(message));
      go.run(instance).then(ended, reject);
    });
    waiting.clear();
    return (method, path, body = "") =>
      new Promise((resolve, reject) => {
        waiting.add(reject);
        call(method, path, body, (status, text) => {
          waiting.delete(reject);
          resolve({ status, answer: status === 0 ? { message: text } : JSON.parse(text) });
        });
      });
  } finally {
    delete globalThis[name];
  }
}

// location is the address that the engine is fetched from; undefined where it is given.
async function location(wasm) {
  const given = await wasm;
  if (given === undefined) return new URL("rinktally.wasm", built);
  return typeof given === "string" || given instanceof URL ? new URL(given, globalThis.document?.baseURI ?? import.meta.url) : undefined;
}

// compiled compiles the engine while it comes, where it comes from a server.
async function compiled(wasm, signal) {
  if (wasm instanceof WebAssembly.Module) return wasm;
  if (!(wasm instanceof URL || wasm instanceof Response)) return WebAssembly.compile(wasm);
  if (wasm.protocol === "file:") return WebAssembly.compile(await bytes(wasm));
  const module = await WebAssembly.compileStreaming(wasm instanceof Response ? wasm : fetched(wasm, signal));
  signal?.throwIfAborted();
  return module;
}

async function bytes(url) {
  if (url.protocol !== "file:") return (await fetched(url)).arrayBuffer();
  const ofNode = "node:fs/promises"; // not for bundlers to look for
  const { readFile } = await import(ofNode);
  return readFile(url);
}

async function fetched(url, signal) {
  const response = await fetch(url, { signal });
  if (!response.ok) throw new Error(`${url.href} is answered with ${response.status}`);
  return response;
}

// filesOf lists files of tables with their paths, as bytes.
function filesOf(rules) {
  const files = rules instanceof Map ? [...rules] : Object.entries(rules);
  return files.map(([path, content]) => [path, typeof content === "string" ? new TextEncoder().encode(content) : new Uint8Array(content)]);
}

// Starts the engine as WebAssembly.

import { ApiError } from "../error.js";

const built = new URL("./built/", import.meta.url);

let Go; // the compiler's own side of the engine in JavaScript
let started = 0;

/**
 * start starts an engine and resolves when it has read the list of its seasons. What it
 * resolves to answers one call in the REST form: (method, path, body) => {status, answer}.
 */
export async function start({ wasm, rules, signal } = {}) {
  signal?.throwIfAborted();
  const address = await location(wasm);
  if (!Go) {
    await import(new URL("wasm_exec.js", address ?? built).href);
    Go = globalThis.Go;
  }
  const seasons = new URL("seasons/", address ?? built);
  const load = async (name) => new Uint8Array(await bytes(new URL(name, seasons)));
  const first = rules ? "sources.zip" : "index"; // comes beside the engine
  const coming = load(first);
  coming.catch(() => undefined); // the engine reports it
  const page = { load: (name) => (name === first ? coming : load(name)), rules: rules ? filesOf(rules) : null };

  const go = new Go();
  const instance = await instantiate(address ?? (await wasm), go.importObject, signal);
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

async function instantiate(wasm, imports, signal) {
  if (wasm instanceof WebAssembly.Module) return WebAssembly.instantiate(wasm, imports);
  let result;
  if (wasm instanceof Response) result = await WebAssembly.instantiateStreaming(wasm, imports);
  else if (!(wasm instanceof URL)) result = await WebAssembly.instantiate(wasm, imports);
  else if (wasm.protocol === "file:") result = await WebAssembly.instantiate(await bytes(wasm), imports);
  else result = await WebAssembly.instantiateStreaming(fetched(wasm, signal), imports);
  signal?.throwIfAborted();
  return result.instance;
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

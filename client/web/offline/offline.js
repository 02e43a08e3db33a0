// The engine behind the methods of the Client: the same answers and errors, without a
// server. It runs in browsers and in Node.js.

import { address } from "../address.js";
import { ApiError } from "../error.js";
import { ofTables, withMethods } from "../methods.js";
import { start } from "./start.js";

export { ApiError };

/**
 * openOffline starts the engine as WebAssembly with some seasons at hand; others are
 * loaded when they are first asked for.
 */
export async function openOffline({ wasm, seasons = ["current"], rules, signal } = {}) {
  const client = new Offline(await start({ wasm, seasons, rules, signal }));
  await client.load(seasons, { signal });
  return client;
}

// document is a file as a server answers it, without JSON around it.
const document = ({ contentType, data }) => new Blob([Uint8Array.from(atob(data), (c) => c.charCodeAt(0))], { type: contentType });

/** Offline answers the calls that need only tables. */
export class Offline {
  #answer;

  constructor(answer) {
    this.#answer = answer;
    this.offline = true;
  }

  /** load loads seasons, so that calls on them need no network. */
  async load(seasons, options) {
    for (const season of seasons) {
      await this.call("GetElement", { season, code: "3Lz" }, options).catch((error) => {
        if (error.reason !== "ELEMENT_NOT_FOUND") throw error; // it has no singles
      });
    }
  }

  /** call makes a call and resolves to its answer; it throws an ApiError. */
  async call(call, request = {}, { signal } = {}) {
    signal?.throwIfAborted();
    const { method, path, body } = address(call, request);
    const { status, answer } = await this.#answer(method, path, body);
    signal?.throwIfAborted();
    if (status !== 200) throw new ApiError(status, answer);
    return answer.file ? document(answer.file) : answer;
  }
}

withMethods(Offline, ofTables);

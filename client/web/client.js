// A typed client of the REST paths. It runs in browsers and in Node.js and needs
// nothing but fetch.

import { address } from "./address.js";
import { repeated } from "./again.js";
import { calls } from "./contract.js";
import { ApiError, refused, silent, withReason } from "./error.js";
import { withMethods } from "./methods.js";
import { notAllowed } from "./origin.js";

export { requestId } from "./again.js";
export { ApiError };

// PATIENCE is how long an answer is waited for, in milliseconds. A connection that
// broke without a word would otherwise hold a page up for minutes.
const PATIENCE = 30_000;

/** serverOf returns the address of a server as one that paths can stand behind. */
export function serverOf(address) {
  const text = String(address).replace(/\/*$/, "/");
  if (/^https?:\/\//i.test(text) && URL.canParse(text)) return new URL(text);
  throw new TypeError(`${address} is no address of a server: write it as https://scores.example`);
}

/** headersOf returns the headers of whoever has a token. */
export const headersOf = (token, more = {}) => new Headers({ ...more, ...(token ? { Authorization: `Bearer ${token}` } : {}) });

/** Client calls one server. */
export class Client {
  #answered = false; // so that this site may read it

  constructor(server, { token = "", timeout = PATIENCE, again = {} } = {}) {
    this.server = serverOf(server);
    this.token = token;
    this.timeout = timeout;
    this.again = again;
    this.offline = false; // an answer needs the network
  }

  /** url returns the address of a call without a body, to link to. */
  url(call, request = {}) {
    return this.#at(address(call, request).path);
  }

  /** call makes a call and returns its answer, a Blob where that is a document; it throws an ApiError. */
  async call(call, request = {}, { signal } = {}) {
    address(call, request); // a call that cannot be made is the caller's fault
    signal?.throwIfAborted();
    const control = new AbortController();
    const end = () => control.abort(signal.reason);
    signal?.addEventListener("abort", end, { once: true });
    const late = () => control.abort(withReason("DEADLINE", `the server at ${this.server.origin} did not answer within ${this.timeout / 1000} s`));
    const timer = this.timeout ? setTimeout(late, this.timeout) : undefined;
    try {
      return await repeated(call, request, this.again, control.signal, (sent) => this.#ask(call, sent, control.signal));
    } catch (error) {
      if (error.status === 0 && !error.reason && !this.#answered) throw (await notAllowed(this.server, { cause: error.cause })) ?? error;
      throw error;
    } finally {
      clearTimeout(timer);
      signal?.removeEventListener("abort", end);
    }
  }

  // #ask makes a call once.
  async #ask(call, request, signal) {
    const { method, path, body } = address(call, request);
    const headers = headersOf(this.token, body ? { "Content-Type": "application/json" } : {});
    let response, isJSON, answer;
    try {
      response = await fetch(this.#at(path), { method, headers, body, signal });
      this.#answered = true;
      isJSON = (response.headers.get("Content-Type") ?? "").startsWith("application/json");
      answer = isJSON ? await response.json() : await response.blob();
    } catch (cause) {
      if (signal.aborted) throw signal.reason;
      throw silent(this.server, cause);
    }
    if (response.ok && (isJSON || calls[call].file)) return answer;
    throw refused(response, isJSON ? answer : undefined);
  }

  #at(path) {
    return new URL(path.slice(1), this.server).href;
  }
}

withMethods(Client);

// A typed client of the REST paths. It runs in browsers and in Node.js and needs
// nothing but fetch.

import { address } from "./address.js";

// PATIENCE is how long an answer is waited for. A connection that broke without a
// word would otherwise hold a page up for minutes.
const PATIENCE = 30_000;

/** ApiError is an answer that refuses a call, or the lack of one. */
export class ApiError extends Error {
  constructor(status, body) {
    super(body?.message || (status ? `the server answered ${status}` : "the server does not answer"));
    this.name = "ApiError";
    this.status = status; // of HTTP; 0 when nobody answered
    const details = body?.details ?? [];
    this.reason = details.find((d) => d.reason)?.reason ?? "";
    this.metadata = details.find((d) => d.reason)?.metadata ?? {};
    this.fields = details.flatMap((d) => d.fieldViolations ?? []);
  }

  /** Whether the same call may go well a little later. */
  get temporary() {
    return [0, 408, 429, 502, 503, 504].includes(this.status);
  }
}

/** requestId makes an id for a call that changes something, so that it can be repeated. */
export function requestId() {
  // crypto.randomUUID is missing in pages that come over plain HTTP.
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

/** Client calls one server. */
export class Client {
  constructor(server, { token = "" } = {}) {
    this.server = new URL(server.endsWith("/") ? server : `${server}/`);
    this.token = token;
    this.offline = false; // an answer needs the network
  }

  /** url returns the address of a call without a body, to link to. */
  url(call, request = {}) {
    return this.#at(address(call, request).path);
  }

  /** call makes a call and returns its answer, a Blob where that is a document; it throws an ApiError. */
  async call(call, request = {}, { signal } = {}) {
    const { method, path, body } = address(call, request);
    const headers = {};
    if (this.token) headers.Authorization = `Bearer ${this.token}`;
    if (body) headers["Content-Type"] = "application/json";
    let response;
    try {
      response = await fetch(this.#at(path), { method, headers, body, signal: signal ?? AbortSignal.timeout(PATIENCE) });
    } catch (cause) {
      if (signal?.aborted) throw cause;
      throw new ApiError(0);
    }
    const isJSON = (response.headers.get("Content-Type") ?? "").startsWith("application/json");
    let answer;
    try {
      answer = isJSON ? await response.json() : await response.blob();
    } catch {
      throw new ApiError(0); // the connection broke while it answered
    }
    if (!response.ok) throw new ApiError(response.status, isJSON ? answer : undefined);
    return answer;
  }

  #at(path) {
    return new URL(path.slice(1), this.server).href;
  }
}

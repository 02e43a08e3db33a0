// Calls that are made again: those that the Go client makes again, as often and after
// the same pauses.

import { again, calls } from "./contract.js";

const UNAVAILABLE = 14; // code of gRPC
const IN_ITS_PLACE = [429, 502, 503, 504]; // what gRPC takes for it where a proxy answers instead

const unavailable = ({ status, code }) => (code === undefined ? status === 0 || IN_ITS_PLACE.includes(status) : code === UNAVAILABLE);

/** requestId makes an id for a call that changes something, so that it can be made again. */
export function requestId() {
  // crypto.randomUUID is missing in pages that come over plain HTTP.
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

// wait ends with an error when the signal is aborted.
const wait = (time, signal) => new Promise((resolve, reject) => {
  const end = () => {
    clearTimeout(timer);
    reject(signal.reason);
  };
  const timer = setTimeout(() => {
    signal.removeEventListener("abort", end);
    resolve();
  }, time);
  signal.addEventListener("abort", end, { once: true });
});

/**
 * repeated makes a call by attempt(request), and again while the server is unavailable
 * and the call may be repeated. What changes something gets a request id of its own,
 * one for all attempts.
 */
export async function repeated(call, request, policy, signal, attempt) {
  const { changes, once } = calls[call];
  const { attempts, pause, maxPause, jitter } = { ...again, ...policy };
  const sent = changes && !once && !request.requestId ? { ...request, requestId: requestId() } : request;
  for (let n = 1; ; n++) {
    try {
      return await attempt(sent);
    } catch (error) {
      if (signal.aborted || once || n >= attempts || !unavailable(error)) throw error;
    }
    await wait(Math.min(pause * 2 ** (n - 1), maxPause) * (1 + jitter * (2 * Math.random() - 1)), signal);
  }
}

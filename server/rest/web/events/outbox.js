// What was typed and is not yet acknowledged. Calls are made one after another in
// their order. One that gets no answer is made again with the same request id, so
// that nothing is lost and nothing happens twice; a page that is loaded again
// goes on with what it had.

import { requestId } from "../../embed/client.js";

const FIRST_PAUSE = 500;
const LONGEST_PAUSE = 5_000;
const CONFLICTS = 8;

export class Outbox {
  #api;
  #key; // of the session storage
  #on; // changed, and refused for calls without their own
  #items;
  #running = false;
  #wake = () => {};

  constructor(api, key, on) {
    this.#api = api;
    this.#key = key;
    this.#on = on;
    this.#items = JSON.parse(sessionStorage.getItem(key) ?? "[]");
    globalThis.addEventListener("online", () => this.#wake());
  }

  /** How many calls are not acknowledged yet. */
  get waiting() {
    return this.#items.length;
  }

  /** Why the first call was tried in vain, while it is tried again; else null. */
  stuck = null;

  /**
   * send makes a call that changes something, as soon as it can. It gives the
   * answer, or throws the ApiError of a refusal. A request that depends on the
   * event's state is given as a function, which is asked again, with true, when the
   * state has moved on meanwhile.
   */
  send(call, request) {
    return new Promise((resolve, reject) => {
      const item = { call, resolve, reject, conflicts: 0 };
      if (typeof request === "function") item.build = request;
      else item.request = { ...request, requestId: requestId() };
      this.#items.push(item);
      this.#save();
      this.run();
    });
  }

  /** run goes on with what waits. */
  async run() {
    this.#wake();
    if (this.#running) return;
    this.#running = true;
    let pause = FIRST_PAUSE;
    while (this.#items.length > 0) {
      const item = this.#items[0];
      try {
        item.request ??= { ...(await item.build(item.conflicts > 0)), requestId: requestId() };
        const answer = await this.#api.call(item.call, item.request);
        this.#items.shift();
        pause = FIRST_PAUSE;
        this.stuck = null;
        item.resolve?.(answer);
      } catch (error) {
        if (error.temporary) {
          this.stuck = error;
          this.#save();
          await this.#sleep(pause);
          pause = Math.min(2 * pause, LONGEST_PAUSE);
          continue;
        }
        if (error.status === 401) { // what was typed waits for another token
          this.#running = false;
          this.#on.locked(error);
          return;
        }
        if (error.reason === "SEQUENCE_CONFLICT" && item.build && ++item.conflicts < CONFLICTS) {
          item.request = undefined;
          continue;
        }
        this.#items.shift();
        this.stuck = null;
        if (item.reject) item.reject(error);
        else this.#on.refused(error);
      }
      this.#save();
    }
    this.#running = false;
  }

  #save() {
    // A call that is still to be made from the state is not kept: what it would be
    // then was not typed.
    const kept = this.#items.filter((i) => i.request).map(({ call, request }) => ({ call, request }));
    if (kept.length) sessionStorage.setItem(this.#key, JSON.stringify(kept));
    else sessionStorage.removeItem(this.#key);
    this.#on.changed();
  }

  #sleep(ms) {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, ms);
      this.#wake = () => { clearTimeout(timer); resolve(); };
    });
  }
}

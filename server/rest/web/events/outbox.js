// What was typed and is not yet acknowledged. Calls are made one after another in
// their order. One that gets no answer is made again with the same request id, so
// that nothing is lost and nothing happens twice; a page that is loaded again
// goes on with what it had.

import { ApiError, requestId } from "../../embed/client.js";
import { explain } from "./refusal.js";

const FIRST_PAUSE = 500;
const LONGEST_PAUSE = 5_000;
const CONFLICTS = 8;

/** concerns says of an item whether it is about a performance. */
export const concerns = (performance) => ({ request }) => ["category", "segment", "entry"].every((name) => request[name] === performance[name]);

/**
 * Outbox holds items { call, request, about, tried, refused }: about is what the desk
 * wants to know of it later, tried whether the server may know of it already, refused
 * why the server will not have it. on has changed(), locked(error) for a code that
 * does not hold any more, and answered(answer, item).
 */
export class Outbox {
  #api;
  #key; // of the session storage
  #on;
  #items;
  #running = false;
  #wake = () => {};

  constructor(api, key, on) {
    this.#api = api;
    this.#key = key;
    this.#on = on;
    this.#items = JSON.parse(sessionStorage.getItem(key) ?? "[]").map((item) => ({ about: {}, ...item, tried: true, conflicts: 0 }));
    globalThis.addEventListener("online", () => this.#wake());
  }

  /** What is not acknowledged, in the order in which it was typed. */
  get items() {
    return [...this.#items];
  }

  /** How many calls are not acknowledged yet. */
  get waiting() {
    return this.#items.filter((i) => !i.refused).length;
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
    return new Promise((resolve, reject) => this.#add({ call, about: {}, resolve, reject, conflicts: 0 }, request));
  }

  /** post is send for a call that stands in a list: refused, it stays there until somebody decides. */
  post(call, request, about = {}) {
    this.#add({ call, about, conflicts: 0 }, request);
  }

  /** again sends a refused item another time, as a new call, behind all others. */
  again(item) {
    this.#take(item);
    this.post(item.call, item.request, item.about);
  }

  /**
   * drop takes an item back that nobody has to know of any more. It returns false
   * where the server may have it already: then it is sent all the same.
   */
  drop(item) {
    if (item.tried && !item.refused) return false;
    this.#take(item);
    this.#save();
    return true;
  }

  /** mark notes something about an item for later. */
  mark(item, about) {
    item.about = { ...item.about, ...about };
    this.#save();
  }

  #add(item, request) {
    if (typeof request === "function") item.build = request;
    else item.request = { ...request, requestId: requestId() };
    this.#items.push(item);
    this.#save();
    this.run();
  }

  /** run goes on with what waits. */
  async run() {
    this.#wake();
    if (this.#running) return;
    this.#running = true;
    let pause = FIRST_PAUSE;
    for (let item; (item = this.#items.find((i) => !i.refused));) {
      try {
        item.request ??= { ...(await item.build(item.conflicts > 0)), requestId: requestId() };
        item.tried = true;
        const answer = await this.#api.call(item.call, item.request);
        this.#take(item);
        pause = FIRST_PAUSE;
        this.stuck = null;
        this.#on.answered(answer, item);
        item.resolve?.(answer);
      } catch (error) {
        if (!(error instanceof ApiError)) { // a fault of ours: nothing waits for it
          this.#take(item);
          this.#running = false;
          throw error;
        }
        if (error.temporary) {
          this.stuck = error;
          this.#save();
          await this.#sleep(pause);
          pause = Math.min(2 * pause, LONGEST_PAUSE);
          continue;
        }
        if (error.status === 401) { // what was typed waits for another code
          this.#running = false;
          this.#on.locked(error);
          return;
        }
        if (error.reason === "SEQUENCE_CONFLICT" && item.build && ++item.conflicts < CONFLICTS) {
          item.request = undefined;
          continue;
        }
        this.stuck = null;
        if (item.reject) {
          this.#take(item);
          item.reject(error);
        } else item.refused = explain(error);
      }
      this.#save();
    }
    this.#running = false;
  }

  #take(item) {
    this.#items = this.#items.filter((i) => i !== item);
  }

  #save() {
    // A call that is still to be made from the state is not kept: what it would be
    // then was not typed.
    const kept = this.#items.filter((i) => i.request).map(({ call, request, about, refused }) => ({ call, request, about, refused }));
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

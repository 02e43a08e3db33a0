// What was typed and is not yet acknowledged. Calls are made one after another in
// their order. One that gets no answer is made again with the same request id, so
// that nothing is lost and nothing happens twice. What waits is kept by the browser for
// all tabs of the desk: one that is loaded again or opened later goes on with it.

import { ApiError, requestId } from "../../embed/client.js";
import { explain } from "./refusal.js";

const FIRST_PAUSE = 500;
const LONGEST_PAUSE = 5_000;
const CONFLICTS = 8;
const SILENT = 1_000; // ms after which a tab that does not answer is taken for closed

/** concerns says of an item whether it is about a performance. */
export const concerns = (performance) => ({ request }) => ["category", "segment", "entry"].every((name) => request[name] === performance[name]);

/**
 * Outbox holds items { id, call, request, about, time, tab, tried, made, conflicts,
 * refused }: id is the call's request id, about is what the desk wants to know of it
 * later, tab who sends it, tried whether the server may know of it already, made the
 * request that was made of it when it was sent, conflicts how often the state had moved
 * on then, refused why the server will not have it. An item is a value: what changes is
 * another one with the same id.
 *
 * key names the desk. on has changed(), locked(error) for a code that does not hold any
 * more, and answered(answer, item). makes holds, by call, async functions (item, again)
 * for requests that depend on the event's state; again is true when that has moved on.
 *
 * Each item has a key of its own in the local storage, so that tabs do not write over
 * each other. Who has typed something sends it, and waits for what was typed before it
 * in another tab; what a closed tab has left is taken over. Where that tab was only slow,
 * both send it, which the request id makes harmless.
 */
export class Outbox {
  makes = {};
  #api;
  #key;
  #on;
  #tab = requestId();
  #items; // of all tabs, in the order in which they were typed
  #waits = new Map(); // who waits here for the answer to an item, by its id
  #channel; // to the other tabs
  #said = () => {};
  #running = false;
  #wake = () => {};
  #end = new AbortController();

  constructor(api, key, on) {
    this.#api = api;
    this.#key = `${key} `;
    this.#on = on;
    this.#items = this.#kept();
    this.#channel = new BroadcastChannel(key);
    this.#channel.onmessage = ({ data }) => {
      this.#said(data.here);
      if (data.ask !== this.#tab) return;
      this.#channel.postMessage({ here: this.#tab });
      this.#wake(); // somebody waits
    };
    const { signal } = this.#end;
    globalThis.addEventListener("online", () => this.#wake(), { signal });
    globalThis.addEventListener("storage", (change) => this.#elsewhere(change), { signal });
  }

  /** What is not acknowledged, in the order in which it was typed. */
  get items() {
    return [...this.#items];
  }

  /** How many calls are not acknowledged yet. */
  get waiting() {
    return this.#items.filter((i) => !i.refused).length;
  }

  /** open lists what is on its way, or waits for that, of some calls. */
  open(...calls) {
    return this.#items.filter((i) => !i.refused && calls.includes(i.call));
  }

  /** Why the first call was tried in vain, while it is tried again; else null. */
  stuck = null;

  /**
   * send makes a call that changes something, as soon as it can. It returns the
   * answer, or throws the ApiError of a refusal.
   */
  send(call, request, about) {
    return new Promise((resolve, reject) => this.#add({ call, request, about }, { resolve, reject }));
  }

  /**
   * post is send for a call that stands in a list: refused, it stays there until
   * somebody decides. What was posted with an id already is posted once.
   */
  post(call, request, about, id) {
    this.#add({ id, call, request, about });
  }

  /** again sends a refused item another time, behind all others. */
  again({ id, call, request, about }) {
    this.#take(id);
    this.post(call, request, about, id);
  }

  /**
   * drop takes an item back that nobody has to know of any more. It returns false
   * where the server may have it already: then it is sent all the same.
   */
  drop({ id }) {
    const item = this.#find(id);
    if (item?.tried && !item.refused) return false;
    this.#take(id);
    this.#changed();
    return true;
  }

  /** mark notes something about an item for later. */
  mark({ id }, about) {
    const item = this.#find(id);
    if (item) this.#put({ ...item, about: { ...item.about, ...about } });
  }

  /** close ends the sending; what waits stays. */
  close() {
    this.#end.abort();
    this.#channel.close();
    this.#wake();
  }

  #find(id) {
    return this.#items.find((i) => i.id === id);
  }

  #kept() {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(this.#key));
    return keys.map((key) => JSON.parse(localStorage.getItem(key))).filter(Boolean).sort((a, b) => a.time - b.time);
  }

  #add({ id = requestId(), call, request, about = {} }, waits) {
    if (waits) this.#waits.set(id, waits);
    const time = Math.max(Date.now(), (this.#items.at(-1)?.time ?? 0) + 1);
    this.#put({ id, call, request, about, time, tab: this.#tab });
    this.run();
  }

  #put(item) {
    const at = this.#items.findIndex((i) => i.id === item.id);
    this.#items = at < 0 ? [...this.#items, item] : this.#items.with(at, item);
    localStorage.setItem(this.#key + item.id, JSON.stringify(item));
    this.#changed();
  }

  #take(id) {
    this.#items = this.#items.filter((i) => i.id !== id);
    localStorage.removeItem(this.#key + id);
  }

  // #elsewhere takes up what another tab has changed. What somebody waits for here is
  // kept: its answer is still to come.
  #elsewhere({ key }) {
    if (!key?.startsWith(this.#key)) return;
    const kept = this.#kept();
    const missing = this.#items.filter((i) => this.#waits.has(i.id) && !kept.some((k) => k.id === i.id));
    this.#items = [...kept, ...missing.map((i) => ({ ...i, tab: this.#tab }))].sort((a, b) => a.time - b.time);
    this.#changed();
    this.run();
  }

  #changed() {
    if (!this.#end.signal.aborted) this.#on.changed();
  }

  /** run goes on with what waits. */
  async run() {
    this.#wake();
    if (this.#running) return;
    this.#running = true;
    try {
      await this.#all();
    } finally {
      this.#running = false;
    }
  }

  async #all() {
    let pause = FIRST_PAUSE;
    const over = () => this.#end.signal.aborted;
    for (let item; !over() && (item = this.#items.find((i) => !i.refused));) {
      const { id } = item;
      if (item.tab !== this.#tab) {
        const lives = await this.#lives(item.tab);
        if (this.#find(id) !== item) continue;
        if (lives) await this.#sleep(SILENT);
        else this.#put({ ...item, tab: this.#tab });
        continue;
      }
      try {
        const made = item.made ?? (await this.makes[item.call]?.(item, Boolean(item.conflicts)));
        if (over() || !this.#find(id)) continue;
        this.#put({ ...this.#find(id), made, tried: true });
        const answer = await this.#api.call(item.call, { ...(made ?? item.request), requestId: id });
        if (over()) return; // whoever sits down here next hears it
        const now = this.#find(id) ?? item; // with what was noted meanwhile
        pause = FIRST_PAUSE;
        this.stuck = null;
        this.#take(id);
        this.#on.answered(answer, now);
        this.#changed();
        this.#answer(id, "resolve", answer);
      } catch (error) {
        if (!(error instanceof ApiError)) { // a fault of ours: nothing waits for it
          this.#take(id);
          this.#answer(id, "reject", error);
          throw error;
        }
        if (error.temporary) {
          this.stuck = error;
          this.#changed();
          await this.#sleep(pause);
          pause = Math.min(2 * pause, LONGEST_PAUSE);
        } else if (error.status === 401) { // what was typed waits for another code
          if (!over()) this.#on.locked(error);
          return;
        } else this.#refuse(id, error);
      }
    }
  }

  #refuse(id, error) {
    const item = this.#find(id);
    const { conflicts = 0 } = item ?? {};
    this.stuck = null;
    if (item && error.reason === "SEQUENCE_CONFLICT" && this.makes[item.call] && conflicts < CONFLICTS) {
      this.#put({ ...item, made: undefined, conflicts: conflicts + 1 });
      return;
    }
    if (item && !this.#waits.has(id) && !item.about.takenBack) this.#put({ ...item, refused: explain(error) });
    else this.#take(id);
    this.#changed();
    this.#answer(id, "reject", error);
  }

  #answer(id, how, what) {
    const waits = this.#waits.get(id);
    this.#waits.delete(id);
    waits?.[how](what);
  }

  // #lives asks whether a tab is still there.
  #lives(tab) {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, SILENT, false);
      this.#said = (here) => {
        if (here !== tab) return;
        clearTimeout(timer);
        resolve(true);
      };
      this.#channel.postMessage({ ask: tab });
    });
  }

  #sleep(ms) {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, ms);
      this.#wake = () => { clearTimeout(timer); resolve(); };
    });
  }
}

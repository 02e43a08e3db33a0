// What somebody opens on a scoreboard that the board itself does not hold: other
// segments, starting orders, score sheets. Each is read when it is first wanted, and
// again when the board says that it has changed.

import { pause } from "./link.js";

const SPREAD = 2_000; // ms, so that not all who watch ask at once when something changes
const AGAIN = 30_000; // ms; a name in a starting order can change without a word on the board

/** Reading reads what is wanted of an event and calls arrived when there is more. */
export class Reading {
  #client;
  #event;
  #arrived;
  #kept = new Map(); // by what it is: { tag, value }

  constructor(client, event, arrived) {
    this.#client = client;
    this.#event = event;
    this.#arrived = arrived;
  }

  /** segment returns { standing, finalStanding } of a segment, or of a category without one. */
  segment(board, target) {
    const { category, segment } = target;
    const request = { event: this.#event, category };
    const states = board.segments.filter((s) => s.category === category);
    const tag = JSON.stringify([states, board.segment?.category === category ? board.finalStanding : ""]);
    return this.#get(`standing ${category} ${segment}`, tag, 0, async () => {
      const [standing, final] = await Promise.all([
        segment ? this.#client.call("GetSegmentStanding", { ...request, segment }) : {}, this.#client.call("GetFinalStanding", request),
      ]);
      return { standing: standing.standing, finalStanding: final.standing };
    });
  }

  /** order returns the starting order of a segment that nobody has skated yet. */
  order(board, { category, segment }) {
    const tag = `${JSON.stringify(board.segments)} ${Math.floor(Date.now() / AGAIN)}`;
    const read = async () => (await this.#client.call("GetEvent", { event: this.#event })).event;
    return this.#get("event", tag, SPREAD, read)?.categories.find((c) => c.category === category)?.segments.find((s) => s.segment === segment)?.order;
  }

  /** sheet returns the performance behind a row of a standing: opened by somebody, or wanted by all who watch. */
  sheet({ category, segment, status }, row, opened) {
    const request = { event: this.#event, category, segment, entry: row.entry };
    const read = async () => (await this.#client.call("GetPerformance", request)).performance;
    return this.#get(`sheet ${category} ${segment} ${row.entry}`, JSON.stringify([status, row]), opened ? 0 : SPREAD, read);
  }

  // #get returns what is kept, and reads it within spread when that is of another tag.
  #get(name, tag, spread, read) {
    const kept = this.#kept.get(name) ?? {};
    if (kept.tag !== tag) {
      const now = { tag, value: kept.value };
      this.#kept.set(name, now);
      setTimeout(() => this.#read(name, now, read), Math.random() * (kept.value === undefined ? spread : SPREAD));
    }
    return this.#kept.get(name).value;
  }

  async #read(name, now, read) {
    const newest = () => this.#kept.get(name) === now;
    if (!newest()) return;
    try {
      now.value = await read();
    } catch (error) {
      await new Promise((done) => { setTimeout(done, pause(error)); });
      now.tag = undefined; // wanted again
    }
    if (newest()) this.#arrived();
  }
}

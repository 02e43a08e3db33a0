// What is kept goes to the book that is open on this phone; while none is, it waits.

import { Client } from "../../embed/client.js";
import { explain } from "../events/refusal.js";
import { keepAttempt, openBook } from "../parts/phone.js";
import { outbox, skaterIn } from "../practice/outbox.js";

/**
 * booked returns { keep, takeBack, run }: keep puts an attempt into the list that waits
 * and returns its id, "" where the browser keeps nothing; takeBack takes one back,
 * wherever it is by now. changed is called when something was sent.
 */
export function booked(server, changed) {
  const { book, token } = openBook(), api = new Client(server, { token });
  let closed = false, skaters = [];

  async function skaterOf(name, id) {
    const found = await skaterIn(api, book, skaters, name, id);
    ({ skaters } = found);
    return found.skater;
  }
  const box = outbox({
    api: () => api, book: () => (closed ? "" : book), explain, skaterOf,
    on: { changed, closed: () => { closed = true; changed(); }, taken: () => undefined },
  });

  return {
    run: box.run,
    keep(name, attempt) {
      const id = keepAttempt(name, attempt);
      if (id) box.run();
      return id;
    },
    takeBack: box.takeBack,
  };
}

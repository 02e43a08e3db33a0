// Sends what waits to the open book, one call after another in their order. One that gets
// no answer is made again with the same request id, so that nothing is lost and nothing
// is there twice; a page that is opened again goes on with what it had.

import { ApiError, requestId } from "../../embed/client.js";
import { wait, waiting } from "../parts/phone.js";
import { answered, first, refused, tried, undo } from "./waiting.js";

const FIRST_PAUSE = 500, LONGEST_PAUSE = 10_000; // ms

/**
 * skaterIn finds the skater of a name in a book, among those that are known, or asks the
 * book again, and adds one that it does not have yet. id is that of the attempt, so that a
 * repetition adds nobody twice. It returns { skater, skaters }.
 */
export async function skaterIn(api, book, skaters, name, id) {
  const known = (among) => among.find((s) => s.name === name)?.skater;
  if (known(skaters)) return { skater: known(skaters), skaters };
  const { skaters: now } = await api.call("ListSkaters", { book }); // another phone may have added one
  if (known(now)) return { skater: known(now), skaters: now };
  const { skater } = await api.call("AddSkater", { book, name, season: "current", requestId: `${id}-who` });
  return { skater: skater.skater, skaters: [...now, skater] };
}

/**
 * outbox returns { run, change, takeBack, id, cut }: change puts another list in the place
 * of what waits, takeBack takes a skater's attempt back, wherever it is by now, id is that
 * of an attempt in the book by its request id, once it is there, cut since when the book is
 * away. on has changed(), closed(error) when the token does not open the book any more, and
 * taken(item, attempt).
 */
export function outbox({ api, book, skaterOf, explain, on }) {
  const ids = new Map();
  let running = false, wake = () => undefined, cut;

  const change = (next) => {
    const kept = wait(next(waiting()));
    on.changed();
    run();
    return kept;
  };
  const save = (next) => {
    wait(next(waiting()));
    on.changed();
  };

  async function send(item) {
    const skater = await skaterOf(item.skater, item.requestId);
    if (!item.of) {
      const { attempts: [taken] } = await api().call("AddAttempts", { book: book(), skater, attempts: [item.attempt], requestId: item.requestId });
      return taken;
    }
    if (item.gone) await api().call("DeleteAttempt", { book: book(), skater, attempt: item.of });
    else await api().call("UpdateAttempt", { book: book(), skater, attempt: item.of, ...item.change });
    return { attempt: item.of };
  }

  async function run() {
    wake();
    if (running || !book()) return;
    running = true;
    let pause = FIRST_PAUSE;
    try {
      for (let item; book() && (item = first(waiting()));) {
        save((list) => tried(list, item.requestId));
        try {
          const taken = await send(item);
          const now = waiting().find((one) => one.requestId === item.requestId); // with what was said of it meanwhile
          ids.set(item.requestId, taken.attempt);
          save((list) => answered(list, item.requestId, taken.attempt, requestId()));
          if (!item.of && !now?.undone) on.taken(now ?? item, { ...taken, ...now?.after?.change });
          pause = FIRST_PAUSE;
          cut = undefined;
        } catch (error) {
          if (!(error instanceof ApiError)) throw error;
          if (error.temporary) {
            cut ??= new Date();
            on.changed();
            await new Promise((resolve) => {
              const timer = setTimeout(resolve, pause);
              wake = () => { clearTimeout(timer); resolve(); };
            });
            pause = Math.min(2 * pause, LONGEST_PAUSE);
          } else if ([401, 403].includes(error.status) || error.reason === "BOOK_UNKNOWN") {
            on.closed(error);
            return;
          } else save((list) => refused(list, item.requestId, explain(error)));
        }
      }
    } finally {
      running = false;
      on.changed();
    }
  }
  addEventListener("online", () => wake());
  const takeBack = (skater, id) => {
    const of = ids.get(id);
    change((list) => (of ? [...list, { requestId: requestId(), skater, of, gone: true }] : undo(list, id)));
  };
  return { run, change, takeBack, id: (request) => ids.get(request), cut: () => cut };
}

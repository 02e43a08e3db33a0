// A spin counted from a film: by the film's time, in whatever order it was touched.

import assert from "node:assert/strict";
import test from "node:test";
import { add, move, remove, replay, ticks } from "./count/film.js";
import { begin, edge, revolution } from "./count/spin.js";

const round = (events, t) => add(events, t, revolution, "revolution");
const counts = (events) => replay(events, begin()).feet.flatMap((foot) => foot.parts.map((part) => `${part.form} ${part.revolutions}`)).join(", ");

test("a revolution that was missed is put where it was", () => {
  let events = add([], 0, (s) => edge(s, "right"), "change");
  for (const t of [0.5, 1, 2]) events = round(events, t);
  events = add(events, 2.2, (s) => edge(s, "down"), "change");
  events = round(events, 2.7);
  assert.equal(counts(events), "CAMEL 3, SIT 1");
  events = round(events, 1.5); // found when the film was watched again
  assert.equal(counts(events), "CAMEL 4, SIT 1");
  assert.deepEqual(ticks(events).map((e) => e.t), [0.5, 1, 1.5, 2, 2.7]);

  const last = ticks(events)[3];
  events = move(events, last, 2.4); // behind the edge it belongs to the next part
  assert.equal(counts(events), "CAMEL 3, SIT 2");
  assert.equal(counts(remove(events, ticks(events)[0])), "CAMEL 2, SIT 2");
});

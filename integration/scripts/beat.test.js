// Revolutions that run by themselves.

import assert from "node:assert/strict";
import test from "node:test";
import { run, STILL, tap, wait } from "./count/beat.js";

test("two taps set the pace, then it runs", () => {
  const first = tap(STILL, 1000);
  assert.deepEqual([first.add, wait(first.beat, 1000)], [1, undefined]);
  const second = tap(first.beat, 1500);
  assert.deepEqual([second.add, wait(second.beat, 1600)], [1, 400]);
  assert.equal(wait(run(second.beat), 2010), 490); // by the taps, not by when it ran
});

test("a tap sets it again", () => {
  const { beat } = tap(tap(STILL, 0).beat, 500);
  const ahead = run(run(beat)); // it has run twice
  assert.deepEqual(tap(ahead, 1450), { beat: { last: 1450, pace: 475, ran: 0 }, add: 0 });
  assert.deepEqual(tap(run(beat), 1600), { beat: { last: 1600, pace: 550, ran: 0 }, add: 1 }); // it was behind by one
  assert.equal(tap(run(run(run(beat))), 1500).add, 0); // one too many is for the summary
});

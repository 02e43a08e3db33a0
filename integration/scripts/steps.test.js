// A step sequence as it is counted.

import assert from "node:assert/strict";
import test from "node:test";
import { begin, clean, counting, expected, kept, pass, request, set, times, toggle, turn } from "./count/steps.js";

const one = (type, way) => ({ type, way });
const plan = { turns: [one("BRACKET", "clockwise"), one("LOOP", "counterclockwise"), one("ROCKER", "clockwise")], signs: ["bodyMovement"] };

test("planned: each turn is one touch, clean or not", () => {
  const steps = pass(clean(begin(plan)));
  assert.deepEqual(steps.turns, [one("BRACKET", "clockwise")]);
  assert.deepEqual(expected(steps), one("ROCKER", "clockwise"));
  assert.equal(steps.missed, 1);
  assert.deepEqual([clean(clean(steps)).turns.length, pass(pass(steps)).missed], [2, 2]); // nothing is planned behind the last
});

test("a plan says nothing of what is shown beside the turns", () => {
  assert.deepEqual(begin(plan).signs, []);
});

test("another turn than the planned one ends the plan", () => {
  const steps = turn(begin(plan), "LOOP", "clockwise");
  assert.equal(expected(steps), undefined);
  assert.equal(times(steps, "LOOP"), 1);
});

test("no more of a type count than the season says", () => {
  let steps = begin();
  for (const way of ["clockwise", "clockwise", "counterclockwise"]) steps = turn(steps, "TWIZZLE", way);
  steps = turn(steps, "CHOCTAW", "clockwise");
  assert.deepEqual(counting(steps, 2), { turns: 3, both: 1 });
  assert.deepEqual(counting(steps, 3), { turns: 4, both: 1 });
});

test("the request is what levels:call takes", () => {
  let steps = turn(turn(begin(undefined, "CIRCULAR"), "BRACKET", "clockwise"), "BRACKET", "counterclockwise");
  steps = toggle(toggle(toggle(steps, "bodyMovement"), "turnCombinationLeft"), "bodyMovement");
  assert.deepEqual(request(steps), { stepSequence: {
    pattern: "CIRCULAR", turns: [{ type: "BRACKET", counterclockwise: 1, clockwise: 1 }], turnCombinationLeft: true,
  } });
  assert.deepEqual(kept(steps), { pattern: "CIRCULAR", turns: steps.turns, signs: ["turnCombinationLeft"] });
});

test("corrected afterwards", () => {
  const steps = turn(turn(begin(), "LOOP", "clockwise"), "LOOP", "clockwise");
  assert.deepEqual([1, 0, 3].map((n) => times(set(steps, "LOOP", "clockwise", n), "LOOP", "clockwise")), [1, 0, 3]);
});

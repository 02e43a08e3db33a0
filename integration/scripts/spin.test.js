// A spin as it is counted: touches make parts, parts make the request.

import assert from "node:assert/strict";
import test from "node:test";
import { ahead, begin, change, edge, expected, feature, jump, kept, now, otherFoot, request, revolution, turns } from "./count/spin.js";

const part = (form, revolutions) => ({ form, revolutions, features: [] });
const layback = { entry: "NONE", feet: [{ parts: [part("BACK", 8), part("SIDE", 3), part("LAYBACK_VARIATION", 3)] }] };
const combination = { entry: "PLAIN", feet: [{ parts: [part("CAMEL_SIDEWAYS", 8)] }, { change: "JUMP", parts: [part("SIT_BEHIND", 3), part("UPRIGHT_STRAIGHT", 3)] }] };

// touches plays a row of touches: a number is so many revolutions, a word an edge.
function touches(spin, ...row) {
  const steps = { foot: otherFoot, jump };
  return row.reduce((s, what) => {
    if (typeof what === "number") return Array.from({ length: what }).reduce((r) => revolution(r), s);
    return steps[what]?.(s) ?? edge(s, what);
  }, spin);
}
const words = (spin) => spin.feet.map((f, i) => (i ? `${f.change}${f.reversed ? " reversed" : ""} ` : "") + f.parts.map((p) => `${p.form} ${p.revolutions}${p.pencil ? "?" : ""}`).join(", ")).join(" / ");

const cases = {
  "taps alone go the planned way": [layback, [8, "left", 3, "left", 3], "BACK 8?, SIDE 3, LAYBACK_VARIATION 3"],
  "an edge at the beginning is ink": [layback, ["left", 8, "left", 3], "BACK 8, SIDE 3"],
  "the planned edge changes the foot too": [combination, ["right", 8, "down", 3, "up", 3], "CAMEL_SIDEWAYS 8 / JUMP SIT_BEHIND 3, UPRIGHT_STRAIGHT 3"],
  "a hold before the planned edge": [combination, ["right", 8, "foot", "down", 3], "CAMEL_SIDEWAYS 8 / STEP SIT_BEHIND 3"],
  "a hold, then taps: the plan supplies the part": [combination, ["right", 8, "foot", 3], "CAMEL_SIDEWAYS 8 / STEP SIT_BEHIND 3?"],
  "another edge wins and the plan ends there": [combination, ["right", 8, "up", 2, "down", 2], "CAMEL_SIDEWAYS 8, UPRIGHT 2, SIT 2"],
  "a foot that the plan does not change ends it": [layback, ["left", 8, "foot", 2, "left", 2], "BACK 8 / STEP BACK 2?, SIDE 2"],
  "without a plan each edge is a part": [undefined, ["right", 3, "down", 4, "up", 2], "CAMEL 3, SIT 4, UPRIGHT 2"],
  "the same edge again is the next form": [undefined, ["right", 3, "right", 8, "right", 2], "CAMEL 3, CAMEL_SIDEWAYS 8?, CAMEL 2"],
  "a layback leans back, to the side, then varies": [undefined, ["left", 8, "left", 3, "left", 3, "left", 2], "BACK 8, SIDE 3, LAYBACK_VARIATION 3, BIELLMANN 2"],
  "a variation that the spin has is not guessed again": [undefined, ["right", "right", 4, "right", 1, "right", 3], "CAMEL_SIDEWAYS 4, CAMEL 1, CAMEL_UPWARD 3?"],
  "without a revolution the form changes in place": [undefined, ["down", "down", "down", 3], "SIT_FORWARD 3"],
  "counted before it had a name": [undefined, [2, "right", 1], "CAMEL 3"],
  "other foot, by a jump, in the other direction": [undefined, ["down", 3, "foot", "foot", "foot", 3], "SIT 3 / STEP reversed SIT 3?"],
  "let go upwards": [undefined, ["down", 3, "foot", "jump", 3], "SIT 3 / JUMP SIT 3?"],
  "no foot to change before anything was counted": [undefined, ["foot", "left", 2], "BACK 2"],
  "another position, and its variation": [undefined, ["other", "other", 3], "OTHER_VARIATION 3"],
};
for (const [name, [plan, row, want]] of Object.entries(cases)) {
  test(name, () => assert.equal(words(touches(begin(plan), ...row)), want));
}

test("a spin is never changed, so that undoing is going back", () => {
  const before = touches(begin(layback), "left", 2);
  const text = JSON.stringify(before);
  touches(before, 3, "left", 1, "foot", 2);
  feature(before, "CHANGE_OF_EDGE");
  change(before, { foot: 0, part: 0 }, { revolutions: 7 });
  assert.equal(JSON.stringify(before), text);
});

test("the next edge is known ahead", () => {
  const spin = touches(begin(combination), "right", 8);
  assert.deepEqual([expected(spin).form, expected(spin).foot, ahead(spin, "down"), ahead(spin, "left"), ahead(spin, "right")], ["SIT_BEHIND", 1, "SIT_BEHIND", "BACK", "CAMEL"]);
});

test("the request is what levels:call takes, and finds its places again", () => {
  const spin = feature(touches(begin(combination), "right", 8, "up", "down", 3), "CHANGE_OF_EDGE"); // the upright was touched by mistake
  const { element, at } = request(spin, 2);
  assert.deepEqual(element, { spin: { flying: "PLAIN", feet: [{ positions: [
    { position: "CAMEL", variation: "CAMEL_SIDEWAYS", revolutions: 8, features: [] },
    { position: "SIT", revolutions: 5, features: ["CHANGE_OF_EDGE"] }] }] } });
  assert.deepEqual(at("feet[0].positions[1]"), { foot: 0, part: 2 });
  assert.equal(at(""), undefined);
});

test("there is nothing to ask before a position has a name", () => {
  assert.equal(request(begin()), undefined);
  assert.equal(request(touches(begin(), 3)), undefined);
});

test("a part without a revolution is no position yet", () => {
  const spin = touches(begin(), "right", 3, "down");
  const positions = (more) => request(spin, more).element.spin.feet[0].positions.map((p) => `${p.position} ${p.revolutions}`);
  assert.deepEqual([positions(0), positions(1)], [["CAMEL 3"], ["CAMEL 3", "SIT 1"]]);
  assert.equal(request(touches(begin(), "right")), undefined);
});

test("reports of the panel stand where they were seen", () => {
  let spin = touches(begin(undefined, "DIFFICULT"), "down", 3, "foot", "right", 4);
  for (const name of ["DIFFICULT_EXIT", "BOTH_DIRECTIONS", "INCREASE_OF_SPEED", "INCREASE_OF_SPEED"]) spin = feature(spin, name);
  spin = feature(spin, "DIFFICULT_BLADE", { foot: 0, part: 0 });
  assert.deepEqual(request(spin).element, { spin: { flying: "DIFFICULT", difficultExit: true, feet: [
    { positions: [{ position: "SIT", revolutions: 3, features: ["DIFFICULT_BLADE"] }] },
    { change: "STEP", directionReversed: true, positions: [{ position: "CAMEL", revolutions: 4, features: ["INCREASE_OF_SPEED"] }] }] } });
});

test("corrected afterwards", () => {
  let spin = touches(begin(layback), 9, "left", 4);
  spin = change(spin, { foot: 0, part: 0 }, { revolutions: 8.5 });
  spin = change(spin, { foot: 0, part: 1 }, { form: "LAYBACK_VARIATION" });
  assert.equal(words(spin), "BACK 8.5?, LAYBACK_VARIATION 4");
  assert.equal(turns(spin), 12.5);
  assert.equal(words(change(spin, { foot: 0, part: 0 }, { revolutions: -1 })), "BACK 0?, LAYBACK_VARIATION 4");
});

test("what is kept is a plan again", () => {
  const spin = touches(begin(combination), "right", 8, "left", "down", 3);
  assert.deepEqual(kept(spin), { entry: "PLAIN", exit: false, feet: [{ change: "STEP", reversed: false, parts: [part("CAMEL_SIDEWAYS", 8), part("SIT", 3)] }] });
  assert.equal(now(touches(begin(kept(spin)), 1)).form, "CAMEL_SIDEWAYS");
});

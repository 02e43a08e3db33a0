// What answers of levels:call mean while a spin is counted.

import assert from "node:assert/strict";
import test from "node:test";
import { heard, reading, usedBefore } from "./count/answer.js";

const f = (feature, at, reason) => ({ feature, at, counted: !reason, ...(reason && { reason }) });
const called = (level, features, options = [], baseValue = "1.00") => ({ levels: { elements: [{ level, code: `CSp${level}`, baseValue, features, toNextLevel: options.length ? { options } : null }], warnings: [], caution: "" } });

const eight = f("EIGHT_REVOLUTIONS", "feet[0].positions[0]");
const tooFew = f("DIFFICULT_VARIATION", "feet[0].positions[1]", "TOO_FEW_REVOLUTIONS");
const varied = f("DIFFICULT_VARIATION", "feet[0].positions[1]");
const full = f("CHANGE_OF_EDGE", "feet[0].positions[1]", "LIMIT_PER_FOOT");

test("what is missing is the first revolution that brings a feature", () => {
  const said = reading([called("1", [eight, tooFew]), called("1", [eight, tooFew]), called("2", [eight, varied]), called("2", [eight, varied])]);
  assert.deepEqual(said.missing, { feature: "DIFFICULT_VARIATION", at: "feet[0].positions[1]", code: "CSp2", revolutions: 2 });
  assert.deepEqual([said.counted.length, said.struck, said.short], [1, [], []]);
});

test("where no revolution brings a feature nothing is missing", () => {
  const said = reading([called("2", [eight, varied, full]), called("2", [eight, varied, full])]);
  assert.equal(said.missing, undefined);
  assert.deepEqual(said.struck, [full]);
});

test("a code of more value is missing where no feature is", () => {
  const said = reading([called("2", [eight], [], "2.25"), called("2", [eight], [], "2.25"), called("2", [eight], [], "3.00")]);
  assert.deepEqual(said.missing, { feature: undefined, at: undefined, code: "CSp2", revolutions: 2 });
});

test("only what is new is heard", () => {
  const first = reading([called("1", [eight])]), second = reading([called("2", [eight, varied, full])]);
  assert.deepEqual(heard(undefined, first), { count: 1, held: false, struck: undefined });
  assert.deepEqual(heard(first, second), { count: 2, held: false, struck: full });
  assert.deepEqual(heard(second, second), { count: undefined, held: false, struck: undefined });
});

test("four features are not level four where one of another kind is missing", () => {
  const four = [0, 1, 2, 3].map((n) => f("DIFFICULT_VARIATION", `feet[0].positions[${n}]`));
  assert.equal(heard(undefined, reading([called("3", four)])).held, true);
  assert.equal(heard(undefined, reading([called("4", four)])).held, false);
});

test("elements before it have used up what they counted", () => {
  assert.deepEqual(usedBefore([{ features: [eight, tooFew] }]), [{ feature: "EIGHT_REVOLUTIONS", at: "feet[0].positions[0]", element: 1 }]);
});

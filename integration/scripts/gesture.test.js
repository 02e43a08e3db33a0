// What a thumb does on the pad, by the times of its events alone.

import assert from "node:assert/strict";
import test from "node:test";
import { gesture, HOLD, STROKE } from "./count/gesture.js";

const at = (t, x = 0, y = 0, id = 1) => ({ id, x, y, t });

// Each case is a row of events, [method, event], and what they mean in order.
const cases = {
  "a tap": [[["down", at(0)], ["up", at(80)]], ["revolution"]],
  "a tap that slips a little": [[["down", at(0)], ["move", at(40, STROKE - 1)], ["up", at(80, STROKE - 1)]], ["revolution"]],
  "a stroke up": [[["down", at(0)], ["move", at(60, 3, -STROKE)], ["move", at(90, 3, -99)], ["up", at(120, 3, -99)]], ["revolution", "back", "up"]],
  "a stroke down": [[["down", at(0)], ["move", at(60, 0, 50)], ["up", at(120, 0, 50)]], ["revolution", "back", "down"]],
  "a stroke to the left": [[["down", at(0)], ["move", at(60, -50)], ["up", at(120, -50)]], ["revolution", "back", "left"]],
  "a stroke to the right, seen only at its end": [[["down", at(0)], ["up", at(120, 50)]], ["revolution", "back", "right"]],
  "a stroke that returns is one": [[["down", at(0)], ["move", at(60, 50)], ["move", at(90, 0)], ["up", at(120)]], ["revolution", "back", "right"]],
  "a hold": [[["down", at(0)], ["tick", HOLD], ["up", at(900)]], ["revolution", "back", "foot"]],
  "a hold whose tick never came": [[["down", at(0)], ["up", at(HOLD)]], ["revolution", "back", "foot"]],
  "a hold let go upwards": [[["down", at(0)], ["tick", HOLD], ["move", at(800, 0, -60)], ["up", at(820, 0, -60)]], ["revolution", "back", "foot", "jump"]],
  "a hold let go sideways is a step": [[["down", at(0)], ["tick", HOLD], ["up", at(820, 70, 0)]], ["revolution", "back", "foot"]],
  "a slow stroke is a hold": [[["down", at(0)], ["move", at(HOLD, 50)], ["up", at(400, 50)]], ["revolution", "back", "foot"]],
  "a tick before its time": [[["down", at(0)], ["tick", HOLD - 1], ["up", at(200)]], ["revolution"]],
  "a tap whose end came late": [[["down", at(0)], ["tick", HOLD], ["up", at(90)]], ["revolution", "back", "foot", "back", "revolution"]],
  "a stroke whose move came late": [[["down", at(0)], ["tick", HOLD], ["move", at(60, 50)], ["up", at(90, 50)]], ["revolution", "back", "foot", "back", "revolution", "back", "right"]],
  "a second finger": [[["down", at(0)], ["down", at(20, 0, 0, 2)], ["move", at(30, 90, 0, 2)], ["up", at(40, 90, 0, 2)], ["up", at(80)]], ["revolution"]],
  "two taps": [[["down", at(0)], ["up", at(80)], ["down", at(500)], ["up", at(580)]], ["revolution", "revolution"]],
  "a touch that the system takes": [[["down", at(0)], ["cancel", at(50)], ["down", at(500)], ["up", at(560)]], ["revolution", "back", "revolution"]],
  "an end without a beginning": [[["up", at(80)], ["move", at(90)], ["cancel", at(95)], ["tick", 100]], []],
};
for (const [name, [events, want]] of Object.entries(cases)) {
  test(name, () => {
    const touch = gesture();
    assert.deepEqual(events.flatMap(([method, event]) => touch[method](event)), want);
  });
}

test("a foot is being changed while the thumb stays", () => {
  const touch = gesture();
  touch.down(at(0));
  assert.equal(touch.holding(), false);
  touch.tick(HOLD);
  assert.equal(touch.holding(), true);
  touch.up(at(900));
  assert.equal(touch.holding(), false);
});

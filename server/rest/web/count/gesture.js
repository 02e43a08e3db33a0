// What a thumb does on the pad, read from events alone: no drawing, no clock. All is
// decided by the times that the events carry; tick only shows a hold while it lasts,
// and an event that comes late puts it right.

/** STROKE is how far in CSS px a touch moves to be a stroke, HOLD how long in ms it stays to be a hold. */
export const STROKE = 36, HOLD = 320;

/**
 * gesture reads touches. Its methods take { id, x, y, t } and return what the touch
 * meant so far, in order: "revolution", "back" (the last one did not happen), "foot",
 * "jump" (that change of foot was by a jump), "up", "down", "left", "right". A second
 * finger is ignored. tick(t) returns what time alone has made of the touch.
 */
export function gesture() {
  let touch; // { id, x, y, t, is: "tap", "hold" or "stroke", sure }

  const edge = ({ x, y }) => {
    const [dx, dy] = [x - touch.x, y - touch.y];
    if (Math.hypot(dx, dy) < STROKE) return undefined;
    if (Math.abs(dx) > Math.abs(dy)) return dx > 0 ? "right" : "left";
    return dy > 0 ? "down" : "up";
  };

  // at brings the touch to what it was at an event's time.
  function at(event) {
    const held = event.t - touch.t >= HOLD;
    if (touch.is === "tap" && held) {
      touch.is = "hold";
      touch.sure = true;
      return ["back", "foot"];
    }
    if (touch.is === "hold" && held) touch.sure = true;
    if (touch.is === "hold" && !touch.sure) { // the clock was ahead of the events
      touch.is = "tap";
      return ["back", "revolution"];
    }
    return [];
  }

  const mine = (event) => touch?.id === event.id;

  return {
    down(event) {
      if (touch) return [];
      touch = { ...event, is: "tap", sure: false };
      return ["revolution"];
    },
    move(event) {
      if (!mine(event)) return [];
      const said = at(event);
      const stroke = touch.is === "tap" && edge(event);
      if (!stroke) return said;
      touch.is = "stroke";
      return [...said, "back", stroke];
    },
    up(event) {
      if (!mine(event)) return [];
      const said = [...at(event)];
      const stroke = edge(event);
      if (touch.is === "tap" && stroke) said.push("back", stroke);
      if (touch.is === "hold" && stroke === "up") said.push("jump");
      touch = undefined;
      return said;
    },
    cancel(event) {
      if (!mine(event)) return [];
      const said = touch.is === "tap" ? ["back"] : [];
      touch = undefined;
      return said;
    },
    tick(t) {
      if (touch?.is !== "tap" || t - touch.t < HOLD) return [];
      touch.is = "hold";
      return ["back", "foot"];
    },
    /** holding reports whether a foot is being changed now. */
    holding: () => touch?.is === "hold",
  };
}

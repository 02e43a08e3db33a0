// A step sequence while it is counted: what each touch makes of it, and the request that
// asks for its level. States are never changed, so that undoing is going back.

/** TYPES are the difficult turns and steps, WAYS the directions that they turn in. */
export const TYPES = ["TWIZZLE", "BRACKET", "LOOP", "COUNTER", "ROCKER", "CHOCTAW"];
export const WAYS = ["counterclockwise", "clockwise"];

/** SIGNS are what is shown beside turns, by what a season's rule names: fields of the request. */
export const SIGNS = {
  ROTATIONS_BOTH_DIRECTIONS: ["rotationsBothDirections"],
  BODY_MOVEMENT: ["bodyMovement"],
  UPPER_BODY: ["upperBody"],
  ONE_FOOT_SECTION: ["oneFootSection"],
  QUICK_TURN_COMBINATIONS: ["quickTurnCombinations"],
  TURN_COMBINATION_ON_EACH_FOOT: ["turnCombinationLeft", "turnCombinationRight"],
};

/** PATTERNS are what the codes of older seasons name. */
export const PATTERNS = ["STRAIGHT_LINE", "CIRCULAR", "SERPENTINE"];

/** begin is a sequence before its first turn. A plan is a sequence too: its turns come in their order, its signs are shown. */
export const begin = (plan, pattern = plan?.pattern) => ({ pattern, turns: [], signs: [], plan: plan?.turns ?? [], missed: 0 });

/** expected is the turn that the plan holds next: { type, way }; undefined where it has ended. */
export const expected = (steps) => steps.plan[0];

/** turn counts a clean turn; one that the plan holds next is taken from it, another one ends it. */
export function turn(steps, type, way) {
  const next = expected(steps), planned = next?.type === type && next.way === way;
  return { ...steps, turns: [...steps.turns, { type, way }], plan: planned ? steps.plan.slice(1) : [] };
}

/** clean counts the turn that the plan holds next. */
export const clean = (steps) => (expected(steps) ? turn(steps, expected(steps).type, expected(steps).way) : steps);

/** pass goes past the turn that the plan holds next: it was not clean, or left out. */
export const pass = (steps) => (expected(steps) ? { ...steps, plan: steps.plan.slice(1), missed: steps.missed + 1 } : steps);

/** toggle shows a sign, or takes it back. */
export const toggle = (steps, sign) => ({ ...steps, signs: steps.signs.includes(sign) ? steps.signs.filter((s) => s !== sign) : [...steps.signs, sign] });

/** times is how often a type was turned, in one way or in both. */
export const times = (steps, type, way) => steps.turns.filter((one) => one.type === type && (!way || one.way === way)).length;

/** set writes another number of turns of a type in one way, afterwards. */
export function set(steps, type, way, n) {
  const others = steps.turns.filter((one) => one.type !== type || one.way !== way);
  const kept = n < times(steps, type, way) ? [...others, ...Array.from({ length: n }, () => ({ type, way }))]
    : [...steps.turns, ...Array.from({ length: n - times(steps, type, way) }, () => ({ type, way }))];
  return { ...steps, turns: kept };
}

/** counting is how many turns count where so many of a type do, and how many types were turned both ways. */
export const counting = (steps, most) => ({
  turns: TYPES.reduce((sum, type) => sum + Math.min(most, times(steps, type)), 0),
  both: TYPES.filter((type) => WAYS.every((way) => times(steps, type, way) > 0)).length,
});

/** kept is the sequence without what only counting needs. */
export const kept = ({ pattern, turns, signs }) => ({ ...(pattern && { pattern }), turns, signs });

/** request is the sequence as levels:call takes it. */
export const request = (steps) => ({
  stepSequence: {
    ...(steps.pattern && { pattern: steps.pattern }),
    turns: TYPES.filter((type) => times(steps, type)).map((type) => ({ type, ...Object.fromEntries(WAYS.map((way) => [way, times(steps, type, way)])) })),
    ...Object.fromEntries(steps.signs.map((sign) => [sign, true])),
  },
});

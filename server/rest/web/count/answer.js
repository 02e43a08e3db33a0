// What the answer of levels:call means while a spin is counted: what counts, what does
// not, and how many revolutions are missing. It knows no rule: what one revolution more
// would bring is asked of the engine, by calling the same spin with it.

/** AHEAD is how many revolutions ahead are asked for. */
export const AHEAD = 8;

const key = ({ feature, at }) => `${feature} ${at}`;

/**
 * reading is what the answers to an element say, without and with further revolutions: { call, counted,
 * struck, missing, ahead, warnings, caution }. counted and struck are features of the
 * call, missing is { feature, at, code, revolutions } of what the nearest further revolution
 * brings (a feature, or only a code of more value), ahead the features that would bring
 * the next level. less is the answer to the element where the beat was ahead; resting says
 * of a feature that it is not there then.
 */
export function reading(results, less) {
  const [answer, ...further] = results.map((result) => result.levels);
  const call = answer.elements.at(-1);
  const counted = call.features.filter((f) => f.counted);
  const before = new Set(counted.map(key));
  let missing;
  further.some((result, n) => {
    const then = result.elements.at(-1);
    const gained = then.features.find((f) => f.counted && !before.has(key(f)));
    if (gained || Number(then.baseValue) > Number(call.baseValue)) missing = { feature: gained?.feature, at: gained?.at, code: then.code, revolutions: n + 1 };
    return Boolean(missing);
  });
  const short = (f) => f.reason === "TOO_FEW_REVOLUTIONS";
  const near = (f) => missing?.feature && key(f) === key(missing);
  return {
    call, counted, missing,
    struck: call.features.filter((f) => !f.counted && !short(f) && !near(f)),
    short: call.features.filter((f) => short(f) && !near(f)),
    ahead: call.toNextLevel?.options.filter((option) => option.feature).map((option) => option.feature) ?? [],
    resting: (f) => Boolean(less) && !less.levels?.elements.at(-1).features.some((other) => other.counted && key(other) === key(f)),
    warnings: answer.warnings, caution: answer.caution, rules: answer.rules,
  };
}

/**
 * heard is what is new in a reading since the one before: "one" to "four" as numbers of
 * features, reasons, and a level that a missing kind of feature holds back. It returns
 * { count, held, struck }, each undefined where it is not new.
 */
export function heard(before, after) {
  const known = new Set(before?.struck.map(key));
  const count = after.counted.length > (before?.counted.length ?? 0) ? after.counted.length : undefined;
  return {
    count,
    held: count !== undefined && count >= 4 && after.call.level !== "4",
    struck: after.struck.find((f) => !known.has(key(f)) && f.reason !== "SURPLUS"),
  };
}

/**
 * usedBefore lists what earlier elements of a program have used up where the season
 * counts it once: { feature, element } with the element's number from 1.
 */
export const usedBefore = (calls) => calls.flatMap((call, i) => call.features.filter((f) => f.counted)
  .map(({ feature, at }) => ({ feature, at, element: i + 1 })));

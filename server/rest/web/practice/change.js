// What is said of a change that was noted in practice.

/** hundred is a chance as so many of 100. */
export const hundred = (chance) => Math.round(chance * 100);

/**
 * verdict returns the key of the words for a change, and their values, from its effect and
 * how it is counted.
 */
export function verdict({ verdict: is, better, more, before, after }, { fewest, sure }) {
  const values = { chance: hundred(is === "WORSE" ? 1 - better : better ?? 0), sure: hundred(sure), more: more ?? 0, fewest };
  if (is === "NOT_ENOUGH") return ["notEnough", { ...values, n: Math.max(0, fewest - Math.min(before?.attempts ?? 0, after?.attempts ?? 0)) }];
  if (is === "TOO_EARLY") {
    const up = (better ?? 0) >= 0.5;
    return [more ? (up ? "tooEarly" : "tooEarlyWorse") : up ? "noTelling" : "noTellingWorse", { ...values, chance: hundred(up ? better : 1 - better) }];
  }
  return [is === "BETTER" ? "better" : "worse", values];
}

/** allAsPlanned is the chance that every element of a program comes as meant; abilities are by code. */
export const allAsPlanned = (codes, abilities) => codes.reduce((all, code) => all * (abilities.get(code)?.success ?? 0), 1);

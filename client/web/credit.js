// What the rules make of a program, beside what was written.

/** hundredths returns points, which come as texts with two digits, as a whole number. */
export const hundredths = (points) => Math.round(Number(points || 0) * 100);

/** isStruck reports whether an element is credited with nothing. */
export const isStruck = (e) => e.code.includes("*") && hundredths(e.baseValue) === 0;

/** madeOf says what the value of an element is the sum of, where it is more than its own; figure writes points. */
export function madeOf(e, figure) {
  if (isStruck(e) || e.parts.length < 2 && !e.factors.length) return "";
  return [e.parts.map((p) => `${p.code} ${figure(p.baseValue)}`).join(" + "), ...e.factors.map((f) => `× ${figure(f.by)}`)].join(", ");
}

/** unsure returns what is not surely known of the rules that an answer rests on; rests says that a finding does. */
export function unsure(answer, rests) {
  const both = [answer, answer.compared].filter(Boolean);
  const notes = both.flatMap((a) => a.warnings.map((w) => (answer.compared ? `${a.rules.season}: ${w.message}` : w.message)));
  return [...new Set([...notes, ...answer.findings.filter((f) => f.confidence !== "high").map(rests)])];
}

/** placeOf returns the place of the element that a field of a request is about. */
export const placeOf = (field) => Number(/^elements\[(\d+)\]/.exec(field)?.[1]);

/**
 * saidOf lines up the elements that a partial check was asked about with its answer: one
 * that could not be read has its fault, the others { credited, other, findings }.
 */
export function saidOf(asked, answer) {
  const faults = new Map(answer.leftOut.map((l) => [placeOf(l.field), l.message]));
  let n = -1;
  return asked.map((_, i) => {
    if (faults.has(i)) return { fault: faults.get(i) };
    n++;
    const e = answer.elements[n];
    return { credited: e, other: answer.compared?.elements[n], findings: (e?.findings ?? []).map((f) => answer.findings[f]) };
  });
}

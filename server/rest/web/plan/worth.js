// What the answers of programs:plan say, in figures that are read at once. Points are
// texts with two digits and are added as whole hundredths.

import { hundredths } from "../../embed/credit.js";
import { write } from "../../embed/text.js";

/** points is the text of hundredths. */
export const points = (n) => (n / 100).toFixed(2);

/** tenth rounds points to one decimal, half up. */
export const tenth = (text) => (Math.floor((hundredths(text) + 5) / 10) / 10).toFixed(1);

/** ofTen is a chance as so many times of 10, with at most one decimal. */
export const ofTen = (chance) => Math.round(chance * 100) / 10;

/**
 * worth returns the figures of one plan: whole (with components where they are known,
 * else net), elements, components ("" where not known), falls, and bound, what no
 * program's whole exceeds.
 */
export function worth(plan, bound) {
  const net = hundredths(plan.expectedNetScore), whole = plan.expectedSegmentScore ? hundredths(plan.expectedSegmentScore) : net;
  return {
    whole: points(whole), elements: plan.expectedElementScore, components: plan.expectedSegmentScore ? points(whole - net) : "",
    falls: points(net - hundredths(plan.expectedElementScore)), bound: bound ? points(hundredths(bound) + whole - net) : "",
  };
}

/**
 * noise says what the order of the plans rests on: { state, apart, error, fewest, most }.
 * state is "one" for a single plan; "noise" where the first and the last lie nearer than
 * few attempts leave; "clear" where the second lies farther; "partly" between. Where no
 * attempts are known it is "step": then apart is to be set beside step, the most that one
 * more of ten of one ability in the plan brings, and code, which.
 */
export function noise({ plans, practice }, attempts) {
  if (plans.length < 2) return { state: "one" };
  const apart = plans.map((p) => hundredths(p.differs)), last = apart.at(-1);
  const error = hundredths(plans[0].standardError);
  if (error) {
    const known = attempts.filter((n) => n > 0);
    const state = last < error ? "noise" : apart[1] >= error ? "clear" : "partly";
    return { state, apart: points(state === "clear" ? apart[1] : last), error: points(error), fewest: Math.min(...known), most: Math.max(...known) };
  }
  const dearest = practice.filter((p) => p.inPlan).sort((a, b) => hundredths(b.gain) - hundredths(a.gain))[0];
  if (!dearest || hundredths(dearest.gain) === 0) return { state: "one" };
  return { state: "step", apart: points(last), step: dearest.gain, code: dearest.code, less: last < hundredths(dearest.gain) };
}

/** swap returns what one plan has and another has not, in codes: { only, instead, moved }. */
export function swap(a, b) {
  const minus = (from, taken) => {
    const left = [...taken];
    return from.filter((x) => {
      const i = left.indexOf(x);
      if (i >= 0) left.splice(i, 1);
      return i < 0;
    });
  };
  const codes = (p) => p.elements.map((e) => e.code), halves = (p) => p.elements.map((e) => `${e.code} ${e.secondHalf}`);
  const only = minus(codes(a), codes(b)), instead = minus(codes(b), codes(a));
  const moved = minus(halves(a), halves(b)).map((x) => x.split(" ")[0]).filter((code) => !only.includes(code));
  return { only, instead, moved };
}

/** together adds what practice brings in several programs, the most first. */
export function together(lists) {
  const all = new Map();
  for (const p of lists.flat()) {
    const one = all.get(p.code) ?? { code: p.code, inPlan: false, gain: "0.00", needed: undefined };
    const needed = [one.needed, p.needed].filter((n) => n !== undefined && n !== null);
    all.set(p.code, {
      code: p.code, inPlan: one.inPlan || p.inPlan, gain: points(hundredths(one.gain) + hundredths(p.gain)),
      needed: needed.length ? Math.min(...needed) : undefined,
    });
  }
  return [...all.values()].sort((a, b) => hundredths(b.gain) - hundredths(a.gain));
}

/** steadier is the plan behind the first whose bad day, one in ten, is best, where it is better than that of the first. */
export function steadier(plans) {
  const bad = (p) => hundredths(p.spread?.p10);
  const best = plans.slice(1).filter((p) => p.spread).sort((a, b) => bad(b) - bad(a))[0];
  return best && plans[0].spread && bad(best) > bad(plans[0]) ? best : undefined;
}

/**
 * allTogether is the distribution of the sum of independent scores: lists are scores of
 * plans { score, atLeast }, the lowest first. It returns { spread, reach(target) }, the
 * chance of at least so many points.
 */
export function allTogether(lists) {
  let sum = [{ score: 0, chance: 1 }];
  for (const list of lists) {
    const own = list.map(({ score, atLeast }, i) => ({ score: hundredths(score), chance: atLeast - (list[i + 1]?.atLeast ?? 0) }));
    const low = sum[0].score + own[0].score, chances = new Float64Array(sum.at(-1).score + own.at(-1).score - low + 1);
    for (const a of sum) for (const b of own) chances[a.score + b.score - low] += a.chance * b.chance;
    sum = [...chances].map((chance, i) => ({ score: low + i, chance })).filter(({ chance }) => chance > 0);
  }
  const below = (part) => {
    let all = 0;
    return points((sum.find(({ chance }) => (all += chance) + 1e-9 >= part) ?? sum.at(-1)).score);
  };
  return {
    spread: { p10: below(0.1), p50: below(0.5), p90: below(0.9) },
    reach: (target) => sum.filter(({ score }) => score >= hundredths(target)).reduce((all, { chance }) => all + chance, 0),
  };
}

/** asProgram is a plan as the text of the page of a program. */
export function asProgram({ elements }) {
  const rows = elements.map(({ code, grade }) => ({ code, grade: Math.round(grade * 100) / 100 }));
  const half = elements.findIndex((e) => e.secondHalf);
  return write({ rows, half: half < 0 ? rows.length : half });
}

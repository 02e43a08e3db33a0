// What is asked of programs:plan, from what stands on the page.

import { outcomes, TENTHS } from "./misses.js";

/** PLANS is how many plans are shown. */
const PLANS = 3;

/**
 * question returns a request for one segment, and the places of its abilities in the
 * list: those that are said how often they come. chosen is { season, category, marks,
 * target, limits, half, scores }, the last for all scores that can come.
 */
export function question({ season, category, marks = [], target = "", limits = [], half, scores = false }, segment, list, goe) {
  const places = list.flatMap((a, i) => (a.success === undefined ? [] : [i]));
  const asked = places.map((i) => list[i]);
  const request = {
    season, category, segment, plans: PLANS, components: marks, target: marks.length ? target : "", limits, scores: scores && marks.length > 0,
    abilities: asked.map((a) => ({
      code: a.code, success: a.success / TENTHS, grade: a.grade, attempts: a.attempts, ...(a.wish === "out" && { atMost: 0 }),
      misses: outcomes(a, goe).map(({ code, grade, fall, of }) => ({ code, chance: of / TENTHS, grade, fall })),
    })),
    keep: asked.filter((a) => ["keep", "first", "second"].includes(a.wish))
      .map((a) => ({ code: a.code, ...(a.wish !== "keep" && { secondHalf: a.wish === "second" }) })),
    ...(half && { secondHalf: half }),
  };
  return { request, places };
}

/** limitsFrom and limitsTo are limits in a link: "3Lz:2,4:1". */
export const limitsTo = (limits) => limits.map((l) => `${l.jump || l.turns}:${l.atMost}`).join();
export const limitsFrom = (text = "") => text.split(",").map((part) => /^(\d[A-Z]\w*|[1-5]):(\d+)$/.exec(part)).filter(Boolean)
  .map(([, what, most]) => (what.length > 1 ? { jump: what, atMost: Number(most) } : { turns: Number(what), atMost: Number(most) }));

/** halfFrom and halfTo are what the second half costs, in a link: "9.7 -0.1 4"; a part that is not said is "-". */
export function halfFrom(text = "") {
  const [success, grade, most] = text.split(" ");
  const half = {
    ...(Number(success) >= 0 && Number(success) < TENTHS && success && { success: Number(success) / TENTHS }),
    ...(Number(grade) < 0 && { grade: Number(grade) }), ...(/^\d+$/.test(most) && { atMost: Number(most) }),
  };
  return Object.keys(half).length ? half : undefined;
}
export const halfTo = (half) => (half ? [half.success === undefined ? "-" : half.success * TENTHS, half.grade ?? "-", half.atMost ?? "-"].join(" ") : "");

// What is still open before a score can be confirmed.

import { listed } from "../parts/numbers.js";
import { t } from "../parts/words.js";

/**
 * openOf returns what a performance lacks as { things, judges, review, marks }: things
 * are { text, judge }, judges who has not marked everything, review whether the panel
 * looks at something again, marks how many marks of elements lack. While somebody
 * skates only what was called before the newest element is open.
 */
export function openOf(p, count) {
  const over = p.state !== "ON_ICE";
  const asked = over ? p.elements : p.elements.slice(0, -1);
  const titled = (e) => `${p.elements.indexOf(e) + 1} ${e.code}`;
  const things = [], judges = [];
  let marks = 0;
  for (let judge = 1; judge <= count; judge++) {
    if (p.absentJudges.includes(judge)) continue;
    const without = (given) => !given.some((m) => m.judge === judge);
    const elements = asked.filter((e) => without(e.marks)), components = over ? p.components.filter((c) => without(c.marks)) : [];
    marks += elements.length;
    const all = elements.length > 3 ? [t("referee.manyElements", { n: elements.length })] : elements.map(titled);
    all.push(...(components.length === p.components.length && components.length ? [t("referee.allComponents")] : components.map((c) => c.name)));
    if (!all.length) continue;
    judges.push(judge);
    things.push({ judge, text: t("referee.noMark", { judge, what: listed(all) }) });
  }
  const look = p.elements.filter((e) => e.inReview);
  things.push(...look.map((e) => ({ review: true, text: t("referee.looksAgain", { what: titled(e) }) })));
  return { things, judges, review: look.length > 0, marks };
}

/** waitFor says for whom to wait. */
export function waitFor({ judges, review }) {
  const who = judges.length > 2 ? [t("referee.someJudges", { n: judges.length })] : judges.map((n) => t("desk.judge", { n }));
  return t("referee.waitFor", { who: listed([...who, ...(review ? [t("referee.thePanel")] : [])]) });
}

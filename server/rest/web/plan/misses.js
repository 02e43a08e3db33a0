// What comes where an element does not come as it is meant. Chances are tenths, "of 10".

/** TENTHS is how much success and all that comes instead are together. */
export const TENTHS = 10;

const round = (n) => Math.round(n * 1e4) / 1e4; // chances are read to a millionth of 1
const lower = (code, kind) => (kind === "choreo" ? code : code.replace(/[1-4](?=V?$)/, (level) => (level === "1" ? "B" : String(level - 1))));
const fewer = ({ turns, code }) => (turns > 1 ? code.replace(/^\d/, String(turns - 1)) : "");

/**
 * rest is what comes instead where nothing else is said, as programs:plan assumes it: a
 * jump or throw falls, of a combination the first jump, at the lowest grade; an element
 * with a level comes one level lower. What has no lower level comes at the lowest grade.
 * element is that of elements:parse, goe the season's scale.
 */
export function rest({ code, grade, element }, goe) {
  if (element.kind === "jump") return { code: element.parts[0].code, grade: goe.min, fall: true };
  if (element.kind === "throw") return { code, grade: goe.min, fall: true };
  const below = lower(code, element.kind);
  return below === code ? { code, grade: goe.min, fall: false } : { code: below, grade, fall: false };
}

/**
 * ways lists what else can come instead. A call begins with the lowest grade and what is
 * another element with the grade of the ability: a coach says what is usual.
 */
export function ways({ code, grade, element }, goe) {
  const way = (instead, from) => ({ code: instead, grade: from, fall: false });
  if (element.kind === "jump") {
    const jumps = element.parts, last = jumps.at(-1);
    const replaced = (by) => code.slice(0, code.lastIndexOf(last.code)) + by + code.slice(code.lastIndexOf(last.code) + last.code.length);
    const popped = fewer(last) && replaced(fewer(last));
    return [
      way(replaced(`${last.code}<`), goe.min), way(replaced(`${last.code}<<`), goe.min),
      popped && way(popped, grade), jumps.length > 1 && way(jumps[0].code, grade), way(code, goe.min),
    ].filter(Boolean);
  }
  const one = lower(code, element.kind), two = lower(one, element.kind);
  return [two !== one && way(two, grade), one !== code && way(code, goe.min)].filter(Boolean);
}

/**
 * outcomes lists everything that comes instead of an ability, each { code, grade, fall,
 * of }: what is said by the coach, as far as success leaves room, and the rest.
 */
export function outcomes(ability, goe) {
  const left = TENTHS - ability.success;
  const said = ability.misses.filter((m) => m.of > 0), sum = said.reduce((all, m) => all + m.of, 0);
  const part = sum > left ? left / sum : 1;
  const list = said.map((m) => ({ ...m, of: round(m.of * part) }));
  const open = round(left - list.reduce((all, m) => all + m.of, 0));
  return [...(open > 0 ? [{ ...rest(ability, goe), of: open }] : []), ...list].filter((m) => m.of > 0);
}

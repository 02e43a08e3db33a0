// How an ability comes: its grade, what comes instead, and what is asked of the program.

import { make, setText } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { outcomes, rest, TENTHS, ways } from "./misses.js";

const STEP = 0.5; // of ten

const same = (a, b) => a.code === b.code && a.fall === b.fall;
/** tenths is a number with at most one decimal. */
export const tenths = (n) => number(Math.round(n * 10) / 10);

/** instead names what comes instead of an ability: "falls", "<", "2Lz". */
function instead({ code }, miss) {
  if (miss.fall) return t("plan.falls");
  if (miss.code === code) return t("plan.poor");
  const sign = miss.code.startsWith(code) ? miss.code.slice(code.length) : "";
  return /^[q<!e]+$/.test(sign) ? sign : miss.code;
}

/** listed says how often what comes instead of an ability: "falls 3, < 2". */
export const listed = (ability, misses) => misses.map((m) => `${instead(ability, m)} ${tenths(m.of)}`).join(", ");

/** graded says a grade. */
export const graded = (grade) => t("plan.graded", { grade: number(grade.toFixed(1), { signed: true }) });

function gradeField(what, value, goe, taken) {
  const input = make("input", {
    class: "short", type: "number", step: "0.1", min: goe.min, max: goe.max, inputmode: "decimal", "aria-label": t("plan.gradeOf", { what }),
  });
  input.value = value;
  input.addEventListener("change", () => input.reportValidity() && input.value !== "" && taken(Number(input.value)));
  return input;
}

/**
 * fillHow fills the part that opens at an ability. now returns the ability as it stands,
 * act is { changed(id, values), removed(id) }.
 */
export function fillHow(how, now, goe, act) {
  const more = how.lastElementChild;
  if (!how.open) return more.replaceChildren();
  const ability = now(), { id, code } = ability;
  const change = (values) => act.changed(id, values);
  const saidOf = (way) => now().misses.find((m) => same(m, way));
  const put = (way, values) => {
    const had = saidOf(way) ?? { code: way.code, of: 0, grade: way.grade, fall: way.fall };
    change({ misses: [...now().misses.filter((m) => !same(m, way)), { ...had, ...values }] });
  };
  const line = (name, often, grade, kind = "code") => make("div", { class: "miss" }, make("span", { class: kind }, name), often, grade);

  const otherwise = rest(ability, goe), left = make("span", { class: "number" });
  const showLeft = () => {
    const open = outcomes({ ...now(), success: now().success ?? 0 }, goe).find((m) => same(m, otherwise));
    setText(left, t("plan.rest", { n: tenths(open?.of ?? 0) }));
  };
  showLeft();

  const stepped = (way) => {
    const name = instead(ability, way), shown = make("output", {}, tenths(saidOf(way)?.of ?? 0));
    const step = (by) => make("button", {
      type: "button", "aria-label": t(by < 0 ? "plan.less" : "plan.more", { what: name }),
      onclick: () => {
        const of = Math.min(TENTHS - (now().success ?? 0), Math.max(0, (saidOf(way)?.of ?? 0) + by));
        put(way, { of });
        setText(shown, tenths(of));
        showLeft();
      },
    }, by < 0 ? "−" : "+");
    return line(name, make("span", { class: "stepper" }, step(-STEP), shown, step(STEP)),
      gradeField(name, saidOf(way)?.grade ?? way.grade, goe, (grade) => put(way, { grade })));
  };
  const offered = ways(ability, goe);
  const all = [...offered, ...ability.misses.filter((m) => !offered.some((w) => same(w, m)))].filter((w) => !same(w, otherwise));
  const misses = ability.success === TENTHS ? [] : [
    make("p", { class: "note" }, t("plan.missNote")),
    line(instead(ability, otherwise), left, make("span", { class: "note number" }, graded(otherwise.grade)), ""), ...all.map(stepped)];

  const wish = (name) => make("button", {
    type: "button", class: "small", "aria-pressed": String(ability.wish === name),
    onclick: () => {
      change({ wish: ability.wish === name ? "" : name });
      fillHow(how, now, goe, act);
    },
  }, t(`plan.do.${name}`));
  return more.replaceChildren(
    line(t("plan.gradeHere"), make("span"), gradeField(code, ability.grade, goe, (grade) => change({ grade })), ""), ...misses,
    make("div", { class: "row" }, wish("keep"), wish("out"),
      make("button", { type: "button", class: "small", onclick: () => act.removed(id) }, t("plan.remove"))));
}

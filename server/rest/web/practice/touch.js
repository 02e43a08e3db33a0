// How an element came: the large keys under the elements, and after a miss the causes.

import { at, make, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { has, t } from "../parts/words.js";
import { calls, cameWell, isLevelled, kindOf, pops, touches } from "./came.js";

const LONG = 500; // ms of a press that asks for the grade
const CAUSES = 7; // at hand, beside a new one

/** nameOf says how an attempt came, in words: "fall", "3Lz<", "clean". */
export function nameOf(attempt) {
  const kind = kindOf(attempt);
  return kind === "clean" || kind === "fall" ? t(`practice.came.${kind}`) : attempt.came;
}

/** touchName is what a key says. */
export const touchName = (touch) => (has(`practice.touch.${touch}`) ? t(`practice.touch.${touch}`) : t("practice.level", { level: touch }));

// key is a large key; held is called where it is pressed longer.
function key(text, note, run, held) {
  let timer, long = false;
  const end = () => clearTimeout(timer);
  return make("button", {
    type: "button", class: "big", onpointerup: end, onpointerleave: end, onpointercancel: end,
    onpointerdown: () => { long = false; timer = setTimeout(() => { long = true; held(); }, LONG); },
    oncontextmenu: (event) => event.preventDefault(),
    onclick: () => { if (!long) run(); long = false; },
  }, make("span", {}, text), note && make("small", {}, note));
}

function keysFor(element, act) {
  const popped = t("practice.orLess", { code: pops(element)[0] ?? "" });
  const notes = isLevelled(element) ? {} : { clean: t("practice.asPlanned"), called: t("practice.signs"), popped, fall: t("practice.onIt") };
  return touches(element).map((touch) => key(touchName(touch), notes[touch], () => act.touch(touch), () => act.grade(touch)));
}

// lastRow is what was kept, with the ways back.
function lastRow({ attempt }, act) {
  const grade = attempt.grade === undefined ? "" : ` · ${t("plan.graded", { grade: number(attempt.grade, { signed: true }) })}`;
  return make("div", { class: "kept" },
    make("p", {}, make("span", { class: "code" }, attempt.planned), ` ${t("practice.kept", { came: nameOf(attempt) })}${grade}`),
    make("button", { type: "button", onclick: () => act.grade() }, t("practice.grade")),
    make("button", { type: "button", onclick: act.undo }, t("practice.undo")));
}

// whyKeys are how exactly a miss came, and the causes.
function whyKeys(element, { attempt }, words, act) {
  const kind = kindOf(attempt), which = { called: calls(element), popped: pops(element) }[kind] ?? [];
  const pressed = (is) => ({ type: "button", "aria-pressed": String(is) });
  const chips = which.map((code) => make("button", { ...pressed(code === attempt.came), class: "small", onclick: () => act.put({ came: code }) }, code));
  const cause = (word) => make("button", { ...pressed(word === attempt.cause), class: "big", onclick: () => act.cause(word) }, word);
  return [
    ...(chips.length > 1 ? [make("div", { class: "chips", role: "group", "aria-label": t("practice.which") }, ...chips)] : []),
    make("h2", { id: "how-head" }, t("practice.why"), " ", make("small", {}, t("practice.whyNote"))),
    make("div", { class: "keys" }, ...words.slice(0, CAUSES).map(cause),
      make("button", { type: "button", class: "big", onclick: act.newCause }, t("practice.newCause"))),
    make("button", { type: "button", class: "quiet", onclick: act.next }, t("practice.next", { code: element.code })),
  ];
}

/**
 * showHow shows the keys for an element; last is what was kept of it, { attempt, asking }:
 * asking for the cause of a miss. words are the causes at hand. act is { touch(touch),
 * grade(touch), undo, put(change), cause(word), newCause, next }.
 */
export function showHow(element, last, words, act) {
  const place = at("how"), says = JSON.stringify([element?.code, last, words]);
  show(place, Boolean(element));
  if (place.dataset.says === says) return undefined; // so that nothing loses the focus
  place.dataset.says = says;
  if (!element) return place.replaceChildren();
  const why = last?.asking && !cameWell(last.attempt);
  const keys = why ? whyKeys(element, last, words, act) : [
    make("h2", { id: "how-head" }, make("span", { class: "code" }, element.code), " ", t("practice.how")),
    make("div", { class: isLevelled(element) ? "keys three" : "keys" }, ...keysFor(element, act)),
    ...(last ? [] : [make("p", { class: "note" }, t("practice.again"))])];
  return place.replaceChildren(...(last ? [lastRow(last, act)] : []), ...keys);
}

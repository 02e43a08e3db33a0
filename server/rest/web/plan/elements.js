// The elements of a plan by halves, each with its reason and what may be asked of it.

import { at, list, make, setText, show as visible } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { listed, tenths } from "./how.js";
import { outcomes } from "./misses.js";
import { ofTen } from "./worth.js";

/**
 * elementList shows the elements of a plan. act is { wish(id, wish), otherHalf(element) }:
 * the latter resolves to words about the best program with that element in its other half.
 * It returns show(plan, { goe, halves, abilities, practice }): abilities by element,
 * practice what practice of each code brings, halves the words over both.
 */
export function elementList(act) {
  let open, shown;

  function create(item) {
    if (item.head) return make("li", { class: "half-head" });
    const span = (kind) => make("span", { class: kind });
    const code = make("button", {
      type: "button", class: "code", "aria-expanded": "false",
      onclick: () => { open = open === item.key ? undefined : item.key; draw(); },
    });
    return make("li", { class: "element" }, span("index"), code, span("number often"), span("number from"), span("number value"),
      make("div", { class: "more", hidden: true }));
  }

  function update(node, item) {
    if (item.head) return setText(node, item.head);
    const [index, code, often, from, value, more] = node.children, e = item.element;
    setText(index, number(item.number));
    setText(code, e.code);
    setText(often, t("plan.ofShort", { n: number(ofTen(e.chance)) }));
    setText(from, fromWords(shown.practice.get(e.code)));
    setText(value, number(e.expectedScore));
    const is = open === item.key;
    code.setAttribute("aria-expanded", String(is));
    visible(more, is);
    if (is) reason(more, item);
    else more.replaceChildren();
  }

  function reason(more, { element: e, ability }) {
    const p = shown.practice.get(e.code), misses = outcomes(ability, shown.goe);
    const name = `${e.code} ${e.secondHalf}`;
    if (more.dataset.name !== name) more.replaceChildren();
    more.dataset.name = name;
    const said = [
      misses.length ? t("plan.notOften", { what: listed(ability, misses) }) : t("plan.always"),
      p && (p.needed > 0 ? t("plan.belongs", { n: number(ofTen(p.needed)) }) : t("plan.belongsAlways")),
    ].filter(Boolean).join(" ");
    const button = (text, wish) => make("button", {
      type: "button", class: "small", "aria-pressed": String(ability.wish === wish),
      onclick: () => act.wish(ability.id, ability.wish === wish ? "" : wish),
    }, text);
    const other = make("span");
    more.replaceChildren(make("p", { class: "note" }, `${said} `, other), make("div", { class: "row" },
      button(t("plan.do.keep"), "keep"), button(t("plan.do.out"), "out"), shown.halves && button(t("plan.do.other"), e.secondHalf ? "first" : "second")));
    if (shown.halves) act.otherHalf(e).then((words) => setText(other, words), () => undefined); // without it the reason stands alone
  }

  function draw() {
    const { plan, halves, abilities } = shown;
    const items = [];
    let n = 0;
    for (const second of [false, true]) {
      const own = plan.elements.filter((e) => e.secondHalf === second);
      if (own.length && halves) items.push({ key: `head ${second}`, head: halves[second ? 1 : 0] });
      const seen = new Map();
      for (const element of own) {
        const again = seen.get(element.code) ?? 0;
        seen.set(element.code, again + 1);
        items.push({ key: `${element.code} ${second} ${again}`, element, number: ++n, ability: abilities.get(element) });
      }
    }
    let place = at("elements").firstElementChild;
    if (!place) at("elements").append(place = make("ol", { class: "list", "aria-label": t("plan.result") }));
    list(place, items, (item) => item.key, create, update);
  }

  return (plan, more) => {
    shown = plan && { plan, ...more };
    if (plan) draw();
    else at("elements").replaceChildren();
  };
}

const never = (needed) => needed === undefined || needed === null;
const fromWords = (p) => (never(p?.needed) ? "" : p.needed === 0 ? t("plan.anyhow") : number(ofTen(p.needed)));

/** practiceTable is what practice of each ability brings; of(code) is how often it comes now. */
export function practiceTable(practice, of) {
  const enters = (p) => (p.inPlan ? t("plan.in") : never(p.needed) ? t("plan.never") : number(ofTen(p.needed)));
  const heads = ["plan.now", "plan.enters", "plan.oneMore"].map((key) => make("th", { scope: "col", class: "number" }, t(key)));
  const row = (p) => make("tr", {}, make("th", { scope: "row", class: "code" }, p.code),
    ...[tenths(of(p.code)), enters(p), number(p.gain, { signed: true })].map((text) => make("td", { class: "number" }, text)));
  return make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, t("plan.element")), ...heads)),
    make("tbody", {}, ...practice.map(row)));
}

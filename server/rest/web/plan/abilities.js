// What a skater can do, as a list: how often each element comes, and what comes if not.

import { at, list, make, setText, show as visible } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { fillHow, graded, listed, tenths } from "./how.js";
import { outcomes } from "./misses.js";
import { tens } from "./tens.js";

const KINDS = ["jump", "throw", "twist", "lift", "death_spiral", "spin", "step", "choreo"];
/**
 * abilityList shows abilities in the page's list. act is { changed(id, values), removed(id) }
 * with what has changed of one. It returns show(abilities, goe).
 */
export function abilityList(act) {
  let goe = { min: 0, max: 0 };

  function create(ability) {
    const { id, code } = ability;
    const bar = tens(code, (success, { live }) => act.changed(id, { success }, live));
    const how = make("details", { class: "how" },
      make("summary", {}, make("span"), make("span", { class: "grade" })), make("div", { class: "more" }));
    const node = make("li", { class: "ability" },
      make("span", { class: "code" }, code), make("span", { class: "note source" }), make("span", { class: "often" }), bar.node,
      make("p", { class: "why", hidden: true }), how);
    node.bar = bar;
    how.addEventListener("toggle", () => fillHow(how, () => node.ability, goe, act));
    return node;
  }

  function update(node, ability) {
    node.ability = ability;
    const { success, grade, attempts, wish, fault, note } = ability;
    const [, source, often, , why, how] = node.children;
    node.bar.set(success);
    const set = attempts === 0 && ability.inBook !== undefined && t("plan.setByYou", { n: tenths(ability.inBook) });
    const from = [attempts > 0 && t("plan.attempts", { n: attempts }), set, wish && t(`plan.wish.${wish}`)].filter(Boolean).join(" · ");
    setText(source, from);
    setText(often, success === undefined ? t("plan.notSaid") : t("plan.of", { n: tenths(success) }));
    setText(why, fault ?? note ?? "");
    why.dataset.state = fault ? "fault" : "look";
    visible(why, Boolean(why.textContent));
    node.dataset.state = wish === "out" ? "out" : fault ? "fault" : "";
    const [ifNot, grading] = how.firstElementChild.children;
    const misses = success === undefined ? [] : outcomes(ability, goe).sort((a, b) => b.of - a.of);
    const silent = success === undefined ? "plan.grades" : "plan.always";
    setText(ifNot, misses.length ? t("plan.ifNot", { what: listed(ability, misses) }) : t(silent));
    setText(grading, graded(grade));
    if (how.open && !how.contains(document.activeElement)) fillHow(how, () => node.ability, goe, act);
  }

  return (abilities, scale) => {
    goe = scale;
    const kind = (a) => (KINDS.includes(a.element.kind) ? a.element.kind : "other");
    const groups = [...KINDS, "other"].map((name) => ({ name, own: abilities.filter((a) => kind(a) === name) })).filter((g) => g.own.length);
    const group = ({ name }) => make("section", {}, make("h3", { id: `of-${name}` }), make("ul", { class: "list", "aria-labelledby": `of-${name}` }));
    list(at("abilities"), groups, (g) => g.name, group, (node, { name, own }) => {
      setText(node.firstElementChild, t("plan.group", { kind: t(`plan.kinds.${name}`), n: own.length }));
      list(node.lastElementChild, own, (a) => a.id, create, update);
    });
  };
}

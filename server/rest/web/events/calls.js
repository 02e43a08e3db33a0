// The list of what was called: one row an element, the newest or the chosen one with
// what can be done to it.

import { list, make, setText, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";

const KEYS = { change: "e", half: "x", look: "?", back: "Ctrl Z" };

/**
 * callList fills a list with rows; run(what, row) is called with what somebody wants:
 * choose, change, half, look, back, again.
 */
export function callList(place, run) {
  const button = (what, label, keys) => make("button", { type: "button", name: what }, label, make("span", { class: "aloud" }), keys && make("kbd", {}, keys));
  const create = () => make("li", {}, make("span", { class: "index" }), make("span", { class: "code" }), make("span", { class: "half" }),
    make("span", { class: "name" }), make("span", { class: "base number" }), make("span", { class: "marks" }),
    make("span", { class: "tools" }, button("change", t("technical.change"), KEYS.change), button("half", t("technical.half"), KEYS.half),
      button("look", t("technical.look"), KEYS.look), button("back", t("technical.back"), KEYS.back)),
    make("span", { class: "why" }), make("span", { class: "answers" }, button("again", t("technical.sendAgain")), button("back", t("technical.back"))));
  place.addEventListener("click", (press) => {
    const li = press.target.closest("li");
    if (li) run(press.target.closest("button")?.name ?? "choose", li.row);
  });

  function update(li, row) {
    const [index, code, half, name, base, marks, tools, why, answers] = li.children;
    li.row = row;
    li.dataset.state = row.refused ? "fault" : row.unsent ? "unsent" : "";
    li.classList.toggle("tinted", row.tinted);
    li.classList.toggle("gone", Boolean(row.gone));
    setText(index, row.gone ? "–" : String(row.number));
    setText(code, row.code);
    setText(half, row.secondHalf ? t("technical.half") : "");
    setText(name, row.name ?? "");
    setText(base, row.gone ? "" : row.baseValue);
    const [kind, text] = stateOf(row);
    marks.className = `marks ${kind}`;
    setText(marks, text);
    show(tools, row.tinted && !row.gone && !row.refused);
    for (const node of tools.children) {
      show(node, node.name === "back" || !row.item);
      setText(node.children[0], row.code);
      if (node.name === "half" || node.name === "look") node.setAttribute("aria-pressed", String(node.name === "half" ? row.secondHalf : row.inReview));
    }
    why.replaceChildren(...reason(row));
    why.dataset.kind = row.refused ? "fault" : row.twice ? "twice" : row.why ? "rules" : "";
    show(answers, Boolean(row.refused || row.twice) && !row.gone);
    show(answers.firstChild, Boolean(row.refused));
    show(answers.lastChild, tools.hidden);
  }
  return (rows) => {
    list(place, rows, (row) => row.key, create, update);
    place.querySelector(".tinted")?.scrollIntoView({ block: "nearest" });
  };
}

// stateOf says how far a row is: its kind, and in words.
function stateOf(row) {
  if (row.gone) return ["unsent", t("technical.goneUnsent")];
  if (row.unsent) return ["unsent", t("technical.unsent")];
  if (row.refused) return ["", ""];
  if (row.why && !row.tinted) return ["look", t(row.lost ? "technical.lostMark" : "technical.againstMark")]; // the chosen row says why
  if (row.inReview) return ["look", t("technical.lookAgain")];
  return ["", t("technical.marks", { n: row.marksGiven, all: row.judges })];
}

// reason says what is the matter with a row.
function reason({ refused, twice, why, lost, gone, tinted }) {
  const strong = (text) => make("strong", {}, text);
  if (gone) return [];
  if (refused) return [strong(refused.call === "CallElement" ? t("technical.refused") : t("technical.changeRefused")), ` ${refused.refused}`];
  if (twice) return [strong(t("technical.twice")), ` ${t("technical.sameAs", { as: number(twice.as), n: twice.seconds })}`];
  if (why && tinted) return [strong(lost ? t("technical.noValue") : t("technical.overRules")), ` ${why} ${t("technical.decides")}`];
  return [];
}

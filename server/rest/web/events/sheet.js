// The score sheet of a performance with all marks, as the referee sees it.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { listed, number } from "../parts/numbers.js";
import { t } from "../parts/words.js";

/**
 * scoreSheet puts a sheet into a place and returns a function that fills it with a
 * performance and how many judges the panel has. A mark that is missing stands out
 * once the program is over.
 */
export function scoreSheet(place) {
  const head = make("tr");
  const [elements, total, components, last] = ["calls", "sum", "graded", "sum"].map((name) => make("tbody", { class: `of-${name}` }));
  const table = make("table", {}, make("thead", {}, head), elements, total, components, last);
  place.append(make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": t("referee.marks") }, table));

  const cells = (judges) => () => make("tr", {}, make("td", { class: "index" }),
    make("th", { scope: "row" }, make("span"), make("small"), make("small", { class: "look" })),
    ...Array.from({ length: judges + 3 }, () => make("td", { class: "number" })));

  function fillRow(node, { index = "", code, name, half, look, base = "", marks = [], goe = "", score = "" }) {
    const [at, title, ...figures] = node.children;
    const [what, note, again] = title.children;
    setText(at, String(index));
    what.classList.toggle("code", Boolean(code));
    setText(what, code ?? name);
    setText(note, half || "");
    setText(again, look ? t("referee.lookAgain") : "");
    show(again, Boolean(look));
    [base, ...marks.map((m) => m.text), goe, score].forEach((text, i) => {
      const mark = marks[i - 1];
      setText(figures[i], text);
      figures[i].toggleAttribute("data-missing", Boolean(mark?.missing));
    });
    for (const f of figures.slice(marks.length + 3)) setText(f, "");
  }

  return (p, count) => {
    table.classList.toggle("many", count > 5); // so that nine judges have room beside each other
    const judges = Array.from({ length: count }, (_, i) => i + 1);
    const over = p.state !== "ON_ICE";
    const key = `${p.segment} ${p.entry} ${count}`;
    const marksOf = (given, signed) => judges.map((judge) => {
      const mark = given.find((m) => m.judge === judge)?.mark;
      if (mark !== undefined) return { text: signed ? number(mark, { signed: true }) : number(mark.toFixed(2)) };
      return p.absentJudges.includes(judge) ? { text: t("referee.absentMark") } : { text: "", missing: over };
    });
    const none = judges.map(() => ({ text: "" }));
    const figure = (points) => (points ? number(points) : "");
    const heads = ["", t("referee.element"), t("referee.base"), ...judges.map((n) => t("referee.judge", { n })), t("referee.goe"), t("referee.score")];
    list(head, heads.map((text, i) => ({ text, i })), (h) => `${h.i} ${h.text}`,
      ({ text, i }) => (text ? make("th", { scope: "col", class: i > 1 && "number" }, text) : make("td", {})), () => {});
    const fill = (body, rows) => list(body, rows.map((r, i) => ({ ...r, i })), (r) => `${key} ${r.id ?? r.i}`, cells(count), fillRow);
    fill(elements, p.elements.map((e, i) => ({
      id: e.element, index: i + 1, code: e.code, half: e.secondHalf && t("referee.half"), look: e.inReview,
      base: figure(e.baseValue), marks: marksOf(e.marks, true), goe: figure(e.goe), score: figure(e.score),
    })));
    fill(total, [{ name: t("referee.elements"), marks: none, score: figure(p.elementScore) }]);
    fill(components, p.components.map((c) => ({
      id: c.component, name: c.name, half: t("referee.factor", { factor: number(c.factor) }),
      marks: marksOf(c.marks, false), goe: figure(c.panelScore), score: figure(c.score),
    })));
    table.style.setProperty("--rows", p.elements.length + p.components.length + 3); // so that few do not fill the screen
    const off = p.deductions.map((d) => `${d.count > 1 ? `${number(d.count)} × ` : ""}${d.note || words(d.kind)}`);
    const name = off.length ? t("referee.deductionsFor", { what: listed(off) }) : t("referee.deductions");
    fill(last, [{ name, marks: none, score: figure(p.totalDeductions) }]);
  };
}

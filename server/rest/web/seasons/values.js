// The values of a season as tables, one for each kind of element.

import { make } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { has, t } from "../parts/words.js";
import { sure } from "./rules.js";
import { doubt, provenance } from "./source.js";

/** kinds is the order of the tables; what else there is comes behind. */
const kinds = ["jump", "throw", "twist", "lift", "spin", "death_spiral", "step", "twizzle", "choreo", "pattern"];

const title = (kind) => t(has(`season.kinds.${kind}`) ? `season.kinds.${kind}` : "season.kinds.any");
const signed = (figure) => number(figure, { signed: true });

// weakest returns the confidence of a value that is least sure.
const weakest = (e) => [e.confidence, ...e.goePoints.map((g) => g.confidence)].find((c) => !sure(c)) ?? e.confidence;

function more(e, context, id) {
  const pair = (term, what) => make("div", {}, make("dt", {}, term), make("dd", { class: "number" }, what));
  const forms = e.reducedForms.map((r) => pair(make("span", { class: "code" }, r.code), number(r.baseValue)));
  return make("div", { class: "more" },
    e.scope && make("p", { class: "note" }, t("season.holds", { scope: e.scope })),
    make("h4", { class: "narrow" }, t("season.grades")),
    make("dl", { class: "grades narrow" }, ...e.goePoints.map((g) => pair(signed(g.mark), signed(g.points)))),
    forms.length > 0 && make("h4", {}, t("season.reduced")), forms.length > 0 && make("dl", { class: "grades" }, ...forms),
    provenance({ ...e, confidence: weakest(e), note: context.note(e) }),
    make("p", { class: "row" }, make("a", { href: `#${encodeURIComponent(id)}` }, t("season.address")),
      make("a", { href: context.json(e) }, t("season.json"))));
}

function row(e, marks, context, id) {
  const points = new Map(e.goePoints.map((g) => [g.mark, g.points]));
  const below = make("tr", { class: "below", hidden: true, id: `${id}-more` });
  const toggle = () => {
    const open = below.hidden;
    if (open && !below.firstChild) below.append(make("td", { colspan: marks.length + 3 }, more(e, context, id)));
    below.hidden = !open;
    button.setAttribute("aria-expanded", String(open));
  };
  const button = make("button", { type: "button", class: "code opener", "aria-expanded": "false", "aria-controls": below.id }, e.code);
  const node = make("tr", { id, class: "value", onclick: toggle },
    make("th", { scope: "row" }, button),
    make("td", { class: "name" }, e.name === e.code ? "" : e.name, e.scope && make("span", { class: "note" }, ` ${e.scope}`)),
    make("td", { class: "number base" }, number(e.baseValue), doubt(weakest(e), { short: true })),
    ...marks.map((mark) => make("td", { class: "number grade" }, points.has(mark) ? signed(points.get(mark)) : "–")));
  return { node, below, toggle, code: e.code, text: [e.code, e.name, e.scope, ...e.reducedForms.map((r) => r.code)].join(" ").toLowerCase() };
}

/**
 * tables returns { node, rows } for each kind of element. context has marks, the grades
 * of the season, note(element), its remark, and json(element), its address in the API.
 */
export function tables(elements, context) {
  const all = [...new Set([...kinds, ...elements.map((e) => e.kind)])];
  const ids = new Map();
  return all.map((kind) => elements.filter((e) => e.kind === kind)).filter((list) => list.length).map((list) => {
    const rows = list.map((e) => {
      const n = ids.get(e.code) ?? 0;
      ids.set(e.code, n + 1);
      return row(e, context.marks, context, n ? `${e.code}~${n + 1}` : e.code);
    });
    const head = make("tr", {}, make("th", { scope: "col" }, t("season.element")), make("th", { scope: "col" }, t("season.name")),
      make("th", { scope: "col", class: "number base" }, t("season.base")),
      ...context.marks.map(signed).map((mark) => make("th", { scope: "col", class: "number grade", "aria-label": t("season.grade", { mark }) }, mark)));
    const node = make("section", { class: "panel group" }, make("h3", {}, title(list[0].kind)),
      make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows.flatMap(({ node: own, below }) => [own, below]))));
    return { node, rows };
  });
}

// The fields of a correction: the confirmed sheet, and what was changed of it.

import { make, setText, words } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { asked, pointsOff } from "./deductions.js";

const signed = (mark) => number(mark, { signed: true });
const quarter = (mark) => number(Number(mark).toFixed(2));
// asFigure reads what is typed: "−2", "-2", "+1" or "5,25".
const asFigure = (text) => (/^[+\-−]?\d+([.,]\d+)?$/.test(text) ? Number(text.replace("−", "-").replace(",", ".")) : NaN);

let ids = 0;

/** fieldOf makes an input that knows what stood in it; label says what it is. */
function fieldOf(label, value, attributes = {}) {
  const input = make("input", { id: `correct-${++ids}`, autocomplete: "off", "aria-label": label, ...attributes });
  input.value = value;
  input.dataset.before = input.value;
  return input;
}
const typedIn = (input) => input.value.trim();
const changed = (input) => typedIn(input) !== input.dataset.before;

/**
 * formOf makes the fields of a confirmed performance; typed is called with each key.
 * It returns { parts, read, changes, tell, refuse }. read returns { request, faults }:
 * what CorrectResult is to be sent, and { input, text } of each field that cannot be
 * sent as it is. changes says in words what a request changes. tell shows faults at
 * their fields and returns whether there are some; refuse does so with those of a
 * refusal, and returns those that belong to no field.
 */
export function formOf(p, rules, season, count, typed) {
  const judges = Array.from({ length: count }, (_, i) => i + 1).filter((j) => !p.absentJudges.includes(j));
  const { min, max } = season.goe, grid = season.componentMarks;
  const markOf = (name, judge, text, inputmode) => ({
    judge, name, input: fieldOf(t("correct.markOf", { judge, what: name }), text, { class: "mark", inputmode }),
  });
  const elementMark = (name, judge, mark) => markOf(name, judge, mark === undefined ? "" : signed(mark), "text");
  const elements = p.elements.map((e, i) => {
    const name = t("correct.element", { n: i + 1 });
    return {
      e, number: i + 1, name,
      code: fieldOf(t("correct.codeOf", { n: i + 1 }), e.code, { class: "code", spellcheck: "false", autocapitalize: "off" }),
      half: make("input", { type: "checkbox", "aria-label": t("correct.halfOf", { n: i + 1 }), checked: e.secondHalf }),
      gone: make("input", { type: "checkbox", "aria-label": t("correct.goneOf", { n: i + 1 }) }),
      marks: judges.map((j) => elementMark(name, j, e.marks.find((m) => m.judge === j)?.mark)),
    };
  });
  const added = {
    code: fieldOf(t("correct.addedCode"), "", { class: "code", spellcheck: "false", autocapitalize: "off" }),
    marks: judges.map((j) => elementMark(t("correct.addedElement"), j)),
  };
  const components = p.components.map((c) => ({
    c, marks: judges.map((judge) => {
      const mark = c.marks.find((m) => m.judge === judge)?.mark;
      return markOf(c.name, judge, mark === undefined ? "" : quarter(mark), "decimal");
    }),
  }));
  const countOf = (kind) => String(p.deductions.find((d) => d.kind === kind)?.count ?? 0);
  const counts = rules.map(({ kind }) => ({ kind, input: fieldOf(words(kind), countOf(kind), { class: "mark", inputmode: "numeric" }) }));
  const others = [...p.deductions.filter((d) => d.kind === "OTHER"), { kind: "OTHER", note: "", value: "" }].map((d, i) => ({
    d, note: fieldOf(t("correct.otherFor", { n: i + 1 }), d.note, { maxlength: 200 }),
    value: fieldOf(t("correct.otherPoints", { n: i + 1 }), d.value && number(d.value), { class: "mark", inputmode: "decimal" }),
  }));
  const parts = layOut({ judges, elements, added, components, counts, others });
  for (const part of Object.values(parts)) {
    part.addEventListener("input", (key) => { say(key.target); typed(); });
    part.addEventListener("change", (left) => { tell(read().faults.filter((f) => f.input === left.target)); });
  }

  function elementFault({ judge, name, input }) {
    const text = typedIn(input), mark = asFigure(text);
    if (Number.isInteger(mark) && mark >= min && mark <= max) return undefined;
    const allowed = { low: number(min), high: signed(max) };
    const what = text ? t("correct.notAMark", { judge, what: name, text }) : t("correct.noMark", { judge, what: name });
    const { before } = input.dataset;
    return { input, text: `${what} ${before ? t("correct.typeOrBack", { ...allowed, before }) : t("correct.type", allowed)}` };
  }

  function componentFault({ judge, name, input }) {
    const text = typedIn(input), mark = asFigure(text);
    if (mark >= grid.min && mark <= grid.max && Number.isInteger(mark / grid.step)) return undefined;
    const allowed = { low: quarter(grid.min), high: quarter(grid.max), step: quarter(grid.step) };
    const what = text ? t("correct.notAMark", { judge, what: name, text }) : t("correct.noMark", { judge, what: name });
    return { input, text: `${what} ${t("correct.typeStep", { ...allowed, before: input.dataset.before })}` };
  }

  function read() {
    const faults = [];
    const request = {};
    const put = (list, item, ...fields) => {
      const all = (request[list] ??= []);
      for (const [path, input] of fields) at.set(`${list}[${all.length}]${path}`, input);
      all.push(item);
    };
    at.clear();
    for (const { e, name, code, half, gone, marks } of elements) {
      if (gone.checked) {
        put("removedElements", e.element, ["", gone]);
        continue;
      }
      if (!typedIn(code)) faults.push({ input: code, text: t("correct.noCode", { what: name, before: e.code }) });
      const revised = { element: e.element };
      if (changed(code)) revised.code = typedIn(code);
      if (half.checked !== e.secondHalf) revised.secondHalf = half.checked;
      if (Object.keys(revised).length > 1) put("revisedElements", revised, [".code", code], [".element", code]);
      for (const m of marks.filter((each) => changed(each.input))) {
        const fault = elementFault(m);
        if (fault) faults.push(fault);
        else put("elementMarks", { element: e.element, judge: m.judge, mark: asFigure(typedIn(m.input)) }, [".mark", m.input], [".judge", m.input]);
      }
    }
    for (const { c, marks } of components) {
      for (const m of marks.filter((each) => changed(each.input))) {
        const fault = componentFault(m);
        if (fault) faults.push(fault);
        else put("componentMarks", { component: c.component, judge: m.judge, mark: asFigure(typedIn(m.input)) }, [".mark", m.input], [".judge", m.input]);
      }
    }
    readAdded(faults, put);
    readDeductions(faults, request);
    return { request, faults };
  }
  const at = new Map(); // fields by their paths in the request

  function readAdded(faults, put) {
    const given = added.marks.filter((m) => typedIn(m.input));
    if (!typedIn(added.code)) {
      if (given.length) faults.push({ input: added.code, text: t("correct.addedNoCode") });
      return;
    }
    // Without any mark the server says whether the element has a value, and so needs some.
    const wrong = given.length ? added.marks.map(elementFault).filter(Boolean) : [];
    faults.push(...wrong);
    if (!wrong.length) {
      const marks = given.map((m) => ({ judge: m.judge, mark: asFigure(typedIn(m.input)) }));
      put("addedElements", { code: typedIn(added.code), marks }, [".code", added.code], [".marks", added.code]);
    }
  }

  function readDeductions(faults, request) {
    for (const { kind, input } of counts) {
      if (!/^\d{1,2}$/.test(typedIn(input))) faults.push({ input, text: t("correct.noCount", { what: words(kind), before: input.dataset.before }) });
    }
    for (const { note, value } of others) {
      if (changed(value) && typedIn(value) && !/^-\d+\.\d\d$/.test(pointsOff(value.value))) faults.push({ input: value, text: t("correct.noPoints") });
      else if (typedIn(note) && !typedIn(value) && changed(note)) faults.push({ input: value, text: t("correct.noPoints") });
    }
    if (!counts.some(({ input }) => changed(input)) && !others.some(({ note, value }) => changed(note) || changed(value))) return;
    const said = others.filter(({ value }) => typedIn(value))
      .map(({ d, note, value }) => asked({ ...d, count: d.count ?? 1, note: typedIn(note), value: pointsOff(value.value) }));
    const kinds = counts.filter(({ input }) => Number(typedIn(input)) > 0).map(({ kind, input }) => ({ kind, count: Number(typedIn(input)) }));
    request.deductions = { deductions: [...kinds, ...said] };
  }

  function changes(request) {
    const numbered = (id) => elements.find((x) => x.e.element === id);
    const was = (marks, judge) => marks.find((m) => m.judge === judge).input.dataset.before || "–";
    return [
      ...(request.elementMarks ?? []).map((m) => {
        const { name, marks } = numbered(m.element);
        return t("correct.changedMark", { judge: m.judge, what: name, before: was(marks, m.judge), after: signed(m.mark) });
      }),
      ...(request.componentMarks ?? []).map((m) => {
        const { c, marks } = components.find((x) => x.c.component === m.component);
        return t("correct.changedMark", { judge: m.judge, what: c.name, before: was(marks, m.judge), after: quarter(m.mark) });
      }),
      ...(request.revisedElements ?? []).map((r) => t("correct.changedElement", { what: numbered(r.element).name })),
      ...(request.removedElements ?? []).map((id) => t("correct.goneElement", { what: numbered(id).name })),
      ...(request.addedElements ?? []).map((e) => t("correct.newElement", { code: e.code })),
      ...(request.deductions ? [t("correct.changedDeductions")] : []),
    ];
  }

  // say puts a fault at a field, in the line below its row; without a text it clears it.
  function say(input, text = "") {
    input.setAttribute("aria-invalid", String(Boolean(text)));
    const line = input.closest("[data-row]")?.parentElement.querySelector(`[data-of="${input.closest("[data-row]").dataset.row}"] .fault`);
    if (!line) return;
    if (text) {
      line.id ||= `correct-fault-${++ids}`;
      input.setAttribute("aria-describedby", line.id);
    }
    if (text || line.dataset.input === input.id) setText(line, text);
    if (text) line.dataset.input = input.id;
  }
  function tell(faults) {
    for (const fault of faults.toReversed()) say(fault.input, fault.text);
    return faults.length > 0;
  }
  function refuse(fields) {
    const rest = [];
    for (const f of fields) {
      const input = at.get(f.field);
      if (input) say(input, f.description.charAt(0).toUpperCase() + f.description.slice(1));
      else rest.push(f);
    }
    return rest;
  }
  return { parts, read, changes, tell, refuse };
}

// layOut puts the fields into tables. Below each row is a line for its faults.
function layOut({ judges, elements, added, components, counts, others }) {
  const head = (...names) => make("thead", {}, make("tr", {}, ...names.map((name) => (name ? make("th", { scope: "col" }, name) : make("td")))));
  const row = (key, width, ...cells) => [
    make("tr", { "data-row": key }, ...cells.map((cell) => (cell.localName === "th" ? cell : make("td", {}, cell)))),
    make("tr", { class: "why", "data-of": key }, make("td", { colspan: width }, make("p", { class: "fault", role: "alert" }))),
  ];
  const numbered = judges.map((n) => t("correct.judge", { n }));
  const marks = (list) => list.map((m) => m.input);
  const wide = judges.length + 4;
  const table = (headed, ...rows) => make("table", {}, headed, make("tbody", {}, ...rows.flat()));
  const part = (name, ...children) => { const node = make("div", {}, ...children); node.dataset.part = name; return node; };
  return {
    elements: part("elements", table(head("", t("referee.element"), ...numbered, t("referee.half"), t("correct.gone")),
      ...elements.map((x) => row(x.e.element, wide, make("span", { class: "index" }, String(x.number)), x.code, ...marks(x.marks), x.half, x.gone)),
      row("added", wide, make("span", { class: "index" }, "+"), added.code, ...marks(added.marks), make("span", { class: "note" }, t("correct.leftOut")), ""))),
    components: part("components", table(head(t("correct.component"), ...numbered),
      ...components.map((x) => row(x.c.component, wide, make("th", { scope: "row" }, x.c.name), ...marks(x.marks))))),
    deductions: part("deductions", table(head(t("correct.deduction"), t("correct.howOften")),
      ...counts.map(({ kind, input }) => row(kind, wide, make("th", { scope: "row" }, words(kind).replace(/^./, (c) => c.toUpperCase())), input))),
    table(head(t("correct.otherHead"), t("correct.pointsHead")), ...others.map((o, i) => row(`other ${i}`, wide, o.note, o.value)))),
  };
}

// Correcting a confirmed score: the sheet as a form, of which only what was
// changed is sent, with a reason that everybody can read.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { asked, deductionRules, pointsOff } from "./deductions.js";
import { tell } from "./refusal.js";

const field = (label, attributes, value = "") => {
  const input = make("input", { autocomplete: "off", "aria-label": label, ...attributes });
  input.value = value;
  input.dataset.before = input.value;
  return input;
};
const changed = (input) => input.value.trim() !== input.dataset.before;
// A deleted mark is left out, which the server refuses; as a number it would be 0.
const markOf = (input) => (input.value.trim() === "" ? {} : { mark: Number(input.value) });

/** correction fills a form; may tells whether this desk may correct. */
export function correction({ api, act }, form, may) {
  const entry = make("select", { id: "correct-entry" });
  const sheet = make("div");
  const reason = make("input", { id: "correct-reason", class: "wide", autocomplete: "off", "aria-describedby": "correct-fault" });
  const fault = make("p", { class: "fault", id: "correct-fault", role: "alert" });
  const history = make("ul", { class: "note" });
  const rest = make("div", { hidden: true }, sheet, history,
    make("label", { for: "correct-reason" }, "Reason, for everybody to read"), make("div", { class: "row" }, reason, make("button", { type: "submit" }, "Correct the score")));
  const none = make("p", { class: "note" });
  form.append(none, make("div", { class: "row" }, make("label", { for: "correct-entry" }, "Skater"), entry), rest, fault);
  let at; // names of the performance on the form
  let now; // the event
  let read = () => ({});

  async function load() {
    tell(fault);
    show(rest, false);
    if (!entry.value) return;
    at = { ...at, entry: entry.value };
    try {
      const { performance } = await api.call("GetPerformance", at);
      const rules = await deductionRules(api, now, now.categories.find((c) => c.category === at.category));
      read = fillSheet(sheet, performance, rules);
      history.replaceChildren(...performance.corrections.map((c) => make("li", {}, `${c.scoreBefore} became ${c.scoreAfter}: ${c.reason}`)));
      show(rest, true);
    } catch (error) {
      tell(fault, error);
    }
  }
  entry.addEventListener("change", load);
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const done = await act("CorrectResult", { ...at, reason: reason.value.trim(), ...read() }, fault, reason);
    if (done) { reason.value = ""; load(); }
  });

  return ({ event }, { category, segment }) => {
    now = event;
    const confirmed = segment?.order.filter((s) => s.state === "CONFIRMED") ?? [];
    setText(none, may ? "Nobody of the segment is confirmed yet." : "The referee corrects.");
    show(none, !may || confirmed.length === 0);
    for (const part of [...form.children].slice(1)) if (part !== rest) show(part, may && confirmed.length > 0);
    if (!may || confirmed.length === 0) return show(rest, false);
    const before = `${at?.category} ${at?.segment}`;
    at = { event: event.event, category: category.category, segment: segment.segment, entry: at?.entry };
    list(entry, [{ entry: "" }, ...confirmed], (s) => `entry ${s.entry}`, (s) => make("option", { value: s.entry }),
      (node, s) => setText(node, s.entry ? `${s.number}. ${s.name}` : "choose …"));
    if (before !== `${at.category} ${at.segment}`) { entry.value = ""; load(); }
    return undefined;
  };
}

// fillSheet shows a performance as fields and gives what reads the changes.
function fillSheet(place, p, rules) {
  const judges = [...new Set([...p.elements, ...p.components].flatMap((x) => x.marks.map((m) => m.judge)))].sort((a, b) => a - b);
  const markFields = (name, marks, step) => judges.map((j) => field(`${name}, judge ${j}`, { type: "number", step, class: "mark" }, marks.find((m) => m.judge === j)?.mark ?? ""));
  const elements = p.elements.map((e, i) => ({
    e, code: field(`Code of element ${i + 1}`, { class: "code", spellcheck: "false", autocapitalize: "off" }, e.code),
    half: make("input", { type: "checkbox", "aria-label": `Element ${i + 1} in the second half`, checked: e.secondHalf }),
    gone: make("input", { type: "checkbox", "aria-label": `Element ${i + 1} was none` }), marks: markFields(`Element ${i + 1}`, e.marks, 1),
  }));
  const components = p.components.map((c) => ({ c, marks: markFields(c.name, c.marks, 0.25) }));
  const added = { code: field("Code of an element that was left out", { class: "code", spellcheck: "false", autocapitalize: "off" }), marks: markFields("Element that was left out", [], 1) };
  const counts = rules.map(({ kind }) => ({ kind, count: field(words(kind), { type: "number", min: 0, class: "mark" }, p.deductions.find((d) => d.kind === kind)?.count ?? 0) }));
  const others = [...p.deductions.filter((d) => d.kind === "OTHER"), { kind: "OTHER", note: "", value: "" }].map((d, i) => ({
    d, note: field(`What another deduction is for, ${i + 1}`, { maxlength: 200 }, d.note), value: field(`Points of another deduction, ${i + 1}`, { inputmode: "decimal", class: "mark" }, d.value),
  }));
  const cells = (marks) => marks.map((m) => make("td", {}, m));
  const head = make("tr", {}, ...["Element", "2nd half", "Was none", ...judges.map((j) => `Judge ${j}`)].map((h) => make("th", { scope: "col" }, h)));
  const line = (...nodes) => make("tr", {}, ...nodes);
  place.replaceChildren(
    make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Sheet to correct" }, make("table", { class: "sheet" }, make("thead", {}, head), make("tbody", {},
      ...elements.map((x) => line(make("td", {}, x.code), make("td", {}, x.half), make("td", {}, x.gone), ...cells(x.marks))),
      line(make("td", {}, added.code), make("td", { colspan: 2, class: "note" }, "was left out"), ...cells(added.marks)),
      ...components.map((x) => line(make("th", { scope: "row", colspan: 3 }, x.c.name), ...cells(x.marks)))))),
    make("div", { class: "row" }, make("span", {}, "Deductions, how often:"), ...counts.map(({ kind, count }) => make("span", { class: "field" }, words(kind), count))),
    ...others.map(({ note, value }) => make("div", { class: "row" }, make("span", { class: "field" }, "Another deduction: what for", note), make("span", { class: "field" }, "Points off", value))));

  return () => {
    const revisedElements = [], removedElements = [], elementMarks = [], componentMarks = [], addedElements = [];
    for (const { e, code, half, gone, marks } of elements) {
      if (gone.checked) { removedElements.push(e.element); continue; }
      const revised = { element: e.element };
      if (changed(code)) revised.code = code.value.trim();
      if (half.checked !== e.secondHalf) revised.secondHalf = half.checked;
      if (Object.keys(revised).length > 1) revisedElements.push(revised);
      marks.forEach((m, i) => changed(m) && elementMarks.push({ element: e.element, judge: judges[i], ...markOf(m) }));
    }
    for (const { c, marks } of components) marks.forEach((m, i) => changed(m) && componentMarks.push({ component: c.component, judge: judges[i], ...markOf(m) }));
    if (added.code.value.trim()) {
      addedElements.push({ code: added.code.value.trim(), marks: added.marks.flatMap((m, i) => (m.value === "" ? [] : [{ judge: judges[i], mark: Number(m.value) }])) });
    }
    const request = { revisedElements, removedElements, addedElements, elementMarks, componentMarks };
    if (counts.some(({ count }) => changed(count)) || others.some(({ note, value }) => changed(note) || changed(value))) {
      const said = others.filter(({ value }) => value.value.trim()).map(({ d, note, value }) => asked({ ...d, count: d.count ?? 1, note: note.value.trim(), value: pointsOff(value.value) }));
      request.deductions = { deductions: [...counts.filter(({ count }) => Number(count.value) > 0).map(({ kind, count }) => ({ kind, count: Number(count.value) })), ...said] };
    }
    return request;
  };
}

// The technical panel's desk: elements by their code or by what was skated.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { deductionCounters } from "./deductions.js";
import { named, openDesk } from "./desk.js";
import { tell } from "./refusal.js";
import { skatedForm } from "./skated.js";
import { spelled } from "../parts/spelling.js";

openDesk({ roles: ["TECHNICAL_PANEL", "ORGANISER", "ADMIN"], start });

function start(desk) {
  const { act } = desk;
  let state = {};
  let editing; // number of the element whose code is being changed
  const code = at("code"), fault = at("call-fault");
  const deductions = deductionCounters(desk, false);
  at("deductions").replaceChildren(deductions.node);
  const last = () => state.performance?.elements.reduce((a, b) => (b.element > (a?.element ?? 0) ? b : a), undefined);

  at("call").addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const typed = code.value.trim();
    if (!typed || !state.performance) return;
    const short = spelled(typed.replace(/\s+x$/i, ""));
    // The field is free at once for the next element; a refused code comes back.
    code.value = "";
    tell(fault, undefined, code);
    const secondHalf = at("second-half").checked || /\sx$/i.test(typed);
    const done = await act("CallElement", { ...named(state.performance), code: short, secondHalf }, fault, code);
    if (!done && code.value === "") code.value = typed;
  });
  const undo = () => last() && act("RemoveElement", { ...named(state.performance), element: last().element }, fault, code);
  const review = (e) => act("ReviewElement", { ...named(state.performance), element: e.element, inReview: !e.inReview }, at("element-fault"));
  code.addEventListener("input", () => { // also from a keyboard on the screen
    if (code.value !== "?") return;
    code.value = "";
    if (last()) review(last());
  });
  code.addEventListener("keydown", (key) => {
    if (code.value === "" && key.key === "z" && (key.ctrlKey || key.metaKey)) { key.preventDefault(); undo(); }
  });
  at("undo").addEventListener("click", undo);
  at("next").addEventListener("click", () => {
    at("second-half").checked = false;
    act("CallSkater", { event: state.event.event, category: state.category.category, segment: state.segment.segment }, at("skater-fault"));
    code.focus();
  });
  at("end").addEventListener("click", () => act("EndProgram", named(state.performance), at("skater-fault")));
  const skated = skatedForm(desk, () => state, () => at("second-half").checked);
  at("skated").replaceChildren(skated.node);

  function row() {
    const button = (name, text, label, onclick) => make("button", { type: "button", class: "small", name, "aria-label": label, onclick }, text);
    return make("li", {}, make("span", { class: "number" }), make("span", { class: "code" }), make("span", { class: "base" }), make("span", { class: "note given" }),
      make("span", { class: "row tools" },
        button("review", "Review"), button("half", "2nd half"), button("change", "Change"), button("remove", "Remove")),
      make("form", { class: "row", hidden: true }, make("input", { class: "code", "aria-label": "New code", autocomplete: "off", autocapitalize: "off", spellcheck: "false" }),
        make("button", { type: "submit" }, "Save"), make("button", { type: "button", name: "cancel", class: "quiet" }, "Leave it")),
      make("p", { class: "note call" }));
  }

  function fillRow(node, e, i) {
    const [number, codeCell, base, given, tools, form, call] = node.children;
    const judges = state.segment.panel?.judges ?? 0;
    setText(number, `${i + 1}.`);
    setText(codeCell, e.code + (e.secondHalf ? " x" : ""));
    setText(base, e.baseValue);
    setText(given, `${e.marksGiven} of ${judges - state.performance.absentJudges.length} marks`);
    node.classList.toggle("in-review", e.inReview);
    setText(call, e.call ? `Found from what was skated: ${e.call.features.filter((f) => f.counted).length} features count. ${e.call.notes.join(" ")}` : "");
    const target = { ...named(state.performance), element: e.element };
    const set = (name, label, pressed, onclick) => {
      const b = tools.querySelector(`[name=${name}]`);
      b.setAttribute("aria-label", label);
      if (pressed !== undefined) b.setAttribute("aria-pressed", String(pressed));
      b.onclick = onclick;
    };
    set("review", `Review ${e.code}`, e.inReview, () => review(e));
    set("half", `2nd half: ${e.code}`, e.secondHalf, () => act("ReviseElement", { ...target, secondHalf: !e.secondHalf }, at("element-fault")));
    set("remove", `Remove ${e.code}`, undefined, () => act("RemoveElement", target, at("element-fault")));
    const open = (yes) => {
      editing = yes ? e.element : undefined;
      show(form, yes);
      if (yes) { form.firstChild.value = e.code; form.firstChild.select(); }
      else tell(at("element-fault"));
    };
    set("change", `Change ${e.code}`, undefined, () => open(true));
    form.querySelector("[name=cancel]").onclick = () => open(false);
    form.onsubmit = async (submit) => {
      submit.preventDefault();
      const done = await act("ReviseElement", { ...target, code: spelled(form.firstChild.value.trim()) }, at("element-fault"), form.firstChild);
      if (done) { open(false); code.focus(); }
    };
    if (editing !== e.element) show(form, false);
  }

  return (now) => {
    state = now;
    const { performance, segment } = now;
    setText(at("score"), performance?.elementScore ?? "–");
    show(at("next"), !performance && segment?.state === "RUNNING");
    show(at("end"), performance?.state === "ON_ICE");
    show(at("calling"), !!performance);
    const elements = performance?.elements ?? [];
    list(at("elements"), elements, (e) => `${performance.entry} ${e.element}`, row, (node, e) => fillRow(node, e, elements.indexOf(e)));
    at("undo").disabled = elements.length === 0;
    return Promise.all([deductions.fill(now), skated.fill(now)]);
  };
}

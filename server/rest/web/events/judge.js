// A judge's desk: a mark for each element by key or tap, and the components.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { named, openDesk } from "./desk.js";

const signed = (mark) => (mark > 0 ? `+${mark}` : String(mark).replace("-", "−"));

openDesk({ roles: ["JUDGE", "ORGANISER", "ADMIN"], start });

function start({ api, caller, act }) {
  let state = {};
  let season; // its scales
  let judge = caller.judge;
  let minus = false; // the minus key was pressed
  // Marks that are sent and not yet acknowledged, so that the page shows at once
  // what was pressed. A mark that is taken back is null.
  const sent = new Map();
  const key = (what) => `${state.performance.segment} ${state.performance.entry} ${judge} ${what}`;

  show(at("who"), !caller.judge); // whoever enters marks from paper says whose
  at("judge").addEventListener("change", () => { judge = Number(at("judge").value); fill(state); });

  function given(marks, what) {
    const waiting = sent.get(key(what));
    return waiting === undefined ? marks.find((m) => m.judge === judge)?.mark : waiting ?? undefined;
  }

  async function send(call, what, value, mark, place, field) {
    const name = key(what);
    sent.set(name, value ?? null);
    fill(state);
    await act(call, { ...named(state.performance), judge, marks: [mark] }, place, field);
    if (sent.get(name) === (value ?? null)) sent.delete(name);
  }
  const markElement = (e, mark) => send("SetElementMarks", e.element, mark, { element: e.element, mark }, at("element-fault"));
  const markComponent = (c, mark, field) => send("SetComponentMarks", c.component, mark, { component: c.component, mark }, at("component-fault"), field);

  function row() {
    const marks = Array.from({ length: season.goe.max - season.goe.min + 1 }, (_, i) => season.goe.min + i);
    const group = make("div", { role: "group", tabindex: 0 }, make("span", { class: "code" }), make("span", { class: "own", "aria-live": "off" }),
      make("div", { class: "scale" }, ...marks.map((m) => make("button", { type: "button", tabindex: -1, value: m, "aria-label": `mark ${signed(m)}` }, signed(m)))));
    return make("li", {}, group);
  }

  function fillRow(node, e, i) {
    const group = node.firstChild;
    const [code, own, scale] = group.children;
    const mark = given(e.marks, e.element);
    setText(code, `${i + 1}. ${e.code}${e.inReview ? " (in review)" : ""}`);
    setText(own, mark === undefined ? "no mark" : signed(mark));
    group.setAttribute("aria-label", `${e.code}, ${mark === undefined ? "no mark yet" : `mark ${signed(mark)}`}`);
    group.classList.toggle("open", mark === undefined);
    for (const button of scale.children) {
      button.setAttribute("aria-pressed", String(Number(button.value) === mark));
      button.onclick = () => { markElement(e, Number(button.value)); group.focus(); };
    }
    group.onkeydown = (press) => press.ctrlKey || press.metaKey || press.altKey || keyed(press, e, mark);
  }

  const rows = () => [...at("elements").querySelectorAll("[role=group]")];

  function keyed(press, e, mark) {
    const all = rows();
    const here = all.indexOf(press.currentTarget);
    const go = (i) => all[Math.max(0, Math.min(all.length - 1, i))].focus();
    const { min, max } = season.goe;
    const was = minus;
    minus = false;
    if (/^[0-9]$/.test(press.key)) {
      const pressed = (was ? -1 : 1) * Number(press.key);
      if (pressed >= min && pressed <= max) {
        markElement(e, pressed);
        const next = all.findIndex((r, i) => i > here && r.classList.contains("open"));
        if (next > 0) go(next);
      }
    } else if (press.key === "-") minus = true;
    else if (press.key === "ArrowUp") go(here - 1);
    else if (press.key === "ArrowDown" || press.key === "Enter") go(here + 1);
    else if (press.key === "ArrowLeft") markElement(e, Math.max(min, (mark ?? 1) - 1));
    else if (press.key === "ArrowRight") markElement(e, Math.min(max, (mark ?? -1) + 1));
    else if (press.key === "Delete" || press.key === "Backspace") mark !== undefined && markElement(e, undefined);
    else return;
    press.preventDefault();
  }

  function componentRow(c) {
    const id = `component-${c.component}`;
    const { min, max, step } = season.componentMarks;
    const field = make("input", { id, type: "number", min, max, step, inputmode: "decimal", autocomplete: "off", "aria-describedby": "component-fault" });
    const by = (steps) => {
      const from = field.value === "" ? 5 - steps * step : Number(field.value); // the first press begins in the middle of the scale
      field.value = Math.max(min, Math.min(max, from + steps * step));
      markComponent(c, Number(field.value), field);
    };
    field.addEventListener("change", () => markComponent(c, field.value === "" ? undefined : Number(field.value), field));
    return make("div", { class: "component" }, make("label", { for: id }, c.name),
      make("button", { type: "button", "aria-label": `${c.name}: a quarter less`, onclick: () => by(-1) }, "−"), field,
      make("button", { type: "button", "aria-label": `${c.name}: a quarter more`, onclick: () => by(1) }, "+"));
  }

  function fillComponent(node, c) {
    const field = node.querySelector("input");
    const mark = given(c.marks, c.component);
    node.classList.toggle("open", mark === undefined);
    const text = mark === undefined ? "" : mark.toFixed(2);
    if (document.activeElement !== field && field.value !== text && field.getAttribute("aria-invalid") !== "true") field.value = text;
  }

  function fill(now) {
    state = now;
    const { performance, segment } = now;
    if (!caller.judge) {
      const count = segment?.panel?.judges ?? 0;
      list(at("judge"), Array.from({ length: count }, (_, i) => i + 1), (n) => n, (n) => make("option", { value: n }, String(n)), () => {});
      judge = Number(at("judge").value) || 0;
    }
    show(at("marking"), !!performance);
    if (!performance) {
      setText(at("todo"), "");
      at("elements").replaceChildren();
      at("components").replaceChildren();
      return;
    }
    const { elements, components } = performance;
    const stood = document.activeElement?.closest?.("#elements [role=group]");
    const before = rows().length;
    const name = (what) => `${performance.segment} ${performance.entry} ${what}`;
    list(at("elements"), elements, (e) => name(e.element), row, (node, e) => fillRow(node, e, elements.indexOf(e)));
    list(at("components"), components, (c) => name(c.component), componentRow, fillComponent);
    // A judge who has marked everything so far goes on with the new element.
    if (stood && !stood.classList.contains("open") && elements.length > before) rows().find((r) => r.classList.contains("open"))?.focus();
    const open = elements.filter((e) => given(e.marks, e.element) === undefined).length;
    const openComponents = components.filter((c) => given(c.marks, c.component) === undefined).length;
    const absent = performance.absentJudges.includes(judge);
    const lacks = [open && `${open} ${open === 1 ? "element" : "elements"}`, openComponents && `${openComponents} ${openComponents === 1 ? "component" : "components"}`].filter(Boolean);
    at("todo").dataset.state = lacks.length || absent ? "open" : "done";
    setText(at("todo"), absent ? "This judge is set as absent." : lacks.length ? `Still to mark: ${lacks.join(" and ")}.` : "Everything called so far is marked.");
  }

  return async (now) => {
    season ??= (await api.call("GetSeason", { season: now.event.rules.season })).season;
    fill(now);
  };
}

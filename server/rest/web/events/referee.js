// The referee's desk: it runs a segment from the order to the signature.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { absentPart } from "./absent.js";
import { ask } from "../parts/dialog.js";
import { correction } from "./correction.js";
import { deductionCounters } from "./deductions.js";
import { named, openDesk } from "./desk.js";
import { entriesPart } from "./entries.js";
import { orderForm } from "./order.js";
import { event } from "./place.js";
import { explain, tell } from "./refusal.js";
import { fillScore, resultPart } from "./result.js";
import { fillOrder, segmentChoice, STATES } from "./segment.js";

openDesk({ roles: ["REFEREE", "ORGANISER", "ADMIN"], start });

function start(desk) {
  const { caller, act } = desk;
  let state = {};
  let shown = {}; // the segment that is chosen, with its category
  const choose = segmentChoice(at("segment"), () => fill(state).catch(desk.refresh));
  const deductions = deductionCounters(desk, true);
  at("deductions").replaceChildren(deductions.node);
  const names = () => ({ event, category: shown.category.category, segment: shown.segment.segment });
  const parts = [
    orderForm(desk, at("draw"), names), absentPart(desk, at("absent"), names), correction(desk, at("correct"), caller.role === "REFEREE"),
    entriesPart(desk, at("entries"), false), deductions.fill, resultPart(desk, at("result"), names),
  ];

  const press = (id, call, request, fault) => at(id).addEventListener("click", () => act(call, request(), at(fault)));
  press("start", "StartSegment", names, "segment-fault");
  press("next", "CallSkater", names, "segment-fault");
  press("end", "EndProgram", () => named(state.performance), "confirm-fault");
  at("confirm").addEventListener("click", async () => {
    const fault = at("confirm-fault");
    tell(fault);
    try {
      await act("ConfirmSkater", { ...named(state.performance), acceptMissingMarks: at("accept").checked });
    } catch (error) {
      // What is missing stands below already.
      setText(fault, error.reason === "INCOMPLETE" ? "Not confirmed: something is still missing." : explain(error));
      desk.refresh();
    }
  });
  at("publish").addEventListener("click", async () => {
    const { category, segment } = shown;
    const request = names();
    const question = `Sign the result of ${category.title}, ${segment.title}? It is official then, and later changes are corrections with a reason.`;
    if (await ask(question, { yes: "Sign" })) act("PublishSegment", request, at("segment-fault"));
  });

  function fillSegment() {
    const { segment } = shown;
    setText(at("segment-state"), segment ? STATES[segment.state] ?? "" : "no category yet");
    show(at("start"), segment?.state === "DRAWN");
    const waits = segment?.order.some((s) => s.state === "WAITING");
    show(at("next"), segment?.state === "RUNNING" && !segment.current && waits);
    show(at("publish"), segment?.state === "SKATED" && caller.role === "REFEREE");
    fillOrder(at("order"), segment);
  }

  function fillPerformance() {
    const p = state.performance;
    show(at("performance"), !!p);
    if (!p) return;
    const judges = (state.segment.panel?.judges ?? 0) - p.absentJudges.length;
    list(at("sheet"), [p], () => `${p.segment} ${p.entry}`, sheet, (node) => fillSheet(node, p, judges));
    fillScore(at("score"), p);
    list(at("missing"), p.missing, (text) => text, () => make("li"), setText);
    show(at("confirm"), caller.role === "REFEREE");
    show(at("accepting"), p.missing.length > 0 && caller.role === "REFEREE");
    show(at("end"), p.state === "ON_ICE");
  }

  async function fill(now) {
    state = now;
    shown = choose(now);
    fillSegment();
    fillPerformance();
    await Promise.all(parts.map((part) => part(now, shown)));
  }
  return fill;
}

/** sheet is the table of calls and marks of a performance. */
function sheet() {
  return make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Calls and marks" },
    make("table", {}, make("thead", {}, make("tr", {}, ...["Element", "Base", "GOE", "Marks of the judges"].map((h, i) => make("th", { scope: "col", class: i === 1 || i === 2 ? "number" : false }, h)))), make("tbody")));
}

function fillSheet(node, p, judges) {
  const marks = (given) => Array.from({ length: judges + p.absentJudges.length }, (_, i) => i + 1).filter((j) => !p.absentJudges.includes(j))
    .map((j) => given.find((m) => m.judge === j)?.mark ?? "–").join("  ");
  const rows = [...p.elements.map((e) => [e.code + (e.secondHalf ? " x" : "") + (e.inReview ? " (in review)" : ""), e.baseValue, e.goe, marks(e.marks)]),
    ...p.components.map((c) => [c.name, "", "", marks(c.marks)])];
  list(node.querySelector("tbody"), rows.map((cells, i) => ({ cells, i })), (r) => r.i, () => make("tr", {}, make("td"), make("td", { class: "number" }), make("td", { class: "number" }), make("td", { class: "marks-of" })),
    (tr, { cells }) => cells.forEach((text, i) => setText(tr.children[i], text)));
}

// A sheet from paper: when everything has failed and the panel has written by hand, one
// person types what each skater was called and given. The referee confirms it as ever.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { field } from "../parts/form.js";
import { listed } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { deductionCounters } from "./deductions.js";
import { named, openDesk } from "./desk.js";
import { event } from "./place.js";
import { tell } from "./refusal.js";

const HALF = /\s+x$/i; // behind a code: in the second half

openDesk({ roles: ["ORGANISER", "ADMIN"], start });

// marksOf reads marks that stand behind each other, with any sign of minus and of decimals.
const marksOf = (text) => text.trim().split(/[\s;]+/).filter(Boolean).map((m) => Number(m.replace(/[−–]/, "-").replace(",", ".")));

const linesOf = (text) => text.split("\n").map((l) => l.trim()).filter(Boolean)
  .map((l) => ({ code: l.replace(HALF, ""), secondHalf: HALF.test(l) }));

function start(desk) {
  const { act } = desk;
  let now = {};
  let shown; // whose sheet is in the fields
  let typed = false; // something that the server does not have
  let entering = false;
  let rows = [];
  const deductions = deductionCounters(desk, true);
  at("deductions").replaceChildren(deductions.node);
  at("sheet").addEventListener("input", () => { typed = true; });
  at("codes").addEventListener("input", () => tell(at("codes-fault"), undefined, at("codes")));

  const judges = () => now.segment?.panel?.judges ?? 0;

  function judge(n) {
    const part = (kind, label) => {
      const input = make("input", { id: `${kind}-${n}`, autocomplete: "off", "aria-describedby": `judge-${n}-fault`, oninput: () => say(n) });
      return field(label, input);
    };
    return make("div", { class: "of-judge" }, part("elements", t("paper.elementsOf", { n })), part("components", t("paper.componentsOf", { n })),
      make("p", { class: "fault", id: `judge-${n}-fault`, role: "alert" }));
  }

  // say says what is wrong with a judge's marks of a kind; without a text nothing is.
  function say(n, text = "", wrong = "") {
    setText(at(`judge-${n}-fault`), text);
    for (const kind of ["elements", "components"]) at(`${kind}-${n}`).setAttribute("aria-invalid", String(kind === wrong));
    if (wrong) at(`${wrong}-${n}`).focus();
  }

  // take puts what the server has of a performance into the fields.
  function take(p) {
    at("codes").value = p.elements.map((e) => `${e.code}${e.secondHalf ? " x" : ""}`).join("\n");
    for (const n of rows) {
      const given = (list) => list.map((x) => x.marks.find((m) => m.judge === n)?.mark).filter((m) => m !== undefined).join(" ");
      at(`elements-${n}`).value = given(p.elements);
      at(`components-${n}`).value = given(p.components);
      say(n);
    }
    tell(at("codes-fault"), undefined, at("codes"));
  }

  // complete says what is wrong with the sheet before any of it is sent.
  function complete(lines, components) {
    if (!lines.length) {
      setText(at("codes-fault"), t("paper.noCodes"));
      at("codes").focus();
      return false;
    }
    for (const n of rows) {
      const [elements, given] = ["elements", "components"].map((kind) => marksOf(at(`${kind}-${n}`).value));
      if (!elements.length && !given.length) continue; // absent, or not at hand yet
      const odd = elements.some(Number.isNaN) ? "elements" : given.some(Number.isNaN) ? "components" : "";
      if (odd) say(n, t("paper.notMarks", { n }), odd);
      else if (elements.length !== lines.length) say(n, t("paper.elementCount", { n, found: elements.length, want: lines.length }), "elements");
      else if (given.length !== components) say(n, t("paper.componentCount", { n, found: given.length, want: components }), "components");
      else continue;
      return false;
    }
    return true;
  }

  // enter sends the sheet in the order of a performance. What was taken already stays, so
  // that it can be sent again after a fault.
  async function enter() {
    let p = now.performance;
    const lines = linesOf(at("codes").value);
    if (!p || entering || !complete(lines, p.components.length)) return;
    entering = true;
    desk.refresh();
    const send = async (call, request, place, input) => {
      const answer = await act(call, { ...named(p), ...request }, place, { field: input });
      if (answer) p = answer.performance;
      return Boolean(answer);
    };
    const sent = await calls(lines, () => p, send) && (p.state !== "ON_ICE" || await send("EndProgram", {}, at("codes-fault"))) && await marks(() => p, send);
    entering = false;
    if (sent) {
      typed = false;
      toast(t("paper.entered", { name: p.name }));
    }
    desk.refresh();
  }

  async function calls(lines, performance, send) {
    const codes = at("codes");
    for (const [i, line] of lines.entries()) {
      const was = performance().elements[i];
      if (was?.code === line.code && was.secondHalf === line.secondHalf) continue;
      const request = was ? { element: was.element, ...line } : line;
      if (!await send(was ? "ReviseElement" : "CallElement", request, at("codes-fault"), codes)) {
        setText(at("codes-fault"), t("paper.line", { line: i + 1, why: at("codes-fault").textContent }));
        codes.focus();
        return false;
      }
    }
    for (const { element } of performance().elements.slice(lines.length).toReversed()) {
      if (!await send("RemoveElement", { element }, at("codes-fault"))) return false;
    }
    return true;
  }

  async function marks(performance, send) {
    for (const n of rows) {
      const [elements, components] = ["elements", "components"].map((kind) => marksOf(at(`${kind}-${n}`).value));
      if (!elements.length && !components.length) continue;
      const { elements: called, components: printed } = performance();
      const fault = at(`judge-${n}-fault`), input = at(`elements-${n}`);
      const forElements = elements.map((mark, i) => ({ element: called[i].element, mark }));
      const forComponents = components.map((mark, i) => ({ component: printed[i].component, mark }));
      if (!await send("SetElementMarks", { judge: n, marks: forElements }, fault, input)) return false;
      if (!await send("SetComponentMarks", { judge: n, marks: forComponents }, fault, at(`components-${n}`))) return false;
    }
    return true;
  }

  const call = (s) => act("CallSkater", { event, category: now.category.category, segment: now.segment.segment, entry: s.entry }, at("codes-fault"));

  return async (state) => {
    now = state;
    const { performance: p, segment } = state;
    const next = segment?.order.find((s) => s.state === "WAITING");
    rows = Array.from({ length: judges() }, (_, i) => i + 1);
    list(at("judges"), rows, (n) => n, judge, () => {});
    show(at("sheet"), Boolean(p));
    show(at("nobody"), !p);
    const key = p && `${p.segment} ${p.entry}`;
    if (key !== shown) typed = false;
    if (p && !typed && !entering) take(p);
    shown = key;
    if (p) {
      setText(at("judges-how"), t("paper.marksHow", { components: listed(p.components.map((c) => c.name)) }));
      await deductions.fill(state);
      const over = p.state === "REVIEW" && !p.missing.length;
      return desk.bar({
        say: t(over ? "paper.confirm" : "paper.type", { name: p.name }), note: t(over ? "paper.confirmNote" : "paper.typeNote"),
        [over ? "second" : "action"]: { label: t("paper.enter"), run: enter, blocked: entering },
      });
    }
    setText(at("nobody"), t(!segment ? "paper.noSegment" : next ? "paper.nobody" : "paper.allDone"));
    return desk.bar({
      say: t(!segment ? "paper.noSegment" : next ? "paper.callNext" : "paper.allDone", { name: next?.name ?? "" }),
      action: segment && next && { label: t("referee.call", { number: next.number, name: next.name }), run: () => call(next) },
    });
  };
}

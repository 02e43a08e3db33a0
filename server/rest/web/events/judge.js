// A judge's desk: a mark for each element by key or tap, and the components.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { componentPad, markPad } from "../parts/pads.js";
import { t } from "../parts/words.js";
import { codeReader } from "./codes.js";
import { seasonOf } from "./deductions.js";
import { hasEnded, named, openDesk } from "./desk.js";
import { concerns } from "./outbox.js";

const CALLS = { element: "SetElementMarks", component: "SetComponentMarks" };

openDesk({
  roles: ["JUDGE", "ORGANISER", "ADMIN"], start,
  keys: [
    ["0 … 5", t("judge.keys.mark")], ["−", t("judge.keys.minus")], ["↑ ↓", t("judge.keys.move")], ["Del", t("judge.keys.back")],
    ["c", t("judge.keys.components")], ["5.25 Enter", t("judge.keys.component")], ["Ctrl Z", t("judge.keys.undo")], ["Esc", t("judge.keys.leave")],
  ],
});

const shown = { element: (mark) => number(mark, { signed: true }), component: (mark) => number(mark.toFixed(2)) };

function start(desk) {
  const { api, caller, outbox, refresh } = desk;
  const reader = codeReader(api, refresh);
  let state = {}, season;
  let judge = caller.judge;
  let parts = []; // everything that gets a mark, elements first
  let skater; // who is on the ice, as far as this desk has turned to them
  let current; // key of what is being marked
  let typed = ""; // of a mark that is not complete
  let whole; // first tap of a component's mark
  let undo = []; // { key, mark } before each mark that was given
  let fillMarks, fillGrades;

  const find = (key) => parts.find((p) => p.key === key);
  const now = () => find(current);
  const open = (p) => p.mark === undefined;
  const ofKind = (kind) => parts.filter((p) => p.kind === kind);

  // partsOf puts together what gets a mark, with what waits to be sent.
  function partsOf(performance, pending) {
    const own = pending.filter(concerns(performance))
      .filter(({ call, request, refused }) => Object.values(CALLS).includes(call) && request.judge === judge && !refused);
    const part = (kind, id, given, about) => {
      const waiting = own.flatMap(({ call, request }) => (call === CALLS[kind] ? request.marks : [])).filter((m) => m[kind] === id);
      const mark = waiting.length ? waiting.at(-1).mark ?? undefined : given.find((m) => m.judge === judge)?.mark;
      return { key: `${kind} ${id}`, kind, id, mark, unsent: waiting.length > 0, ...about };
    };
    return [
      ...performance.elements.map((e, i) => part("element", e.element, e.marks, { label: e.code, n: i + 1, inReview: e.inReview, half: e.secondHalf })),
      ...performance.components.map((c) => part("component", c.component, c.marks, { label: c.name })),
    ];
  }

  function choose(key) {
    current = key;
    typed = "";
    whole = undefined;
    setText(at("mark-fault"), "");
    refresh();
  }
  // follow goes on from what has been marked: to the next element without a mark, and
  // after the program to the components.
  function follow() {
    const from = parts.findIndex((p) => p.key === current);
    const turn = [...parts.slice(from + 1), ...parts.slice(0, from + 1)];
    const next = turn.find((p) => p.kind === "element" && open(p)) ?? (components() ? turn.find(open) : undefined);
    choose(next?.key);
  }
  const components = () => state.performance?.state !== "ON_ICE" || now()?.kind === "component";

  function give(part, mark, kept = true) {
    if (!part || !state.performance) return;
    if (kept) undo.push({ key: part.key, mark: part.mark });
    const about = { shown: true, of: part.n ? `${part.n} ${part.label}` : part.label, mark: mark === undefined ? t("judge.none") : shown[part.kind](mark) };
    outbox.post(CALLS[part.kind], { ...named(state.performance), judge, marks: [{ [part.kind]: part.id, mark }] }, about);
    part.mark = mark;
  }
  function mark(value) {
    give(now(), value);
    follow();
  }
  function takeBack() {
    const part = now();
    if (part && !open(part)) give(part, undefined);
    choose(current);
  }
  function back() {
    const last = undo.pop();
    if (!last || !find(last.key)) return;
    give(find(last.key), last.mark, false);
    choose(last.key);
  }
  const toComponents = () => choose((ofKind("component").find(open) ?? ofKind("component")[0])?.key);
  const toElements = () => choose((ofKind("element").find(open) ?? ofKind("element").at(-1))?.key);

  // A mark typed as figures: of an element one key, of a component up to Enter.
  function figure(key) {
    const { kind } = now() ?? {};
    if (kind === "element") {
      const value = (typed === "-" ? -1 : 1) * Number(key);
      typed = "";
      if (value >= season.goe.min && value <= season.goe.max) mark(value);
    } else if (kind === "component") typed += key;
  }
  function enter() {
    const value = Number(typed), { min, max, step } = season.componentMarks;
    if (value >= min && value <= max && (value / step) % 1 === 0) return mark(value);
    setText(at("mark-fault"), t("judge.noMark", { typed, min: number(min.toFixed(2)), max: number(max.toFixed(2)) }));
    typed = "";
    return undefined;
  }
  function move(step) {
    const i = parts.findIndex((p) => p.key === current);
    choose(parts[Math.max(0, Math.min(parts.length - 1, i < 0 && step < 0 ? parts.length - 1 : i + step))]?.key);
  }
  const keys = {
    ArrowUp: () => move(-1), ArrowDown: () => move(1), Delete: takeBack, c: () => (now()?.kind === "component" ? toElements() : toComponents()),
    Backspace: () => { if (typed) typed = typed.slice(0, -1); else takeBack(); },
    Escape: () => { typed = ""; whole = undefined; }, "-": () => { typed = now()?.kind === "element" ? "-" : typed; },
    ".": () => { if (now()?.kind === "component" && typed && !typed.includes(".")) typed += "."; },
  };
  document.addEventListener("keydown", (press) => {
    if (!state.performance || !season || document.querySelector("dialog, .menu[open]") || press.target.closest("select") || press.altKey) return;
    const key = press.key === "," ? "." : press.key === "−" ? "-" : press.key;
    if (press.ctrlKey || press.metaKey) {
      if (key !== "z") return;
      back();
    } else if (/^\d$/.test(key)) figure(key);
    else if (key === "Enter" && typed && now()?.kind === "component") enter();
    else if (keys[key]) keys[key]();
    else return;
    press.preventDefault();
    refresh();
  });
  at("judge").addEventListener("change", () => {
    judge = Number(at("judge").value);
    undo = [];
    current = undefined;
    skater = undefined;
    refresh();
  });

  function makePads() {
    if (fillMarks) return;
    fillMarks = markPad(at("mark-pad"), t("judge.mark"), mark, season.goe.max);
    fillGrades = componentPad(at("component-pad"), t("judge.components"), mark, (figure) => { whole = figure; typed = ""; refresh(); });
  }
  function fillPads() {
    const part = now(), grading = part?.kind === "component";
    const finished = !part && state.performance.state !== "ON_ICE";
    show(at("marking"), !finished);
    show(at("finished"), finished);
    at("desk").classList.toggle("grading", grading);
    show(at("mark-pad"), !grading);
    show(at("component-pad"), grading);
    setText(at("current-number"), part?.n ? String(part.n) : "");
    setText(at("current"), part?.label ?? t("judge.idle"));
    at("current").className = part && !grading ? "code" : "";
    setText(at("typed"), typed && (grading ? number(typed) : "−"));
    const name = reader.known(part?.label)?.element?.name;
    setText(at("current-name"), grading ? "" : [name, part?.half && t("judge.half"), part?.inReview && t("judge.look")].filter(Boolean).join(", "));
    if (!grading) fillMarks(part?.mark, Boolean(part));
    else if (whole === undefined) fillGrades(part.mark);
  }

  function tile() {
    return make("li", {}, make("button", { type: "button", class: "tile" },
      make("span", { class: "what" }), make("span", { class: "n" }, make("span"), make("span", { class: "aloud" })), make("span", { class: "own" })));
  }
  function fillTile(node, part) {
    const button = node.firstChild, [what, n, own] = button.children;
    const isNow = part.key === current;
    setText(what, part.label);
    setText(n.firstChild, [part.unsent && "↑", part.n, part.inReview && "◇"].filter(Boolean).join(" "));
    setText(n.lastChild, part.inReview ? ` ${t("judge.look")}` : "");
    const begun = isNow && part.kind === "component" && (typed || (whole !== undefined && `${whole}.··`));
    const later = part.kind === "component" && state.performance.state === "ON_ICE";
    const lacks = isNow && part.kind === "element" ? t("judge.now") : later ? t("judge.later") : t("judge.none");
    setText(own, begun || (open(part) ? lacks : shown[part.kind](part.mark)));
    own.classList.toggle("word", open(part) && !begun);
    button.dataset.state = isNow ? "now" : part.unsent ? "unsent" : open(part) && !later ? "open" : "";
    button.classList.toggle("unsent", part.unsent);
    if (isNow) button.setAttribute("aria-current", "true");
    else button.removeAttribute("aria-current");
    button.onclick = () => choose(part.key);
  }
  function fillTiles() {
    for (const kind of Object.keys(CALLS)) {
      const all = ofKind(kind), missing = all.filter((p) => open(p) && p.key !== current).length;
      list(at(`${kind}s`), all, (p) => `${skater} ${p.key}`, tile, fillTile);
      setText(at(`open-${kind}s`), missing && (kind === "element" || state.performance.state !== "ON_ICE") ? t("judge.without", { n: missing }) : "");
    }
    document.querySelector(".tile[aria-current]")?.scrollIntoView({ block: "nearest" });
  }

  // todo says what to do with what is being marked.
  function todo({ kind, n, label, mark }) {
    if (kind === "component" && whole !== undefined) return t("judge.doQuarter", { name: label });
    if (mark !== undefined) return t("judge.doChange", { what: n ? `${n} ${label}` : label, mark: shown[kind](mark) });
    return kind === "component" ? t("judge.doComponent", { name: label }) : t("judge.doMark", { n, code: label });
  }
  function fillBar() {
    const part = now(), lacking = parts.filter(open), unsent = parts.filter((p) => p.unsent).length;
    const over = state.performance && state.performance.state !== "ON_ICE";
    const last = undo.at(-1) && find(undo.at(-1).key);
    const narrow = matchMedia("(max-width: 899px)").matches;
    const what = () => t("judge.undoMark", { mark: shown[last.kind](last.mark), of: last.n ? String(last.n) : last.label });
    const undone = last && { label: open(last) || narrow ? t("judge.undo") : what(), keys: "Ctrl Z", run: back };
    const second = part?.kind === "component" && narrow ? { label: t("judge.elements"), keys: "c", run: toElements } : undone;
    const bar = (say, note = "") => desk.bar({ say, note: unsent && state.cut ? t("judge.keep", { n: unsent }) : note, second });
    if (!state.performance) return desk.bar({ say: t(hasEnded(state.segment) ? "desk.allSkated" : "judge.wait") });
    if (state.performance.absentJudges.includes(judge)) return desk.bar({ say: t("judge.absent"), note: t("judge.absentNote") });
    const others = lacking.filter((p) => p.key !== current && (p.kind === "element" || over));
    const then = others.map((p) => (p.n ? `${p.n} ${p.label}` : p.label));
    const rest = then.length > 1 ? t("judge.others", { n: then.length }) : then.length ? t("judge.then", { what: then[0] }) : "";
    if (part) return bar(todo(part), rest);
    if (lacking.length && !over) return bar(t("judge.soFar"), t("judge.soFarNote"));
    if (lacking.length) return bar(t("judge.lacking", { n: lacking.length }), t("judge.lackingNote"));
    if (unsent) return desk.bar({ say: t("judge.doneUnsent", { n: unsent }), note: t("judge.leaveOpen"), second });
    return desk.bar({ say: t("judge.done"), note: t("judge.doneNote"), second });
  }

  return async (event) => {
    season = await seasonOf(api, event.event);
    makePads();
    state = event;
    const { performance, segment } = state;
    if (!caller.judge) {
      const count = segment?.panel?.judges ?? 0;
      list(at("judge"), Array.from({ length: count }, (_, i) => i + 1), (n) => n, (n) => make("option", { value: n }, String(n)), () => {});
      judge = Number(at("judge").value) || 0;
    }
    show(at("who"), !caller.judge && Boolean(performance));
    show(at("given"), Boolean(performance));
    if (!performance) for (const id of ["marking", "finished"]) show(at(id), false);
    show(at("waiting"), !performance);
    setText(at("waiting-title"), t(segment ? "desk.nobody" : "desk.noSegment"));
    parts = performance ? partsOf(performance, state.pending) : [];
    const who = performance && `${performance.category} ${performance.segment} ${performance.entry}`;
    if (who !== skater) {
      skater = who;
      undo = [];
      current = undefined;
      typed = "";
      whole = undefined;
    }
    if (performance) {
      // What is being marked stays; with nothing to mark, what comes next is taken up.
      if (!now()) current = (ofKind("element").find(open) ?? (performance.state !== "ON_ICE" ? parts.find(open) : undefined))?.key;
      if (!state.cut) reader.read(state.event.rules.season, performance.elements.map((e) => e.code));
      fillPads();
      fillTiles();
    }
    fillBar();
  };
}

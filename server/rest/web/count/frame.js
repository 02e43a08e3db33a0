// The lower half while a spin is counted: one target, four edges, four corners.

import { at, setText } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { gesture, HOLD } from "./gesture.js";
import { ahead, EDGES, expected, FORMS, now } from "./spin.js";
import { edgeName, featureShort, formName, formShort } from "./tables.js";

const ARROWS = { ArrowUp: "up", ArrowDown: "down", ArrowLeft: "left", ArrowRight: "right" };

// A click that a touch makes is no second one, wherever it lands when the page has moved
// meanwhile.
const ECHO = 1_000; // ms
let touched = -Infinity;
for (const name of ["pointerdown", "pointerup"]) document.addEventListener(name, (event) => { touched = event.timeStamp; }, true);
const alone = (click) => click.detail === 0 || click.timeStamp - touched > ECHO;

/** press runs an action at the touch of a button, and where it is pressed without a pointer. */
export function press(button, run) {
  button.addEventListener("pointerdown", (event) => { if (event.button === 0 && !button.disabled) run(event); });
  button.addEventListener("click", (event) => { if (alone(event)) run(); });
}

/**
 * frame runs the lower half. act has a function for each thing a thumb can do:
 * revolution, back, edge(side), foot, jump, undo, feature, end; listens says whether
 * keys are for the frame now. It returns a function that fills it.
 */
export function frame(act, listens) {
  const pad = at("pad"), touch = gesture();
  const run = (said, t) => {
    for (const what of said) {
      if (what in EDGES) act.edge(what);
      else act[what](t);
    }
  };
  const seen = (event) => ({ id: event.pointerId, x: event.clientX, y: event.clientY, t: event.timeStamp });
  let timer;
  pad.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    try { pad.setPointerCapture(event.pointerId); } catch { /* it has ended already */ }
    run(touch.down(seen(event)), event.timeStamp);
    clearTimeout(timer);
    timer = setTimeout(() => run(touch.tick(event.timeStamp + HOLD), event.timeStamp), HOLD);
  });
  const ends = (how) => (event) => {
    clearTimeout(timer);
    run(touch[how](seen(event)), event.timeStamp);
    act.released();
  };
  pad.addEventListener("pointermove", (event) => run(touch.move(seen(event)), event.timeStamp));
  pad.addEventListener("pointerup", ends("up"));
  pad.addEventListener("pointercancel", ends("cancel"));
  pad.addEventListener("click", (event) => {
    if (alone(event)) act.revolution(event.timeStamp); // a key or a screen reader
  });
  at("frame").addEventListener("contextmenu", (event) => event.preventDefault());
  for (const key of at("frame").querySelectorAll("[data-edge]")) press(key, () => act.edge(key.dataset.edge));
  press(at("undo"), act.undo);
  press(at("foot"), act.foot);
  press(at("feature"), act.feature);

  document.addEventListener("keydown", (event) => {
    if (!listens() || event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    const own = event.target.closest("button, a, input, select, summary, dialog");
    const typed = event.key.toLowerCase();
    if (event.key in ARROWS) act.edge(ARROWS[event.key]);
    else if (event.key === " " && (!own || own === pad)) act.revolution(event.timeStamp);
    else if (typed === "f") { act.foot(); if (event.shiftKey) act.jump(); }
    else if (typed === "x") act.feature();
    else if (event.key === "Backspace") act.undo();
    else if (event.key === "Escape") act.end();
    else return;
    event.preventDefault();
  });

  const edges = [...at("frame").querySelectorAll("[data-edge]")];
  return ({ spin, reading, counting, beats }) => {
    const part = now(spin), next = expected(spin), beginning = !part && next;
    for (const key of edges) {
      const side = key.dataset.edge, position = EDGES[side];
      const isNext = counting && next && FORMS[next.form].position === position && side !== "other";
      const isNow = part?.form && FORMS[part.form].position === position && !isNext || !counting && beginning && FORMS[next.form].position === position;
      const form = isNext ? next.form : isNow && part ? part.form : undefined;
      const [name, note, aloud] = key.children;
      setText(name, isNext && !formShort(form) ? formName(form) : edgeName(position));
      setText(note, isNext ? [formShort(form), t("count.next")].filter(Boolean).join(", ") : isNow && part ? formShort(form) : isNow ? t("count.begins") : "");
      key.classList.toggle("is-next", Boolean(isNext));
      key.classList.toggle("is-now", Boolean(isNow));
      // What it would bring, for who does not see which edge is filled.
      const full = formName(ahead(spin, side));
      setText(aloud, isNext ? t(next.foot >= spin.feet.length ? "count.nextOther" : "count.nextHere") : full === name.textContent ? "" : `: ${full}`);
    }
    setText(at("undo"), t(beats ? "count.endBeat" : "count.undo"));
    for (const id of ["undo", "foot", "feature"]) at(id).disabled = !counting || id !== "undo" && !part;
    pad.toggleAttribute("data-about", Boolean(part?.about));
    pad.classList.toggle("counting", Boolean(counting && part) && !touch.holding());
    const say = (text, hint, more = "") => { setText(at("number"), text); setText(at("hint"), hint); setText(at("hint-more"), more); };
    if (touch.holding()) say(t("count.changing"), t("count.letGo"), t("count.flick"));
    else if (!counting || !spin.feet.length) say(t("count.tapEach"), next ? t("count.otherStart") : t("count.touchFirst"));
    else if (!part) say(t("count.tapEach"), t("count.onFoot", { n: spin.feet.length, change: t(`count.changes.${way(spin.feet.at(-1))}`) }));
    else say(`${part.about ? "≈" : ""}${part.revolutions}`, beats ? t(part.about ? "count.beatRuns" : "count.beatSets") : hintOf(part, reading));
  };
}

const way = (foot) => (foot.reversed ? "REVERSED" : foot.change);

// hintOf says below the number what the next revolutions are for.
function hintOf(part, reading) {
  if (!part.form) return t("count.whichPosition");
  const missing = reading?.missing;
  if (missing) return t("count.of", { n: part.revolutions + missing.revolutions, feature: missing.feature ? featureShort(missing.feature) : missing.code });
  if (reading?.call.level && !reading.call.toNextLevel) return t("count.reached", { level: reading.call.level });
  return t("count.tapOn");
}

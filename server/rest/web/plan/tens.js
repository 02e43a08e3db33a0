// How often of ten: a bar of ten steps that is touched, dragged by halves, or moved by keys.

import { make } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { tenths } from "./how.js";
import { TENTHS } from "./misses.js";

const MOVED = 6; // px before a touch is a drag

/**
 * tens returns a bar with a name; changed(value, { live }) is called with a new value, live
 * while it is dragged. set(value) shows one, undefined for none said yet.
 */
export function tens(name, changed) {
  let value, down;
  const cells = Array.from({ length: TENTHS }, () => make("i"));
  const node = make("div", { class: "tens", role: "slider", tabindex: 0, "aria-label": name, "aria-valuemin": 0, "aria-valuemax": TENTHS }, ...cells);
  const take = (next, live = false) => {
    const to = Math.min(TENTHS, Math.max(0, next));
    if (to === value && live) return;
    set(to);
    changed(to, { live });
  };
  const at = (event) => {
    const box = node.getBoundingClientRect();
    return ((event.clientX - box.left) * TENTHS) / box.width;
  };
  node.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    down = { x: event.clientX, moved: false };
    node.setPointerCapture(event.pointerId);
  });
  node.addEventListener("pointermove", (event) => {
    if (!down || !down.moved && Math.abs(event.clientX - down.x) < MOVED) return;
    down.moved = true;
    take(Math.round(at(event) * 2) / 2, true);
  });
  node.addEventListener("pointerup", (event) => {
    if (!down) return;
    if (down.moved) changed(value, { live: false });
    else take(Math.ceil(at(event)));
    down = undefined;
  });
  node.addEventListener("pointercancel", () => { down = undefined; }); // the page is scrolled
  node.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 0.5, ArrowUp: 0.5, ArrowLeft: -0.5, ArrowDown: -0.5, PageUp: 1, PageDown: -1 }[event.key];
    if (by) take(Math.round((value ?? 0) * 2) / 2 + by);
    else if (event.key === "Home") take(0);
    else if (event.key === "End") take(TENTHS);
    else return;
    event.preventDefault();
  });

  function set(next) {
    value = next;
    cells.forEach((cell, i) => {
      const part = Math.min(1, Math.max(0, (value ?? 0) - i));
      cell.style.setProperty("--part", `${part * 100}%`);
    });
    node.dataset.state = value === undefined ? "open" : "";
    node.setAttribute("aria-valuenow", Math.round((value ?? 0) * 10) / 10);
    node.setAttribute("aria-valuetext", value === undefined ? t("plan.notSaid") : t("plan.of", { n: tenths(value) }));
  }
  set();
  return { node, set };
}

// A menu that opens at a button and closes again by itself.

import { make } from "../../embed/dom.js";

/** menu returns a menu with a label and what stands in it; a choice, Esc or a press elsewhere closes it. */
export function menu(label, ...children) {
  const summary = make("summary", {}, label);
  const node = make("details", { class: "menu" }, summary, make("div", {}, ...children));
  const close = () => { node.open = false; };
  node.addEventListener("click", (press) => press.target.closest("a, button") && close());
  node.addEventListener("keydown", (press) => {
    if (press.key !== "Escape" || !node.open) return;
    close();
    summary.focus();
    press.stopPropagation();
  });
  document.addEventListener("pointerdown", (press) => node.contains(press.target) || close());
  return node;
}

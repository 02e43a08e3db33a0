// What just happened, above the bar, with the way back.

import { make } from "../../embed/dom.js";

const STAYS = 5_000; // ms; longer while it has the focus or the pointer

/**
 * toast says something for five seconds. back, where there is one, is
 * { label, keys, run }: a button that takes back what happened. It returns a function
 * that ends it.
 */
export function toast(text, back) {
  let place = document.querySelector(".toasts");
  if (!place) {
    place = make("div", { class: "toasts", role: "status" });
    document.body.append(place);
  }
  let timer;
  const end = () => { clearTimeout(timer); node.remove(); };
  const wait = () => { timer = setTimeout(end, STAYS); };
  const node = make("div", { class: "toast" }, make("p", {}, text),
    back && make("button", { type: "button", onclick: () => { end(); back.run(); } }, back.label, back.keys && make("kbd", {}, back.keys)));
  for (const stay of ["focusin", "pointerenter"]) node.addEventListener(stay, () => clearTimeout(timer));
  for (const go of ["focusout", "pointerleave"]) node.addEventListener(go, wait);
  place.replaceChildren(node);
  wait();
  return end;
}

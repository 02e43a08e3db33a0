// The pads of a judge.

import { make, show } from "../../embed/dom.js";
import { number } from "./numbers.js";
import { t } from "./words.js";

/**
 * markPad puts eleven keys into a place, +1 to +5 above, 0 across, −1 to −5 below:
 * the row is the sign and the column the size. marked is called with the mark. It
 * gives a function that shows which one stands; undefined is none.
 */
export function markPad(place, label, marked) {
  const key = (mark, kind) => make("button", { type: "button", class: kind, "data-mark": mark, "aria-pressed": "false", onclick: () => marked(mark) },
    number(mark, { signed: true }));
  const keys = [...[1, 2, 3, 4, 5].map((m) => key(m, "plus")), key(0, "zero"), ...[-1, -2, -3, -4, -5].map((m) => key(m, "minus"))];
  place.append(make("p", { class: "note" }, t("parts.better")), make("div", { class: "mark-pad", role: "group", "aria-label": label }, ...keys),
    make("p", { class: "note" }, `${t("parts.worse")}, ${t("parts.further")}`));
  return (mark) => keys.forEach((k) => k.setAttribute("aria-pressed", String(mark !== undefined && Number(k.dataset.mark) === mark)));
}

/**
 * componentPad takes a mark from 0.25 to 10.00 in two taps: the whole number, then
 * the quarter. marked is called with the mark. It gives a function that shows which
 * one stands; a quarter alone changes that of the mark which stands.
 */
export function componentPad(place, label, marked) {
  let whole, standing;
  const wholes = Array.from({ length: 11 }, (_, i) => make("button", { type: "button", onclick: () => { whole = i; fill(); } }, String(i)));
  const quarters = [0, 0.25, 0.5, 0.75].map((q) => make("button", { type: "button", onclick: () => marked((whole ?? Math.floor(standing)) + q) },
    number(q.toFixed(2)).slice(1)));
  const row = (label, keys) => make("div", { role: "group", "aria-label": label }, ...keys);
  const second = row(t("parts.quarter"), quarters);
  place.append(make("div", { class: "component-pad", role: "group", "aria-label": label },
    make("p", { class: "note" }, t("parts.whole")), row(t("parts.whole"), wholes), make("p", { class: "note" }, t("parts.quarter")), second));
  function fill() {
    const full = whole ?? Math.floor(standing ?? -1);
    wholes.forEach((key, i) => key.setAttribute("aria-pressed", String(i === full)));
    quarters.forEach((key, i) => {
      key.disabled = full < 0;
      // 0.00 is no mark, and nothing is above 10.00.
      show(key, !(full === 0 && i === 0) && !(full === 10 && i > 0));
      key.setAttribute("aria-pressed", String(whole === undefined && standing !== undefined && standing % 1 === i / 4));
    });
  }
  const stands = (mark) => { standing = mark; whole = undefined; fill(); };
  stands();
  return stands;
}

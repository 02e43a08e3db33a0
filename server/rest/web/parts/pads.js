// The pads of a judge.

import { make, show } from "../../embed/dom.js";
import { number } from "./numbers.js";
import { t } from "./words.js";

/**
 * markPad puts the marks of a scale into a place, +1 to +most above, 0 across, −1 to
 * −most below: the row is the sign and the column the size. marked is called with the
 * mark. It returns a function that shows which one stands, undefined for none, and
 * whether one can be given now.
 */
export function markPad(place, label, marked, most = 5) {
  let open = true;
  const key = (mark, kind) => make("button", {
    type: "button", class: kind, "data-mark": mark, "aria-pressed": "false", onclick: () => open && marked(mark),
  }, number(mark, { signed: true }));
  const sizes = Array.from({ length: most }, (_, i) => i + 1);
  const keys = [...sizes.map((m) => key(m, "plus")), key(0, "zero"), ...sizes.map((m) => key(-m, "minus"))];
  place.append(make("p", { class: "note ends" }, make("span", {}, t("parts.better")), make("span", {}, t("parts.further"))),
    make("div", { class: "mark-pad", "data-most": most, role: "group", "aria-label": label }, ...keys),
    make("p", { class: "note ends" }, t("parts.worse")));
  return (mark, ready = true) => {
    open = ready;
    for (const k of keys) {
      k.setAttribute("aria-pressed", String(mark !== undefined && Number(k.dataset.mark) === mark));
      k.setAttribute("aria-disabled", String(!ready));
    }
  };
}

/**
 * componentPad takes a mark from 0.25 to 10.00 in two taps: the whole number, then
 * the quarter. marked is called with the mark, began with the whole number. It returns a
 * function that shows which one stands; a quarter alone changes that of the mark which
 * stands, and for a slip there is a quarter up or down.
 */
export function componentPad(place, label, marked, began = () => {}) {
  let whole, standing;
  const wholes = Array.from({ length: 11 }, (_, i) => make("button", { type: "button", onclick: () => { whole = i; fill(); began(i); } }, String(i)));
  const quarters = [0, 0.25, 0.5, 0.75].map((q) => make("button", { type: "button", onclick: () => marked((whole ?? Math.floor(standing)) + q) }));
  const slips = [-0.25, 0.25].map((by) => make("button", { type: "button", onclick: () => marked(Math.min(10, Math.max(0.25, standing + by))) },
    number(by.toFixed(2), { signed: true })));
  const row = (name, keys) => make("div", { role: "group", "aria-label": name }, ...keys);
  const slip = make("div", { class: "slip" }, make("p", { class: "note" }, t("parts.slip")), row(t("parts.slip"), slips));
  place.append(make("div", { class: "component-pad", role: "group", "aria-label": label },
    make("p", { class: "note" }, t("parts.whole")), row(t("parts.whole"), wholes),
    make("p", { class: "note" }, t("parts.quarter")), row(t("parts.quarter"), quarters), slip));
  function fill() {
    const full = whole ?? Math.floor(standing ?? -1);
    wholes.forEach((key, i) => key.setAttribute("aria-pressed", String(i === full)));
    quarters.forEach((key, i) => {
      key.textContent = full < 0 ? number((i / 4).toFixed(2)).slice(1) : number((full + i / 4).toFixed(2));
      key.disabled = full < 0;
      // 0.00 is no mark, and nothing is above 10.00.
      show(key, !(full === 0 && i === 0) && !(full === 10 && i > 0));
      key.setAttribute("aria-pressed", String(whole === undefined && standing !== undefined && standing % 1 === i / 4));
    });
    show(slip, standing !== undefined && whole === undefined);
  }
  const stands = (mark) => { standing = mark; whole = undefined; fill(); };
  stands();
  return stands;
}

// Where something lies on a scale: a bar from low to high with a tick, and a dotted mark.

import { make } from "../../embed/dom.js";

/**
 * span returns a picture of { from, to, low, high, at, mark, label }: from and to are the
 * ends of the scale, the others stand on it; mark may be left out. What the picture says
 * in words is its label. open draws the bar as an outline.
 */
export function span({ from, to, low, high, at, mark, label, open = false }) {
  const across = (value) => `${Math.min(100, Math.max(0, ((value - from) * 100) / (to - from || 1)))}%`;
  const part = (kind, left, right) => {
    const node = make("i", { class: kind });
    node.style.insetInlineStart = across(left);
    if (right !== undefined) node.style.insetInlineEnd = `calc(100% - ${across(right)})`;
    return node;
  };
  return make("div", { class: `span-bar${open ? " open" : ""}`, role: "img", "aria-label": label },
    part("reach", low, high), mark !== undefined && part("goal", mark), part("tick-at", at));
}

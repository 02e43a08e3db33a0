// Choosing the segment that a desk works on, and its starting order.

import { list, make, setText } from "../../embed/dom.js";
import { t } from "../parts/words.js";

/** stateOf says how far a segment is. */
export const stateOf = (segment) => t(`order.states.${segment.state}`);

/**
 * segmentChoice fills a list of all segments. It returns a function that is shown the
 * state of the event and returns the chosen { category, segment }: the one that is
 * worked on, until somebody chooses another.
 */
export function segmentChoice(select, changed) {
  let chosen = "";
  // What is on the page changes at once, so that no button still acts on the segment before.
  select.addEventListener("change", () => { chosen = select.value; changed(); });
  return ({ event, category, segment }) => {
    const all = event.categories.flatMap((c) => c.segments.map((s) => ({ category: c, segment: s, key: `${c.category} ${s.segment}` })));
    list(select, all, (s) => s.key, (s) => make("option", { value: s.key }),
      (node, s) => setText(node, t("organiser.of", { category: s.category.title, segment: s.segment.title })));
    const worked = segment ? `${category.category} ${segment.segment}` : "";
    const shown = all.find((s) => s.key === (chosen || worked)) ?? all[0] ?? {};
    select.value = shown.key ?? "";
    return shown;
  };
}

/** fillOrder lists who starts, with how far everybody is. */
export function fillOrder(place, segment) {
  const row = () => make("li", {}, make("span", { class: "number" }), make("span", { class: "name" }), make("span", { class: "badge" }));
  list(place, segment?.order ?? [], (s) => s.entry, row, (node, s) => {
    const [number, name, badge] = node.children;
    setText(number, `${s.number}.`);
    setText(name, `${s.name}${s.club ? `, ${s.club}` : ""}`);
    setText(badge, t(`order.skaters.${s.state}`));
    badge.dataset.state = s.state;
  });
}

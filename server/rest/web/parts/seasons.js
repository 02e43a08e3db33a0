// Choosing the rules that a page is about.

import { make } from "../../embed/dom.js";
import { field } from "./form.js";
import { t } from "./words.js";

/** option is one choice of a select. */
export const option = (value, text) => make("option", { value }, text);

/** choose fills a select with options, and keeps a value where it is one of them. */
export function choose(select, options, value) {
  select.replaceChildren(...options);
  if ([...select.options].some((o) => o.value === value)) select.value = value;
}

/** titled lists the seasons of ListSeasons, the newest first, as [key, title]. */
export const titled = (seasons) => seasons.toReversed().map((s) => [s.season, s.title === `Season ${s.season}` ? s.season : s.title]);

/** categories are the choices of a season, by discipline. */
export const categories = (season) => ["singles", "pairs", "dance"].flatMap((discipline) => {
  const own = season.categories.filter((c) => c.discipline === discipline);
  return own.length ? [make("optgroup", { label: t(`parts.disciplines.${discipline}`) }, ...own.map((c) => option(c.category, c.title)))] : [];
});

/** markFields are fields for the average mark of each component of a segment; wanted has their values by component. */
export function markFields(season, segment, wanted) {
  const scale = (end) => season.rules.find((r) => r.key === `component_marks.${end}`)?.value;
  return (segment?.components ?? []).map((c) => {
    const input = make("input", {
      id: `mark-${c.component}`, class: "short", "data-component": c.component, type: "number", inputmode: "decimal",
      min: scale("min"), max: scale("max"), step: "0.01", // an average
    });
    input.value = wanted[c.component] ?? "";
    return field(c.name, input);
  });
}

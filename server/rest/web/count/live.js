// The upper half while somebody is counted: what a glance must find.

import { at, make, setText } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { capital, featureName, featureShort, formName } from "./tables.js";

const or = (words) => new Intl.ListFormat(document.documentElement.lang, { type: "disjunction" }).format(words);
const AHEAD = 3; // features that a glance can take in

/** levelOf is the level as a numeral, and its note where there is none. */
export function showLevel(reading, error, when) {
  const call = reading?.call;
  const level = at("level");
  level.classList.toggle("words", Boolean(!call && !error && when));
  setText(level, call ? call.level || "–" : error ? "–" : when ? t("count.moment") : "–");
  setText(at("value"), call?.code ? `${call.code} · ${number(call.baseValue)}` : error ?? call?.notes[0] ?? "");
}

/** partsOf lists the parts of a spin with their revolutions; pencil is what no touch has said. */
export function partsOf(spin) {
  return spin.feet.flatMap((foot, f) => {
    const last = f === spin.feet.length - 1;
    const parts = foot.parts.map((part, p) => make("li", { class: part.pencil && "pencil", "aria-current": last && p === foot.parts.length - 1 && "step" },
      formName(part.form), make("strong", {}, `${part.about ? "≈ " : ""}${number(part.revolutions)}`)));
    if (!foot.parts.length) parts.push(make("li", { "aria-current": "step" }, t("count.foot"), make("strong", {}, "…")));
    return f ? [make("li", { class: "slash", "aria-label": t(`count.changes.${foot.reversed ? "REVERSED" : foot.change}`) }, "/"), ...parts] : parts;
  });
}

/**
 * featuresOf lists what counts in order, what is being held, what does not count with
 * its reason (why says it), and what would bring the next level. form returns the form at
 * a place.
 */
export function featuresOf(reading, form, why) {
  if (!reading) return [];
  const item = (is, sign, text, note) => make("li", { "data-is": is }, make("i", { "aria-hidden": "true" }, sign),
    make("span", {}, make("span", { class: "aloud" }, `${t(`count.is.${is}`)} `), text), note && make("span", { class: "note" }, note));
  const { counted, missing, struck, ahead, call } = reading;
  const rows = counted.map((f, i) => item("counted", number(i + 1), featureName(f, form(f.at)), reading.resting(f) && t("count.resting")));
  const to = number(counted.length + 1);
  if (missing?.feature) rows.push(item("missing", to, featureName(missing, form(missing.at)), t("count.more", { n: missing.revolutions })));
  rows.push(...struck.map((f) => item("struck", "", featureName(f, form(f.at)), why(f))));
  const others = [...new Set(ahead.filter((name) => name !== missing?.feature))].slice(0, AHEAD).map(featureShort);
  if (call.toNextLevel && others.length) {
    rows.push(item("ahead", number(counted.length + (missing?.feature ? 2 : 1)), capital(others.length > 1 ? or(others) : others[0])));
  }
  return rows;
}

// The words of what is counted: forms of positions, entries and features.

import { has, t } from "../parts/words.js";
import { FORMS } from "./spin.js";

/** formName is a form in full: "Camel sideways". */
export const formName = (form) => (form ? t(`count.forms.${form}`) : t("count.forms.unknown"));

/** formShort is what stands below a position's name: "sideways, variation"; empty for the plain one. */
export const formShort = (form) => (has(`count.kinds.${form}`) ? t(`count.kinds.${form}`) : "");

/** edgeName is the position of an edge. */
export const edgeName = (position) => t(`count.positions.${position}`);

/** positionOf is the position of a form in a sentence. */
export const positionOf = (form) => (form ? edgeName(FORMS[form].position) : "");

/** featureName is a feature as it stands in the list; for a variation with the form that it is of. */
export function featureName({ feature }, form) {
  if (feature === "DIFFICULT_VARIATION" && form && FORMS[form].position !== "LAYBACK") return t("count.variationOf", { form: formName(form).toLowerCase() });
  return has(`count.features.${feature}`) ? t(`count.features.${feature}`) : feature;
}

/** featureShort is a feature on a key or in a row of several. */
export const featureShort = (feature) => (has(`count.short.${feature}`) ? t(`count.short.${feature}`) : featureName({ feature }));

/** reasonShort is why a feature does not count, as it is said. */
export const reasonShort = (reason) => (has(`count.reasons.${reason}`) ? t(`count.reasons.${reason}`) : "");

/** numberName is a small number as it is said. */
export const numberName = (n) => (has(`count.numbers.${n}`) ? t(`count.numbers.${n}`) : String(n));

/** capital begins a line with a text. */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

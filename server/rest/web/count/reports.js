// The large keys for what a panel reports beside positions and revolutions.

import { at, make, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { FORMS, now } from "./spin.js";
import { capital, featureShort, formName } from "./tables.js";


// fits reports whether a feature of the season can be done in a form. Positions that
// are empty bind it to none.
function fits({ positions }, form) {
  if (!form || !positions.length) return true;
  const { position, variation } = FORMS[form];
  const is = [position, variation === "BIELLMANN" && "BIELLMANN", position === "UPRIGHT" && variation && "UPRIGHT_VARIATION", variation && "VARIATION"];
  return positions.some((place) => is.includes(place));
}

/**
 * reportable are the features of the season that a form allows and that no edge and no
 * tap says, those that bring a level first.
 */
export function reportable(features, form, ahead) {
  const can = features.filter((f) => f.reported && f.reported !== "variation" && !f.kinds.every((kind) => kind === "STEP_SEQUENCE") && fits(f, form));
  const rank = ({ feature }) => (ahead.includes(feature) ? ahead.indexOf(feature) : ahead.length);
  return can.toSorted((a, b) => rank(a) - rank(b)).map((f) => f.feature);
}

/** reports asks what it was and calls chosen with the feature, or with undefined for later. */
export function reports({ spin, reading, features }, chosen, closed) {
  const part = now(spin), ahead = reading?.ahead ?? [], level = reading?.call.toNextLevel?.level;
  const end = (run) => () => {
    show(at("reports"), false);
    run();
    closed();
  };
  const keys = reportable(features, part?.form, ahead).map((feature) => make("button", { type: "button", onclick: end(() => chosen(feature)) },
    capital(featureShort(feature)), ahead.includes(feature) && make("small", {}, t("count.wouldBe", { level }))));
  const where = t("count.whatWasIt", { form: formName(part?.form) });
  at("reports").replaceChildren(make("h2", {}, where), ...keys,
    make("button", { type: "button", class: "wide", onclick: end(() => chosen(undefined)) }, t("count.nameLater")),
    ...(ahead.length && reading.caution ? [make("p", { class: "caution" }, reading.caution)] : []));
  show(at("reports"), true);
  at("reports").querySelector("button").focus();
}

// Where a rule was read, and how sure it is.

import { make } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { sure } from "./rules.js";

/** confidence returns how sure something is, in words. */
export const confidence = (name) => t(`seasons.sure.${name || "high"}`);

/** doubt returns the sign of what is not sure, with its word; nothing where it is sure. */
export function doubt(name, { short = false } = {}) {
  if (sure(name)) return undefined;
  const word = short ? make("span", { class: "aloud" }, t("season.unsure", { why: confidence(name) })) : confidence(name);
  return make("span", { class: "unsure" }, "◇ ", word);
}

/**
 * provenance returns a list of terms for { source, confidence, note, concerns, key }
 * and further pairs of a term and what stands for it.
 */
export function provenance({ source, confidence: name, note, concerns, key }, more = []) {
  const pairs = [
    [t("season.concerns"), concerns], [t("season.source"), source], [t("season.confidence"), confidence(name)], [t("season.note"), note],
    [t("season.key"), key && make("code", {}, key)], ...more];
  return make("dl", { class: "facts" }, ...pairs.filter(([, what]) => what).flatMap(([term, what]) => [make("dt", {}, term), make("dd", {}, what)]));
}

// Asks for the level of what is being counted: of the engine in the page, or of the
// server where there is none.

import { latest } from "../parts/latest.js";
import { AHEAD, reading } from "./answer.js";

/**
 * levels returns a function that asks for the level of an element and calls shown with
 * what the answer says, or with the error, and with the question: { season, rules,
 * earlier, elementWith, less }. elementWith(n) is the element with n revolutions more,
 * undefined where that says nothing, less the one where the beat was ahead.
 */
export const levels = (api, shown) => latest(async ({ season, rules, earlier, elementWith, less }) => {
  const elements = Array.from({ length: AHEAD + 1 }, (_, n) => elementWith(n)).filter(Boolean);
  const programs = [...elements, ...(less ? [less] : [])].map((element) => ({ ...rules, elements: [...earlier, element] }));
  const { results } = await api.call("BatchCallLevels", { season, programs });
  const refused = results[0].error;
  if (refused) throw Object.assign(new Error(refused.message), { temporary: false });
  return reading(results.slice(0, elements.length), less && results.at(-1));
}, shown);

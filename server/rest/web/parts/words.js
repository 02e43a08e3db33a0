// The words of the page. They come with it, in its language; keys are literals, so
// that the server finds which ones a module needs.

import { lang, number } from "./numbers.js";

const words = JSON.parse(document.getElementById("words").textContent);
const forms = new Intl.PluralRules(lang), places = new Intl.PluralRules(lang, { type: "ordinal" });

// word returns the text of a key: where it has plural forms, the one for n.
function word(key, n) {
  const found = words[key];
  if (found === undefined) console.error(`the page has no word ${key}`);
  return typeof found === "object" ? found[forms.select(n)] ?? found.other : found ?? key;
}

/** has reports whether a key that is put together has a text. */
export const has = (key) => key in words;

/**
 * t returns a text with its {parameters} filled in; numbers as the language writes them.
 * A full stop of the text is left out behind a name that ends with one.
 */
export const t = (key, values = {}) => word(key, values.n).replaceAll(/\{(\w+)\}(\.?)/g, (_, name, stop) => {
  const value = values[name] ?? `{${name}}`, text = typeof value === "number" ? number(value) : String(value);
  return text.endsWith(".") ? text : text + stop;
});

/** nth returns a place in words for a sentence: "4th". */
export const nth = (n) => words["parts.nth"][places.select(n)].replace("{n}", number(n));

/** rich is t for parameters that are nodes: it returns what to append. */
export const rich = (key, values = {}) => word(key, values.n).split(/\{(\w+)\}/)
  .map((part, i) => (i % 2 ? values[part] ?? `{${part}}` : part));

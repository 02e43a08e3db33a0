// Putting a text where it can be pasted from, also in pages that come over plain HTTP.

import { make } from "../../embed/dom.js";
import { ask } from "./dialog.js";
import { t } from "./words.js";
import { toast } from "./toast.js";

/** copy copies a text and says said; where the browser lets no page do that, it shows the text, selected. */
export async function copy(text, said) {
  if (await copied(text)) return toast(said);
  const shown = ask(t("parts.copyBy"), { yes: t("parts.close"), no: t("parts.back"), fields: { text: { label: t("parts.copyText"), value: text } } });
  document.getElementById("ask-text").select();
  return shown;
}

async function copied(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch { // no clipboard over plain HTTP, or it is not allowed
    const field = make("textarea", { class: "aloud", "aria-hidden": "true", tabindex: -1 });
    field.value = text;
    const before = document.activeElement;
    document.body.append(field);
    field.select();
    const done = document.execCommand("copy");
    field.remove();
    before?.focus();
    return done;
  }
}

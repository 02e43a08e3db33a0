// A question before something that is not to happen by a slip.

import { make } from "../../embed/dom.js";

/**
 * ask gives true or, with a label for a field, the text that was typed; undefined
 * when the answer is no.
 */
export function ask(question, { yes = "Yes", label = "", needed = false } = {}) {
  return new Promise((resolve) => {
    const field = label ? make("input", { id: "ask-field", class: "wide", required: needed, autocomplete: "off" }) : undefined;
    const form = make("form", { method: "dialog" }, make("p", { id: "ask-question" }, question),
      ...(field ? [make("label", { for: "ask-field" }, label), field] : []),
      make("div", { class: "row" }, make("button", { type: "submit", value: "yes" }, yes), make("button", { type: "button", onclick: () => dialog.close("") }, "No")));
    const dialog = make("dialog", { "aria-labelledby": "ask-question", onclose: () => {
      dialog.remove();
      resolve(dialog.returnValue === "yes" ? (field ? field.value.trim() : true) : undefined);
    } }, form);
    document.body.append(dialog);
    dialog.showModal();
  });
}

// A question before something that is not to happen by a slip.

import { make } from "../../embed/dom.js";

/**
 * ask gives what was typed into the fields, by their names; undefined when the
 * answer is no. A field is { label, value, needed }.
 */
export function ask(question, { yes = "Yes", fields = {} } = {}) {
  return new Promise((resolve) => {
    const inputs = Object.entries(fields).map(([name, { needed, value }]) => make("input", { id: `ask-${name}`, name, class: "wide", required: needed, value, autocomplete: "off" }));
    const form = make("form", { method: "dialog" }, make("p", { id: "ask-question" }, question),
      ...inputs.flatMap((input) => [make("label", { for: input.id }, fields[input.name].label), input]),
      make("div", { class: "row" }, make("button", { type: "submit", value: "yes" }, yes), make("button", { type: "button", onclick: () => dialog.close("") }, "No")));
    const dialog = make("dialog", { "aria-labelledby": "ask-question", onclose: () => {
      dialog.remove();
      resolve(dialog.returnValue === "yes" ? Object.fromEntries(inputs.map((input) => [input.name, input.value.trim()])) : undefined);
    } }, form);
    document.body.append(dialog);
    dialog.showModal();
  });
}

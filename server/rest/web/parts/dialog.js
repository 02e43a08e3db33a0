// A question, a small task or a part that is rarely needed, in front of the page.

import { make } from "../../embed/dom.js";
import { field } from "./form.js";
import { t } from "./words.js";

/**
 * ask returns what was typed into the fields, by their names; undefined when the
 * answer is no, or Esc. A field is { label, value, needed, type }. A question is about a
 * danger: no is filled and in focus. With fields it is a task, unless danger says
 * otherwise: yes is filled, and the first field in focus. Enter in a field sends
 * nothing.
 */
export function ask(question, { note = "", yes = t("parts.yes"), no = t("parts.no"), fields = {}, danger = Object.keys(fields).length === 0 } = {}) {
  return new Promise((resolve) => {
    const inputs = Object.entries(fields).map(([name, { needed, value, type }]) =>
      make("input", { id: `ask-${name}`, name, type, required: needed, value, autocomplete: "off" }));
    const safe = make("button", { type: "button", class: danger && "primary", onclick: () => dialog.close("") }, no);
    const sure = make("button", {
      type: "button", value: "yes", class: !danger && "primary", onclick: () => form.reportValidity() && dialog.close("yes"),
    }, yes);
    const form = make("form", { onsubmit: (submit) => submit.preventDefault() },
      make("h2", { id: "ask-question" }, question), note && make("p", { id: "ask-note", class: "note" }, note),
      ...inputs.map((input) => field(fields[input.name].label, input)),
      make("div", { class: "buttons" }, ...(danger ? [sure, safe] : [safe, sure])));
    const dialog = make("dialog", { "aria-labelledby": "ask-question", "aria-describedby": note && "ask-note", onclose: () => {
      dialog.remove();
      resolve(dialog.returnValue === "yes" ? Object.fromEntries(inputs.map((input) => [input.name, input.value.trim()])) : undefined);
    } }, form);
    document.body.append(dialog);
    dialog.showModal();
    (danger ? safe : inputs[0] ?? sure).focus({ focusVisible: true });
  });
}

/**
 * pane returns { open, close, node } of a dialog that stays while what is in it changes:
 * a part of a page that is rarely needed.
 */
export function pane(id, title, ...children) {
  const shut = make("button", { type: "button", onclick: () => node.close() }, t("parts.close"));
  const node = make("dialog", { id, class: "pane", "aria-labelledby": `${id}-title` },
    make("div", { class: "row" }, make("h2", { id: `${id}-title` }, title), shut), ...children);
  document.body.append(node);
  return { node, open: () => node.showModal(), close: () => node.close() };
}

// The bar at the foot of a desk: one sentence, one action.

import { make, setText, show } from "../../embed/dom.js";

/**
 * actionBar puts a bar at the end of a page and returns a function that fills it with
 * { say, note, action, second }: a sentence, a note, and choices { label, keys, run,
 * blocked }. A blocked action is outlined and does nothing; the sentence says for
 * whom to wait. It is there from the first filling on. Buttons stay the same nodes, so that none loses the focus.
 */
export function actionBar(page = document.body) {
  const say = make("p"), note = make("p", { class: "note" });
  const [second, action] = ["", "primary"].map((kind) => {
    const part = { choice: undefined, label: make("span"), keys: make("kbd") };
    part.node = make("button", { type: "button", class: kind, hidden: true, onclick: () => part.choice.blocked || part.choice.run() }, part.label, part.keys);
    return part;
  });
  const node = make("footer", { class: "bar", hidden: true }, make("div", { class: "say", "aria-live": "polite" }, say, note), second.node, action.node);
  page.append(node);
  const fill = (part, choice) => {
    part.choice = choice;
    show(part.node, Boolean(choice));
    if (!choice) return;
    setText(part.label, choice.label);
    setText(part.keys, choice.keys ?? "");
    show(part.keys, Boolean(choice.keys));
    part.node.setAttribute("aria-disabled", String(Boolean(choice.blocked)));
  };
  return (now) => {
    show(node, true);
    setText(say, now.say);
    setText(note, now.note ?? "");
    fill(second, now.second);
    fill(action, now.action);
  };
}

// The starting order as a queue: who was, who is, who comes. What is far away is
// counted, so that it fits beside the sheet.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";

const low = matchMedia("(max-height: 719px)");
const room = () => (low.matches ? { before: 1, after: 3 } : { before: 2, after: 5 });

const STATES = { DONE: "done", NOW: "now" };

/**
 * queue fills the queue of the desk. choose is called with the entry whose sheet is to
 * be shown, changed when it is folded otherwise. It returns a function that is given
 * { segment, scores, now, note, chosen }: scores are those confirmed, by entry, now the
 * entry that is worked on, note what is said of it, chosen whose sheet is shown.
 */
export function queue(choose, changed) {
  let whole = false;
  const fold = () => { whole = !whole; changed(); };
  at("queue-before").addEventListener("click", fold);
  at("queue-after").addEventListener("click", fold);
  low.addEventListener("change", changed);

  function row({ place }) {
    if (!place) return make("li", { class: "group note" });
    const who = make("div", { class: "who" }, make("button", { type: "button", class: "quiet" }), make("span", { class: "name" }), make("small"));
    return make("li", {}, make("span", { class: "index" }), who, make("span", { class: "value" }));
  }

  function fillRow(node, { place, group, scores, now, note, chosen }) {
    if (!place) return setText(node, t("referee.group", { n: group }));
    const [index, who, value] = node.children;
    const [button, name, small] = who.children;
    const current = place.entry === now, done = place.state === "CONFIRMED";
    node.dataset.state = current ? STATES.NOW : done || place.state === "OUT" ? STATES.DONE : "";
    setText(index, String(place.number));
    setText(button, place.name);
    setText(name, place.name);
    show(button, done && !current);
    show(name, !done || current);
    button.setAttribute("aria-pressed", String(chosen === place.entry));
    button.onclick = () => choose(place.entry);
    setText(small, current ? note : place.state === "OUT" ? t("referee.out") : "");
    setText(value, scores.get(place.entry) ? number(scores.get(place.entry)) : "");
    return undefined;
  }

  return ({ segment, now, ...about }) => {
    const order = segment?.order ?? [];
    const found = order.findIndex((p) => p.entry === now);
    const here = found < 0 ? order.length : found;
    const from = whole ? 0 : Math.max(0, here - room().before), to = whole ? order.length : Math.min(order.length, here + room().after + 1);
    const groups = new Set(order.map((p) => p.group)).size > 1;
    const rows = order.slice(from, to).flatMap((place, i) => {
      const first = groups && place.group !== order[from + i - 1]?.group;
      return [...(first ? [{ group: place.group }] : []), { place, now, ...about }];
    });
    list(at("queue"), rows, (r) => (r.place ? `entry ${r.place.entry}` : `group ${r.group}`), row, fillRow);
    const confirmed = order.filter((p) => p.state === "CONFIRMED").length;
    const skate = order.filter((p) => p.state !== "OUT").length;
    setText(at("queue-count"), order.length ? t("referee.confirmedOf", { n: confirmed, all: skate }) : "");
    const folds = order.length > room().before + room().after + 1;
    setText(at("queue-before"), whole ? t("referee.foldOrder") : t("referee.before", { n: from }));
    setText(at("queue-after"), t("referee.after", { n: order.length - to }));
    show(at("queue-before"), folds && (whole || from > 0));
    show(at("queue-after"), order.length > to);
  };
}

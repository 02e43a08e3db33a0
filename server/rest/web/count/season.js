// The same element under another season.

import { make } from "../../embed/dom.js";
import { pane } from "../parts/dialog.js";
import { t } from "../parts/words.js";

let shown;

/** seasonChoice asks for the season that what was counted is called by. */
export function seasonChoice(chosen) {
  shown?.node.remove();
  const now = chosen.now().season;
  const keys = chosen.seasons().map(([key, title]) => make("button", {
    type: "button", "aria-pressed": String(key === now), onclick: () => { shown.close(); chosen.take(key); },
  }, title));
  shown = pane("seasons", t("count.otherSeason"), make("p", { class: "note" }, t("count.seasonNote")), make("div", { class: "chips" }, ...keys));
  shown.open();
}

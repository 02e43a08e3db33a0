// Whether everything that was typed has reached the server.

import { make, setText } from "../../embed/dom.js";
import { clock } from "./numbers.js";
import { t } from "./words.js";

/**
 * sending puts the state of sending into a header and returns a function that fills it
 * with { waiting, cut }: how many things are not sent, and since when nothing was
 * heard of the server.
 */
export function sending(place) {
  const pill = make("span", { class: "pill" }), note = make("span", { class: "note" });
  place.append(make("span", { class: "row sending", role: "status" }, pill, note));
  return ({ waiting = 0, cut: since }) => {
    const cut = since ? t("parts.cut", { time: clock(since, { seconds: true }) }) : "";
    pill.dataset.state = waiting ? "unsent" : since ? "warning" : "sent";
    setText(pill, waiting ? t("parts.waiting", { n: waiting }) : cut || t("parts.sent"));
    setText(note, waiting ? cut : "");
  };
}

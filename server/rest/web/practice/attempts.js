// The attempts of a skater as a list, from which one can be taken out.

import { make, setText } from "../../embed/dom.js";
import { pane } from "../parts/dialog.js";
import { clock, day } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { nameOf } from "./touch.js";

const PAGE = 100;

/** attemptList opens the attempts that which asks ListAttempts for; changed is called after one was taken out. */
export function attemptList(api, which, explain, changed) {
  const rows = make("ul", { class: "list attempts" }), more = make("button", { type: "button", hidden: true }, t("practice.earlier"));
  const told = make("p", { class: "fault", role: "alert" });
  const box = pane("attempt-list", which.code ?? t("practice.attempts"), told, rows, more);
  let token = "", had = false;
  const remove = async (attempt, node) => {
    try {
      await api.call("DeleteAttempt", { book: which.book, skater: which.skater, attempt: attempt.attempt });
      node.remove();
      had = true;
    } catch (error) {
      setText(told, explain(error)); // a toast would lie behind the dialog
    }
  };
  const row = (a) => {
    const when = `${day(a.time)}, ${clock(new Date(a.time))}`, came = nameOf(a);
    const what = t("practice.removeOf", { what: `${a.planned} ${came}, ${when}` });
    const node = make("li", {}, make("span", { class: "code" }, a.planned), make("strong", {}, came),
      make("span", { class: "note" }, [a.cause, a.runThrough && t("practice.inRun"), when].filter(Boolean).join(" · ")),
      make("button", { type: "button", class: "small", "aria-label": what, onclick: () => remove(a, node) }, t("practice.remove")));
    return node;
  };
  const load = async () => {
    try {
      const answer = await api.call("ListAttempts", { ...which, pageSize: PAGE, pageToken: token });
      rows.append(...answer.attempts.map(row));
      token = answer.nextPageToken;
      more.hidden = !token;
      if (!rows.children.length) rows.append(make("li", {}, t("practice.noneYet")));
    } catch (error) {
      rows.append(make("li", { class: "fault" }, explain(error)));
    }
  };
  more.addEventListener("click", load);
  box.node.addEventListener("close", () => { box.node.remove(); if (had) changed(); });
  load();
  box.open();
}

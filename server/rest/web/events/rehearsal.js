// A rehearsal: the panel plays the event with invented marks, in an event of its own
// that is gone at the end. Desks go there and back by themselves.

import { make, show } from "../../embed/dom.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { button, faultLine } from "../parts/form.js";
import { event, tokenKey } from "./place.js";
import { tell } from "./refusal.js";

const realKey = (id) => `rinktally rehearsal ${id}`;
const OVER = "rinktally rehearsal over";

// go opens the same desk in another event.
function go(other, token) {
  sessionStorage.setItem(tokenKey(other), token);
  location.replace(location.href.split("#")[0].replace(`/desk/${encodeURIComponent(event)}/`, `/desk/${encodeURIComponent(other)}/`));
}

/** toRehearsal goes where the desk belongs while the event is rehearsed, and reports whether it does. */
export function toRehearsal({ rehearsal }, token) {
  if (!rehearsal) return false;
  sessionStorage.setItem(realKey(rehearsal), event);
  go(rehearsal, token);
  return true;
}

/** fromRehearsal goes back to the event when an error says that its rehearsal is over, and reports whether it does. */
export function fromRehearsal(error, token) {
  const real = sessionStorage.getItem(realKey(event));
  if (error?.status !== 404 || !real) return false;
  sessionStorage.setItem(OVER, "yes");
  go(real, token);
  return true;
}

/** sayOver says once after a rehearsal that nothing of it is left. */
export function sayOver() {
  if (!sessionStorage.getItem(OVER)) return;
  sessionStorage.removeItem(OVER);
  toast(t("rehearsal.over"));
}

/** rehearsalStrip is the line that stands on every desk of a rehearsal: its node and fill. */
export function rehearsalStrip() {
  const node = make("p", { class: "rehearsal", role: "status", hidden: true }, t("rehearsal.strip"));
  return { node, fill: (now) => show(node, Boolean(now.event.rehearsalOf)) };
}

/** rehearsalPart fills a place with how a rehearsal begins and ends, and returns what fills it again. */
export function rehearsalPart({ api }, place) {
  const fault = faultLine();
  const refused = (error) => fromRehearsal(error, api.token) || tell(fault, error);
  const key = (name, run) => button(t(name), () => run().catch(refused));
  const begin = key("rehearsal.begin", async () => toRehearsal(await api.call("BeginRehearsal", { event }), api.token));
  const end = key("rehearsal.end", async () => {
    await api.call("EndRehearsal", { event: sessionStorage.getItem(realKey(event)) });
    await api.call("GetCaller", { event }); // is there no more
  });
  const before = make("div", { class: "row" }, begin, make("span", { class: "note" }, t("rehearsal.how")));
  const during = make("div", { class: "row" }, end, make("span", { class: "note" }, t("rehearsal.during")));
  place.prepend(before, during, fault);
  return ({ event: now }) => {
    const started = now.categories.some((c) => c.segments.some((s) => !["PLANNED", "DRAWN"].includes(s.state)));
    show(before, !now.rehearsalOf && !started);
    show(during, Boolean(now.rehearsalOf));
  };
}

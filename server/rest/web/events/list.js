// The list of events.

import { Client } from "../../embed/client.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { fault } from "../parts/fault.js";
import { day } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { desksOf, home, pageOf, tokenKey } from "./place.js";
import { typedCode, watcherFault } from "./watcher.js";

const api = new Client(home);

const days = ({ startDate, endDate }) =>
  (endDate && endDate !== startDate ? t("events.days", { from: day(startDate), to: day(endDate) }) : day(startDate));
const about = (e) => [e.place, days(e), t("events.season", { season: e.season })].filter(Boolean).join(" · ");

function row(e) {
  return make("li", { class: "panel" },
    make("div", {}, make("a", { class: "name", href: pageOf(e.event) }, e.name || e.event),
      make("p", { class: "note" }, e.unreadable ? t("events.unreadable") : about(e))),
    make("a", { href: desksOf(e.event), class: "button small" }, t("events.desks"), make("span", { class: "aloud" }, ` ${e.name}`)));
}

// events returns those that the holder of a code may see; "" holds none.
async function events(token) {
  api.token = token;
  const all = [];
  let pageToken;
  do {
    const page = await api.call("ListEvents", { pageToken });
    all.push(...page.events);
    pageToken = page.nextPageToken || undefined;
  } while (pageToken);
  return all;
}

const listed = new Set();

// fill adds events that are not listed yet and returns them.
function fill(all) {
  const more = all.filter((e) => !listed.has(e.event));
  for (const e of more) listed.add(e.event);
  at("events").append(...more.map(row));
  show(at("message"), false);
  show(at("first"), listed.size === 0);
  show(at("new"), listed.size > 0);
  return more;
}

at("gate").addEventListener("submit", async (submit) => {
  submit.preventDefault();
  const token = typedCode();
  watcherFault();
  try {
    const more = fill(await events(token));
    for (const e of more) sessionStorage.setItem(tokenKey(e.event), token);
    at("token").value = "";
    if (more.length === 0) fault(at("token"), t("events.listed"));
  } catch (error) {
    watcherFault(error);
  }
});

events("").then(fill).catch((error) => setText(at("message"), t("events.away", { why: error.message })));

// The list of events.

import { Client } from "../../embed/client.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { home, tokenKey } from "./place.js";
import { tell } from "./refusal.js";

const api = new Client(home);

const days = ({ startDate, endDate }) => (endDate && endDate !== startDate ? `${startDate} to ${endDate}` : startDate);

function row(e) {
  const id = encodeURIComponent(e.event);
  return make("li", {}, make("a", { href: `${home}events/${id}` }, e.name),
    make("span", { class: "note" }, e.unreadable ? "cannot be read; the server's log says why when it is opened" : [e.place, days(e), `season ${e.season}`].filter(Boolean).join(", ")),
    make("a", { href: `${home}desk/${id}`, class: "aside" }, "For the panel", make("span", { class: "aloud" }, ` of ${e.name}`)));
}

// events gives those that the holder of a token may see; "" holds none.
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

// fill adds events that are not listed yet and gives them.
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
  const token = at("token").value.trim();
  tell(at("token-fault"), undefined, at("token"));
  try {
    const more = fill(await events(token));
    for (const e of more) sessionStorage.setItem(tokenKey(e.event), token);
    at("token").value = "";
    if (more.length === 0) setText(at("token-fault"), "Whatever this token may see is listed already.");
  } catch (error) {
    tell(at("token-fault"), error, at("token"));
  }
});

events("").then(fill).catch((error) => setText(at("message"), `The events could not be fetched: ${error.message}. Load the page again.`));

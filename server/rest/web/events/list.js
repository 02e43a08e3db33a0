// The list of events.

import { Client } from "../../embed/client.js";
import { at, make, setText, show } from "../../embed/dom.js";

const home = new URL("../../", import.meta.url).href;
const api = new Client(home);

const days = ({ startDate, endDate }) => (endDate && endDate !== startDate ? `${startDate} to ${endDate}` : startDate);

function row(e) {
  const id = encodeURIComponent(e.event);
  return make("li", {}, make("a", { href: `${home}events/${id}` }, e.name),
    make("span", { class: "note" }, [e.place, days(e), `season ${e.season}`].filter(Boolean).join(", ")),
    make("a", { href: `${home}desk/${id}`, class: "aside" }, "For the panel", make("span", { class: "aloud" }, ` of ${e.name}`)));
}

async function fill() {
  let pageToken = "";
  let count = 0;
  do {
    const page = await api.call("ListEvents", { pageToken: pageToken || undefined });
    at("events").append(...page.events.map(row));
    count += page.events.length;
    pageToken = page.nextPageToken;
  } while (pageToken);
  show(at("message"), false);
  show(at("first"), count === 0);
  show(at("new"), count > 0);
}

fill().catch((error) => setText(at("message"), `The events could not be fetched: ${error.message}. Load the page again.`));

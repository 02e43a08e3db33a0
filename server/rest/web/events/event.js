// What an event is called, where and when it is, and by which season it is scored.

import { make, setText } from "../../embed/dom.js";
import { faultLine, field } from "./form.js";
import { event } from "./place.js";
import { tell } from "./refusal.js";

/** eventFields gives the fields of an event: their node, fill and read. */
export function eventFields(api) {
  const text = (id, attributes) => make("input", { id: `event-${id}`, autocomplete: "off", ...attributes });
  const name = text("name", { class: "wide", required: true, maxlength: 200 }), place = text("place", { class: "wide", maxlength: 200 });
  const start = text("start", { type: "date", required: true }), end = text("end", { type: "date" });
  const season = make("select", { id: "event-season" });
  const restricted = make("input", { type: "checkbox", id: "event-restricted" });
  const node = make("div", {},
    field("Name of the event", name), field("Place", place),
    make("div", { class: "row" }, field("First day", start), field("Last day, if it is another", end), field("Scored by the rules of", season)),
    make("label", { class: "check" }, restricted, "Only invited viewers may see the scoreboard and the results"));
  return {
    node,
    async seasons(chosen) {
      const { seasons, current } = await api.call("ListSeasons");
      season.replaceChildren(...seasons.toReversed().map((s) => make("option", { value: s.season }, s.title)));
      season.value = chosen ?? (current || seasons.at(-1).season);
    },
    fill(e) {
      name.value = e.name;
      place.value = e.place;
      start.value = e.startDate;
      end.value = e.endDate;
      restricted.checked = e.restricted;
    },
    read: () => ({
      name: name.value.trim(), place: place.value.trim(), startDate: start.value, endDate: end.value || start.value, season: season.value, restricted: restricted.checked,
    }),
  };
}

/** eventPart fills the part of the desk that shows the event and changes it. */
export function eventPart({ api, act }, place) {
  const fields = eventFields(api);
  const line = make("p"), warnings = make("p", { class: "warning" }), fault = faultLine();
  const form = make("form", {}, fields.node, make("div", { class: "row" }, make("button", { type: "submit" }, "Change the event")), fault);
  const change = make("details", {}, make("summary", {}, "Change this"), form);
  place.append(line, warnings, change);
  let now;
  change.addEventListener("toggle", () => {
    if (!change.open) return;
    fields.fill(now);
    fields.seasons(now.rules.season).catch((error) => tell(fault, error));
  });
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const { season, ...request } = fields.read();
    // The season is named only when it changes, since naming it pins its table anew.
    if (season !== now.rules.season) request.season = season;
    if (await act("UpdateEvent", { event, ...request }, fault)) change.open = false;
  });
  return (state) => {
    now = state.event;
    const days = now.endDate && now.endDate !== now.startDate ? `${now.startDate} to ${now.endDate}` : now.startDate;
    setText(line, `${[now.name, now.place, days, now.rules.title].filter(Boolean).join(", ")}. ${now.restricted ? "Only who has a token sees it." : "Everybody may see it."}`);
    setText(warnings, now.warnings.map((w) => w.message).join(" "));
  };
}

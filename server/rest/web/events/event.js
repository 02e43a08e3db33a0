// What an event is called, where and when it is, and by which season it is scored.

import { make, setText, show } from "../../embed/dom.js";
import { day } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { faultLine, field } from "../parts/form.js";
import { event } from "./place.js";
import { tell } from "./refusal.js";

/** eventFields returns the fields of an event: their node, fill and read. */
export function eventFields(api) {
  const text = (id, attributes) => make("input", { id: `event-${id}`, autocomplete: "off", ...attributes });
  const name = text("name", { class: "wide", required: true, maxlength: 200 }), place = text("place", { class: "wide", maxlength: 200 });
  const start = text("start", { type: "date", required: true }), end = text("end", { type: "date" });
  const season = make("select", { id: "event-season" });
  const restricted = make("input", { type: "checkbox", id: "event-restricted" });
  const node = make("div", {},
    field(t("setup.name"), name), field(t("setup.place"), place),
    make("div", { class: "row" }, field(t("setup.first"), start), field(t("setup.last"), end), field(t("setup.rules"), season)),
    make("label", { class: "check" }, restricted, t("setup.closed")));
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
      name: name.value.trim(), place: place.value.trim(), startDate: start.value, endDate: end.value || start.value,
      season: season.value, restricted: restricted.checked,
    }),
  };
}

/** eventPart fills the part of the desk that shows the event and its rules, and changes it. */
export function eventPart({ api, act }, place) {
  const fields = eventFields(api);
  const line = make("p"), rules = make("p"), warnings = make("p", { class: "caution", hidden: true }), fault = faultLine();
  const form = make("form", {}, fields.node, make("div", { class: "row" }, make("button", { type: "submit" }, t("setup.change"))), fault);
  const change = make("details", {}, make("summary", {}, t("setup.changeThis")), form);
  const own = make("code"), serve = make("code");
  const table = make("details", { id: "own-table" }, make("summary", {}, t("setup.ownTable")), make("p", {}, t("setup.ownHow")),
    make("ol", {}, make("li", {}, own), make("li", {}, t("setup.ownChange")), make("li", {}, serve), make("li", {}, t("setup.ownChoose"))));
  place.append(line, rules, warnings, table, change);
  let now;
  let seasons; // the catalog of this server, once
  change.addEventListener("toggle", () => {
    if (!change.open) return;
    fields.fill(now);
    fields.seasons(now.rules.season).catch((error) => tell(fault, error));
  });
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const { season, ...request } = fields.read();
    // The season is named only when it changes, since naming it pins its table another time.
    if (season !== now.rules.season) request.season = season;
    if (await act("UpdateEvent", { event, ...request }, fault)) change.open = false;
  });
  return async (state) => {
    now = state.event;
    const days = now.endDate && now.endDate !== now.startDate ? t("setup.days", { from: day(now.startDate), to: day(now.endDate) }) : day(now.startDate);
    setText(line, [now.name, now.place, days, now.restricted ? t("setup.restricted") : t("setup.open")].filter(Boolean).join(" · "));
    setText(rules, t("setup.scoredBy", { season: now.rules.season }));
    seasons ??= (await api.call("ListSeasons")).seasons;
    const covered = seasons.some((s) => s.validFrom <= now.startDate && now.startDate <= s.validTo);
    const newest = seasons.at(-1).season;
    const next = following(newest);
    const lacks = covered ? [] : [t("setup.noTable", { day: day(now.startDate), newest })];
    setText(warnings, [...lacks, ...now.warnings.map((w) => w.message)].join(" "));
    show(warnings, warnings.textContent !== "");
    table.open ||= !covered && !table.dataset.seen;
    table.dataset.seen = "yes";
    setText(own, `rinktally rules new ${next} --from ${newest} --out club-rules`);
    setText(serve, "rinktally serve --rules club-rules");
  };
}

// following is the key of the season after one: "2026-27" after "2025-26".
function following(season) {
  const begin = Number(season.slice(0, 4)) + 1;
  return `${begin}-${String(begin + 1).slice(2)}`;
}

// The organiser's desk: everything that an event needs before its first skater.

import { at, setText, show } from "../../embed/dom.js";
import { categoriesPart } from "./categories.js";
import { openDesk } from "./desk.js";
import { entriesPart } from "./entries.js";
import { eventPart } from "./event.js";
import { orderForm } from "./order.js";
import { panelPart } from "./panel.js";
import { event } from "./place.js";
import { fillOrder, segmentChoice, STATES } from "./segment.js";
import { tokensPart } from "./tokens.js";

openDesk({ roles: ["ORGANISER", "ADMIN"], skater: false, start });

function start(desk) {
  let state;
  let shown = {}; // the segment that is chosen, with its category
  const choose = segmentChoice(at("segment"), () => fill(state).catch(desk.refresh));
  const names = () => ({ event, category: shown.category.category, segment: shown.segment.segment });
  const tokens = tokensPart(desk, at("tokens"));
  const parts = [
    eventPart(desk, at("event")), categoriesPart(desk, at("categories-part")), panelPart(desk, at("panel")), entriesPart(desk, at("entries"), true),
    orderForm(desk, at("draw"), names), tokens.fill,
  ];

  // next says what the event lacks first.
  function next({ event: { categories, panel } }) {
    const segments = categories.flatMap((c) => c.segments.map((s) => ({ ...s, name: `${c.title}, ${s.title}` })));
    const empty = categories.find((c) => c.entryCount === 0);
    const undrawn = categories.find((c) => c.segments[0].state === "PLANNED");
    const open = segments.find((s) => s.state !== "OFFICIAL");
    if (!categories.length) return "Next: add the categories that compete.";
    if (!panel && segments.some((s) => !s.panel)) return "Next: say how many judges there are.";
    if (empty) return `Next: bring in the entries of ${empty.title}.`;
    if (undrawn) return `Next: make the starting order of ${undrawn.title}, ${undrawn.segments[0].title}.`;
    if (!tokens.complete()) return "Next: make the tokens of the panel and hand them out.";
    if (!open) return "Everything is skated and signed. The papers are below the scoreboard.";
    if (open.state === "PLANNED") return `Next: make the starting order of ${open.name}.`;
    return `${open.name}: ${STATES[open.state]}. The referee starts a segment, confirms and signs.`;
  }

  async function fill(now) {
    state = now;
    shown = choose(now);
    for (const id of ["entries-section", "order-section"]) show(at(id), now.event.categories.length > 0);
    setText(at("segment-state"), STATES[shown.segment?.state] ?? "");
    fillOrder(at("order"), shown.segment);
    await Promise.all(parts.map((part) => part(now, shown)));
    setText(at("next"), next(now));
  }
  return fill;
}

// How many judges an event has, and segments that have another number.

import { list, make, setText } from "../../embed/dom.js";
import { faultLine, field } from "./form.js";
import { event } from "./place.js";

/** panelPart fills the part of the desk. */
export function panelPart({ act }, place) {
  const where = make("select", { id: "panel-where" });
  const judges = make("input", { id: "judges", type: "number", min: 1, inputmode: "numeric", class: "short", required: true });
  const form = make("form", { class: "row" }, field("Judges of", where), field("How many", judges), make("button", { type: "submit" }, "Set"));
  const fault = faultLine();
  const own = make("p", { class: "note" });
  place.append(form, fault, own);
  let all = []; // the event and its segments, each with the panel that holds there

  const chosen = () => all.find((p) => p.key === where.value) ?? all[0];
  let seen; // what the field was filled with; what somebody types stays otherwise
  function fill() {
    const { key, panel } = chosen();
    if (seen === `${key} ${panel?.judges}`) return;
    seen = `${key} ${panel?.judges}`;
    judges.value = panel?.judges ?? "";
  }
  where.addEventListener("change", fill);
  form.addEventListener("submit", (submit) => {
    submit.preventDefault();
    const { names, panel } = chosen();
    act("SetPanel", { event, ...names, panel: { members: panel?.members ?? [], countedJudges: panel?.countedJudges ?? [], judges: Number(judges.value) } }, fault, judges);
  });
  return ({ event: e }) => {
    const segments = e.categories.flatMap((c) => c.segments.map((s) => ({
      key: `${c.category} ${s.segment}`, title: `${c.title}, ${s.title}`, names: { category: c.category, segment: s.segment }, panel: s.panel, own: s.ownPanel,
    })));
    all = [{ key: "", title: "the whole event", names: {}, panel: e.panel }, ...segments];
    list(where, all, (p) => `panel ${p.key}`, (p) => make("option", { value: p.key }), (node, p) => setText(node, p.title));
    setText(own, segments.filter((p) => p.own).map((p) => `${p.title}: ${p.panel.judges} judges of its own.`).join(" "));
    fill();
  };
}

// How many judges an event has.

import { make } from "../../embed/dom.js";
import { faultLine, field } from "./form.js";
import { event } from "./place.js";

/** panelPart fills the part of the desk. */
export function panelPart({ act }, place) {
  const judges = make("input", { id: "judges", type: "number", min: 1, inputmode: "numeric", class: "short", required: true });
  const form = make("form", { class: "row" }, field("Judges of the event", judges), make("button", { type: "submit" }, "Set"));
  const fault = faultLine();
  place.append(form, fault);
  let panel = {};
  form.addEventListener("submit", (submit) => {
    submit.preventDefault();
    const { members = [], countedJudges = [] } = panel;
    act("SetPanel", { event, panel: { judges: Number(judges.value), members, countedJudges } }, fault, judges);
  });
  return ({ event: e }) => {
    panel = e.panel ?? {};
    if (panel.judges && document.activeElement !== judges) judges.value = panel.judges;
  };
}

// How many judges an event has, and segments that have another number.

import { list, make, setText } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { faultLine, field } from "../parts/form.js";
import { event } from "./place.js";

/** panelPart fills the part of the desk. */
export function panelPart({ act }, place) {
  const where = make("select", { id: "panel-where" });
  const judges = make("input", { id: "judges", type: "number", min: 1, inputmode: "numeric", class: "short", required: true });
  const form = make("form", { class: "row" }, field(t("panel.where"), where), field(t("panel.judges"), judges),
    make("button", { type: "submit" }, t("panel.set")));
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
    const { members = [], countedJudges = [] } = panel ?? {};
    act("SetPanel", { event, ...names, panel: { members, countedJudges, judges: Number(judges.value) } }, fault, { field: judges });
  });
  return ({ event: e }) => {
    const segments = e.categories.flatMap((c) => c.segments.map((s) => ({
      key: `${c.category} ${s.segment}`, title: t("organiser.of", { category: c.title, segment: s.title }),
      names: { category: c.category, segment: s.segment }, panel: s.panel, own: s.ownPanel,
    })));
    all = [{ key: "", title: t("panel.whole"), names: {}, panel: e.panel }, ...segments];
    list(where, all, (p) => `panel ${p.key}`, (p) => make("option", { value: p.key }), (node, p) => setText(node, p.title));
    setText(own, segments.filter((p) => p.own).map((p) => t("panel.own", { segment: p.title, n: p.panel.judges })).join(" "));
    fill();
  };
}

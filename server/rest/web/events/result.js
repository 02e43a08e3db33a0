// What a referee sees before confirming a score and before signing a result: the
// figures and places that would be announced.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { tell } from "./refusal.js";

const figure = (name, value) => make("div", {}, make("dt", {}, name), make("dd", {}, value));

/** fillScore shows what the confirmation of a performance would announce. */
export function fillScore(place, p) {
  const s = p.scoreToConfirm;
  const figures = s
    ? [["Score", s.segmentScore], ["Elements", s.elementScore], ["Components", s.componentScore], ["Deductions", s.totalDeductions],
      ["Place", s.place ? String(s.place) : "none"], ["Place overall", s.finalPlace ? String(s.finalPlace) : "none"]]
    : [["Elements so far", p.elementScore], ["Deductions", p.totalDeductions]];
  list(place, figures, (f) => f.join(), (f) => figure(...f), () => {});
}

const TITLES = { RUNNING: "Result so far", SKATED: "Result to sign", OFFICIAL: "Signed result" };
const HEADS = ["Place", "Skater", "Score", "Elements", "Components", "Deductions", "Total", "Overall"];

/** resultPart fills the part of the desk with the places of the chosen segment; names gives the segment. */
export function resultPart({ api }, place, names) {
  const title = make("h3", { id: "result-title" });
  const rows = make("tbody");
  const fault = make("p", { class: "fault", role: "alert" });
  place.append(title, make("div", { class: "scroll", tabindex: 0, role: "region", "aria-labelledby": title.id },
    make("table", {}, make("thead", {}, make("tr", {}, ...HEADS.map((h) => make("th", { scope: "col", class: h !== "Skater" && "number" }, h)))), rows)), fault);
  let seen = "";

  function fillRow(node, { of, total }) {
    const note = [of.corrected && "corrected", of.tieBrokenBy && `before an equal score by ${words(of.tieBrokenBy)}`, of.status !== "COMPETING" && words(of.status)].filter(Boolean).join(", ");
    const name = `${of.name}${note ? ` (${note})` : ""}`;
    const texts = [of.place ? `${of.place}${of.shared ? "=" : ""}` : "", name, of.segmentScore, of.elementScore, of.componentScore, of.totalDeductions,
      total?.totalScore ?? "", total?.place ? `${total.place}${total.shared ? "=" : ""}` : ""];
    texts.forEach((text, i) => setText(node.children[i], text));
  }

  function fillRows(standing, final) {
    tell(fault);
    const places = standing.places.map((of) => ({ of, total: final.places.find((f) => f.entry === of.entry) }));
    list(rows, places, ({ of }) => of.entry, () => make("tr", {}, ...HEADS.map((h) => make("td", { class: h !== "Skater" && "number" }))), fillRow);
  }

  return async (now, { category, segment } = {}) => {
    const there = segment && segment.state in TITLES && segment.order.some((s) => s.state === "CONFIRMED");
    show(place, !!there);
    if (!there) return undefined;
    setText(title, TITLES[segment.state]);
    if (now.segment === segment) {
      seen = "";
      return fillRows(now.standing, now.finalStanding);
    }
    // A segment that is not worked on changes only with the event.
    const version = `${now.event.sequence} ${category.category} ${segment.segment}`;
    if (version === seen) return undefined;
    seen = version;
    try {
      const [{ standing }, final] = await Promise.all([api.call("GetSegmentStanding", names()), api.call("GetFinalStanding", { event: now.event.event, category: category.category })]);
      if (seen === version) fillRows(standing, final.standing); // otherwise there is newer
    } catch (error) {
      seen = "";
      if (!error.temporary) tell(fault, error);
    }
    return undefined;
  };
}

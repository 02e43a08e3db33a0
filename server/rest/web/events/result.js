// The result of a segment, as the referee sees it before it is signed.

import { list, make, setText, words } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { tell } from "./refusal.js";

/** resultTitle says what the result of a segment is by now. */
export const resultTitle = (segment) => ({ SKATED: t("referee.resultToSign"), OFFICIAL: t("referee.resultSigned") })[segment.state] ?? t("referee.resultSoFar");

const NAMES = 1; // the column of names, the only one without figures
const heads = () => [t("referee.place"), t("referee.skater"), t("referee.score"), t("referee.elements"), t("referee.components"), t("referee.deductions"),
  t("referee.total"), t("referee.overall")];

/** resultPart fills the part of the desk with the places of the chosen segment; names returns the segment. */
export function resultPart({ api }, place, names) {
  const rows = make("tbody");
  const fault = make("p", { class: "fault", role: "alert" });
  const head = make("tr", {}, ...heads().map((h, i) => make("th", { scope: "col", class: i !== NAMES && "number" }, h)));
  place.append(make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": t("referee.result") },
    make("table", {}, make("thead", {}, head), rows)), fault);
  let seen = "";

  function fillRow(node, { of, total }) {
    const tie = of.tieBrokenBy && t("referee.tie", { by: words(of.tieBrokenBy) });
    const note = [of.corrected && t("referee.corrected"), tie, of.status !== "COMPETING" && t(`skaters.status.${of.status}`)]
      .filter(Boolean).join(", ");
    const placed = (p) => (p?.place ? `${p.place}${p.shared ? "=" : ""}` : ""), figure = (points) => (points ? number(points) : "");
    const figures = [of.segmentScore, of.elementScore, of.componentScore, of.totalDeductions, total?.totalScore].map(figure);
    const texts = [placed(of), note ? `${of.name} (${note})` : of.name, ...figures, placed(total)];
    texts.forEach((text, i) => setText(node.children[i], text));
  }

  function fillRows(standing, final) {
    tell(fault);
    const places = standing.places.map((of) => ({ of, total: final.places.find((f) => f.entry === of.entry) }));
    list(rows, places, ({ of }) => of.entry, () => make("tr", {}, ...heads().map((_, i) => make("td", { class: i !== NAMES && "number" }))), fillRow);
  }

  return async (now, { category, segment } = {}) => {
    if (!segment?.order.some((s) => s.state === "CONFIRMED")) return undefined;
    if (now.segment === segment) {
      seen = "";
      return fillRows(now.standing, now.finalStanding);
    }
    // A segment that is not worked on changes only with the event.
    const version = `${now.event.sequence} ${category.category} ${segment.segment}`;
    if (version === seen) return undefined;
    seen = version;
    try {
      const [{ standing }, final] = await Promise.all([
        api.call("GetSegmentStanding", names()), api.call("GetFinalStanding", { event: now.event.event, category: category.category }),
      ]);
      if (seen === version) fillRows(standing, final.standing); // otherwise there is newer
    } catch (error) {
      seen = "";
      if (!error.temporary) tell(fault, error);
    }
    return undefined;
  };
}

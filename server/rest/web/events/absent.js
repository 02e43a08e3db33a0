// Which judges of a segment are absent.

import { list, make, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";

/** absentPart fills a fieldset with a box for each judge; names returns the segment. */
export function absentPart({ act }, place, names) {
  const boxes = make("div", { class: "row" });
  const fault = make("p", { class: "fault", role: "alert" });
  place.append(make("legend", {}, t("referee.absent")), boxes, fault);
  const send = () => {
    const judges = [...boxes.querySelectorAll("input:checked")].map((box) => Number(box.value));
    act("SetAbsentJudges", { ...names(), judges }, fault);
  };
  return (_, { segment } = {}) => {
    const count = segment?.panel?.judges ?? 0;
    show(place, count > 0 && segment.state !== "OFFICIAL");
    list(boxes, Array.from({ length: count }, (_, i) => i + 1), (n) => n,
      (n) => make("label", { class: "check" }, make("input", { type: "checkbox", value: n, onchange: send }), String(n)),
      (node, n) => { node.firstChild.checked = segment.absentJudges.includes(n); });
  };
}

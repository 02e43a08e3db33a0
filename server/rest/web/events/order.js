// Making the starting order of a segment.

import { list, make, setText, show } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { t } from "../parts/words.js";
import { faultLine, field } from "../parts/form.js";
import { tell } from "./refusal.js";

const METHODS = ["RANDOM", "REVERSE_STANDING", "GIVEN"];

/** orderForm fills a form that draws; names returns the segment. */
export function orderForm({ act }, form, names) {
  const method = make("select", { id: "draw-method" }, ...METHODS.map((value) => make("option", { value }, t(`order.methods.${value}`))));
  const group = make("input", { id: "draw-group", type: "number", min: 0, value: 6, class: "short" });
  const seed = make("input", { id: "draw-seed", inputmode: "numeric", class: "short", placeholder: t("order.byChance") });
  const given = make("input", { id: "draw-given", class: "wide", placeholder: "3, 1, 2" });
  const fault = faultLine();
  const seedField = field(t("order.seed"), seed), givenField = field(t("order.given"), given);
  const fields = make("div", { class: "row" }, field(t("order.method"), method), field(t("order.groups"), group), seedField, givenField,
    make("button", { type: "submit" }, t("order.make")));
  const late = make("ul", { class: "entries" });
  const lateTitle = make("p", { class: "missing" });
  const drawn = make("p", { class: "note" });
  form.append(fields, drawn, lateTitle, late, fault);
  const fit = () => { show(seedField, method.value === "RANDOM"); show(givenField, method.value === "GIVEN"); };
  method.addEventListener("change", fit);
  fit();
  let segment;
  let entries = [];

  const competing = (category) => entries.filter((e) => e.category === category && e.status === "COMPETING");

  form.addEventListener("submit", async (press) => {
    press.preventDefault();
    tell(fault);
    const request = { ...names(), method: method.value, groupSize: Number(group.value) };
    if (method.value === "RANDOM" && seed.value) request.seed = seed.value;
    if (method.value === "GIVEN") {
      request.entries = given.value.split(/[\s,;]+/).filter(Boolean);
      if (!request.entries.length) request.entries = competing(request.category).map((e) => e.entry);
    }
    if (segment.draw) {
      const again = await ask(t("order.againAsk"), {
        note: t("order.againNote", { n: segment.order.length }), yes: t("order.again"), no: t("order.keep"), danger: true,
        fields: { reason: { label: t("order.againWhy"), needed: true } },
      });
      if (!again) return;
      request.reason = again.reason;
    }
    if (await act("DrawStartingOrder", request, fault)) { seed.value = ""; given.value = ""; }
  });

  const isOpen = () => segment?.state === "PLANNED" || segment?.state === "DRAWN";

  // squeeze puts a late entry into an order that stays as it is otherwise; once the
  // segment has started who does not skate keeps the place too.
  function squeeze(entry, first) {
    const others = segment.order.filter((s) => !isOpen() || s.state !== "OUT").map((s) => s.entry);
    const request = { ...names(), method: "GIVEN", groupSize: segment.draw.groupSize, entries: first ? [entry, ...others] : [...others, entry] };
    act("DrawStartingOrder", { ...request, reason: t("order.late", { entry }) }, fault);
  }

  function fillLate(entries) {
    const open = isOpen();
    show(lateTitle, entries.length > 0);
    setText(lateTitle, open ? t("order.lateOpen") : t("order.lateRuns"));
    const places = [...(open ? [[t("order.first"), true]] : []), [t("order.last"), false]];
    const choice = (e, text, first) => make("button",
      { type: "button", class: "small", "aria-label": t("order.lateOf", { name: e.name, where: text }), onclick: () => squeeze(e.entry, first) }, text);
    list(late, entries, (e) => `${e.entry} ${open}`, (e) => make("li", {}, make("span", { class: "name" }, `${e.name}${e.club ? `, ${e.club}` : ""}`),
      ...places.map(([text, first]) => choice(e, text, first))), () => {});
  }

  return (now, shown) => {
    ({ segment } = shown);
    ({ entries } = now);
    show(fields, isOpen());
    setText(drawn, segment?.draw?.method === "RANDOM" ? t("order.drawnFrom", { seed: segment.draw.seed }) : "");
    // Everybody skates in the first segment; who is in a later one is another matter.
    const first = segment && segment === shown.category.segments[0] && ["DRAWN", "RUNNING", "SKATED"].includes(segment.state);
    fillLate(first ? competing(shown.category.category).filter((e) => !segment.order.some((s) => s.entry === e.entry)) : []);
  };
}

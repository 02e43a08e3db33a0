// Making the starting order of a segment.

import { make, show } from "../../embed/dom.js";
import { tell } from "./desk.js";

const METHODS = { RANDOM: "by draw", REVERSE_STANDING: "last placed first", GIVEN: "as entered, by hand" };

/** orderForm fills a form that draws; names gives the segment. */
export function orderForm({ api, act }, form, names) {
  const method = make("select", { id: "draw-method" }, ...Object.entries(METHODS).map(([value, text]) => make("option", { value }, text)));
  const group = make("input", { id: "draw-group", type: "number", min: 0, value: 6, class: "short" });
  const seed = make("input", { id: "draw-seed", inputmode: "numeric", class: "short", placeholder: "by chance" });
  const given = make("input", { id: "draw-given", class: "wide", placeholder: "3, 1, 2" });
  const fault = make("p", { class: "fault", role: "alert" });
  const field = (label, input) => make("span", { class: "field" }, make("label", { for: input.id }, label), input);
  const seedField = field("Number to draw from", seed), givenField = field("Entries in their order", given);
  const submit = make("button", { type: "submit" }, "Make the order");
  form.append(field("Order", method), field("Warm-up groups of", group), seedField, givenField, submit, fault);
  const fit = () => { show(seedField, method.value === "RANDOM"); show(givenField, method.value === "GIVEN"); };
  method.addEventListener("change", fit);
  fit();
  form.addEventListener("submit", async (press) => {
    press.preventDefault();
    tell(fault);
    const request = { ...names(), method: method.value, groupSize: Number(group.value) };
    if (method.value === "RANDOM" && seed.value) request.seed = seed.value;
    if (method.value === "GIVEN") {
      const { entries } = await api.call("ListEntries", { event: request.event, category: request.category });
      request.entries = given.value.split(/[\s,;]+/).filter(Boolean);
      if (!request.entries.length) request.entries = entries.filter((e) => e.status === "COMPETING").map((e) => e.entry);
    }
    act("DrawStartingOrder", request, fault);
  });
  return (_, shown) => {
    const state = shown?.segment?.state;
    show(form, state === "PLANNED" || state === "DRAWN");
  };
}

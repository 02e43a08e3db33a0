// The categories of an event.

import { list, make, setText, show } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { t } from "../parts/words.js";
import { faultLine, field } from "../parts/form.js";
import { event } from "./place.js";

// idOf makes an id from a title: "Juniors, group B" is juniors-group-b.
const idOf = (title) => title.normalize("NFD").toLowerCase().replaceAll(/\p{M}/gu, "").replaceAll(/[^a-z0-9]+/g, "-").slice(0, 40).replaceAll(/^-|-$/g, "");

const COMPULSORY = "compulsory-dance"; // the segment whose values depend on the dance

/** categoriesPart fills the part of the desk. */
export function categoriesPart({ api, act }, place) {
  const rows = make("ul", { class: "entries", id: "categories" });
  const rules = make("select", { id: "category-rules" });
  const title = make("input", { id: "category-title", autocomplete: "off", maxlength: 200 });
  const segments = make("span", { class: "row", id: "category-segments", role: "group", "aria-label": t("categories.segments") });
  const dance = make("input", { id: "category-dance", autocomplete: "off", maxlength: 200, placeholder: t("categories.danceLike") });
  const danceField = field(t("categories.dance"), dance);
  const fault = faultLine();
  const form = make("form", {}, make("div", { class: "row" }, field(t("categories.rules"), rules), field(t("categories.title"), title)), segments, danceField,
    make("div", { class: "row" }, make("button", { type: "submit" }, t("categories.add")), make("span", { class: "note" }, t("categories.same"))));
  place.append(rows, form, fault);
  let known = []; // categories of the season
  let loaded = ""; // season

  function choose() {
    const category = known.find((c) => c.category === rules.value);
    title.value = category?.title ?? "";
    const all = category?.segments ?? [];
    show(danceField, all.some((s) => s.segment === COMPULSORY));
    segments.replaceChildren(...all.map((s) => make("label", { class: "check" },
      make("input", { type: "checkbox", value: s.segment, checked: true }), s.title)));
  }
  rules.addEventListener("change", choose);

  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const standard = known.find((c) => c.category === rules.value);
    const request = {
      event, title: title.value.trim(), rulesCategory: rules.value, segments: [...segments.querySelectorAll(":checked")].map((box) => box.value),
    };
    if (request.segments.includes(COMPULSORY) && dance.value.trim()) request.scopes = [{ segment: COMPULSORY, scope: dance.value.trim() }];
    // The season's own title keeps the season's id, which is what CSV files have.
    request.category = !request.title || request.title === standard?.title ? rules.value : idOf(request.title) || rules.value;
    await act("SetCategory", request, fault, { field: title });
  });

  async function remove(c) {
    const sure = await ask(t("categories.removeAsk", { title: c.title }), { yes: t("categories.removeYes") });
    if (sure) act("RemoveCategory", { event, category: c.category }, fault);
  }

  return async ({ event: e }) => {
    list(rows, e.categories, (c) => c.category, (c) => make("li", {}, make("span", { class: "name" }), make("code"),
      make("button", { type: "button", class: "small", "aria-label": t("categories.removeOf", { title: c.title }), onclick: () => remove(c) },
        t("categories.remove"))),
    (node, c) => {
      setText(node.children[0], t("categories.row", { title: c.title, segments: c.segments.map((s) => s.title).join(", ") }));
      setText(node.children[1], c.category);
      node.children[2].hidden = c.entryCount > 0;
    });
    if (loaded === e.rules.season) return;
    known = (await api.call("GetSeason", { season: e.rules.season })).season.categories;
    loaded = e.rules.season;
    const before = rules.value;
    rules.replaceChildren(...known.map((c) => make("option", { value: c.category }, c.title)));
    if (known.some((c) => c.category === before)) rules.value = before;
    choose();
  };
}

// The season, category and segment that is counted for.

import { at, setText } from "../../embed/dom.js";
import { phone, remember } from "../parts/phone.js";
import { choose, option, titled } from "../parts/seasons.js";

/**
 * rules runs the choices. It returns { begin(wanted), now(), words(), features(), rule(key) }:
 * what is chosen, the same in words, and what the season's table says. changed is called
 * when something else is chosen.
 */
export function rules(api, changed) {
  let season = { categories: [], levelFeatures: [], rules: [] };
  const category = () => season.categories.find((c) => c.category === at("category").value);
  const segment = () => category()?.segments.find((s) => s.segment === at("segment").value);
  const chosen = () => ({ season: at("season").value, category: at("category").value, segment: at("segment").value });
  const words = () => [category()?.title, segment()?.title, season.season].filter(Boolean).join(", ");

  async function load(wanted) {
    const asked = at("season").value;
    const answer = await api.call("GetSeason", { season: asked });
    if (at("season").value !== asked) return; // another one was chosen meanwhile
    ({ season } = answer);
    choose(at("category"), season.categories.filter((c) => c.discipline === "singles").map((c) => option(c.category, c.title)), wanted.category);
    choose(at("segment"), (category()?.segments ?? []).map((s) => option(s.segment, s.title)), wanted.segment);
    setText(at("for"), words());
  }

  async function taken(wanted) {
    await load(wanted);
    remember({ rules: chosen() });
    changed();
  }
  for (const id of ["season", "category", "segment"]) {
    at(id).addEventListener("change", () => taken(chosen()).catch((error) => changed(error)));
  }
  at("rules").addEventListener("toggle", () => { if (at("rules").open) at("rules").scrollIntoView({ block: "start" }); });
  document.addEventListener("pointerdown", (event) => { if (!at("rules").contains(event.target)) at("rules").open = false; });

  return {
    async begin(wanted) {
      const known = { category: "senior-women", segment: "free-skating", ...phone().rules, ...wanted };
      const { seasons, current } = await api.call("ListSeasons");
      const single = seasons.filter((s) => s.disciplines.includes("singles"));
      choose(at("season"), titled(single).map(([key, title]) => option(key, title)), known.season ?? current);
      await load(known);
    },
    /** take chooses a season. */
    async take(key) {
      at("season").value = key;
      await taken(chosen());
    },
    now: chosen, words,
    seasons: () => [...at("season").options].map((o) => [o.value, o.textContent]),
    features: () => season.levelFeatures,
    rule: (key) => season.rules.find((r) => r.key === key)?.value,
  };
}

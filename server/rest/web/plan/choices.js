// The rules that plans are for, and the component marks that are expected.

import { at, make, setText } from "../../embed/dom.js";
import { categories, choose, markFields, option, titled } from "../parts/seasons.js";
import { has, t } from "../parts/words.js";

/** BOTH is the choice of all segments of a category together. */
export const BOTH = "both";

const marks = () => [...at("marks").querySelectorAll("input")];

/**
 * choices fills the page's choices and keeps them in line with each other; changed is
 * called after each change. It returns { begin(wanted), chosen(), segments(), mode(),
 * marks(), goe(), discipline(), title() }.
 */
export function choices(api, changed) {
  let season = { categories: [], rules: [], goe: { min: 0, max: 0 } };
  let mode = "";
  const category = () => season.categories.find((c) => c.category === at("category").value);
  const all = () => category()?.segments ?? [];

  async function loadSeason(wanted) {
    const asked = at("season").value;
    const answer = await api.call("GetSeason", { season: asked });
    if (at("season").value !== asked) return; // another one was chosen meanwhile
    ({ season } = answer);
    choose(at("category"), categories(season), wanted.category);
    loadCategory(wanted);
  }

  function loadCategory(wanted) {
    const components = new Map(all().flatMap((s) => s.components).map((c) => [c.component, c]));
    at("marks").replaceChildren(...markFields(season, { components: [...components.values()] }, wanted));
    const modes = [...all().map((s) => s.segment), ...(all().length > 1 ? [BOTH] : [])];
    mode = modes.includes(wanted.segment) ? wanted.segment : all().at(-1)?.segment ?? "";
    const label = (name) => (has(`plan.modes.${name}`) ? t(`plan.modes.${name}`) : all().find((s) => s.segment === name)?.title ?? name);
    at("modes").replaceChildren(make("fieldset", { class: "segmented", "aria-label": t("plan.segment") }, ...modes.map((name) => {
      const input = make("input", { type: "radio", name: "mode", value: name, onchange: () => { mode = name; changed(); } });
      input.checked = name === mode;
      return make("label", {}, input, label(name));
    })));
    const text = [category()?.title, season.season].join(", ");
    setText(at("chosen"), text);
    setText(at("for"), `${t("plan.title")}: ${text}`);
  }

  const typed = () => ({ segment: mode, ...Object.fromEntries(marks().map((m) => [m.dataset.component, m.value])) });
  at("season").addEventListener("change", () => loadSeason({ ...typed(), category: at("category").value })
    .catch((error) => { if (error.status === undefined) throw error; }).then(changed)); // where nobody answers, the plan that follows says so
  at("category").addEventListener("change", () => { loadCategory(typed()); changed(); });
  at("marks").addEventListener("input", changed);

  return {
    async begin(wanted) {
      const { seasons, current } = await api.call("ListSeasons");
      choose(at("season"), titled(seasons).map(([key, title]) => option(key, title)), wanted.season ?? current);
      await loadSeason(wanted);
    },
    /** chosen is everything that is chosen and typed, by name, for the address. */
    chosen: () => ({ season: at("season").value, category: at("category").value, ...typed() }),
    segments: () => (mode === BOTH ? all() : all().filter((s) => s.segment === mode)),
    mode: () => mode,
    show(name) {
      at("modes").querySelector(`[value="${name}"]`)?.click();
    },
    /** marks are those of a segment: all of them, or none. */
    marks(segment) {
      const given = marks().filter((m) => segment.components.some((c) => c.component === m.dataset.component) && m.value !== "" && m.validity.valid);
      return given.length === segment.components.length ? given.map((m) => ({ component: m.dataset.component, mark: Number(m.value) })) : [];
    },
    goe: () => season.goe,
    discipline: () => category()?.discipline,
  };
}

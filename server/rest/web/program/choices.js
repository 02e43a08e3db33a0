// The rules that a program is for, and what is expected beside its elements.

import { at, setText } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { categories, choose, markFields, option, titled } from "../parts/seasons.js";
import { t } from "../parts/words.js";
import { placesOf } from "./sum.js";

const marks = () => [...at("marks").querySelectorAll("input")];

// seconds reads a time such as 4:00; 0 where there is none.
function seconds() {
  const text = at("time").value.trim();
  const clock = /^(\d{1,2}):([0-5]\d)$/.exec(text);
  at("time").setAttribute("aria-invalid", String(Boolean(text && !clock)));
  return clock ? Number(clock[1]) * 60 + Number(clock[2]) : 0;
}

/** rules are the season, category and segment that are chosen. */
export const rules = () => ({ season: at("season").value, category: at("category").value, segment: at("segment").value });

/** expected is what a check is asked for beside the elements. */
export function expected() {
  const given = marks().filter((m) => m.value !== "");
  const whole = given.length > 0 && given.length === marks().length;
  return {
    compareSeason: at("second").value, durationSeconds: seconds(),
    components: whole ? given.map((m) => ({ component: m.dataset.component, mark: Number(m.value) })) : [],
  };
}

/** typed is everything that is chosen and typed, by name, for the address. */
export const typed = () => ({
  ...rules(), second: at("second").value, time: at("time").value.trim(), ...Object.fromEntries(marks().map((m) => [m.dataset.component, m.value])),
});

/**
 * choices fills the page's choices from the server and keeps them in line with each
 * other; changed is called after each change. It returns { begin(wanted), take(rules),
 * halves(), places() }: whether the second half matters, and the places by kind.
 */
export function choices(api, changed) {
  let season = { categories: [], rules: [], goe: {} };
  let places = {};
  const category = () => season.categories.find((c) => c.category === at("category").value);
  const segment = () => category()?.segments.find((s) => s.segment === at("segment").value);

  async function loadSeason(wanted) {
    const asked = at("season").value;
    const answer = await api.call("GetSeason", { season: asked });
    if (at("season").value !== asked) return; // another one was chosen meanwhile
    ({ season } = answer);
    choose(at("category"), categories(season), wanted.category);
    setText(at("scale"), t("program.scale", { min: number(season.goe.min), max: number(season.goe.max, { signed: true }) }));
    await loadSegments(wanted);
  }

  async function loadSegments(wanted) {
    choose(at("segment"), (category()?.segments ?? []).map((s) => option(s.segment, s.title)), wanted.segment);
    await loadSegment(wanted);
  }

  async function loadSegment(wanted) {
    at("marks").replaceChildren(...markFields(season, segment(), wanted));
    const text = [category()?.title, segment()?.title, season.season].join(", ");
    setText(at("chosen"), text);
    setText(at("for"), text);
    places = {};
    const asked = rules();
    try {
      const { findings } = await api.call("CheckProgram", { ...asked, partial: true, elements: [] });
      if (JSON.stringify(rules()) === JSON.stringify(asked)) places = placesOf(season.rules, findings);
    } catch (error) {
      if (!error.status) throw error; // what the server refuses is said where the program is checked
    }
  }

  for (const [id, load] of [["season", loadSeason], ["category", loadSegments], ["segment", loadSegment]]) {
    // Where the server does not answer, the check that follows says so.
    at(id).addEventListener("change", () => load(typed()).catch((error) => { if (error.status === undefined) throw error; }).then(changed));
  }
  for (const id of ["second", "marks", "time"]) at(id).addEventListener("input", changed);

  return {
    async begin(wanted) {
      const { seasons, current } = await api.call("ListSeasons");
      const titles = titled(seasons);
      choose(at("season"), titles.map(([key, title]) => option(key, title)), wanted.season ?? current);
      const others = titles.map(([key, title]) => option(key, t("program.with", { season: title })));
      choose(at("second"), [option("", t("program.compare")), ...others], wanted.second ?? "");
      at("time").value = wanted.time ?? "";
      await loadSeason(wanted);
    },
    async take(wanted) {
      if (![...at("season").options].some((o) => o.value === wanted.season)) return;
      at("season").value = wanted.season;
      await loadSeason(wanted);
    },
    halves: () => segment()?.secondHalf?.which !== "none",
    places: () => places,
  };
}

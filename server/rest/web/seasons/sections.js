// The four sections of a season: values, levels, content, scores.

import { make, words } from "../../embed/dom.js";
import { listed } from "../parts/numbers.js";
import { has, t } from "../parts/words.js";
import { PROGRAM, phrases, segmentSays, sure, within } from "./rules.js";
import { confidence, doubt, provenance } from "./source.js";

// concerned names parts of a row by what they say, or else by their fields.
const concerned = (row, parts) => phrases(row, parts).join(" · ") || listed(parts.map((p) => words(p.field).replaceAll(".", " ")));

// sources returns where a row's values were read: once where all were read alike.
function sources(row) {
  const alike = new Map([[JSON.stringify([row.source, row.confidence, row.note]), []]]);
  for (const part of row.parts) {
    const key = JSON.stringify([part.source, part.confidence, part.note]);
    alike.set(key, [...alike.get(key) ?? [], part]);
  }
  return [...alike].map(([key, parts], i) => {
    const [source, name, note] = JSON.parse(key);
    return provenance({
      source, confidence: name, note, key: i === 0 && row.key,
      concerns: alike.size > 1 && (i === 0 ? t("season.rest") : concerned(row, parts)),
    });
  });
}

// rule shows one row: what counts and what it states, and behind it the source.
function rule(row, said = undefined, what = undefined) {
  const words = row.parts.find((p) => p.field === "words");
  said ??= phrases(row, row.parts.filter((p) => p !== words));
  what ??= words?.value ?? "";
  const states = said.join(" · ");
  const body = make("div", { class: "more" });
  const node = make("details", { class: "rule", id: row.key },
    make("summary", { class: "opener" }, make("span", { class: "name" }, row.title),
      make("span", { class: "says" }, what, what && states ? make("span", { class: "note" }, states) : states), doubt(row.confidence)), body);
  node.addEventListener("toggle", () => {
    if (!body.firstChild) body.append(...sources(row), make("a", { href: `#${row.key}` }, t("season.address")));
  });
  return {
    node, close: () => { node.open = false; },
    text: [row.title, row.key, ...said, what, sure(row.confidence) ? "" : confidence(row.confidence)].join(" ").toLowerCase(),
  };
}

const group = (title, rows) => ({ node: make("section", { class: "panel group" }, make("h3", {}, title), ...rows.map((r) => r.node)), rows });

// folded is a group that opens: programs, of which a reader wants one.
function folded(title, note, rows) {
  const head = make("summary", {}, make("span", { class: "name" }, title), make("span", { class: "says" }, note));
  const fold = make("details", { class: "fold" }, head, ...rows.map((r) => r.node));
  return { node: make("section", { class: "panel group" }, fold), rows, fold };
}

const section = (name, groups, caution = "") => {
  const filled = groups.filter((g) => g.rows.length > 0);
  const node = make("section", { id: name, class: "part" }, make("h2", {}, t(`season.sections.${name}`)), caution && make("p", { class: "caution" }, caution),
    ...(filled.length ? filled.map((g) => g.node) : [make("p", { class: "note" }, t("season.norules"))]));
  return { node, groups: filled };
};

// levels groups the rules of levels by element.
function levels(season, of, discipline) {
  const begins = { singles: ["levels.spins", "levels.steps"], pairs: ["levels.pairs"], dance: ["levels.dance"] }[discipline];
  const features = new Map(season.levelFeatures.map((f) => [f.feature, f])); // of single skating
  const names = new Map();
  for (const row of of((r) => begins.some((b) => within(r.key, b)))) {
    const [, first, second = "", third] = row.key.split(".");
    const name = discipline === "singles" ? first : second;
    const feature = discipline === "singles" && second === "features" && features.get(third);
    names.set(name, [...names.get(name) ?? [], feature ? rule(row, phrases(row), feature.reach) : rule(row)]);
  }
  const missing = of((r) => r.key === "levels.missing")
    .map((r) => ({ ...r, parts: r.parts.filter((p) => (/^(TWIZZLES|DANCE_|PATTERN_)/.test(p.field) ? "dance" : "pairs") === discipline) }))
    .filter((r) => r.parts.length > 0).map((r) => rule(r));
  return [...[...names].map(([name, list]) => group(has(`season.groups.${name}`) ? t(`season.groups.${name}`) : t("season.sections.levels"), list)),
    ...(missing.length ? [group(t("season.groups.missing"), missing)] : [])];
}

// content groups the rules of programs by the program.
function content(season, of, discipline) {
  const who = new Map(); // by layout
  for (const { key, value } of season.rules.filter((r) => r.key.startsWith(`${PROGRAM}.categories.`))) {
    const [, , name, segment] = key.split(".");
    const category = season.categories.find((c) => c.category === name);
    if (category?.discipline !== discipline || !segment) continue;
    who.set(value, [...who.get(value) ?? [], `${category.title}, ${category.segments.find((s) => s.segment === segment)?.title ?? segment}`]);
  }
  const programs = [...who].map(([layout, users]) => {
    const key = `${PROGRAM}.layouts.${layout}`;
    const rows = of((r) => within(r.key, key)), head = rows.find((r) => r.key === key);
    const title = head?.parts.find((p) => p.field === "title")?.value ?? layout;
    return folded(title.charAt(0).toUpperCase() + title.slice(1), t("season.used", { who: listed(users) }), rows.map((r) => {
      const row = rule(r);
      return { ...row, text: `${row.text} ${title} ${users.join(" ")}`.toLowerCase() };
    }));
  });
  const general = of((r) => r.key.startsWith(`${PROGRAM}.`) && !within(r.key, `${PROGRAM}.layouts`) && r.key !== `${PROGRAM}.categories`);
  return [...(general.length && discipline !== "dance" ? [group(t("season.groups.general"), general.map((r) => rule(r)))] : []), ...programs];
}

// scores groups the rest: how marks become a score, and what breaks ties.
function scores(season, of, discipline) {
  const categories = season.categories.filter((c) => c.discipline === discipline);
  const own = (key) => categories.some((c) => within(key, `categories.${c.category}`));
  const deduction = (key) => key.includes("deductions.");
  const components = of((r) => ["component_marks", "components", "component_sets"].includes(r.key) || (own(r.key) && !deduction(r.key)));
  const named = (name, rows) => group(t(`season.groups.${name}`), rows.map((r) => rule(r)));
  const half = (r) => {
    const [, category, , segment, more] = r.key.split(".");
    const found = segment && !more && categories.find((c) => c.category === category)?.segments.find((s) => s.segment === segment);
    return found ? rule(r, segmentSays(found)) : rule(r);
  };
  return [
    named("goe", of((r) => within(r.key, "goe"))), named("panel", of((r) => within(r.key, "panel"))),
    group(t("season.groups.components"), components.map(half)),
    named("base_value", of((r) => within(r.key, "base_value") || within(r.key, "signs"))),
    named("deductions", of((r) => within(r.key, "deductions") || (own(r.key) && deduction(r.key)))),
    named("standing", of((r) => within(r.key, "standing"))), named("checked", of((r) => within(r.key, "sheets") || within(r.key, "missing"))),
  ];
}

/** sections returns the sections { node, groups } of a season for a discipline; values are its tables. */
export function sections(season, rows, discipline, values) {
  const all = [...rows.values()];
  const of = (test) => all.filter(test);
  const scale = of((r) => r.key === `values.${discipline}`).map((r) => rule({ ...r, title: t("season.scale") }, []));
  return [
    section("values", [...(scale.length ? [{ node: scale[0].node, rows: scale }] : []), ...values.map(({ node, rows: list }) => ({
      node, rows: list.map((r) => ({ ...r, close: () => r.below.hidden || r.toggle() })),
    }))]),
    section("levels", levels(season, of, discipline), t("season.caution")),
    section("content", content(season, of, discipline)), section("scores", scores(season, of, discipline)),
  ];
}

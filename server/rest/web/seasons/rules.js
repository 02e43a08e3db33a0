// A season's rules as rows for people. A row is a rule of the table: its key, its
// name, and what it states, each value in words. The words of a value are those of
// its field, in the place where it stands or in general (section "rule" of the words).

import { words } from "../../embed/dom.js";
import { listed, number } from "../parts/numbers.js";
import { has, t } from "../parts/words.js";

/** home is the server's address. */
export const home = new URL("../../", import.meta.url).href;

export const disciplines = ["singles", "pairs", "dance"];

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const named = (name) => words(name).replaceAll("-", " ");

/** PROGRAM begins the keys about programs: a literal that goes on with a dot would be a word of the page of that name. */
export const PROGRAM = "program";

// What a table says of itself, and what a row's own name or another part of it says.
const ITSELF = new Set(["season", "title", "extends", "valid_from", "valid_to"]);
const SAID = /(^|\.)(title|kind|like|discipline|level|components|factor|factors\.\w+|names\.\w+|second_half\.\w+)$/;

// Values that no rule holds together, by how their keys begin.
const loose = ["component_marks", "base_value", "components", "component_sets", "sheets", "missing", "levels.missing", `${PROGRAM}.categories`];

/** within reports whether a key stands at or below another one. */
export const within = (key, above) => key === above || key.startsWith(`${above}.`);

/** rowKey returns the longest beginning of a key that is one of keys; "" where none is. */
export function rowKey(key, keys) {
  for (let at = key; at; at = at.slice(0, Math.max(0, at.lastIndexOf(".")))) if (keys.has(at)) return at;
  return "";
}

/** rowsOf returns the rows of a season, by key and in the table's order. */
export function rowsOf(season) {
  const rows = new Map();
  const programs = new Map(season.rules.filter((r) => /^program\.layouts\.[^.]+\.title$/.test(r.key)).map((r) => [r.key.split(".")[2], r.value]));
  const add = (key, rule) => {
    const { confidence, source, note } = rule;
    rows.set(key, { key, title: titleOf(key, rule, season), about: aboutOf(key, programs), confidence, source, note, parts: [] });
  };
  for (const rule of season.rules) {
    const { key } = rule;
    if (ITSELF.has(key) || (key.startsWith("values.") && key.split(".").length > 2)) continue;
    if (rule.title && !key.endsWith(".max_level")) add(key, rule);
    let above = rowKey(key, rows);
    if (!above) {
      above = loose.find((begin) => within(key, begin)) ?? key;
      add(above, { ...rule, title: "" });
    }
    if (!rule.value || key.startsWith("values.")) continue;
    rows.get(above).parts.push({ ...rule, field: key.slice(above.length + 1) || key.split(".").at(-1) });
  }
  return rows;
}

// titleOf names a rule: by what the place of its key says, else as the table does.
function titleOf(key, { title }, season) {
  const category = season.categories.find((c) => within(key, `categories.${c.category}`));
  const path = key.split(".");
  const [above, last] = path.slice(-2);
  if (!title) return has(`rule.titles.${key.replace(".", "_")}`) ? t(`rule.titles.${key.replace(".", "_")}`) : capital(named(last));
  if (above === "features" || above === "faults" || above === "instead") {
    const feature = key.startsWith("levels.spins.features.") && season.levelFeatures.find((f) => f.feature === last);
    return feature ? feature.title : capital(named(last));
  }
  if (above === "deductions") return category ? t("rule.titles.first", { category: category.title, segment: words(last) }) : capital(words(last));
  if (above === "signs") return t("rule.titles.sign", { name: last });
  if (category && path.length === 2) return category.title;
  const own = capital(title.replace(/^the /, ""));
  if (category && path[2] === "segments") {
    const segment = category.segments.find((s) => s.segment === path[3])?.title ?? named(path[3]);
    const first = t("rule.titles.first", { category: category.title, segment });
    return path.length === 4 ? first : t("rule.titles.about", { about: first, title: own });
  }
  return own;
}

// aboutOf names the program or element that a rule is one of many of; "" where it is of none.
function aboutOf(key, programs) {
  const [top, first, second] = key.split(".");
  if (top === "program" && first === "layouts") return capital(programs.get(second) ?? named(second));
  if (top !== "levels") return "";
  const name = has(`season.groups.${second}`) ? t(`season.groups.${second}`) : has(`season.groups.${first}`) ? t(`season.groups.${first}`) : "";
  return first === "pairs" && ["spins", "steps"].includes(second) ? t("rule.titles.first", { category: t("parts.disciplines.pairs"), segment: name }) : name;
}

// clock writes seconds as minutes.
const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

// shown returns a value in words.
function shown(field, value) {
  const word = (item) => {
    if (/^(names?|second|next|after_half_loop)$/.test(field) && has(`rule.names.${item}`)) return t(`rule.names.${item}`);
    if (field === "positions" && has(`rule.positions.${item}`)) return t(`rule.positions.${item}`);
    if (has(`rule.is.${item}`)) return t(`rule.is.${item}`);
    return /^[A-Z][A-Z0-9]*(_[A-Z0-9]+)+$|^[A-Z]{4,}$/.test(item) || /^[a-z]+([-_][a-z]+)+$/.test(item) ? named(item) : item;
  };
  if (field === "words" || field === "unknown" || field === "missing") return value;
  if (/^-?\d+(\.\d+)?$/.test(value)) return number(value);
  return value.split(", ").map(word).join(", ");
}

// phrase says one value: by the field's words where the rule stands, else in general.
function phrase(place, field, value) {
  const path = field.replaceAll(/\[\d+\]/g, "").split(".");
  const candidates = path.flatMap((name, i) => [
    `rule.in.${place}.${name}.${value}`, `rule.in.${place}.${name}.any`, `rule.in.${place}.${name}`,
    ...(has(`rule.in.${place}.any`) ? [`rule.in.${place}.any`] : []),
    `rule.fields.${name}.${value}`, `rule.fields.${name}.any`, `rule.fields.${name}`,
  ].map((key) => ({ key, name, rest: key.endsWith(`.${place}.any`) ? path : path.filter((_, other) => other !== i) })));
  const found = candidates.find(({ key }) => has(key));
  if (!found) return value === "false" ? "" : t("rule.unworded", { field: named(path.join(" ")), value }); // what is not so needs no word
  const jumps = (name) => found.name === "executions" && has(`rule.jumps.${name}`);
  const key = found.rest.map((name) => (jumps(name) ? t(`rule.jumps.${name}`) : shown("", name))).join(" ");
  return t(found.key, { key, value: shown(place === "missing" ? "missing" : found.name, value), time: Number(value) ? clock(Number(value)) : value });
}

// steps says the levels of a scale of several figures.
function steps(parts) {
  const list = [];
  for (const { field, value } of parts) {
    const [, n, name] = /^steps\[(\d+)\]\.(\w+)/.exec(field);
    (list[n] ??= {})[name] = value;
  }
  return list.filter(Boolean).map((s) => (s.turns
    ? t(s.both_directions && s.both_directions !== "0" ? "rule.varietyboth" : "rule.variety", { ...s, both: s.both_directions })
    : [t("rule.twizzle", s), s.entry_edges === "true" && t("rule.twizzleedges"), s.features && t("rule.twizzlefeatures", { n: Number(s.features) }),
      s.both_directions && t("rule.twizzleboth", { value: s.both_directions })].filter(Boolean).join(", ")));
}

/** phrases returns what a row, or some of its parts, says in words. */
export function phrases(row, parts = row.parts) {
  const path = row.key.split(".");
  const place = ["features", "faults", "layouts", "deductions", "signs", "slots"].includes(path.at(-2)) ? path.at(-2) : path.at(-1);
  const by = Object.fromEntries(parts.map((p) => [p.field, p.value]));
  const scale = parts.filter((p) => p.field.startsWith("steps["));
  const said = new Set(scale.map((p) => p.field));
  const first = steps(scale);
  if (by.seconds) {
    for (const field of ["seconds", "at_most", "tolerance"]) said.add(field);
    const time = clock(Number(by.seconds));
    const word = by.at_most === "true" ? "rule.atmost" : by.tolerance ? "rule.tolerance" : "rule.time";
    first.push(t(word, { time, tolerance: by.tolerance }));
  }
  if (by.min !== undefined && by.min === by.max) {
    said.add("min").add("max");
    first.push(t("rule.exactly", { value: number(by.min) }));
  }
  return [...first, ...parts.filter((p) => !said.has(p.field) && !SAID.test(p.field)).map((p) => phrase(place, p.field, p.value))].filter(Boolean);
}

/** segmentSays returns what a segment's components, factors and second half are. */
export const segmentSays = (segment) => [
  listed(segment.components.map((c) => `${c.name} ${number(c.factor)}`)), segment.secondHalf?.text].filter(Boolean);

/** sure reports whether a confidence leaves nothing to look at; a club's own rules have none. */
export const sure = (confidence) => !confidence || confidence === "high";

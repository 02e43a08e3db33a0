// Two seasons side by side: values and rules that differ. The address keeps the choice.

import { ApiError, Client } from "../../embed/client.js";
import { at, make, setText } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { search } from "./find.js";
import { disciplines, home, phrases, rowKey, rowsOf } from "./rules.js";

const api = new Client(home);
const choices = [...document.querySelectorAll("#discipline input")];
const seasons = new Map(); // rows by key, of the seasons that were fetched

let finder, asked = 0, summary = "";

const chosen = () => ({ from: at("from").value, to: at("to").value, discipline: choices.find((c) => c.checked).value });

function keep() {
  const now = new URL(location.href);
  for (const [name, value] of Object.entries({ ...chosen(), text: at("text").value.trim() })) {
    if (value) now.searchParams.set(name, value); else now.searchParams.delete(name);
  }
  if (now.href !== location.href) history.replaceState(null, "", now);
}

async function rows(season) {
  if (!seasons.has(season)) seasons.set(season, rowsOf((await api.call("GetSeason", { season })).season));
  return seasons.get(season);
}

// place links to where a season states something.
const place = (season, discipline, key) => `${encodeURIComponent(season)}${discipline ? `?discipline=${discipline}` : ""}#${encodeURIComponent(key)}`;

const figure = (text, options) => make("td", { class: "number" }, text === "" ? "–" : number(text, options));

// values is a table of changed, new or removed elements.
function values(title, list, { from, to }) {
  const changed = title === "values";
  const rowsIn = list.map((e) => {
    const season = title === "removed" ? from : to;
    const node = make("tr", {}, make("th", { scope: "row" }, make("a", { class: "code opener", href: place(season, e.discipline, e.code) }, e.code),
      e.scope && make("span", { class: "note" }, ` ${e.scope}`)),
    ...(changed ? [figure(e.from), figure(e.to), figure(e.difference, { signed: true })] : [figure(e.baseValue)]));
    return { node, text: `${e.code} ${e.scope} ${e.discipline}`.toLowerCase() };
  });
  const heads = changed ? [from, to, t("compare.difference")] : [t("season.base")];
  const head = make("tr", {}, make("th", { scope: "col" }, t("compare.element")), ...heads.map((h) => make("th", { scope: "col", class: "number" }, h)));
  return rowsIn.length ? [{
    node: make("section", { class: "panel group" }, make("h3", {}, t(`parts.disciplines.${list[0].discipline}`)),
      make("table", {}, make("thead", {}, head), make("tbody", {}, ...rowsIn.map((r) => r.node)))),
    rows: rowsIn,
  }] : [];
}

// said is one side of a changed rule.
const said = (word, tag, list) => list.length > 0
  && make("p", {}, make("span", { class: "note" }, `${t(`compare.${word}`)} `), make(tag, {}, list.join(" · ")));

// rules lists the rules that differ, each with what it said and says.
function rules(changes, before, now, { from, to }) {
  const keys = new Set([...before.keys(), ...now.keys()]);
  const grouped = new Map();
  for (const c of changes) {
    const key = rowKey(c.key, keys) || c.key;
    grouped.set(key, [...grouped.get(key) ?? [], c]);
  }
  const list = [...grouped].map(([key, all]) => {
    const row = now.get(key) ?? before.get(key) ?? { key, title: key, parts: [] };
    const field = (c) => c.key.slice(key.length + 1) || key.split(".").at(-1);
    const side = (name) => phrases(row, all.filter((c) => c[name] !== "").map((c) => ({ field: field(c), value: c[name] })));
    const [old, fresh] = [side("from"), side("to")];
    if (old.length + fresh.length === 0) return undefined;
    const season = now.has(key) ? to : from;
    const title = row.about ? t("rule.titles.about", { about: row.about, title: row.title }) : row.title;
    const both = old.length > 0 && fresh.length > 0;
    const node = make("li", { class: "change" }, make("a", { class: "opener", href: place(season, "", key) }, title),
      make("div", { class: "why" }, said(both ? "before" : "gone", "del", old), said(both ? "now" : "new", "ins", fresh)));
    return { node, text: [title, key, ...old, ...fresh].join(" ").toLowerCase() };
  }).filter(Boolean);
  return list.length ? [{ node: make("ul", { class: "rows" }, ...list.map((r) => r.node)), rows: list }] : [];
}

const section = (name, groups) => ({
  node: make("section", { class: "part", id: name }, make("h2", {}, t(`compare.${name}`)), ...groups.map((g) => g.node)), groups,
});

const empty = (title, how) => make("div", { class: "empty", id: "nothing" }, make("h2", {}, title), make("p", {}, how));

function find() {
  keep();
  at("nothing")?.remove();
  if (!finder) return;
  const text = at("text").value.trim();
  const n = finder(text);
  setText(at("found"), text ? t("compare.found", { n }) : summary);
  if (n === 0) at("changes").after(empty(t("compare.nomatch", { text }), t("compare.nomatchhow")));
}

async function compare() {
  keep();
  const choice = chosen(), mine = ++asked;
  finder = undefined;
  at("nothing")?.remove();
  if (choice.from === choice.to) {
    at("changes").replaceChildren();
    setText(at("found"), "");
    at("changes").after(empty(t("compare.same"), t("compare.samehow")));
    return;
  }
  setText(at("found"), t("compare.reading"));
  let answer, before, now;
  try {
    const asking = api.call("CompareSeasons", { ...choice, discipline: choice.discipline || undefined });
    [answer, before, now] = await Promise.all([asking, rows(choice.from), rows(choice.to)]);
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    if (mine === asked) setText(at("found"), t("compare.failed", { why: error.message }));
    return;
  }
  if (mine !== asked) return;
  const { changed, added, removed } = answer;
  const each = (title, list) => disciplines.flatMap((d) => values(title, list.filter((e) => e.discipline === d), choice));
  const ruled = rules(answer.ruleChanges, before, now, choice);
  const parts = [
    ["values", each("values", changed)], ["rules", ruled], ["added", each("added", added)], ["removed", each("removed", removed)],
  ].filter(([, groups]) => groups.length > 0).map(([name, groups]) => section(name, groups));
  at("changes").replaceChildren(...parts.map((p) => p.node));
  if (parts.length === 0) {
    setText(at("found"), "");
    at("changes").after(empty(t("compare.nothing"), t("compare.nothinghow", choice)));
    return;
  }
  summary = t("compare.summary", { values: changed.length, added: added.length, removed: removed.length, rules: ruled[0]?.rows.length ?? 0 });
  finder = search(parts);
  find();
}

// The address names seasons, or "current"; what it leaves out are the two newest.
const address = new URLSearchParams(location.search);
const names = [...at("to").options].map((o) => o.value);
const to = names.includes(address.get("to")) ? address.get("to") : names[0];
at("to").value = to;
at("from").value = names.includes(address.get("from")) ? address.get("from") : names[Math.min(names.indexOf(to) + 1, names.length - 1)];
for (const c of choices) c.checked = c.value === (disciplines.includes(address.get("discipline")) ? address.get("discipline") : "");
at("text").value = address.get("text") ?? "";

for (const id of ["from", "to", "discipline"]) at(id).addEventListener("change", compare);
at("turn").addEventListener("click", () => {
  const { from, to: later } = chosen();
  at("from").value = later;
  at("to").value = from;
  compare();
});
at("text").addEventListener("input", find);
at("choose").addEventListener("submit", (submit) => submit.preventDefault());
addEventListener("keydown", (key) => {
  if (key.key !== "/" || key.ctrlKey || key.metaKey || key.altKey || key.target.matches("input:not([type=radio]), textarea, select")) return;
  key.preventDefault();
  at("text").focus();
});
compare();

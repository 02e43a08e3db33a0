// The page of one season: what its elements are worth, what levels need, what
// programs hold and how a score is made, all of it searchable, each with its source.

import { ApiError, Client } from "../../embed/client.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { search } from "./find.js";
import { PROGRAM, home, rowKey, rowsOf } from "./rules.js";
import { sections } from "./sections.js";
import { tables } from "./values.js";

const api = new Client(home);
const { season: name } = at("main").dataset;
const choices = [...document.querySelectorAll("#discipline input")];
const disciplines = choices.map((c) => c.value);
const address = new URLSearchParams(location.search);

let season, rows, elements; // elements by discipline
let finder;

const chosen = () => choices.find((c) => c.checked)?.value ?? disciplines[0];
const choose = (discipline) => { for (const c of choices) c.checked = c.value === discipline; };

// keep puts what is chosen into the address.
function keep() {
  const now = new URL(location.href);
  const set = (key, value, common) => (value === common ? now.searchParams.delete(key) : now.searchParams.set(key, value));
  set("discipline", chosen(), disciplines[0]);
  set("text", at("text").value.trim(), "");
  if (now.href !== location.href) history.replaceState(null, "", now);
}

// valuesOf returns the elements of a discipline; it fetches them once.
async function valuesOf(discipline) {
  if (elements.has(discipline)) return elements.get(discipline);
  const list = [];
  let pageToken;
  do {
    const page = await api.call("ListElements", { season: name, discipline, pageSize: 1000, pageToken });
    list.push(...page.elements);
    pageToken = page.nextPageToken || undefined;
  } while (pageToken);
  elements.set(discipline, list);
  return list;
}

// draw shows a discipline.
function draw(discipline) {
  const list = elements.get(discipline) ?? [];
  const marks = Array.from({ length: season.goe.max - season.goe.min + 1 }, (_, i) => season.goe.min + i);
  const noted = new Map(season.rules.filter((r) => r.note && r.key.startsWith("values.")).map((r) => [r.key, r.note]));
  const values = tables(list, {
    marks,
    note: (e) => noted.get(`values.${e.discipline}.${e.code}`),
    json: (e) => api.url("GetElement", { season: name, code: e.code, scope: e.scope || undefined }),
  });
  const parts = sections(season, rows, discipline, values);
  at("rules").replaceChildren(...parts.map((p) => p.node));
  finder = search(parts);
}

// find filters by what is typed.
function find() {
  const text = at("text").value.trim();
  const n = finder(text);
  keep();
  setText(at("found"), text ? t("season.found", { n }) : t("season.mark"));
  at("nothing")?.remove();
  if (n > 0) return;
  const label = (d) => t(`parts.disciplines.${d}`);
  const look = (d) => make("button", { type: "button", onclick: () => fetching(() => turn(d)) }, t("season.lookin", { discipline: label(d) }));
  const others = disciplines.filter((d) => d !== chosen());
  at("rules").after(make("div", { class: "empty", id: "nothing" }, make("h2", {}, t("season.nothing", { text, discipline: label(chosen()) })),
    make("p", {}, t("season.nothinghow")),
    make("div", { class: "row" }, ...others.map(look),
      make("button", { type: "button", class: "quiet", onclick: clear }, t("season.clear")))));
}

function clear() {
  at("text").value = "";
  find();
  at("text").focus();
}

// turn shows another discipline.
async function turn(discipline) {
  choose(discipline);
  await valuesOf(discipline);
  if (chosen() !== discipline) return; // another one was chosen meanwhile
  draw(discipline);
  find();
}

// placeOf finds the row of a code or key: its discipline and its id.
async function placeOf(wanted) {
  const [, of, code = wanted] = /^values\.(\w+)\.(.+)$/.exec(wanted) ?? [];
  if (of || !wanted.includes(".")) {
    const whole = code.replace(/~\d+$/, ""), bare = whole.replace(/[<!eq]+$|V\d*$/, "");
    for (const discipline of of ? disciplines.filter((d) => d === of) : [chosen(), ...disciplines.filter((d) => d !== chosen())]) {
      const list = await valuesOf(discipline);
      const found = list.find((e) => e.code === whole) ?? list.find((e) => e.code === bare);
      if (found) return { discipline, id: found.code };
    }
  }
  const id = rowKey(wanted, rows);
  const [top, first, second] = id.split(".");
  const program = season.rules.find((r) => r.key.startsWith(`${PROGRAM}.categories.`) && r.value === second && first === "layouts")?.key.split(".")[2];
  const category = season.categories.find((c) => c.category === (top === "categories" ? first : program));
  const level = top === "levels" ? { pairs: "pairs", dance: "dance", spins: "singles", steps: "singles" }[first] : undefined;
  return { discipline: [category?.discipline, level, chosen()].find((d) => disciplines.includes(d)), id };
}

// named is what the address names behind its #.
function named() {
  try {
    return decodeURIComponent(location.hash.slice(1));
  } catch {
    return location.hash.slice(1); // a % that a person typed
  }
}

// go opens the row that the address names; a section is only scrolled to.
async function go() {
  const wanted = named();
  const row = () => at(wanted)?.closest("#rules :is(.value, .rule)") && at(wanted);
  if (!wanted) return;
  if (at(wanted)?.matches(".part")) at(wanted).scrollIntoView();
  else if (row()) reveal(row());
  else {
    const { discipline, id } = await placeOf(wanted);
    if (discipline !== chosen()) await turn(discipline);
    const found = row() ?? at(id);
    if (found) reveal(found);
  }
}

function reveal(node) {
  if (node.hidden || node.closest("[hidden]")) { at("text").value = ""; find(); }
  for (let up = node; up && up !== document.body; up = up.parentElement) if (up.localName === "details") up.open = true;
  const opener = node.querySelector(".opener[aria-expanded=false]");
  if (opener) opener.click();
  node.scrollIntoView();
  (node.querySelector("summary, .opener") ?? node).focus({ preventScroll: true });
}

async function start() {
  elements = new Map();
  choose(disciplines.includes(address.get("discipline")) ? address.get("discipline") : disciplines[0]);
  at("text").value = address.get("text") ?? "";
  const [answer] = await Promise.all([api.call("GetSeason", { season: name }), disciplines.length ? valuesOf(chosen()) : undefined]);
  ({ season } = answer);
  rows = rowsOf(season);
  if (!elements.has(chosen())) await valuesOf(chosen()); // another one was chosen meanwhile
  draw(chosen());
  find();
  await go();
}

// fetching runs what may ask the server, and says when that does not answer.
async function fetching(work) {
  try {
    await work();
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    setText(at("found"), t("season.failed", { why: error.message }));
  }
}

at("find").addEventListener("submit", (submit) => submit.preventDefault());
at("text").addEventListener("input", () => season && find());
at("discipline").addEventListener("change", () => season && fetching(() => turn(chosen())));
addEventListener("hashchange", () => season && fetching(go));
addEventListener("keydown", (key) => {
  const typing = key.target.matches("input:not([type=radio]), textarea, select");
  if (key.key === "/" && !typing && !key.ctrlKey && !key.metaKey && !key.altKey) {
    key.preventDefault();
    at("text").focus();
    at("text").select();
  } else if (key.key === "Escape" && key.target === at("text")) clear();
});
show(at("discipline"), disciplines.length > 1);
fetching(start);

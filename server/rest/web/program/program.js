// The page that checks a program: asks this very server at every change and
// shows the sheet. What was typed stands in the address behind the #, so that a
// program can be kept as a bookmark; nothing is stored.

import { at, make, words } from "../../embed/dom.js";
import { sheet, summary } from "./sheet.js";

const PAUSE = 25; // ms without a key before asking
const READ_ALOUD = 900; // ms without a change before the summary is spoken

// Invented, with one jump too often.
const EXAMPLE = "3Lz+3T +2, 3Lo +1, FCSp4 +2, 2A+2T | 3Lz, 3Lz, 3F+2T +1.5, 2A, StSq3 +2, ChSq1 +1, CCoSp3 +2, LSp4";

let categories = []; // of the chosen season
let asked = 0; // number of the last question
let timer, speaking, abort;

const category = () => categories.find((c) => c.category === at("category").value);
const segment = () => category()?.segments.find((s) => s.segment === at("segment").value);
const fill = (select, options, value) => {
  select.replaceChildren(...options);
  if ([...select.options].some((o) => o.value === value)) select.value = value;
};
const option = (value, text) => make("option", { value }, text);

async function get(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${path}: ${response.status}`);
  return response.json();
}

// loadSeason fills in what the chosen season has, and keeps the choices that it
// also has.
async function loadSeason(wanted) {
  const season = (await get(`v1/seasons/${encodeURIComponent(at("season").value)}`)).season;
  categories = season.categories;
  const group = (discipline) => {
    const list = categories.filter((c) => c.discipline === discipline);
    return list.length ? [make("optgroup", { label: words(discipline) }, ...list.map((c) => option(c.category, c.title)))] : [];
  };
  fill(at("category"), ["singles", "pairs", "dance"].flatMap(group), wanted.category);
  at("grades").textContent = ` (${season.goe.min} to +${season.goe.max})`.replace("-", "−");
  loadSegments(wanted);
}

function loadSegments(wanted) {
  fill(at("segment"), (category()?.segments || []).map((s) => option(s.segment, s.title)), wanted.segment);
  loadMarks(wanted);
}

function loadMarks(wanted) {
  at("marks").replaceChildren(...(segment()?.components || []).map((c) => {
    const input = make("input", { id: `mark-${c.component}`, "data-component": c.component, type: "number", min: "0.25", max: "10", step: "0.01", inputmode: "decimal" });
    input.value = wanted[c.component] || "";
    return make("div", {}, make("label", { for: input.id }, c.name), input);
  }));
}

const marks = () => [...at("marks").querySelectorAll("input")];

// choices gives everything that was typed and chosen, by name.
function choices() {
  const all = { season: at("season").value, category: at("category").value, segment: at("segment").value,
    second: at("second").value, time: at("time").value.trim(), text: at("program").value };
  for (const m of marks()) all[m.dataset.component] = m.value;
  return Object.fromEntries(Object.entries(all).filter(([, value]) => value));
}

// seconds reads a time such as 4:00; 0 where there is none.
function seconds(text) {
  const clock = /^(\d{1,2}):([0-5]\d)$/.exec(text);
  at("time").setCustomValidity(text && !clock ? "minutes and seconds, such as 4:00" : "");
  at("time").setAttribute("aria-invalid", String(Boolean(text && !clock)));
  return clock ? Number(clock[1]) * 60 + Number(clock[2]) : 0;
}

function request() {
  const chosen = choices();
  const body = { category: chosen.category, segment: chosen.segment, text: chosen.text, partial: true,
    compareSeason: chosen.second || "", durationSeconds: seconds(chosen.time || "") };
  const given = marks().filter((m) => m.value !== "");
  if (given.length && given.length === marks().length) {
    body.components = given.map((m) => ({ component: m.dataset.component, mark: Number(m.value) }));
  }
  return { path: `v1/seasons/${encodeURIComponent(chosen.season)}/programs:check`, body };
}

// soon asks when no more keys come.
function soon(event) {
  clearTimeout(timer);
  const since = event.timeStamp;
  timer = setTimeout(() => ask(since), PAUSE);
}

async function ask(since) {
  const number = ++asked;
  abort?.abort();
  abort = new AbortController();
  history.replaceState(null, "", `#${new URLSearchParams(choices())}`);
  if (!at("program").value.trim()) {
    show([], [make("p", { class: "note" }, "Type or paste a program above.")], "");
    return;
  }
  try {
    const { path, body } = request();
    const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal: abort.signal });
    const answer = await response.json();
    if (number !== asked) return;
    if (response.ok) show(answer.leftOut.map(leftOut), sheet(answer), summary(answer));
    else show([], faults(response.status, answer), "This program cannot be checked.");
    requestAnimationFrame(() => performance.measure("from the key to the figures", { start: since, end: performance.now() }));
  } catch (error) {
    if (error.name === "AbortError" || number !== asked) return;
    at("sheet").classList.add("stale");
    at("summary").textContent = "The server does not answer; what stands below is from before.";
  }
}

function show(unread, nodes, text) {
  at("unread").replaceChildren(...unread.map((line) => make("li", {}, line)));
  at("sheet").classList.remove("stale");
  at("sheet").replaceChildren(...nodes);
  clearTimeout(speaking);
  speaking = setTimeout(() => { at("summary").textContent = text; }, at("summary").textContent ? READ_ALOUD : 0);
}

// leftOut says what was not taken: a line of the text, an element, the second
// season.
function leftOut(l) {
  const line = /^text\.line\[(\d+)\]/.exec(l.field);
  const where = line ? `Line ${line[1]}` : l.field === "compareSeason" ? "The second season" : "Not counted";
  return `${where}: ${l.message}`;
}

function faults(status, answer) {
  const list = (answer.details || []).flatMap((d) => d.fieldViolations || []);
  if (!list.length) return [make("p", { class: "fault" }, answer.message || `The server answered ${status}.`)];
  return [make("ul", { class: "unread" }, ...list.map((v) => make("li", {}, `${v.field}: ${v.description}`)))];
}

async function begin() {
  const wanted = { category: "senior-women", segment: "free-skating", ...Object.fromEntries(new URLSearchParams(location.hash.slice(1))) };
  const list = await get("v1/seasons");
  const seasons = list.seasons.toReversed().map((s) => [s.season, s.title === `Season ${s.season}` ? s.season : s.title]);
  fill(at("season"), seasons.map(([key, title]) => option(key, title)), wanted.season || list.current);
  fill(at("second"), [option("", "nothing"), ...seasons.map(([key, title]) => option(key, title))], wanted.second || "");
  at("time").value = wanted.time || "";
  if (!at("program").value) at("program").value = wanted.text || "";
  at("more").open = Boolean(wanted.time) || Object.keys(wanted).some((key) => /^[A-Z_]+$/.test(key));
  await loadSeason(wanted);

  at("season").addEventListener("change", async (event) => { await loadSeason(choices()); soon(event); });
  at("category").addEventListener("change", (event) => { loadSegments(choices()); soon(event); });
  at("segment").addEventListener("change", (event) => { loadMarks(choices()); soon(event); });
  at("second").addEventListener("change", soon);
  at("ask").addEventListener("input", (event) => { if (event.target.tagName !== "SELECT") soon(event); });
  at("ask").addEventListener("submit", (event) => event.preventDefault());
  at("example").addEventListener("click", (event) => { put(EXAMPLE); soon(event); });
  at("clear").addEventListener("click", (event) => { put(""); soon(event); });
  ask(performance.now());
}

function put(text) {
  at("program").value = text;
  at("program").focus();
}

begin().catch((error) => { at("summary").textContent = `The page could not be filled: ${error.message}`; });

// The first page: sends the examples to this very server and shows the answers.

import { at, make, words } from "../embed/dom.js";

let examples = []; // examples.json; every skater and every mark in it is invented
let chosen = 0;

const pathOf = (example) => example.path.replace("{season}", at("season").value);

function table(caption, heads, rows) {
  const cell = (tag) => (value, i) => {
    const node = value instanceof Node ? make(tag, {}, value) : make(tag, {}, String(value ?? ""));
    if (heads[i].startsWith("#")) node.className = "number";
    if (tag === "th") node.scope = "col";
    return node;
  };
  return make("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": caption }, make("table", {},
    make("caption", {}, caption),
    make("thead", {}, make("tr", {}, ...heads.map((h, i) => cell("th")(h.replace("#", ""), i)))),
    make("tbody", {}, ...rows.map((r) => make("tr", {}, ...r.map(cell("td")))))));
}

const yesNo = (counted) => make("span", { class: counted ? "yes" : "no" }, counted ? "counts" : "does not count");

function showCall(element) {
  const title = element.code ? `${element.code}${element.baseValue ? ", base value " + element.baseValue : ""}` : "No element is called";
  const nodes = [table(title, ["Feature", "Where", "", "Why"], element.features.map((f) =>
    [words(f.feature), f.where, yesNo(f.counted), f.message || words(f.reason)]))];
  if (element.toNextLevel) {
    nodes.push(make("p", {}, `Level ${element.toNextLevel.level} would need one of:`),
      make("ul", {}, ...element.toNextLevel.options.map((o) => make("li", {}, o.message || words(o.feature)))));
  }
  nodes.push(...element.notes.map((n) => make("p", { class: "note" }, n)));
  return nodes;
}

const factors = (list) => list.map((f) => `× ${f.by} (${words(f.kind)})`).join(" ");
const parts = (list) => list.map((p) => `${p.code} ${p.baseValue}`).join(" + ");

function showAnswer(a) {
  const nodes = [];
  if (a.segmentScore) {
    nodes.push(make("p", { class: "total" }, `Segment score ${a.segmentScore}`),
      table("Elements", ["Element", "#Base value", "#GOE", "#Score"], a.elements.map((e) => [e.code, e.baseValue, e.goe, e.score])),
      table("Components", ["Component", "#Panel", "#Factor", "#Score"], a.components.map((c) => [c.name, c.panelScore, c.factor, c.score])),
      table("Sum", ["", "#Points"], [["Elements", a.elementScore], ["Components", a.componentScore], ["Deductions", a.totalDeductions]]));
    if (a.steps.length) {
      nodes.push(make("details", {}, make("summary", {}, "Every step"), make("ol", {}, ...a.steps.map((s) => make("li", {}, s)))));
    }
  } else if (a.totalBaseValue) {
    nodes.push(table(`Base values, together ${a.totalBaseValue}`, ["Element", "#Base value", "From", "Factors"],
      a.elements.map((e) => [e.code, e.baseValue, parts(e.parts), factors(e.factors)])));
  } else if (a.element) {
    nodes.push(table(`${a.element.code}: ${a.element.name}, base value ${a.element.baseValue}`, ["#Mark", "#Points"],
      a.element.goePoints.map((g) => [g.mark > 0 ? "+" + g.mark : g.mark, g.points])),
      table("Reduced forms", ["Code", "#Base value"], a.element.reducedForms.map((r) => [r.code, r.baseValue])),
      make("p", { class: "note" }, a.element.source));
  } else if (a.elements) {
    a.elements.forEach((e) => nodes.push(...showCall(e)));
    if (a.caution) nodes.push(make("p", { class: "note" }, a.caution));
  }
  for (const w of a.warnings || []) nodes.push(make("p", { class: "warning" }, `Note: ${w.message}`));
  if (a.rules) nodes.push(make("p", { class: "note" }, `By the table “${a.rules.title}”.`));
  return nodes;
}

function showFault(status, a) {
  const nodes = [make("p", { class: "fault" }, `${status}: ${a.message || "the server gave no reason"}`)];
  const faults = (a.details || []).flatMap((d) => d.fieldViolations || []);
  if (faults.length > 1) {
    nodes.push(table("All faults", ["Where", "What"], faults.map((f) => [f.field, f.description])));
  }
  return nodes;
}

function choose(i) {
  chosen = i;
  const example = examples[i];
  [...document.querySelector(".tabs").children].forEach((tab, j) => {
    tab.setAttribute("aria-selected", String(i === j));
    tab.tabIndex = i === j ? 0 : -1;
  });
  at("about").textContent = example.about;
  at("request").value = example.body ? JSON.stringify(example.body, null, 1).replace(/\[\n\s+(-?[\d.,\s-]+)\n\s+\]/g, (_, n) => `[${n.replace(/\s+/g, " ")}]`) : pathOf(example);
  at("request").rows = example.body ? 16 : 2;
  describe();
}

// target gives what to send: for a body the example's path, otherwise the path
// in the text field.
function target() {
  const example = examples[chosen];
  return example.body ? { path: pathOf(example), body: at("request").value } : { path: at("request").value.trim() };
}

function describe() {
  const { path, body } = target();
  at("request-label").textContent = body === undefined ? "GET" : `POST ${path}`;
  const quoted = (s) => `'${s.replaceAll("'", "'\\''")}'`;
  at("curl").textContent = body === undefined
    ? `curl ${quoted(location.origin + path)}`
    : `curl ${quoted(location.origin + path)} -H 'Content-Type: application/json' -d ${quoted(body)}`;
}

async function send(event) {
  event.preventDefault();
  const { path, body } = target();
  at("took").textContent = "asking …";
  const start = performance.now();
  try {
    if (!path.startsWith("/v1/")) throw new Error("a path begins with /v1/");
    const response = await fetch(path, body === undefined ? {} : { method: "POST", headers: { "Content-Type": "application/json" }, body });
    const text = await response.text();
    at("took").textContent = `answered in ${Math.round(performance.now() - start)} ms`;
    const answer = JSON.parse(text);
    at("answer").replaceChildren(...(response.ok ? showAnswer(answer) : showFault(response.status, answer)));
    at("raw").textContent = JSON.stringify(answer, null, 2);
    at("raw-box").hidden = false;
  } catch (error) {
    at("took").textContent = "";
    at("answer").replaceChildren(make("p", { class: "fault" }, `No answer: ${error.message}`));
    at("raw-box").hidden = true;
  }
}

async function seasons() {
  const response = await fetch("/v1/seasons");
  const list = await response.json();
  const newest = list.seasons.at(-1).season;
  at("season").replaceChildren(...list.seasons.toReversed().map((s) => make("option", { value: s.season }, s.title)));
  at("season").value = list.current || newest;
  at("season-note").textContent = (list.warnings || []).map((w) => w.message).join(" ");
  choose(chosen);
}

function addTab(example, i) {
  const tab = make("button", { type: "button", role: "tab", "aria-controls": "call" }, example.name);
  tab.addEventListener("click", () => choose(i));
  tab.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const next = (i + step + examples.length) % examples.length;
    choose(next);
    document.querySelector(".tabs").children[next].focus();
  });
  document.querySelector(".tabs").append(tab);
}

async function begin() {
  examples = await (await fetch(new URL("examples.json", import.meta.url))).json();
  examples.forEach(addTab);
  at("call").addEventListener("submit", send);
  at("call").addEventListener("input", describe);
  at("reset").addEventListener("click", () => choose(chosen));
  at("season").addEventListener("change", () => { examples[chosen].body ? describe() : choose(chosen); });
  choose(0);
  await seasons();
}

begin().catch((error) => { at("season-note").textContent = `The page could not be filled: ${error.message}`; });

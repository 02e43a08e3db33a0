// What developers try: examples that are sent to this very server, and its answers.
// Names of the contract stand as they are.

import { at, make, words } from "../../embed/dom.js";
import { t } from "../parts/words.js";

const home = new URL("../../", import.meta.url).href;
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
    make("thead", {}, make("tr", {}, ...heads.map((h, i) => cell(h ? "th" : "td")(h.replace("#", ""), i)))),
    make("tbody", {}, ...rows.map((r) => make("tr", {}, ...r.map(cell("td")))))));
}

const yesNo = (counted) => make("span", { class: counted ? "counts" : "counts no" }, t(counted ? "developers.counts" : "developers.countsNot"));
const figure = (key) => `#${t(key)}`;

function showCall(element) {
  const title = element.code ? t("developers.called", { code: element.code, value: element.baseValue || "–" }) : t("developers.calledNot");
  const nodes = [table(title, [t("developers.feature"), t("developers.where"), "", t("developers.why")], element.features.map((f) =>
    [words(f.feature), f.where, yesNo(f.counted), f.message || words(f.reason)]))];
  if (element.toNextLevel) {
    nodes.push(make("p", {}, t("developers.nextLevel", { level: String(element.toNextLevel.level) })),
      make("ul", {}, ...element.toNextLevel.options.map((o) => make("li", {}, o.message || words(o.feature)))));
  }
  nodes.push(...element.notes.map((n) => make("p", { class: "note" }, n)));
  return nodes;
}

const factors = (list) => list.map((f) => `× ${f.by} (${words(f.kind)})`).join(" ");
const parts = (list) => list.map((p) => `${p.code} ${p.baseValue}`).join(" + ");

function showScore(a) {
  const nodes = [make("p", { class: "total" }, t("developers.segmentScore", { score: a.segmentScore })),
    table(t("developers.elements"), [t("developers.element"), figure("developers.base"), figure("developers.goe"), figure("developers.score")],
      a.elements.map((e) => [e.code, e.baseValue, e.goe, e.score])),
    table(t("developers.components"), [t("developers.component"), figure("developers.panel"), figure("developers.factor"), figure("developers.score")],
      a.components.map((c) => [c.name, c.panelScore, c.factor, c.score])),
    table(t("developers.sum"), ["", figure("developers.points")],
      [[t("developers.elements"), a.elementScore], [t("developers.components"), a.componentScore], [t("developers.deductions"), a.totalDeductions]])];
  if (a.steps.length) nodes.push(make("details", {}, make("summary", {}, t("developers.steps")), make("ol", {}, ...a.steps.map((s) => make("li", {}, s)))));
  return nodes;
}

function showElement(e) {
  return [table(t("developers.named", { code: e.code, name: e.name, value: e.baseValue }), [figure("developers.mark"), figure("developers.points")],
    e.goePoints.map((g) => [g.mark > 0 ? `+${g.mark}` : g.mark, g.points])),
  table(t("developers.reduced"), [t("developers.code"), figure("developers.base")], e.reducedForms.map((r) => [r.code, r.baseValue])),
  make("p", { class: "note" }, e.source)];
}

function showAnswer(a) {
  const nodes = [];
  if (a.segmentScore) {
    nodes.push(...showScore(a));
  } else if (a.totalBaseValue) {
    nodes.push(table(t("developers.values", { value: a.totalBaseValue }),
      [t("developers.element"), figure("developers.base"), t("developers.from"), t("developers.factors")],
      a.elements.map((e) => [e.code, e.baseValue, parts(e.parts), factors(e.factors)])));
  } else if (a.element) {
    nodes.push(...showElement(a.element));
  } else if (a.elements) {
    a.elements.forEach((e) => nodes.push(...showCall(e)));
  }
  if (a.caution) nodes.push(make("p", { class: "caution" }, a.caution));
  for (const w of a.warnings || []) nodes.push(make("p", { class: "note" }, w.message));
  if (a.rules) nodes.push(make("p", { class: "note" }, t("developers.by", { table: a.rules.title })));
  return nodes;
}

function showFault(status, a) {
  const nodes = [make("p", { class: "fault" }, t("developers.reason", { status: String(status), message: a.message || t("developers.noReason") }))];
  const faults = (a.details || []).flatMap((d) => d.fieldViolations || []);
  if (faults.length > 1) {
    nodes.push(table(t("developers.faults"), [t("developers.where"), t("developers.what")], faults.map((f) => [f.field, f.description])));
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
  at("about").textContent = t(`developers.example.${example.id}.about`);
  const short = (json) => json.replace(/\[\n\s+(-?[\d.,\s-]+)\n\s+\]/g, (_, n) => `[${n.replace(/\s+/g, " ")}]`);
  at("request").value = example.body ? short(JSON.stringify(example.body, null, 1)) : pathOf(example);
  at("request").rows = example.body ? 16 : 2;
  describe();
}

// target returns what to send: for a body the example's path, otherwise the path
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
    ? `curl ${quoted(home + path.slice(1))}`
    : `curl ${quoted(home + path.slice(1))} -H 'Content-Type: application/json' -d ${quoted(body)}`;
}

async function send(event) {
  event.preventDefault();
  const { path, body } = target();
  at("took").textContent = t("developers.asking");
  const start = performance.now();
  try {
    if (!path.startsWith("/v1/")) throw new Error(t("developers.path"));
    const response = await fetch(home + path.slice(1), body === undefined ? {} : { method: "POST", headers: { "Content-Type": "application/json" }, body });
    const text = await response.text();
    at("took").textContent = t("developers.took", { ms: Math.round(performance.now() - start) });
    const answer = JSON.parse(text);
    at("answer").replaceChildren(...(response.ok ? showAnswer(answer) : showFault(response.status, answer)));
    at("raw").textContent = JSON.stringify(answer, null, 2);
    at("raw-box").hidden = false;
  } catch (error) {
    at("took").textContent = "";
    at("answer").replaceChildren(make("p", { class: "fault" }, t("developers.none", { why: error.message })));
    at("raw-box").hidden = true;
  }
}

async function seasons() {
  const response = await fetch(`${home}v1/seasons`);
  const list = await response.json();
  const newest = list.seasons.at(-1).season;
  at("season").replaceChildren(...list.seasons.toReversed().map((s) => make("option", { value: s.season }, s.title)));
  at("season").value = list.current || newest;
  at("current").textContent = list.current || newest;
  at("season-note").textContent = (list.warnings || []).map((w) => w.message).join(" ");
  choose(chosen);
}

function addTab(example, i) {
  const tab = make("button", { type: "button", role: "tab", "aria-controls": "example" }, t(`developers.example.${example.id}.name`));
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

begin().catch((error) => { at("season-note").textContent = t("parts.broken", { why: error.message }); });

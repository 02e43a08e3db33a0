// Makes the sheet of a checked program from an answer of programs:check.

import { make } from "../../embed/dom.js";

const KINDS = {
  jump: "Jumps", spin: "Spins", step: "Steps", choreo: "Choreography", spiral: "Spirals", throw: "Throw jumps", twist: "Twist lifts",
  lift: "Lifts", death_spiral: "Death spirals", pattern: "Pattern dance", twizzle: "Twizzles", other: "Others",
};
const SEVERITIES = { ERROR: "Loss", WARNING: "Look", INFO: "Note" };
const SIGNS = { ON_QUARTER: "q", UNDER_ROTATED: "<", DOWNGRADED: "<<", UNCLEAR_EDGE: "!", WRONG_EDGE: "e" };

// Points come as texts with two digits, so hundredths are whole numbers.
const hundredths = (text) => Math.round(Number(text || 0) * 100);
const minus = (text) => text.replace("-", "−");
const signed = (text) => (hundredths(text) > 0 ? "+" : "") + minus(text);
const difference = (from, to) => signed(((hundredths(to) - hundredths(from)) / 100).toFixed(2));

// sheet gives the nodes that show an answer.
export function sheet(answer) {
  return [figures(answer), ...caution(answer), ...points(answer), ...whole(answer), ...elements(answer), ...notes(answer)];
}

// summary says the most important in one sentence.
export function summary(answer) {
  const struck = answer.elements.filter(isStruck).length;
  const counted = (n, one, many) => `${n} ${n === 1 ? one : many}`;
  const parts = [`Base value ${answer.totalBaseValue}`, counted(answer.elements.length, "element", "elements")];
  if (struck) parts.push(`${struck} without value`);
  const losses = answer.findings.filter((f) => f.severity !== "INFO").length;
  if (losses) parts.push(counted(losses, "thing to look at", "things to look at"));
  return parts.join(", ") + ".";
}

const isStruck = (e) => e.code.includes("*") && hundredths(e.baseValue) === 0;

function figures(answer) {
  const list = make("dl", { class: "figures" });
  const beside = answer.compared;
  const add = (name, value, other) => {
    if (!value) return;
    const dd = make("dd", {}, minus(value));
    if (other) dd.append(make("span", { class: "beside" }, `${beside.rules.season}: ${minus(other)} (${difference(value, other)})`));
    list.append(make("div", {}, make("dt", {}, name), dd));
  };
  add("Base value", answer.totalBaseValue, beside?.totalBaseValue);
  add("With the grades", answer.predicted?.elementScore, beside?.predicted?.elementScore);
  add("Components", answer.predicted?.componentScore, beside?.predicted?.componentScore);
  add("Total before deductions", answer.predicted?.total, beside?.predicted?.total);
  return list;
}

const caution = (answer) => (answer.caution ? [make("p", { class: "caution" }, answer.caution)] : []);

// points is the bar of where the points are: a piece for each element, as long
// as its score, and the sums of the kinds below.
function points(answer) {
  const total = answer.kinds.reduce((sum, k) => sum + hundredths(k.score), 0);
  if (total <= 0) return [];
  const share = (k) => `${Math.round((hundredths(k.score) * 100) / total)}%`;
  const bar = make("div", { class: "points", role: "img", "aria-label":
    "Where the points are: " + answer.kinds.map((k) => `${KINDS[k.kind]} ${k.score}, ${share(k)}`).join("; ") });
  for (const e of answer.elements) {
    const piece = make("span", { class: e.kind, title: `${e.code} ${e.score}` });
    piece.style.flexGrow = Math.max(0, hundredths(e.score));
    if (hundredths(e.score) > 0) bar.append(piece);
  }
  const kinds = answer.kinds.map((k) => make("li", {}, make("span", { class: k.kind }), `${KINDS[k.kind]} (${k.count}) ${k.score}, ${share(k)}`));
  return [bar, make("ul", { class: "kinds" }, ...kinds)];
}

function finding(f) {
  const node = make("li", { class: f.severity }, make("strong", {}, SEVERITIES[f.severity] || f.severity), ": ", f.message);
  if (f.advice) node.append(" ", f.advice);
  if (f.source) node.append(" ", make("details", {}, make("summary", {}, "Rule"), `${f.source} (confidence ${f.confidence})`));
  return node;
}

// whole lists what is about the program as a whole.
function whole(answer) {
  const list = answer.findings.filter((f) => f.element === undefined);
  return list.length ? [make("h3", {}, "The program as a whole"), make("ul", { class: "findings" }, ...list.map(finding))] : [];
}

function elements(answer) {
  if (!answer.elements.length) return [];
  const graded = answer.elements.some((e) => e.goe !== "");
  const beside = answer.compared;
  const heads = [["#", "number"], ["Element", ""], ["Value", "number"]];
  if (graded) heads.push(["Grade", "number"], ["Score", "number"]);
  if (beside) heads.push([beside.rules.season, "number"]);
  const most = Math.max(1, ...answer.elements.map((e) => hundredths(e.score)));
  const table = make("table", { class: "elements" },
    make("caption", {}, "Elements as they would be credited"),
    make("thead", {}, make("tr", {}, ...heads.map(([text, kind]) => make("th", { scope: "col", class: kind }, text)))));
  answer.elements.forEach((e, i) => table.append(element(answer, e, i, most, graded, heads.length)));
  return [table, ...callNote(answer)];
}

function element(answer, e, i, most, graded, columns) {
  const title = make("th", { scope: "row" }, make("span", { class: "code" }, e.code));
  if (isStruck(e)) title.append(make("span", { class: "none" }, "no value"));
  const number = (text) => make("td", { class: "number" }, minus(text || ""));
  const row = make("tr", {}, number(String(i + 1)), title, number(e.baseValue));
  if (graded) row.append(number(e.goe && signed(e.goe)), number(e.score));
  const other = answer.compared?.elements[i];
  if (answer.compared) row.append(number(other ? (other.code === e.code ? other.baseValue : `${other.code} ${other.baseValue}`) : ""));
  const detail = [make("span", { class: "name" }, e.name + factors(e))];
  if (hundredths(e.score) > 0) {
    const share = make("span", { class: `share ${e.kind}`, "aria-hidden": "true" });
    share.style.width = `${(hundredths(e.score) * 100) / most}%`;
    detail.push(share);
  }
  const found = e.findings.map((n) => finding(answer.findings[n]));
  if (found.length) detail.push(make("ul", { class: "findings" }, ...found));
  const changes = e.worth.filter((w) => hundredths(w.difference) !== 0).map((w) => change(e, w));
  if (changes.length) detail.push(make("ul", { class: "worth", "aria-label": `What one level or one call changes in ${e.code}` }, ...changes));
  const body = make("tbody", isStruck(e) ? { class: "struck" } : {}, row);
  body.append(make("tr", {}, make("td"), make("td", { colspan: columns - 1, class: "detail" }, ...detail)));
  return body;
}

const factors = (e) => (isStruck(e) ? [] : e.factors).map((f) => `, × ${f.by}${f.kind === "SECOND_HALF" ? " second half" : ""}`).join("");

// change says what one call costs, or one level adds.
function change(e, w) {
  let what = w.code;
  if (w.call === "FALL") what = "fall";
  else if (SIGNS[w.call] && w.jump !== undefined) what = e.parts[w.jump].code + SIGNS[w.call];
  return make("li", { title: w.message, class: hundredths(w.difference) > 0 ? "gain" : "cost" }, `${what} ${signed(w.difference)}`);
}

// callNote tells once what holds for every call.
function callNote(answer) {
  const free = new Set(answer.elements.flatMap((e) => e.worth).filter((w) => hundredths(w.difference) === 0).map((w) => SIGNS[w.call]).filter(Boolean));
  const any = answer.elements.some((e) => e.worth.length);
  if (!any) return [];
  const text = "Below each element: what one level or one call of the panel would change, the grade staying as it is. With every call the judges' grades would fall too.";
  const alone = { 0: "", 1: ` The call ${[...free]} leaves the base value alone.` }[free.size] ?? ` The calls ${[...free].join(" and ")} leave the base value alone.`;
  return [make("p", { class: "note" }, text + alone)];
}

function notes(answer) {
  const both = [answer, answer.compared].filter(Boolean);
  const name = (a) => (answer.compared ? `Note on ${a.rules.season}` : "Note");
  const nodes = both.flatMap((a) => a.warnings.map((w) => make("p", { class: "warning" }, `${name(a)}: ${w.message}`)));
  const by = both.map((a) => `“${a.rules.title}”`).join(" and ");
  return [...nodes, make("p", { class: "note" }, `By the table ${by}.`)];
}

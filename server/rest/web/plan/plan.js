// The page of the best program: what a skater can do, and what follows from it. The
// engine in the page plans, or the server where there is no engine; the plan follows each
// touch. All stands in the address behind the #, so that it can be kept as a bookmark.

import { Client } from "../../embed/client.js";
import { hundredths } from "../../embed/credit.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { openEngine } from "../../embed/offline/page.js";
import { keeping as keepPage } from "../count/offline.js";
import { pane } from "../parts/dialog.js";
import { fault } from "../parts/fault.js";
import { keeping } from "../parts/keep.js";
import { latest } from "../parts/latest.js";
import { number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { abilityList } from "./abilities.js";
import { halfFrom, halfTo, limitsFrom, limitsTo, question } from "./asking.js";
import { fromBook, inBook, keepProgram } from "./book.js";
import { BOTH, choices } from "./choices.js";
import { elementList, practiceTable } from "./elements.js";
import { limitsPane, said } from "./limits.js";
import { fromFile, read, toFile, write } from "./repertoire.js";
import { comparison, NAMES, narrower, showNoise, showScore, showScores } from "./score.js";
import { asProgram, points, tenth, together, worth } from "./worth.js";

const READ_ALOUD = 900; // ms without a change before the sum is spoken

// Invented, as are the component marks of it.
const EXAMPLE_MARK = "6.25";
const EXAMPLE = `3Lz 5 +0.0 (3Lz< 2 -3), 3F 6 +0.2 (2F 2 +0.0), 3Lo 7 +0.3, 3S 8.5 +0.8 (2S 1 +0.5), 3T 8 +0.6, 2A 9 +1.0,
  3T+3T 4 +0.2 (3T+2T 4 +0.2), 3S+2T 7.5 +0.5 (3S 1.5 +0.5), 3Lo+2T 6 +0.3, 2A+3T 4.5 +0.2, 3S+2A+SEQ 5 +0.0 (3S 3.5 +0.0), 2A+1Eu+2S 8 +0.3 (2A 1.5 +0.3),
  CCoSp4 6 +1.5, FCSp3 7 +1.0, FSSp3 7.5 +1.0, LSp3 8 +1.2, StSq3 6 +1.2, ChSq1 10 +1.3`;

const fromAddress = () => Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
const server = new URL("../../", import.meta.url).href;
const page = at("main");
const api = "engine" in page.dataset ? openEngine(server, { seasons: [fromAddress().season ?? "current"] }) : new Client(server);

let list = []; // abilities { id, code, element, success, grade, attempts, wish, misses, fault, note }
let limits = [], half, targets = {};
let answers; // by segment: { answer } or { error }, and of which abilities; undefined while nothing was asked
let plan = 0; // which one is looked at
let ids = 0, speaking;

const address = () => ({
  ...choice.chosen(), limits: limitsTo(limits), half: halfTo(half),
  ...Object.fromEntries(Object.entries(targets).map(([mode, target]) => [TARGET + mode, target])),
});
const filled = (values) => Object.entries(values).filter(([, value]) => value);
const TARGET = "target-"; // before the segment, in an address
const targetsOf = (values) => Object.fromEntries(Object.entries(values).filter(([key]) => key.startsWith(TARGET))
  .map(([key, target]) => [key.slice(TARGET.length), target]));

// follow plans each segment; one that fails leaves the others.
const follow = latest(({ questions }) => Promise.all(questions.map(({ segment, request, places }) => api.call("PlanProgram", request)
  .then((answer) => ({ segment, places, answer }), (error) => ({ segment, places, error })))), ({ answer: results, error }, { abilities }) => {
  page.dataset.following = "";
  if (error) throw error;
  answers = results.map((r) => ({ ...r, abilities }));
  const refused = refusedOf(answers);
  if (refused.size) return turn((a) => (refused.has(a.id) ? { ...a, fault: refused.get(a.id) } : a));
  return draw();
});

// refusedOf finds the abilities that the rules have no place for at all, as calls of the
// panel; the rest is planned without them.
function refusedOf(results) {
  const found = new Map();
  for (const { error, places, abilities } of results) {
    for (const field of error?.fields ?? []) {
      const place = /^abilities\[(\d+)\]/.exec(field.field)?.[1];
      if (place !== undefined) found.set(abilities[places[Number(place)]].id, field.description);
    }
  }
  return found;
}

const target = () => targets[choice.mode()] ?? "";
const goodTarget = () => (/^\d{1,3}([.,]\d{1,2})?$/.test(target()) ? Number(target().replace(",", ".")).toFixed(2) : "");

const asked = (abilities, more = {}) => choice.segments().map((segment) => ({
  segment: segment.segment,
  ...question({
    ...choice.chosen(), marks: choice.marks(segment), target: choice.mode() === BOTH ? "" : goodTarget(), limits, half,
    scores: choice.mode() === BOTH, ...more,
  }, segment.segment, abilities.map((a) => (a.fault ? { ...a, success: undefined } : a)), choice.goe()),
})).filter(({ request }) => request.abilities.length);

// changed plans again after any change, and shows at once what was changed.
function changed() {
  history.replaceState(null, "", `#${new URLSearchParams(filled({ ...address(), text: write(list) }))}`);
  const questions = asked(list);
  if (questions.length) {
    page.dataset.following = "yes";
    follow({ questions, abilities: list });
  } else answers = undefined;
  draw();
}

function turn(change) {
  list = list.map(change);
  changed();
}

const shown = () => answers?.filter((r) => r.answer?.plans.length) ?? [];
const current = () => (choice.mode() === BOTH ? undefined : shown().find((r) => r.segment === choice.mode()));

// draw shows what stands and what the last answer says of it.
function draw() {
  const both = choice.mode() === BOTH, one = current();
  const notes = new Map();
  for (const r of both ? [] : shown()) for (const u of r.answer.unusable) notes.set(r.abilities[r.places[u.ability]].id, u.finding.message);
  showAbilities(list.map((a) => ({ ...a, note: notes.get(a.id) })), choice.goe());
  show(at("empty"), list.length === 0);
  const counted = list.filter((a) => a.attempts > 0).length;
  setText(at("sources"), t("plan.sources", { n: counted, m: list.length - counted }));
  show(at("sources"), counted > 0);
  show(at("touch"), list.some((a) => a.success === undefined));
  const names = jumpsOf(list), count = said(limits, half, names).length;
  setText(at("limits"), count ? t("plan.limits", { n: count }) : t("plan.noLimits"));

  const away = answers?.find((r) => r.error?.temporary), refused = answers?.find((r) => r.error && !r.error.temporary);
  setText(at("away"), away ? t("plan.away") : "");
  show(at("none"), !shown().length || Boolean(refused));
  const why = refused ? new Set([refused.error.message, ...refused.error.fields.map((f) => f.description)]) : [t("plan.nothing")];
  setText(at("none"), [...why].join(" "));
  drawWishes();
  at("target").value = at("target") === document.activeElement ? at("target").value : target();

  if (both) drawBoth();
  else drawOne(one);

  const practice = both ? together(shown().map((r) => r.answer.practice)) : one?.answer.practice ?? [];
  const often = new Map(list.map((a) => [a.code, a.success]));
  at("practice").replaceChildren(...(practice.length ? [practiceTable(practice, (code) => often.get(code) ?? 0)] : []));
  show(at("brings"), practice.length > 0);
  const first = shown()[0]?.answer;
  setText(at("caution"), first?.caution ?? "");
  show(at("caution"), Boolean(first));
  at("assumptions").replaceChildren(...(first?.assumptions ?? []).map((a) => make("li", {}, a.message)));
  const doubts = [...new Set(shown().flatMap((r) => r.answer.warnings.map((w) => w.message)))];
  at("unsure").replaceChildren(...doubts.map((text) => make("li", {}, `◇ ${text}`)));
  show(at("care"), Boolean(first));
  clearTimeout(speaking);
  const aloud = shown().length ? t("plan.says", { value: at("total").textContent, proof: at("proof").textContent }) : "";
  speaking = setTimeout(() => setText(at("summary"), aloud), READ_ALOUD);
  page.dataset.state = page.dataset.following === "yes" ? "following" : "";
}

function drawOne(result) {
  const plans = result?.answer.plans ?? [];
  plan = Math.min(plan, Math.max(0, plans.length - 1));
  const chosen = plans[plan];
  showScore(result?.answer, chosen, goodTarget());
  show(at("price"), false);
  drawWhich(plans);
  showNoise(result?.answer, result ? result.abilities.map((a) => a.attempts) : []);
  const segment = choice.segments()[0];
  const ability = (e) => result.abilities[result.places[e.ability]];
  showElements(chosen, chosen && {
    goe: choice.goe(), halves: segment.secondHalf?.which === "none" ? undefined : halfWords(segment),
    abilities: new Map(chosen.elements.map((e) => [e, list.find((a) => a.id === ability(e).id) ?? ability(e)])),
    practice: new Map(result.answer.practice.map((p) => [p.code, p])),
  });
  show(at("heads"), Boolean(chosen));
  show(at("compare"), plans.length > 1);
  show(at("see"), Boolean(chosen));
  show(at("use"), Boolean(chosen));
  show(at("keep"), Boolean(chosen) && Boolean(inBook()));
  if (!chosen) return;
  setText(at("see"), t("plan.see", { value: at("total").textContent }));
  setText(at("use"), t("plan.use", { plan: NAMES[plan] }));
  const { season, category, segment: name, ...marks } = choice.chosen();
  at("use").href = `${server}program#${new URLSearchParams(filled({ season, category, segment: name, ...marks, text: asProgram(chosen) }))}`;
}

// drawBoth shows what the segments bring together, and leads to each.
function drawBoth() {
  const results = choice.segments().map(({ segment, title }) => ({ segment, title, answer: shown().find((r) => r.segment === segment)?.answer }));
  const whole = results.every(({ answer }) => answer);
  for (const id of ["noise", "compare", "use", "keep", "heads"]) show(at(id), false);
  showElements();
  show(at("see"), whole);
  at("which").dataset.labels = "";
  if (whole) showScores(results, goodTarget());
  else showScore();
  setText(at("see"), t("plan.see", { value: at("total").textContent }));
  const prices = whole ? results.map(({ title, answer }) => narrower(title, answer)).filter(Boolean) : [];
  at("price").replaceChildren(...prices.map((text) => make("p", {}, text)));
  show(at("price"), prices.length > 0);
  at("which").replaceChildren(...(whole ? results.map(partOf) : []));
}

// partOf is one segment of both, which a touch opens.
function partOf({ segment, title, answer: { plans: [first] } }) {
  const open = make("button", { type: "button", onclick: () => { plan = 0; choice.show(segment); } },
    make("span", {}, title), make("strong", {}, number(tenth(worth(first).whole))));
  const row = (e) => make("li", {}, make("span", { class: "code" }, e.code), make("span", { class: "number" }, number(e.expectedScore)));
  return make("div", { class: "part" }, open, make("ol", { class: "list" }, ...first.elements.map(row)));
}

function drawWhich(plans) {
  const labels = plans.map((p, i) => `${NAMES[i]} ${number(tenth(worth(p).whole))}`);
  if (at("which").dataset.labels === labels.join() && at("which").querySelector(":checked")?.value === String(plan)) return;
  at("which").dataset.labels = labels.join();
  const focused = at("which").contains(document.activeElement);
  at("which").replaceChildren(...(labels.length ? [make("fieldset", { class: "segmented", "aria-label": t("plan.plans") }, ...labels.map((label, i) => {
    const input = make("input", { type: "radio", name: "plan", value: i, onchange: () => { plan = i; draw(); } });
    input.checked = i === plan;
    return make("label", {}, input, label);
  }))] : []));
  if (focused) at("which").querySelector(":checked")?.focus();
}

// halfWords are the heads of both halves: the second says what is different in it.
function halfWords(segment) {
  const different = [half?.success < 1 && t("plan.lessOften"), segment.secondHalf?.text].filter(Boolean);
  return [t("plan.firstHalf"), [t("plan.secondHalf"), different.join("; ")].filter(Boolean).join(": ")];
}

function drawWishes() {
  const wished = list.filter((a) => a.wish), limited = said(limits, half, jumpsOf(list));
  show(at("wishes"), wished.length + limited.length > 0);
  at("wishes").replaceChildren(...wished.map((a) => make("li", {}, make("button", {
    type: "button", class: "small", "aria-label": t("plan.undoWish", { code: a.code, wish: t(`plan.wish.${a.wish}`) }), onclick: () => wish(a.id, ""),
  }, `${a.code} ${t(`plan.wish.${a.wish}`)} ×`))), ...limited.map((words) => make("li", { class: "note" }, words)));
}

const jumpsOf = (abilities) => new Map(abilities.filter((a) => a.element.kind === "jump").flatMap((a) => a.element.parts).filter((p) => p.turns > 1)
  .map((p) => [p.bare, p.name]));

function wish(id, name) {
  turn((a) => (a.id === id ? { ...a, wish: name } : a));
}

// otherHalf asks what the best program is worth with an element in its other half.
async function otherHalf(element) {
  const result = current(), ability = result.abilities[result.places[element.ability]];
  const moved = list.map((a) => (a.id === ability.id ? { ...a, wish: element.secondHalf ? "first" : "second" } : a));
  const [{ request }] = asked(moved);
  const answer = await api.call("PlanProgram", { ...request, plans: 1, target: "" });
  const less = hundredths(result.answer.plans[0].expectedNetScore) - hundredths(answer.plans[0].expectedNetScore);
  return t(less > 0 ? (element.secondHalf ? "plan.lessFirst" : "plan.lessSecond") : "plan.sameHalf", { points: number(points(Math.abs(less))) });
}

const known = (text) => read(text).filter((a, i, all) => all.findIndex((b) => b.code === a.code) === i);

// adopt reads abilities, asks what their codes are, and returns those that are elements
// and what is wrong with the others.
async function adopt(abilities) {
  if (!abilities.length) return { good: [], bad: [] };
  const { results } = await api.call("ParseElements", { season: choice.chosen().season, codes: abilities.map((a) => a.code) });
  const good = [], bad = [];
  results.forEach(({ element, error }, i) => {
    if (!element) return bad.push({ code: abilities[i].code, message: error.message.replace(/^codes\[\d+\]: /, "") });
    const here = !element.disciplines.length || !element.disciplines.includes(choice.discipline());
    if (here) return bad.push({ code: element.code, message: t("plan.notHere", { code: element.code }) });
    return good.push({ ...abilities[i], id: ++ids, code: element.code, element });
  });
  return { good, bad };
}

async function add(event) {
  event.preventDefault();
  await begun; // what the address holds is there first
  const field = at("code"), text = field.value;
  let found;
  try {
    found = await adopt(known(text));
  } catch (error) {
    return fault(field, error.temporary ? t("plan.away") : error.message);
  }
  if (field.value !== text) return undefined; // typed on meanwhile
  const twice = found.good.filter((a) => list.some((b) => b.code === a.code));
  const fresh = found.good.filter((a) => !twice.includes(a));
  field.value = found.bad.map((b) => b.code).join(" ");
  fault(field, found.bad.map((b) => b.message).join(" "));
  // What stands there already takes over only what was said of it now.
  list = [...list.map((a) => {
    const again = twice.find((b) => b.code === a.code);
    return again?.success === undefined ? a : { ...a, success: again.success };
  }), ...fresh];
  const silent = twice.filter((a) => a.success === undefined);
  if (silent.length) toast(t("plan.twice", { codes: silent.map((a) => a.code).join(", ") }));
  field.focus();
  return changed();
}

const showAbilities = abilityList({
  changed(id, values, live) {
    list = list.map((a) => (a.id === id ? { ...a, ...values, ...("success" in values && { attempts: 0 }) } : a));
    return live ? draw() : changed();
  },
  removed(id) {
    const before = list, gone = list.find((a) => a.id === id);
    list = list.filter((a) => a.id !== id);
    changed();
    toast(t("plan.gone", { code: gone.code }), { label: t("plan.bring"), run: () => { list = before; changed(); } });
  },
});
const showElements = elementList({ wish, otherHalf });
const openLimits = limitsPane((next) => { ({ limits, half } = next); changed(); });
const choice = choices(api, changed);
const compared = pane("compare-pane", t("plan.compare"), make("div", { id: "comparison" }));

function view(name, focus) {
  page.dataset.view = name;
  scrollTo(0, 0);
  at(focus).focus({ preventScroll: true });
}

// take brings back what a link or a file says.
async function take(wanted, text) {
  limits = limitsFrom(wanted.limits);
  half = halfFrom(wanted.half);
  targets = targetsOf(wanted);
  await choice.begin(wanted);
  const { good, bad } = await adopt(known(text));
  list = good;
  if (wanted.from === "book") await takeBook();
  if (bad.length) {
    at("code").value = bad.map((b) => b.code).join(" ");
    fault(at("code"), bad.map((b) => b.message).join(" "));
  }
  changed();
}

keeping({
  name: t("plan.file"), copied: t("plan.copied"), text: () => toFile(filled(address()), list),
  opened: (content) => take(...fromFile(content)).catch(broken),
});
const broken = (error) => setText(at("away"), error.temporary ? t("plan.away") : t("parts.broken", { why: error.message }));

// takeBook puts what the book says of the skater in the place of what stands here.
async function takeBook() {
  try {
    const { good } = await adopt(await fromBook(server, choice.chosen()));
    if (good.length) list = good;
    else toast(t("plan.bookEmpty", { name: inBook() }));
    changed();
  } catch (error) {
    refusedBy(error);
  }
}

// keepPlan makes the plan that is looked at the skater's program in the book.
async function keepPlan() {
  const { segment, answer } = current();
  try {
    const has = await keepProgram(server, segment, answer.plans[plan]);
    toast(has ? t("plan.keptFor", { name: inBook(), plan: NAMES[plan] }) : t("plan.bookEmpty", { name: inBook() }));
  } catch (error) {
    refusedBy(error);
  }
}

// refusedBy says why the book did not take a call.
function refusedBy(error) {
  if (error.status === undefined) throw error;
  toast(error.temporary ? t("plan.away") : [401, 403, 404].includes(error.status) ? t("plan.bookClosed") : error.message);
}

at("entry").addEventListener("submit", add);
at("fromBook").addEventListener("click", takeBook);
at("keep").addEventListener("click", keepPlan);
setText(at("keep"), t("plan.keepFor", { name: inBook() }));
setText(at("fromBook"), t("plan.fromBook", { name: inBook() }));
show(at("fromBook"), Boolean(inBook()));
at("example").addEventListener("click", async () => {
  list = (await adopt(known(EXAMPLE))).good;
  for (const field of at("marks").querySelectorAll("input")) field.value = EXAMPLE_MARK;
  changed();
});
at("limits").addEventListener("click", () => openLimits({ limits, half, names: jumpsOf(list) }));
at("target").addEventListener("input", () => {
  targets = { ...targets, [choice.mode()]: at("target").value.trim() };
  at("target").setAttribute("aria-invalid", String(Boolean(target()) && !goodTarget()));
  changed();
});
at("see").addEventListener("click", () => view("plan", "result-head"));
at("back").addEventListener("click", () => view("can", "can-head"));
at("toPractice").addEventListener("click", () => view("brings", "brings-head"));
at("toPlan").addEventListener("click", () => view("plan", "result-head"));
at("compare").addEventListener("click", () => {
  const { plans } = current().answer;
  at("comparison").replaceChildren(comparison(plans[0], plans[1]));
  compared.open();
});
document.addEventListener("pointerdown", (event) => { if (!at("rules").contains(event.target)) at("rules").open = false; });
at("rules").addEventListener("keydown", (event) => { if (event.key === "Escape") { at("rules").open = false; at("chosen").focus(); } });
addEventListener("hashchange", () => location.reload()); // another link in the same tab

Promise.resolve(api.ready).then(async (offline) => {
  setText(at("network"), t(offline ? "plan.alone" : "plan.asked"));
  if (offline && await keepPage(server)(choice.chosen().season, offline)) setText(at("network"), t("plan.reopens"));
});
const { text = "", ...wanted } = { category: "senior-women", segment: "free-skating", ...fromAddress() };
const begun = take(wanted, text).then(() => { page.dataset.ready = ""; }, broken);

// The page of practice: an attempt in two touches, kept at once on the phone and sent to
// the book that is open, and what the book makes of all of them.

import { Client, requestId } from "../../embed/client.js";
import { at, list, make, setText, show } from "../../embed/dom.js";
import { openEngine } from "../../embed/offline/page.js";
import { spelled } from "../../embed/spelling.js";
import { keeping as keepPage } from "../count/offline.js";
import { explain as refusal } from "../events/refusal.js";
import { ask } from "../parts/dialog.js";
import { button } from "../parts/form.js";
import { menu } from "../parts/menu.js";
import { keepAttempt, keepBook, openBook, phone, remember, wait, waiting } from "../parts/phone.js";
import { sending } from "../parts/sending.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { bookView } from "./book.js";
import { came } from "./came.js";
import { closedBook } from "./gate.js";
import { askGrade } from "./grade.js";
import { keeping, skaterPane } from "./keep.js";
import { read as readLink } from "./link.js";
import { outbox, skaterIn } from "./outbox.js";
import { runThrough } from "./run.js";
import { causesFor, counts, dayStart, tiles } from "./today.js";
import { nameOf, showHow } from "./touch.js";
import { amend, attemptsOf, drop, unsent, untimed } from "./waiting.js";

const AGAIN = 60_000; // ms until "the last … minutes ago" is said again

const server = new URL("../../", import.meta.url).href;
const page = at("main");
const rules = "engine" in page.dataset ? openEngine(server) : new Client(server);
const api = new Client(server);

// A link's token leaves the address bar before anything else happens.
const linked = readLink(location.hash);
if (linked) {
  keepBook(linked);
  history.replaceState(null, "", location.pathname + location.search);
}

let open = openBook(), info, closed = false; // the book: its id and token, what it is, whether it is closed to this phone
let skaters = [], name = phone().skater; // of the book, and who is on the ice
let today = []; // attempts of the skater that the book has, since this morning
let most = []; // codes that the book has most attempts of
let elements = new Map(); // what the codes are, by code
let asked = [], chosen, last; // codes that were typed, the element that is chosen, and what was kept last
let running = false; // a run-through
let loads = 0; // how often the book was asked about a skater
let reopens = false; // whether the page opens again without a network

api.token = open.token;

// explain says why a call was refused, or that the book is away.
const explain = (error) => (error.temporary ? t("practice.away") : refusal(error));

const skater = () => skaters.find((s) => s.name === name);
const mine = () => [...today, ...attemptsOf(waiting(), name)];
const program = () => skater()?.programs.at(-1);

const pill = sending(at("unsent"));
const box = outbox({
  api: () => api, book: () => (closed ? "" : open.book), explain, skaterOf,
  on: {
    changed: () => draw(),
    closed: () => { closed = true; draw(); },
    taken({ requestId: id, skater: who }, attempt) {
      if (who === name) today.push({ ...attempt, requestId: id });
      if (info) draw();
      else load(); // the server was away before
    },
  },
});

// skaterOf returns the id of a skater by the name; id is that of the attempt.
async function skaterOf(who, id) {
  const found = await skaterIn(api, open.book, skaters, who, id);
  ({ skaters } = found);
  return found.skater;
}

// learn asks what codes are; those that are none are left out.
async function learn(codes) {
  const fresh = [...new Set(codes)].filter((code) => !elements.has(code));
  if (!fresh.length) return;
  const { results } = await rules.call("ParseElements", { season: "current", codes: fresh });
  results.forEach(({ element }, i) => { if (element) elements = new Map([...elements, [fresh[i], element], [element.code, element]]); });
}

const codes = () => tiles(asked, most, mine().map((a) => a.planned), program()?.elements.map((e) => e.code) ?? []).filter((code) => elements.has(code));

// keep keeps an attempt at once. It returns what takeBack needs, or undefined where the
// phone keeps nothing.
function keep(attempt) {
  const full = { time: new Date().toISOString(), ...attempt };
  const id = keepAttempt(name, full);
  if (!id) {
    toast(t("practice.notKept"));
    return undefined;
  }
  last = { requestId: id, attempt: full, asking: true };
  setText(at("said"), `${full.planned} ${t("practice.kept", { came: nameOf(full) })}`);
  draw();
  box.run();
  return last;
}

// isOf finds an attempt of the book by the request id that it was sent with.
const isOf = (id) => (a) => a.requestId === id || a.attempt === box.id(id);

// put changes the attempt that was kept last, wherever it is by now.
function put(change) {
  const { requestId: id } = last;
  last = { ...last, attempt: { ...last.attempt, ...change } };
  const there = box.id(id);
  today = today.map((a) => (isOf(id)(a) ? { ...a, ...change } : a));
  box.change((items) => (there ? [...items, { requestId: requestId(), skater: name, of: there, change }] : amend(items, id, change)));
}

// takeBack takes back what was kept.
function takeBack({ requestId: id, attempt }) {
  today = today.filter((a) => !isOf(id)(a));
  last = undefined;
  box.takeBack(name, id);
  setText(at("said"), t("practice.undone", { code: attempt.planned }));
}

// someone asks whose attempts these are, where nobody is chosen.
async function someone() {
  if (!name) await addSkater();
  return Boolean(name);
}

const act = {
  async touch(touch, grade) {
    if (!(await someone())) return;
    const before = mine().filter((a) => a.planned === chosen.code).toReversed().map((a) => a.came);
    keep({ ...came(chosen, touch, before), ...(grade !== undefined && { grade }) });
  },
  async grade(touch) {
    const grade = await askGrade(touch ? chosen.code : last.attempt.planned);
    if (grade === undefined) return;
    if (touch) act.touch(touch, grade);
    else put({ grade });
  },
  undo: () => takeBack(last),
  put,
  cause(cause) {
    last = { ...last, asking: false };
    put({ cause });
  },
  async newCause() {
    const typed = await ask(t("practice.causeWord"), {
      yes: t("practice.add"), no: t("parts.back"), fields: { word: { label: t("practice.cause"), needed: true, value: "" } },
    });
    if (!typed) return;
    act.cause(typed.word);
    if (!info || info.causes.includes(typed.word)) return;
    info = { ...info, causes: [...info.causes, typed.word] };
    api.call("UpdateBook", { book: open.book, causes: { causes: info.causes } }).catch(() => undefined); // the attempt has it all the same
  },
  next() {
    last = { ...last, asking: false };
    draw();
  },
};

function choose(code) {
  chosen = elements.get(code);
  last = undefined;
  draw();
}

async function another() {
  const typed = await ask(t("practice.another"), {
    yes: t("practice.add"), no: t("parts.back"), fields: { code: { label: t("program.code"), needed: true, value: "" } },
  });
  if (!typed) return;
  const wanted = typed.code.split(/[\s,;]+/).map(spelled);
  try {
    await learn(wanted);
  } catch (error) {
    setText(at("away"), explain(error));
    return;
  }
  const known = wanted.filter((code) => elements.has(code)).map((code) => elements.get(code).code);
  if (known.length < wanted.length) toast(t("practice.noElement", { codes: wanted.filter((code) => !elements.has(code)).join(", ") }));
  asked = [...new Set([...known, ...asked])];
  if (known.length) choose(known[0]);
}

const run = runThrough({
  rules, keep, undo: takeBack, learn, elements: () => elements, program, skater,
  saved: (programs) => change({ programs: { programs } }), end: () => { running = false; draw(); },
});
const views = bookView({
  api, rules, server, book: () => open.book, skater, explain, opened: takeLink, look: (view) => look(view), changed: () => load(),
  choose: () => skaterPane(rules, skater(), change),
});

// change changes the skater in the book, and reports whether it did.
async function change(values) {
  try {
    const { skater: next } = await api.call("UpdateSkater", { book: open.book, skater: skater().skater, ...values });
    skaters = skaters.map((s) => (s.skater === next.skater ? next : s));
    wait(waiting().map((item) => (item.skater === name ? { ...item, skater: next.name } : item)));
    name = next.name;
    remember({ skater: name });
  } catch (error) {
    toast(explain(error));
    return false;
  }
  await load();
  return true;
}

// look goes to one of the views.
function look(view) {
  page.dataset.view = view;
  draw();
  if (view !== "attempts") views.open(view);
}

function segmented(place, label, options, now, taken) {
  const group = () => make("div", { class: "joined", role: "group", "aria-label": label });
  const key = (o) => make("button", { type: "button", onclick: () => taken(o.key) }, o.text);
  const press = (button, o) => button.setAttribute("aria-pressed", String(o.key === now));
  list(place, [label], () => label, group, (node) => list(node, options, (o) => o.key, key, press));
}

function tile(code) {
  return make("button", { type: "button", class: "tile-of", onclick: () => choose(code) }, make("span", { class: "code" }, code), make("small", {}));
}

function draw() {
  const n = unsent(waiting()), view = page.dataset.view, detail = view.startsWith("element");
  pill({ waiting: n, cut: box.cut() });
  show(at("unsent"), n > 0);
  drawMenu();
  show(at("closed"), closed);
  if (closed) closedBook(at("closed"), { n, opened: takeLink, forget: () => close() });
  for (const id of ["attempts", "book", "changes", "element"]) show(at(id), id === "element" ? detail : id === view);
  show(at("views"), !detail);
  segmented(at("views"), t("practice.views"), ["attempts", "book", "changes"].map((key) => ({ key, text: t(`practice.tabs.${key}`) })), view, look);
  if (view !== "attempts") return;

  segmented(at("mode"), t("practice.mode"), [
    { key: "single", text: t("practice.single") }, { key: "run", text: t("practice.run") }, { key: "another", text: t("practice.anotherKey") },
  ], running ? "run" : "single", (key) => {
    if (key === "another") return another();
    running = key === "run";
    last = undefined;
    chosen = running ? undefined : chosen;
    return draw();
  });
  const all = codes(), of = counts(mine());
  show(at("tiles"), !running);
  show(at("run"), running);
  if (running) run.draw(at("run"));
  list(at("tiles"), all, (code) => code, tile, (node, code) => {
    const c = of.get(code);
    node.setAttribute("aria-pressed", String(chosen?.code === code));
    setText(node.lastElementChild, c ? t("practice.soMany", { n: c.n, well: c.well }) : t("practice.noneToday"));
  });
  drawNone(all);
  const total = mine().length, newest = mine().reduce((time, a) => (a.time > time ? a.time : time), "");
  setText(at("count"), total ? t("practice.today", { n: total, ago: ago(newest) }) : "");
  show(at("see"), total > 0);
  drawRefused();
  setText(at("keeps"), open.book ? "" : t("practice.noBook"));
  showHow(running ? undefined : chosen, last, chosen ? causesFor(chosen.code, mine(), info?.causes ?? phone().causes) : [], act);
}

function ago(time) {
  const minutes = Math.floor((Date.now() - new Date(time)) / 60_000);
  if (minutes < 1) return t("practice.justNow");
  return minutes < 60 ? t("practice.minutes", { n: minutes }) : t("practice.hours", { n: Math.floor(minutes / 60) });
}

function drawNone(all) {
  const nobody = !running && !all.length;
  if (at("none").hidden !== !nobody) {
    at("none").replaceChildren(make("h2", {}, t("practice.empty")), make("p", {}, t("practice.emptyHow")),
      button(t("practice.first"), another, { class: "primary" }));
  }
  show(at("none"), nobody);
}

function drawRefused() {
  const key = (text, change) => button(text, () => box.change(change), { class: "small" });
  at("refused").replaceChildren(...waiting().filter((item) => item.refused).map((item) => make("p", { class: "fault" },
    make("span", {}, t("practice.refused", { code: item.attempt?.planned ?? "", why: item.refused }), " ",
      // A phone whose clock is wrong: the server's is taken instead.
      item.attempt?.time && key(t("practice.serverTime"), (items) => untimed(items, item.requestId)), " ",
      key(t("practice.drop"), (items) => drop(items, item.requestId))))));
}

async function addSkater() {
  const typed = await ask(t("practice.whose"), {
    note: open.book ? t("practice.whoseNote") : t("practice.whoseKept"), yes: t("practice.add"), no: t("parts.back"),
    fields: { name: { label: t("practice.name"), needed: true, value: "" } },
  });
  if (!typed) return;
  remember({ skaters: [...new Set([...phone().skaters, typed.name])] });
  turn(typed.name);
  draw();
  if (open.book && !skater()) await skaterOf(name, requestId()).catch(() => undefined); // with the first attempt, then
  await load();
}

let menuSays = "";
function drawMenu() {
  const names = [...new Set([...skaters.map((s) => s.name), ...waiting().map((item) => item.skater), ...(open.book ? [] : phone().skaters)])];
  const says = JSON.stringify([names, name, open.book, Boolean(skater()), info?.title]);
  if (says === menuSays) return;
  menuSays = says;
  at("skater").replaceChildren(menu(name || t("practice.noSkater"), ...names.map((who) => button(who, () => turnTo(who))),
    button(t("practice.addSkater"), addSkater),
    ...(skater() ? [button(t("practice.changeSkater", { name }), () => skaterPane(rules, skater(), change))] : []),
    button(t("practice.keptKey"), () => keeping({ api, info, open, reopens, skater: skater(), explain, changed: load, close, gone: forget }))));
}

// turn puts another skater on the ice. The first one takes over what was typed before.
function turn(who) {
  if (name) {
    [chosen, last, asked, most, today, running] = [undefined, undefined, [], [], [], false];
    run.forget();
  }
  name = who;
  remember({ skater: name });
}

// turnTo turns to another skater.
function turnTo(who) {
  turn(who);
  const loaded = load();
  draw(); // the keys of the one before are gone at once
  return loaded;
}

// close closes the book on this phone; a link opens it again, or another one.
function close(link) {
  keepBook(link && readLink(link));
  location.reload();
}

// forget takes a skater off the phone, who was deleted.
function forget(who) {
  wait(waiting().filter((item) => item.skater !== who));
  remember({ skaters: phone().skaters.filter((s) => s !== who), skater: "" });
  location.reload();
}

// takeLink opens another book with what was typed.
function takeLink(text) {
  const next = readLink(text);
  if (!next) return false;
  keepBook(next);
  location.reload();
  return true;
}

// load asks what the book has of the skater.
async function load() {
  const turn = ++loads, over = () => turn !== loads; // the answers are about an earlier skater
  most = phone().tiles[name] ?? []; // until the book answers
  if (open.book && !closed) {
    try {
      [{ book: info }, { skaters }] = await Promise.all([api.call("GetBook", { book: open.book }), api.call("ListSkaters", { book: open.book })]);
      if (over()) return;
      name ||= skaters[0]?.name ?? "";
      remember({ skater: name });
      today = [];
      if (skater()) {
        const { attempts } = await api.call("ListAttempts", {
          book: open.book, skater: skater().skater, from: dayStart(new Date()).toISOString(), pageSize: 1000,
        });
        if (over()) return;
        const meanwhile = today.filter((a) => !attempts.some((b) => b.attempt === a.attempt)); // since the book was asked
        today = [...attempts.toReversed(), ...meanwhile];
        const codesOf = await views.most();
        if (over()) return;
        most = codesOf;
        const hand = [...new Set([...most, ...(program()?.elements.map((e) => e.code) ?? [])])];
        remember({ tiles: { ...phone().tiles, [name]: hand }, causes: info.causes });
      }
      setText(at("away"), "");
    } catch (error) {
      if (over()) return;
      if ([401, 403, 404].includes(error.status)) closed = true;
      else setText(at("away"), explain(error));
    }
  }
  await learn([...most, ...mine().map((a) => a.planned), ...(program()?.elements.map((e) => e.code) ?? [])]).catch(() => undefined);
  chosen ??= elements.get(codes()[0]);
  draw();
  if (page.dataset.view !== "attempts") views.open(page.dataset.view, true);
  box.run();
}

at("see").addEventListener("click", () => views.attempts({ from: dayStart(new Date()).toISOString() }, load));
setInterval(draw, AGAIN);
load().then(() => { page.dataset.ready = ""; });
Promise.resolve(rules.ready).then(async (offline) => {
  const { current } = await rules.call("ListSeasons");
  reopens = await keepPage(server)(current, offline);
  page.dataset.reopens = reopens;
}).catch(() => undefined); // then it does not open again without a network

// The page that counts what is skated while it happens: touches make a spin or a step
// sequence, the engine in the page says its level at each of them, or the server where
// there is no engine.

import { Client } from "../../embed/client.js";
import { at, setText, show } from "../../embed/dom.js";
import { openEngine } from "../../embed/offline/page.js";
import { copy } from "../parts/copy.js";
import { phone, remember } from "../parts/phone.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { summary } from "./after.js";
import { usedBefore } from "./answer.js";
import { booked } from "./booked.js";
import { levels } from "./level.js";
import { showLevel } from "./live.js";
import { add, move, remove, replay } from "./film.js";
import { filming } from "./filming.js";
import { explain, keeping } from "./offline.js";
import { ready } from "./ready.js";
import { rules } from "./rules.js";
import { feel, MODES, voice } from "./said.js";
import { seasonChoice } from "./season.js";
import { spinning } from "./spinning.js";
import { stepping } from "./stepping.js";

const ENDS = 3_000, BEAT_ENDS = 20_000; // ms after the last touch; by the beat there are few

const wanted = Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
const server = new URL("../../", import.meta.url).href;
const season = wanted.season ?? phone().rules.season ?? "current";
const api = "engine" in at("main").dataset ? openEngine(server, { seasons: [season] }) : new Client(server);
const main = at("main");
const speaking = voice(phone().voice);

let state; // what is counted, as its kind holds it
let past = []; // it before each touch, with the touches of a film
let film; // where a film is counted: { events, beginning }
let shown; // what is said of it: { reading, form, error }
let earlier = []; // elements before it in the program: { element, call }
let ended = false; // by itself, so that a tap goes on
let ending; // the timer of that

const is = (name) => main.dataset.state === name;
const chosen = rules(api, (error) => {
  setText(at("away"), error ? error.message : "");
  if (!error) network();
  if (is("ready")) restart();
  else ask();
});

const listens = (name) => () => kind.name === name && (is("ready") || is("counting")) && at("reports").hidden && !document.querySelector("dialog[open]");
const count = {
  turn, back, touched, end: () => end(false), tell: (text) => is("counting") && tell(text),
  pause: () => clearTimeout(ending), number: (n) => speaking.count(n),
};
const kinds = { spin: spinning(count, chosen, listens("spin")), steps: stepping(count, chosen, listens("steps")) };
let kind = kinds[wanted.steps ? "steps" : "spin"];
const start = ready({ chosen, kind: () => kind, earlier: () => earlier, restart, forget: () => { earlier = []; restart(); } });

const book = booked(server, () => start.unsent());

const used = (f) => {
  const before = f.reason === "ALREADY_USED" && usedBefore(earlier.map((e) => e.call)).find((u) => u.feature === f.feature);
  return before ? t("count.usedIn", { n: before.element }) : "";
};
const form = () => shown?.form ?? (() => undefined);

const asking = levels(api, ({ answer, error }, { asked, of }) => {
  if (of !== state) return; // it was undone, or is over
  if (error) shown = { ...shown, error: error.temporary ? t("count.onlyCount") : error.message };
  else {
    const before = shown?.reading;
    shown = { reading: answer, form: kind.form(state, asked), error: undefined };
    const news = is("counting") ? kind.heard(before, answer, state) : {};
    if (news.text) {
      feel(news.felt);
      tell(news.text);
    }
  }
  draw();
});

// ask asks for the level of what stands now.
function ask() {
  if (!kind.request(state)) {
    shown = undefined;
    return;
  }
  const asked = kind.request(state, 1); // which has the places of what is to come too
  const { season: key, ...rest } = chosen.now(), of = state;
  const ahead = is("counting") && kind.asksAhead, elementWith = (n) => (n === 0 || ahead ? kind.request(of, n)?.element : undefined);
  asking({ season: key, rules: rest, earlier: earlier.map((e) => e.element), asked, of, elementWith, less: kind.less?.(of) });
}

function tell(text) {
  setText(at("said"), text);
  speaking.say(text);
}

// turn makes what a touch makes of it, and lets it be felt. In a film a touch stands at
// the film's time.
function turn(step, felt, { beat = false } = {}) {
  if (!is("counting")) {
    main.dataset.state = "counting";
    setText(at("said"), "");
    ended = false;
    if (at("ready").contains(document.activeElement)) document.activeElement.blur(); // keys are for the count now
    awake();
  }
  past.push({ state, film });
  if (film) filmed(add(film.events, reel.time(), step, felt));
  else state = step(state);
  feel(felt);
  ask();
  if (beat) draw();
  else touched();
}

// filmed takes other touches of the film.
function filmed(events) {
  film = { ...film, events };
  state = replay(events, film.beginning);
}
const retouch = (change) => (...touch) => {
  past.push({ state, film });
  filmed(change(film.events, ...touch));
  ask();
  draw();
};
const reel = filming({ moved: retouch(move), removed: retouch(remove) });

// touched begins the time again after which the count ends.
function touched() {
  clearTimeout(ending);
  if (!is("counting")) return;
  if (!film) ending = setTimeout(end, kind.beats?.() ? BEAT_ENDS : ENDS, true);
  draw();
}

function back() {
  if (!past.length) return;
  ({ state, film } = past.pop());
  ask();
  touched();
}

function end(byItself) {
  clearTimeout(ending);
  kind.still?.();
  if (!is("counting")) return;
  ended = byItself;
  if (kind.empty(state)) {
    restart();
    return;
  }
  main.dataset.state = "after";
  ask();
  draw();
  at("keep").focus({ preventScroll: true });
}

// restart is before the next element, in the order that is planned.
function restart() {
  clearTimeout(ending);
  kind.still?.();
  if (film) reel.close();
  film = undefined;
  [past, shown, ended] = [[], undefined, false];
  main.dataset.state = "ready";
  state = kind.begin(start.plan()?.[kind.name], start.entry());
  history.replaceState(null, "", location.pathname + location.search);
  start.draw();
  draw();
}

// correct changes it after it was counted.
function correct(next) {
  past.push({ state, film });
  state = next;
  ended = false;
  ask();
  draw();
}

function address() {
  const link = new URL(location.href);
  link.hash = new URLSearchParams({ ...chosen.now(), [kind.name]: JSON.stringify(kind.kept(state)) });
  return link.href;
}

function program() {
  const { season: key, category, segment } = chosen.now();
  const codes = [...earlier.map((e) => e.call.code), shown?.reading?.call.code].filter(Boolean);
  return new URL(`program#${new URLSearchParams({ season: key, category, segment, text: codes.join(", ") })}`, server).href;
}

// keep puts the attempt where the practice book finds it; it is the plan of the next one.
async function keep() {
  const call = shown?.reading?.call;
  if (!call?.code) return;
  const name = await start.who();
  if (!name) return;
  const planned = start.plan()?.code ?? call.code;
  const attempt = { time: new Date().toISOString(), planned: planned.replace(/V\d*$/, ""), came: call.code, level: kind.request(state).element };
  const id = book.keep(name, attempt);
  if (!id) {
    toast(t("count.notKept"));
    return;
  }
  const before = phone().plans;
  start.keepPlan(name, { [kind.name]: kind.kept(state), code: call.code, day: attempt.time.slice(0, 10) });
  restart();
  const undo = () => {
    book.takeBack(name, id);
    remember({ plans: before });
    restart();
  };
  toast(t("count.kept", { code: call.code, name }), { label: t("count.undo"), run: undo });
}

const after = {
  on() { turn((same) => same); past.pop(); },
  recount: restart, drop: restart, keep,
  report: ({ next }) => correct(next()),
  more: () => kind.more(state, shown?.reading, correct),
  seasons: () => seasonChoice(chosen),
  link: () => copy(address(), t("count.copied")),
  next() {
    const call = shown?.reading?.call;
    if (!call?.code) return;
    earlier.push({ element: kind.request(state).element, call });
    restart();
  },
};

function draw() {
  const counting = is("counting"), done = is("after"), reading = shown?.reading;
  show(at("ready"), is("ready"));
  show(at("live"), counting);
  show(at("after"), done);
  for (const one of Object.values(kinds)) one.shown(one === kind && !done);
  if (!done) kind.fill({ state, reading, counting });
  main.toggleAttribute("data-film", Boolean(film) && !done);
  show(at("filmed"), Boolean(film) && !done);
  if (film && !done) reel.draw(film.events);
  if (counting) {
    showLevel(reading, shown?.error, Boolean(kind.request(state)));
    setText(at("whose"), [start.name(), chosen.words()].filter(Boolean).join(" · "));
    at("features").replaceChildren(...kind.live(state, reading, form(), used));
    show(at("last"), at("said").textContent !== "");
  }
  if (done) {
    summary(at("after"), {
      reading, error: shown?.error, title: kind.title(state), rows: kind.rows(state, correct), list: kind.list(reading, form(), used),
      chips: kind.chips(reading, state), more: Boolean(kind.more), rules: chosen.words(), name: start.name(), ended,
      later: state.later, program: program(),
    }, after);
  }
}

function drawVoice() {
  for (const id of ["voice", "voice-live"]) {
    const missing = speaking.missing();
    setText(at(id), missing || t(`count.voices.${speaking.mode}`));
    at(id).disabled = Boolean(missing);
    if (id === "voice-live") show(at(id), !missing);
  }
}

// awake keeps the screen on where the browser lets a page do that.
async function awake() {
  try {
    await navigator.wakeLock.request("screen");
  } catch { /* the page says what to do instead */ }
}

for (const id of ["voice", "voice-live"]) {
  at(id).addEventListener("click", () => {
    speaking.set(MODES[(MODES.indexOf(speaking.mode) + 1) % MODES.length]);
    remember({ voice: speaking.mode });
    drawVoice();
  });
}
for (const [id, name] of [["is-spin", "spin"], ["is-steps", "steps"]]) {
  at(id).addEventListener("click", () => {
    kind = kinds[name];
    start.take();
  });
}
for (const [id, on] of [["i-tap", false], ["beat-runs", true]]) {
  at(id).addEventListener("click", () => {
    kinds.spin.beat(on);
    restart();
  });
}
at("from-film").addEventListener("click", () => at("film-file").click());
at("film-file").addEventListener("change", () => {
  const [file] = at("film-file").files;
  at("film-file").value = "";
  if (!file) return;
  film = { events: [], beginning: state };
  main.dataset.state = "counting";
  reel.open(file);
  draw();
});
at("film-done").addEventListener("click", () => end(false));
globalThis.speechSynthesis?.addEventListener?.("voiceschanged", drawVoice);
drawVoice();
// Leaving asks while something is counted that is not kept, unless it is taken along.
addEventListener("beforeunload", (event) => { if (!is("ready") && !document.activeElement.closest?.("a")) event.preventDefault(); });
addEventListener("hashchange", () => location.reload()); // another link in the same tab

async function open() {
  await chosen.begin(wanted);
  restart();
  const given = wanted[kind.name];
  if (given) {
    state = { ...kind.begin(), ...JSON.parse(given) };
    main.dataset.state = "after";
    ask();
    draw();
  }
  main.dataset.ready = "";
}

// network says what works without one. The phone keeps the page after all is there that
// it needs, so that nobody waits for that.
const keepPage = keeping(server);
async function network() {
  const engine = Boolean(await api.ready), key = chosen.now().season;
  const say = (reopens) => start.network({ engine, reopens, more: () => explain({ engine, reopens, season: key, server }) });
  say(false);
  say(await keepPage(key, engine));
}

book.run();
open().then(network).catch((error) => setText(at("away"), t("parts.broken", { why: error.message })));

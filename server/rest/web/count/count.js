// The page that counts a spin while it happens: touches make the spin, the engine in
// the page says its level at each of them, or the server where there is no engine.

import { Client } from "../../embed/client.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { openEngine } from "../../embed/offline/page.js";
import { copy } from "../parts/copy.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { spinRows, spinTitle, summary } from "./after.js";
import { heard, usedBefore } from "./answer.js";
import { frame } from "./frame.js";
import { keepAttempt, phone, remember, takeBack } from "./kept.js";
import { levels } from "./level.js";
import { featuresOf, partsOf, showLevel } from "./live.js";
import { explain, keeping } from "./offline.js";
import { ready } from "./ready.js";
import { reportable, reports } from "./reports.js";
import { rules } from "./rules.js";
import { feel, MODES, voice } from "./said.js";
import { seasonChoice } from "./season.js";
import { begin, edge, feature, FORMS, jump, kept, later, now, otherFoot, request, revolution, turns } from "./spin.js";
import { numberName, reasonShort } from "./tables.js";

const ENDS = 3_000; // ms after the last touch

const wanted = Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
const server = new URL("../../", import.meta.url).href;
const season = wanted.season ?? phone().rules.season ?? "current";
const api = "engine" in at("main").dataset ? openEngine(server, { seasons: [season] }) : new Client(server);

let spin = begin();
let past = []; // the spin before each touch
let shown; // what is said of it: { reading, form, error }
let earlier = []; // elements before it in the program: { element, call }
let ended = false; // by itself, so that a tap goes on
let ending; // the timer of that
const main = at("main");
const speaking = voice(phone().voice);

const is = (state) => main.dataset.state === state;
const chosen = rules(api, (error) => {
  setText(at("away"), error ? error.message : "");
  if (!error) network();
  if (is("ready")) restart();
  else ask();
});
const start = ready({ chosen, earlier: () => earlier, restart, forget: () => { earlier = []; restart(); } });

const form = (asked) => (place) => {
  const part = asked?.at(place);
  return part && spin.feet[part.foot]?.parts[part.part]?.form;
};
const used = (f) => {
  const before = f.reason === "ALREADY_USED" && usedBefore(earlier.map((e) => e.call)).find((u) => u.feature === f.feature);
  return before ? t("count.usedIn", { n: before.element }) : "";
};

const asking = levels(api, ({ answer, error }, { asked, of }) => {
  if (of !== spin) return; // it was undone, or is over
  if (error) shown = { ...shown, error: error.temporary ? t("count.onlyCount") : error.message };
  else {
    const { reading: before } = shown ?? {};
    shown = { reading: answer, form: form(asked), error: undefined };
    if (is("counting")) say(heard(before, answer));
  }
  draw();
});

// ask asks for the level of what stands now.
function ask() {
  const asked = request(spin);
  if (!asked) {
    shown = undefined;
    return;
  }
  const { season: key, ...rest } = chosen.now();
  const counting = is("counting"), elementWith = (n) => (n === 0 || counting ? request(spin, n)?.element : undefined);
  asking({ season: key, rules: rest, earlier: earlier.map((e) => e.element), asked, of: spin, elementWith });
}

// say speaks what is new.
function say({ count, held, struck }) {
  const words = [];
  const number = count && numberName(count);
  if (count) words.push(held ? t("count.notLevel", { number }) : number);
  if (struck) words.push([t("count.doesNot"), reasonShort(struck.reason)].filter(Boolean).join(": "));
  if (!words.length) return;
  feel(struck ? "struck" : "feature");
  tell(words.join("; "));
}
function tell(text) {
  setText(at("said"), text);
  speaking.say(text);
}

// turn makes the next spin of a touch.
function turn(next, what) {
  if (!is("counting")) {
    main.dataset.state = "counting";
    setText(at("said"), "");
    ended = false;
    awake();
  }
  past.push(spin);
  spin = next;
  if (what) feel(what);
  ask();
  touched();
  draw();
}

// touched begins the time again after which the count ends.
function touched() {
  clearTimeout(ending);
  ending = setTimeout(() => { ended = true; end(); }, ENDS);
}

function back() {
  if (!past.length) return;
  spin = past.pop();
  ask();
  touched();
  draw();
}

// short says that a part ended before it was one.
function short() {
  const part = now(spin);
  const least = Number(chosen.rule("levels.spins.revolutions.position") ?? 0);
  if (is("counting") && part?.form && part.revolutions > 0 && part.revolutions < least) tell(t("count.tooShort"));
}

const act = {
  revolution() {
    const next = revolution(spin);
    turn(next, "revolution");
    speaking.count(now(next).revolutions);
  },
  back, undo: back,
  edge(side) { short(); turn(edge(spin, side), "change"); },
  foot() { if (now(spin) || spin.feet.length) { short(); turn(otherFoot(spin), "change"); } },
  jump() { turn(jump(spin), "change"); },
  released() { if (is("counting")) { touched(); draw(); } },
  feature() {
    clearTimeout(ending);
    reports({ spin, reading: shown?.reading, features: chosen.features() }, (name) => turn(name ? feature(spin, name) : later(spin), "change"), touched);
  },
  end() { ended = false; end(); },
};
const fill = frame(act, () => (is("ready") || is("counting")) && at("reports").hidden && !document.querySelector("dialog[open]"));

function end() {
  clearTimeout(ending);
  if (!is("counting")) return;
  if (turns(spin) === 0) return restart();
  main.dataset.state = "after";
  ask();
  draw();
  at("keep").focus({ preventScroll: true });
}

// restart is before the next spin, in the order that is planned.
function restart() {
  clearTimeout(ending);
  [past, shown, ended] = [[], undefined, false];
  main.dataset.state = "ready";
  spin = begin(start.plan()?.spin, start.entry());
  history.replaceState(null, "", location.pathname + location.search);
  start.draw();
  draw();
}

// correct changes the spin after it was counted.
function correct(next) {
  past.push(spin);
  spin = next;
  ended = false;
  ask();
  draw();
}

function address() {
  const link = new URL(location.href);
  link.hash = new URLSearchParams({ ...chosen.now(), spin: JSON.stringify(kept(spin)) });
  return link.href;
}

function program() {
  const { season: key, category, segment } = chosen.now();
  const codes = [...earlier.map((e) => e.call.code), shown?.reading?.call.code].filter(Boolean);
  return new URL(`program#${new URLSearchParams({ season: key, category, segment, text: codes.join(", ") })}`, server).href;
}

// keep puts the attempt where the practice book finds it; the spin is the next one's plan.
async function keep() {
  const call = shown?.reading?.call;
  if (!call?.code) return;
  const name = await start.who();
  if (!name) return;
  const planned = start.plan()?.code ?? call.code;
  const attempt = { time: new Date().toISOString(), planned: planned.replace(/V\d*$/, ""), came: call.code, level: request(spin).element };
  if (!keepAttempt(name, attempt)) {
    toast(t("count.notKept"));
    return;
  }
  const before = phone().plans;
  start.keepPlan(name, { spin: kept(spin), code: call.code, day: attempt.time.slice(0, 10) });
  restart();
  toast(t("count.kept", { code: call.code, name }), { label: t("count.undo"), run: () => { takeBack(); remember({ plans: before }); restart(); } });
}

const after = {
  on() { turn(spin, undefined); past.pop(); },
  recount: restart, drop: restart, keep, report: (name) => correct(feature(spin, name, whereFor(name))),
  else: () => reports({ spin, reading: shown?.reading, features: chosen.features() }, (name) => name && correct(feature(spin, name)), () => undefined),
  seasons: () => seasonChoice(chosen),
  link: () => copy(address(), t("count.copied")),
  next() {
    const call = shown?.reading?.call;
    if (!call?.code) return;
    earlier.push({ element: request(spin).element, call });
    restart();
  },
};

// whereFor is the first part in which a feature fits that is reported in a position.
function whereFor(name) {
  for (const [f, foot] of spin.feet.entries()) {
    for (const [p, part] of foot.parts.entries()) if (part.form && reportable(chosen.features(), part.form, []).includes(name)) return { foot: f, part: p };
  }
  return undefined;
}

function draw() {
  const counting = is("counting"), done = is("after");
  show(at("ready"), is("ready"));
  show(at("live"), counting);
  show(at("frame"), !done);
  show(at("after"), done);
  fill({ spin, reading: shown?.reading, counting });
  if (counting) {
    showLevel(shown?.reading, shown?.error, Boolean(request(spin)));
    setText(at("whose"), [start.name(), chosen.words()].filter(Boolean).join(" · "));
    at("parts").replaceChildren(...partsOf(spin));
    at("features").replaceChildren(...featuresOf(shown?.reading, shown?.form ?? (() => undefined), (f) => used(f) || reasonShort(f.reason)));
    show(at("last"), at("said").textContent !== "");
  }
  if (done) {
    const reading = shown?.reading;
    const can = new Set(chosen.features().filter((f) => f.reported && whereFor(f.feature)).map((f) => f.feature));
    summary(at("after"), {
      reading, error: shown?.error, title: spinTitle(spin), rows: spinRows(spin, correct), chips: reading?.ahead.filter((name) => can.has(name)) ?? [],
      form: shown?.form ?? (() => undefined), why: (f) => [f.message, used(f)].filter(Boolean).join(" "),
      rules: chosen.words(), name: start.name(), ended, later: spin.later, program: program(),
    }, after);
  }
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
    draw();
  });
}
globalThis.speechSynthesis?.addEventListener?.("voiceschanged", draw);
addEventListener("beforeunload", (event) => { if (!is("ready")) event.preventDefault(); });
addEventListener("hashchange", () => location.reload()); // another spin's link in the same tab

async function open() {
  await chosen.begin(wanted);
  restart();
  if (wanted.spin) {
    const given = JSON.parse(wanted.spin);
    spin = { ...begin(), ...given };
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

open().then(network).catch((error) => setText(at("away"), t("parts.broken", { why: error.message })));

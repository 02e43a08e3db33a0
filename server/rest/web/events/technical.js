// The technical panel's desk: elements by their code or by what was skated, with the
// keyboard alone.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { spelled } from "../../embed/spelling.js";
import { number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { callList } from "./calls.js";
import { programCheck } from "./check.js";
import { codeReader } from "./codes.js";
import { deductionCounters } from "./deductions.js";
import { hasEnded, named, openDesk } from "./desk.js";
import { concerns } from "./outbox.js";
import { highest, rowsOf } from "./rows.js";
import { levelFinder } from "./skated.js";

const TWICE = 5_000; // ms in which nobody skates the same element again
const HALF = /\sx$/i; // behind a code: in the second half

openDesk({
  roles: ["TECHNICAL_PANEL", "ORGANISER", "ADMIN"], start,
  keys: [
    ["Enter", t("technical.keys.call")], ["F4", t("technical.keys.half")], ["F2", t("technical.keys.find")], ["F9", t("technical.keys.over")],
    ["↑ ↓", t("technical.keys.move")], ["e", t("technical.keys.change")], ["x", t("technical.keys.second")], ["?", t("technical.keys.look")],
    ["Ctrl Z", t("technical.keys.back")], ["Esc", t("technical.keys.leave")],
  ],
});

function start(desk) {
  const { act, api, outbox, refresh } = desk;
  let state = {}, rows = [];
  let skater; // who is on the ice, as far as this desk has turned to them
  let tint; // key of the chosen row; the newest without one
  let changing; // row whose new code is being typed
  let half = false; // the second half has begun
  let last; // { code, time, number } of the last call
  let twice; // { key, element, as, seconds } of a call that may be the same again
  let endToast = () => {};
  let found; // { code, skated } of the level finder
  const code = at("code"), fault = at("call-fault");
  const reader = codeReader(api, refresh);
  const check = programCheck(api, refresh);
  const deductions = deductionCounters(desk, false);
  at("deductions").replaceChildren(deductions.node);
  const finder = levelFinder(desk, at("finder"), () => state, (now) => {
    found = now;
    if (now) type(now.code);
  }, () => openFinder(false));
  const standing = () => rows.filter((r) => !r.gone);
  const tinted = () => standing().find((r) => r.key === tint) ?? standing().at(-1);

  // Whatever is sent here stands on a row until it is answered.
  const post = (call, request, about) => outbox.post(call, { ...named(state.performance), ...request }, { row: true, ...about });
  desk.answered = ({ element, performance }, { id, call, about }) => {
    if (call !== "CallElement") return;
    const done = performance.elements.find((e) => e.element === element);
    if (about.takenBack) outbox.post("RemoveElement", { ...named(performance), element }, { row: true }, `${id}-back`);
    else if (done && done.code !== about.code) toast(t("technical.calledAs", { code: about.code, as: done.code }));
    if (twice?.key === about.id) twice.element = element;
  };

  function type(text) {
    code.value = text;
    faulty("");
    reading();
  }
  function faulty(text) {
    setText(fault, text);
    code.setAttribute("aria-invalid", String(Boolean(text)));
  }

  // What the field says, and the code that goes out: the one that was read.
  const typed = () => code.value.trim().replace(HALF, "");
  const meant = () => reader.known(typed())?.element?.code ?? spelled(typed());
  function read(...codes) {
    if (state.event && !state.cut) reader.read(state.event.rules.season, codes);
  }
  function reading() {
    refresh();
    read(typed());
  }
  function fillRead(said) {
    const text = typed(), known = reader.known(text);
    const [codeNode, says] = at("read").firstChild.children, note = at("read").lastChild;
    const name = known?.element?.name;
    setText(codeNode, text && known?.error === undefined ? meant() : "");
    setText(says, !text ? "" : known?.error ? t("technical.noCode", { code: text }) : !name ? ""
      : said.baseValue ? t("technical.reads", { name, value: said.baseValue }) : name);
    setText(note, said.why ? `▲ ${said.lost ? t("technical.noValue") : t("technical.overRules")} ${said.why}`
      : said.baseValue ? t("technical.nothingAgainst") : "");
    note.classList.toggle("warning", Boolean(said.why));
  }

  function call() {
    const text = typed();
    if (!text || !state.performance) return;
    const known = reader.known(text);
    if (known?.error) return faulty(known.error.message);
    const short = meant(), secondHalf = half || HALF.test(code.value.trim());
    if (changing) return change(short);
    const now = Date.now();
    const id = `${now} ${short}`;
    const same = last && last.code === short && now - last.time < TWICE && standing().at(-1)?.code === short;
    twice = same ? { key: id, as: standing().length, seconds: Math.max(1, Math.round((now - last.time) / 1000)) } : undefined;
    last = { code: short, time: now };
    const how = found?.code === short ? { skated: found.skated } : { code: short };
    tint = undefined;
    type("");
    openFinder(false);
    post("CallElement", { ...how, secondHalf }, { base: highest(state.performance), code: short, id });
  }
  function change(short) {
    const row = rows.find((r) => r.key === changing.key);
    changing = undefined;
    type("");
    openFinder(false);
    if (!row) return;
    if (row.code !== short) post("ReviseElement", { element: row.element, code: short });
    if (row.inReview) post("ReviewElement", { element: row.element, inReview: false });
    refresh();
  }

  const does = {
    choose: (row) => { tint = row.key; },
    change(row) {
      if (row.item && !row.refused) return;
      if (row.item) outbox.drop(row.item);
      else changing = row;
      tint = row.key;
      type(row.code);
      code.select();
    },
    half: (row) => !row.item && post("ReviseElement", { element: row.element, secondHalf: !row.secondHalf }),
    look: (row) => !row.item && post("ReviewElement", { element: row.element, inReview: !row.inReview }),
    again: (row) => outbox.again(row.refused),
    back(row) {
      if (row.refused) return void outbox.drop(row.refused);
      const { performance } = state;
      const next = performance.elements[performance.elements.findIndex((e) => e.element === row.element) + 1];
      if (!row.item) post("RemoveElement", { element: row.element });
      else if (!outbox.drop(row.item)) outbox.mark(row.item, { takenBack: true });
      tint = undefined;
      last = undefined;
      if (twice?.key === row.item?.about.id || twice?.element === row.element) twice = undefined;
      endToast = toast(t("technical.taken", { n: row.number, code: row.code }), {
        label: t("technical.putBack"),
        run: () => outbox.post("CallElement", { ...named(performance), code: row.code, secondHalf: row.secondHalf, before: next?.element },
          { row: true, base: highest(performance), code: row.code }),
      });
      return undefined;
    },
  };
  function run(what, row) {
    if (!row || row.gone) return;
    does[what](row);
    refresh();
  }
  const fillList = callList(at("elements"), run);

  function openFinder(yes) {
    if (yes === !at("finder").hidden) return;
    show(at("finder"), yes);
    at("calling").classList.toggle("finding", yes);
    at("find").setAttribute("aria-expanded", String(yes));
    found = undefined;
    if (yes) finder.open();
  }
  const turnHalf = () => { half = !half; refresh(); };
  const ends = () => outbox.open("EndProgram").some((i) => !i.request.takeBack && concerns(state.performance)(i));
  const over = () => state.performance?.state === "ON_ICE" && !ends() && act("EndProgram", named(state.performance), fault);
  const goOn = () => act("EndProgram", { ...named(state.performance), takeBack: true }, fault);
  const nextUp = () => state.segment?.state === "RUNNING" && state.segment.order.find((s) => s.state === "WAITING");
  const callNext = () => {
    const { event, category, segment } = state;
    if (!outbox.open("CallSkater").length) act("CallSkater", { event: event.event, category: category.category, segment: segment.segment }, fault);
  };

  at("call").addEventListener("submit", (submit) => { submit.preventDefault(); call(); });
  at("half").addEventListener("click", turnHalf);
  at("find").addEventListener("click", () => openFinder(at("finder").hidden));
  code.addEventListener("input", () => { faulty(""); reading(); });
  // With nothing typed, letters act on the chosen row.
  const letters = { e: "change", x: "half", "?": "look" };
  code.addEventListener("beforeinput", (press) => {
    if (code.value !== "" || !letters[press.data] || !tinted() || changing) return;
    press.preventDefault();
    run(letters[press.data], tinted());
  });
  code.addEventListener("keydown", (press) => {
    const step = { ArrowUp: -1, ArrowDown: 1 }[press.key];
    if (step) {
      const all = standing(), now = all.indexOf(tinted());
      tint = all[Math.max(0, Math.min(all.length - 1, now + step))]?.key;
      if (tint === all.at(-1)?.key) tint = undefined; // it goes on with the newest
      setText(at("tint"), tinted() ? t("technical.chosen", { n: tinted().number, code: tinted().code }) : "");
    } else if (press.key === "z" && (press.ctrlKey || press.metaKey) && code.value === "") run("back", tinted());
    else return;
    press.preventDefault();
    refresh();
  });
  const keys = { F2: () => openFinder(at("finder").hidden), F4: turnHalf, F9: over };
  document.addEventListener("keydown", (press) => {
    if (!state.performance || document.querySelector("dialog, .menu[open]")) return;
    if (press.key === "Escape") {
      if (!at("finder").hidden) openFinder(false);
      else {
        changing = undefined;
        type("");
      }
    } else if (keys[press.key]) {
      press.preventDefault();
      keys[press.key]();
    } else if (press.key.length > 1 || press.key === " " || press.ctrlKey || press.metaKey || press.altKey || press.target.closest("input, select")) return;
    code.focus(); // what is typed anywhere goes into the field
  });
  // The field has the focus again after every press with a mouse; with a finger the
  // keyboard on the screen would come.
  let finger = false;
  document.addEventListener("pointerdown", (press) => { finger = press.pointerType === "touch"; });
  document.addEventListener("click", (press) => {
    if (press.detail > 0 && !finger && !press.target.closest("dialog, .menu, input, a, summary")) code.focus();
  });
  at("desk").addEventListener("shown", () => code.focus());

  function fillLook() {
    const again = standing().filter((r) => r.inReview);
    show(at("again"), again.length > 0 && at("finder").hidden);
    const button = (name, label) => make("button", { type: "button", name }, label);
    const create = () => make("li", {}, make("span", { class: "sign", "aria-hidden": "true" }, "◇"), make("span", { class: "code" }),
      button("change", t("technical.change")), button("look", t("technical.stays")));
    list(at("look"), again, (r) => r.key, create, (li, row) => {
      setText(li.children[1], `${row.number} ${row.code}`);
      for (const b of li.querySelectorAll("button")) b.onclick = () => run(b.name, row);
    });
  }

  function fillBar() {
    const { performance, segment } = state;
    const next = nextUp();
    const up = next && { label: t("technical.callNext", { n: next.number, name: next.name }), run: callNext };
    const unsent = rows.filter((r) => r.unsent).length, looks = standing().filter((r) => r.inReview).length;
    const end = performance && !ends() ? { label: t("technical.over"), keys: "F9", run: over } : undefined;
    if (!performance) {
      const waits = ["PLANNED", "DRAWN"].includes(segment?.state);
      const idle = t(hasEnded(segment) ? "desk.allSkated" : "technical.noneLeft");
      desk.bar({ say: next ? t("technical.nobody") : idle, note: waits ? t("technical.starts") : "", action: up || undefined });
    } else if (changing) desk.bar({ say: t("technical.changing", { n: changing.number, code: changing.code }), note: t("technical.changingNote") });
    else if (performance.state === "ON_ICE") {
      desk.bar(unsent && state.cut ? { say: t("technical.goOn", { n: unsent }), note: t("technical.goOnNote"), second: end }
        : { say: t("technical.say"), note: t("technical.count", { n: standing().length }), second: end });
    } else {
      const back = { label: t("technical.goesOn"), run: goOn };
      const say = looks ? t("technical.looksLeft", { n: looks }) : t("technical.wait", { name: performance.name });
      desk.bar({ say, note: t(unsent && state.cut ? "technical.goOnNote" : "technical.waitNote"), second: back, action: up && { ...up, blocked: true } });
    }
  }

  return (now) => {
    state = now;
    const { performance, segment } = now;
    const who = performance && `${performance.category} ${performance.segment} ${performance.entry}`;
    const turned = who !== skater;
    skater = who;
    for (const id of ["calling", "stands"]) show(at(id), Boolean(performance));
    show(at("waiting"), !performance);
    setText(at("waiting-title"), t(segment ? "desk.nobody" : "desk.noSegment"));
    rows = performance ? rowsOf(performance, now.pending) : [];
    if (turned) {
      tint = changing = last = twice = undefined;
      half = rows.at(-1)?.secondHalf ?? false;
      type("");
      openFinder(false);
      endToast();
      code.focus();
    }
    desk.figure(performance && t(now.cut ? "technical.scoreKnown" : "technical.score"), performance && number(performance.elementScore));
    if (performance) {
      const all = standing(), text = typed();
      const asked = text && !changing && reader.known(text)?.element ? [{ code: meant(), secondHalf: half || HALF.test(code.value.trim()) }] : [];
      const said = check(now, [...all, ...asked]);
      read(...all.map((row) => row.code));
      const judges = (segment.panel?.judges ?? 0) - performance.absentJudges.length;
      all.forEach((row, i) => Object.assign(row, {
        judges, tinted: row === tinted(), name: reader.known(row.code)?.element?.name,
        baseValue: row.baseValue || said[i].baseValue || "", why: said[i].why, lost: said[i].lost,
        twice: twice && (row.item?.about.id === twice.key || row.element && row.element === twice.element) ? twice : undefined,
      }));
      fillRead(asked.length ? said.at(-1) : {});
      setText(at("code-label"), changing ? t("technical.newCode", { n: changing.number, code: changing.code }) : t("technical.codeOf", { n: all.length + 1 }));
      setText(at("say").firstChild, changing ? t("technical.change") : t("technical.call"));
      at("half").setAttribute("aria-pressed", String(half));
      show(at("unsent"), Boolean(now.cut) && rows.some((r) => r.unsent));
      show(at("none"), rows.length === 0);
    }
    fillList(rows);
    fillLook();
    fillBar();
    return Promise.all([deductions.fill(now), finder.fill(now)]);
  };
}

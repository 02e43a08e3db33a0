// The referee's desk: it runs a segment from the order to the signature, with one
// action at a time.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { ApiError } from "../../embed/client.js";
import { ask, pane } from "../parts/dialog.js";
import { listed, number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { nth, t } from "../parts/words.js";
import { absentPart } from "./absent.js";
import { answers } from "./answers.js";
import { programCheck } from "./check.js";
import { correction } from "./correction.js";
import { deductionCounters } from "./deductions.js";
import { hasEnded, named, openDesk } from "./desk.js";
import { entriesPart } from "./entries.js";
import { openOf, waitFor } from "./open.js";
import { orderForm } from "./order.js";
import { panelPart } from "./panel.js";
import { event } from "./place.js";
import { queue } from "./queue.js";
import { explain } from "./refusal.js";
import { resultPart, resultTitle } from "./result.js";
import { segmentChoice } from "./segment.js";
import { scoreSheet } from "./sheet.js";

const CONFIRM = "Ctrl Enter";
// What the bar calls: one at a time, and pressed once until it is answered.
const OF_BAR = ["CallSkater", "ConfirmSkater", "EndProgram", "PublishSegment", "SetAbsentJudges", "StartSegment"];

openDesk({ roles: ["REFEREE", "ORGANISER", "ADMIN"], keys: [[CONFIRM, t("referee.keyConfirm")]], start });

function start(desk) {
  const { api, caller, outbox } = desk;
  const may = caller.role === "REFEREE"; // others run the segment, and do not confirm
  let state = {};
  let shown = {}; // the segment that is chosen, with its category
  let viewed; // a confirmed performance that was chosen in the queue, or "result"
  let fault; // { text, sequence }: why it was refused, until the event moves on
  let bar = {};
  const busy = () => outbox.open(...OF_BAR).length > 0;
  const names = () => ({ event, category: shown.category.category, segment: shown.segment.segment });
  const redraw = () => fill(state).catch(desk.refresh);

  // What is rarely needed stands in the menu.
  const part = (id, title, tag = "div") => {
    const place = make(tag, { id });
    return { place, ...pane(`${id}-pane`, title, place) };
  };
  const segments = part("segments", t("referee.otherSegment"));
  const select = make("select", { id: "segment" });
  segments.place.append(make("div", { class: "field" }, make("label", { for: "segment" }, t("referee.segment")), select));
  const orders = part("draw", t("referee.order"), "form"), entries = part("entries", t("referee.entries"));
  const absent = part("absent", t("referee.absent"), "fieldset"), panel = part("panel", t("referee.panel")), off = part("deductions", t("referee.deductions"));
  const deductions = deductionCounters(desk, true);
  off.place.append(deductions.node);
  const choose = segmentChoice(select, () => { viewed = undefined; redraw(); });
  const correct = correction(desk, (performance) => { viewed = performance; redraw(); });
  const parts = [
    orderForm(desk, orders.place, names), absentPart(desk, absent.place, names), entriesPart(desk, entries.place, false), panelPart(desk, panel.place),
    deductions.fill, resultPart(desk, at("result"), names), correct.fill, (now) => desks.fill(now),
  ];
  const fillSheet = scoreSheet(at("sheet"));
  const fillQueue = queue(view, redraw);
  const check = programCheck(api, () => redraw());
  const desks = answers(desk, redraw);

  async function view(entry) {
    fault = undefined;
    try {
      viewed = (await api.call("GetPerformance", { ...names(), entry })).performance;
    } catch (error) {
      refused(error);
    }
    redraw();
  }
  at("back").addEventListener("click", () => { viewed = undefined; redraw(); });
  at("correct").addEventListener("click", () => correct.open(subject(), shown).catch((error) => { refused(error); redraw(); }));

  function refused(error) {
    fault = { text: explain(error), sequence: state.sequence };
  }

  // run makes the call of the bar once, however often it is pressed.
  async function run(call, request, about) {
    if (busy()) return undefined;
    fault = undefined;
    viewed = undefined;
    try {
      return await outbox.send(call, request, about);
    } catch (error) {
      refused(error);
      return undefined;
    } finally {
      desk.refresh();
    }
  }

  // Something else may have moved on; what was seen and confirmed must still be the score.
  outbox.makes.ConfirmSkater = async ({ request, about }, again) => {
    if (!again) return { ...request, expectedSequence: about.sequence };
    const now = await api.call("GetPerformance", named(request));
    if (now.performance.scoreToConfirm?.segmentScore !== about.announced) throw new ApiError(409, { message: t("referee.moved") });
    return { ...request, expectedSequence: now.sequence };
  };

  async function confirm(acceptMissingMarks) {
    const p = state.performance, { sequence } = state, announced = p.scoreToConfirm.segmentScore;
    const done = await run("ConfirmSkater", { ...named(p), acceptMissingMarks }, { sequence, announced });
    if (done) toast(t("referee.confirmed", { score: number(announced), name: p.name }));
  }

  async function confirmWithout(open) {
    const p = state.performance;
    const yes = t("referee.confirm", { score: number(p.scoreToConfirm.segmentScore) });
    const note = `${listed(open.things.map((thing) => thing.text))} ${t("referee.withoutNote")}`;
    if (await ask(t("referee.withoutAsk", { n: open.marks }), { note, yes, no: t("referee.wait") })) confirm(true);
  }

  async function sign() {
    const request = names();
    const question = t("referee.signAsk", { category: shown.category.title, segment: shown.segment.title });
    if (await ask(question, { note: t("referee.signNote"), yes: t("referee.signYes"), no: t("referee.signNo") })) run("PublishSegment", request);
  }

  async function setAbsent(judge) {
    const request = { ...names(), judges: [...shown.segment.absentJudges, judge] };
    const answers = { note: t("referee.absentNote"), yes: t("referee.absentYes"), no: t("referee.wait") };
    if (await ask(t("referee.absentAsk", { judge }), answers)) run("SetAbsentJudges", request);
  }

  const worked = () => shown.segment && shown.segment === state.segment;
  const onIce = () => (worked() ? state.performance : undefined);
  const showsResult = () => viewed === "result" || (!viewed && !onIce() && hasEnded(shown.segment));

  // subject is the performance whose sheet is shown.
  function subject() {
    if (viewed && viewed !== "result") return viewed;
    return onIce() ?? (worked() && !showsResult() ? state.latest : undefined);
  }

  // what the bar says while somebody is on the ice.
  function confirming(p, open) {
    const score = p.scoreToConfirm?.segmentScore;
    const end = { label: t("referee.end"), run: () => run("EndProgram", named(p)) };
    const change = { label: t("referee.changeDeductions"), run: off.open };
    const skates = p.state === "ON_ICE"; // nobody is to be confirmed by a slip
    const ready = score && p.missing.length === 0 && !skates;
    const second = skates ? end : change;
    if (!may) return { say: t("referee.onIce", { name: p.name }), note: t("referee.refereeConfirms"), second };
    const label = ready ? t("referee.confirm", { score: number(score) }) : t("referee.confirmBare");
    const action = { label, keys: ready ? CONFIRM : "", blocked: !ready, run: () => confirm(false) };
    if (ready) return { say: t("referee.confirmSay", { score: number(score), name: p.name }), note: t("referee.confirmNote"), second, action };
    if (skates) return { say: t("referee.onIce", { name: p.name }), note: t("referee.lightsUpOver"), second, action };
    const without = score && { label: t("referee.without", { n: open.marks }), run: () => confirmWithout(open) };
    return { say: open.things.length ? waitFor(open) : p.missing.join(". "), note: t("referee.lightsUp"), second: without || change, action };
  }

  const titleOf = ({ category, segment }) => t("desk.segment", { category: category.title, segment: segment.title });

  function next() {
    const { segment } = shown;
    const title = segment && titleOf(shown);
    if (!segment) return { say: t("referee.noSegment"), note: t("referee.noSegmentNote") };
    if (segment.state === "PLANNED") {
      return { say: t("referee.planned", { title }), note: t("referee.plannedNote"), action: { label: t("referee.makeOrder"), run: orders.open } };
    }
    if (segment.state === "DRAWN") {
      const [first] = segment.order;
      return {
        say: t("referee.drawn", { title }), note: t("referee.drawnNote", { n: segment.order.length, first: first.name }),
        second: { label: t("referee.order"), run: orders.open }, action: { label: t("referee.start"), run: () => run("StartSegment", names()) },
      };
    }
    if (segment.state === "RUNNING") {
      const who = segment.order.find((s) => s.state === "WAITING");
      if (!who) return { say: t("referee.nobodyLeft") };
      const after = segment.order.filter((s) => s.state === "WAITING").length - 1;
      return {
        say: t("referee.callSay", { name: who.name }), note: after ? t("referee.callNote", { n: after }) : t("referee.callLast"),
        action: { label: t("referee.call", { number: who.number, name: who.name }), run: () => run("CallSkater", { ...names(), entry: who.entry }) },
      };
    }
    if (segment.state === "SKATED") {
      if (!may) return { say: t("referee.skated", { title }), note: t("referee.refereeSigns") };
      return { say: t("referee.signSay", { title }), note: t("referee.signLook"), action: { label: t("referee.sign"), run: sign } };
    }
    const all = state.event.categories.flatMap((c) => c.segments.map((s) => ({ category: c, segment: s })));
    const following = all.find((s) => s.segment.state === "DRAWN") ?? all.find((s) => s.segment.state === "PLANNED");
    const go = () => {
      select.value = `${following.category.category} ${following.segment.segment}`;
      select.dispatchEvent(new Event("change"));
    };
    return {
      say: t("referee.signed", { title }), note: t("referee.signedNote"),
      action: following && { label: t("referee.goOn", { title: titleOf(following) }), run: go },
    };
  }

  function fillBar() {
    const p = onIce();
    bar = p ? confirming(p, openOf(p, state.segment.panel?.judges ?? 0)) : next();
    if (bar.action && state.cut) {
      const say = busy() ? t("referee.cutSending") : (p ? t("referee.cutConfirm") : t("referee.cut"));
      bar = { ...bar, say, note: "", action: { ...bar.action, keys: "", blocked: true } };
    }
    if (busy() && bar.action) bar.action.blocked = true;
    desk.bar(bar);
  }

  document.addEventListener("keydown", (press) => {
    if (press.key !== "Enter" || !(press.ctrlKey || press.metaKey) || press.repeat || document.querySelector("dialog[open]") || at("desk").hidden) return;
    if (bar.action?.keys !== CONFIRM || bar.action.blocked) return;
    press.preventDefault();
    bar.action.run();
  });

  // places returns the places of an entry in the segment and over the segments so far.
  const placesOf = (place, final) => (place ? t("referee.places", { place: nth(place), final: final ? nth(final) : "–" }) : "");

  function fillScore(p) {
    const confirmed = p?.state === "CONFIRMED", announced = p?.scoreToConfirm;
    const score = confirmed ? p : announced;
    show(at("score-panel"), Boolean(p));
    document.querySelector(".three").classList.toggle("alone", !p);
    if (!p) return;
    const place = (standing) => standing?.places.find((s) => s.entry === p.entry)?.place;
    const lacking = p.missing.length ? t("referee.scoreWithout") : t("referee.scoreToConfirm");
    setText(at("score-title"), confirmed ? t("referee.scoreConfirmed") : announced ? lacking : t("referee.soFar"));
    setText(at("total"), number(score?.segmentScore ?? p.elementScore));
    at("total").classList.toggle("so-far", !score || p.missing.length > 0);
    const [inSegment, overall] = confirmed ? worked() ? [place(state.standing), place(state.finalStanding)] : [] : [announced?.place, announced?.finalPlace];
    setText(at("places"), placesOf(inSegment, overall));
    const figures = score ? [[t("referee.elements"), score.elementScore], [t("referee.components"), score.componentScore]] : [];
    figures.push([t("referee.deductions"), (score ?? p).totalDeductions]);
    list(at("score"), figures, (f) => f.join(), (f) => make("div", {}, make("dt", {}, f[0]), make("dd", {}, number(f[1]))), () => {});
    list(at("corrections"), p.corrections, (c) => `${c.time} ${c.scoreAfter}`,
      (c) => make("li", {}, t("referee.became", { before: number(c.scoreBefore), after: number(c.scoreAfter), reason: c.reason })), () => {});
    show(at("correct"), confirmed && may);
  }

  // whyNone says of a judge without a mark that the desk is away.
  function whyNone(judge, silent) {
    if (desks.seat({ role: "JUDGE", judge }).state === "nobody") return t("seats.emptyDesk");
    return silent.find((s) => s.judge === judge)?.text;
  }

  function openRow({ judge, kind }) {
    const absence = judge && make("button", { type: "button", class: "quiet", onclick: () => setAbsent(judge) }, t("referee.isAbsent", { judge }));
    return make("li", { "data-state": kind }, make("p", {}), absence);
  }

  function fillOpen(p, open) {
    show(at("open-panel"), Boolean(p) && p === onIce());
    if (!p || p !== onIce()) return;
    const checked = check(state, p.elements);
    const left = p.elements.map((e, i) => ({ what: `${i + 1} ${e.code}`, why: checked[i].why })).filter((e) => e.why)
      .map((e) => ({ kind: "warning", text: t("referee.left", e) }));
    const silent = desks.silent();
    const things = open.things.map((thing) => ({
      kind: thing.review ? "look" : "missing", judge: p.state === "ON_ICE" ? undefined : thing.judge,
      text: [thing.text, thing.judge && whyNone(thing.judge, silent)].filter(Boolean).join(" "),
    }));
    const away = silent.filter((s) => !open.things.some((thing) => thing.judge && thing.judge === s.judge))
      .map(({ text }) => ({ kind: "warning", text }));
    const others = things.length || p.state === "ON_ICE" ? [] : p.missing.map((text) => ({ kind: "missing", text }));
    const n = things.length + others.length;
    setText(at("open-title"), n ? t("referee.things", { n }) : p.state === "ON_ICE" ? t("referee.runs") : t("referee.nothingOpen"));
    const present = (state.segment.panel?.judges ?? 0) - p.absentJudges.length;
    setText(at("open-note"), n ? "" : p.state === "ON_ICE" ? t("referee.whileSkating") : t("referee.allMarked", { n: present }));
    list(at("open"), [...things, ...others, ...left, ...away], (o) => `${o.kind} ${o.judge ?? ""} ${o.text}`, openRow,
      (node, o) => setText(node.firstChild, o.text));
    const who = shown.segment.order.find((s) => s.state === "WAITING");
    setText(at("then"), who ? t("referee.then", { number: who.number, name: who.club ? `${who.name}, ${who.club}` : who.name }) : t("referee.thenSign"));
  }

  function fillWork(p) {
    const result = showsResult();
    show(at("sheet"), Boolean(p) && !result);
    show(at("result"), result);
    show(at("nothing"), !p && !result);
    const { segment } = shown;
    const title = p && p !== onIce() ? t("referee.sheetOf", { number: p.number, name: p.name }) : t("referee.sheet");
    setText(at("work-title"), result ? resultTitle(segment) : title);
    show(at("back"), Boolean(viewed));
    at("work-title").parentElement.classList.toggle("aloud", !result && !viewed && p === onIce()); // whose it is says the strip
    setText(at("back"), onIce() ? t("referee.backTo", { name: onIce().name }) : t("referee.back"));
    setText(at("nothing-title"), t(segment?.order.length ? "referee.nobodyYet" : "referee.noOrder"));
    setText(at("nothing-note"), t(segment?.order.length ? "referee.nobodyYetNote" : "referee.noOrderNote"));
    if (p && !result) fillSheet(p, segment.panel?.judges ?? 0);
  }

  function fillMenu() {
    const { segment } = shown;
    const official = segment?.state === "OFFICIAL";
    setText(at("result-state"), official ? t("referee.official") : ["RUNNING", "SKATED"].includes(segment?.state) ? t("referee.provisional") : "");
    at("result-state").dataset.state = official ? "official" : "provisional";
    const running = segment && ["RUNNING", "SKATED"].includes(segment.state);
    const several = state.event.categories.flatMap((c) => c.segments).length > 1;
    desk.more([
      segment && { label: t("referee.order"), run: orders.open },
      { label: t("referee.entries"), run: entries.open },
      segment && { label: t("referee.absent"), run: absent.open },
      { label: t("referee.panel"), run: panel.open },
      onIce() && { label: t("referee.deductions"), run: off.open },
      onIce()?.state === "REVIEW" && { label: t("technical.goesOn"), run: () => run("EndProgram", { ...named(onIce()), takeBack: true }) },
      running && segment.order.some((s) => s.state === "CONFIRMED") && { label: t("referee.resultSoFar"), run: () => { viewed = "result"; redraw(); } },
      several && { label: t("referee.otherSegment"), run: segments.open },
    ].filter(Boolean));
  }

  async function fill(now) {
    if (now.performance && now.performance.entry !== state.performance?.entry) viewed = undefined;
    if (fault && fault.sequence !== now.sequence) fault = undefined;
    state = now;
    shown = choose(now);
    const p = subject(), ice = onIce();
    const open = ice ? openOf(ice, state.segment.panel?.judges ?? 0) : undefined;
    const waiting = shown.segment?.order.find((s) => s.state === "WAITING");
    const over = open?.things.length ? t("referee.things", { n: open.things.length }) : t("referee.ready");
    const note = ice ? ice.state === "ON_ICE" ? t("desk.onIce") : over : t("referee.isNext");
    fillQueue({
      segment: shown.segment, note, now: ice?.entry ?? (shown.segment?.state === "OFFICIAL" ? undefined : waiting?.entry), chosen: viewed?.entry,
      scores: new Map((worked() ? state.standing?.places ?? [] : []).map((s) => [s.entry, s.segmentScore])),
    });
    setText(at("fault"), fault?.text ?? "");
    fillWork(p);
    fillScore(p);
    fillOpen(p, open);
    fillMenu();
    fillBar();
    await Promise.all(parts.map((fillPart) => fillPart(now, shown)));
  }
  return fill;
}

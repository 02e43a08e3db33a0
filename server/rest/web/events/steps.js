// How far an event is: the steps to its first skater, and what is most urgent.

import { t } from "../parts/words.js";
import { roleName } from "./gate.js";
import { stateOf } from "./segment.js";

/** STEPS are the organiser's, in their order. */
export const STEPS = ["event", "categories", "skaters", "panel", "seats", "orders", "start"];

const panelOf = (e) => e.panel ?? e.categories.flatMap((c) => c.segments).find((s) => s.panel)?.panel;

/** segmentsOf returns the segments of all categories, each with its category and its name in full. */
export const segmentsOf = (categories) => categories.flatMap((c) => c.segments
  .map((s) => ({ ...s, category: c.category, name: t("organiser.of", { category: c.title, segment: s.title }) })));

// word names a desk inside a sentence.
const word = (seat) => (seat.judge ? roleName(seat) : t("organiser.the", { desk: roleName(seat) }));

/**
 * progress returns { steps, say, note, action, second } for a state of the event and the
 * desks of its panel: each step { id, state: "done", "now" or "todo", note }, what to do
 * now, and choices { label, run, … }, run being the name of what they do.
 */
export function progress({ event: e }, seats) {
  const segments = segmentsOf(e.categories);
  const first = e.categories.map((c) => segments.find((s) => s.category === c.category)).filter(Boolean);
  const drawn = first.filter((s) => s.state !== "PLANNED");
  const skaters = e.categories.reduce((sum, c) => sum + c.entryCount, 0);
  const panel = panelOf(e);
  const started = segments.filter((s) => ["RUNNING", "SKATED", "OFFICIAL"].includes(s.state));
  const running = segments.find((s) => s.state === "RUNNING" || s.state === "SKATED");
  const answers = seats.filter((s) => s.state === "answers");
  const next = running ?? segments.find((s) => s.state !== "OFFICIAL");

  const categories = e.categories.length;
  const done = {
    event: [true, t("organiser.note.event", { season: e.rules.season })],
    categories: [categories > 0, categories > 0 &&
      t("organiser.note.categories", { n: categories, segments: t("organiser.segments", { n: segments.length }) })],
    skaters: [categories > 0 && e.categories.every((c) => c.entryCount > 0), skaters > 0 && t("organiser.note.skaters", { n: skaters })],
    panel: [Boolean(panel), panel && t("organiser.note.panel", { n: panel.judges })],
    seats: [seats.length > 0 && answers.length === seats.length, seats.length > 0 && t("organiser.note.seats", { n: answers.length, all: seats.length })],
    orders: [drawn.length > 0 && drawn.length === first.length, first.length > 0 && t("organiser.note.orders", { n: drawn.length, all: first.length })],
    start: [segments.length > 0 && started.length === segments.length, next ? t("organiser.note.start", { segment: next.name, state: stateOf(next) }) :
      segments.length > 0 && t("organiser.note.signed")],
  };
  const now = STEPS.find((id) => !done[id][0]);
  const steps = STEPS.map((id) => ({ id, state: done[id][0] ? "done" : id === now ? "now" : "todo", note: done[id][1] || t("organiser.note.none") }));
  return { steps, ...urgent({ e, seats, segments, first, panel, started, next }) };
}

// urgent returns what to do now, whichever step is open.
function urgent({ e, seats, segments, first, panel, started, next }) {
  const openStep = (step, label) => ({ run: "open", step, label });
  const silent = seats.find((s) => s.state === "silent");
  const absent = seats.filter((s) => s.given && s.state === "nobody");
  const bare = seats.filter((s) => !s.given);
  const empty = e.categories.find((c) => c.entryCount === 0);
  const undrawn = first.find((s) => s.state === "PLANNED");
  const over = segments.length > 0 && segments.every((s) => s.state === "OFFICIAL");
  if (over) return { say: t("organiser.say.over"), action: { run: "papers", label: t("organiser.act.papers") } };
  if (silent) {
    return {
      say: t("organiser.say.silent", { desk: silent.name, who: word(silent) }), note: t("organiser.say.silentNote"),
      action: { run: "code", seat: silent, label: t("organiser.act.code", { desk: word(silent) }) }, second: openStep("seats", t("organiser.act.seats")),
    };
  }
  if (!e.categories.length) return { say: t("organiser.say.categories"), action: openStep("categories", t("organiser.act.categories")) };
  if (empty) return { say: t("organiser.say.skaters", { category: empty.title }), action: openStep("skaters", t("organiser.act.skaters")) };
  if (!panel) return { say: t("organiser.say.panel"), action: openStep("panel", t("organiser.act.panel")) };
  if (bare.length) {
    return {
      say: t("organiser.say.sheets", { n: bare.length }), note: t("organiser.say.sheetsNote"),
      action: { run: "sheets", list: bare, label: t("organiser.act.sheets", { n: bare.length }) }, second: openStep("seats", t("organiser.act.seats")),
    };
  }
  const code = absent.length && { run: "code", seat: absent[0], label: t("organiser.act.code", { desk: word(absent[0]) }) };
  const waits = absent.length ? { note: t("organiser.say.absent", { n: absent.length, desk: word(absent[0]) }), second: code } : {};
  const bareOrder = undrawn ?? (next.state === "PLANNED" && next);
  if (bareOrder) {
    const order = { ...openStep("orders", t("organiser.act.orders")), segment: `${bareOrder.category} ${bareOrder.segment}` };
    return { say: t("organiser.say.orders", { segment: bareOrder.name }), ...waits, action: order };
  }
  if (next.state === "DRAWN") {
    const begin = { run: "start", segment: next, label: t("organiser.act.start") };
    if (absent.length) return { say: waits.note, note: t("organiser.say.thenStart", { segment: next.name }), action: code, second: begin };
    return { say: started.length ? t("organiser.say.startNext", { segment: next.name }) : t("organiser.say.start", { segment: next.name }), action: begin };
  }
  const say = t("organiser.say.running", { segment: next.name, state: stateOf(next) });
  return { say, note: waits.note ?? t("organiser.say.referee"), second: waits.second };
}

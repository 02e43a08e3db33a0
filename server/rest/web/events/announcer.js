// The announcer's desk: what is to be read aloud now, and whom to call then. It only
// reads; that a score was read is known here alone.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { clock, number } from "../parts/numbers.js";
import { nth, t } from "../parts/words.js";
import { answers } from "./answers.js";
import { openDesk } from "./desk.js";
import { segmentTitle } from "./frame.js";
import { event } from "./place.js";

const SIZES = [100, 125, 150]; // percent of the text
const sizeKey = `rinktally text ${event}`;
const COMING = 3; // skaters after the next

openDesk({ roles: ["ANNOUNCER", "VIEWER", "REFEREE", "ORGANISER", "ADMIN"], skater: false, keys: [["Space", t("announcer.keyRead")]], start });

function start(desk) {
  let state = {};
  let bar = {};
  let segment; // whose scores are known
  let known = new Map(); // the score that was read of each entry; what differs is to be read

  const size = () => Number(sessionStorage.getItem(sizeKey) ?? SIZES[0]);
  const enlarge = () => { document.documentElement.style.fontSize = `${size()}%`; };
  function bigger() {
    sessionStorage.setItem(sizeKey, SIZES[(SIZES.indexOf(size()) + 1) % SIZES.length]);
    enlarge();
    desk.refresh();
  }
  enlarge();
  // A viewer may not see who sits where.
  const desks = desk.caller.role === "VIEWER" ? undefined : answers(desk, desk.refresh);

  document.addEventListener("keydown", (press) => {
    if (press.key !== " " || press.repeat || press.target.closest("button, a, summary, dialog") || at("desk").hidden) return;
    press.preventDefault();
    bar.action?.run();
  });

  const key = (now) => `${now.category?.category} ${now.segment?.segment}`;

  // toRead returns the places whose score was not read yet, those that were corrected first.
  function toRead({ standing }) {
    const unread = standing.places.filter((p) => p.segmentScore && known.get(p.entry) !== p.segmentScore);
    return unread.sort((a, b) => Number(known.has(b.entry)) - Number(known.has(a.entry)));
  }

  // know takes what was confirmed before this desk was opened as read, but for the last.
  function know(now) {
    if (segment === key(now)) return;
    const first = segment === undefined;
    segment = key(now);
    const last = now.latest?.state === "CONFIRMED" ? now.latest.entry : undefined;
    const scored = first ? (now.standing?.places ?? []).filter((p) => p.segmentScore && p.entry !== last) : [];
    known = new Map(scored.map((p) => [p.entry, p.segmentScore]));
  }

  function sentence(p, final, corrected) {
    const about = { segment: segmentTitle(state), name: p.name, club: p.club, score: number(p.segmentScore) };
    const score = corrected ? t("announcer.corrected", about) : p.club ? t("announcer.receivesClub", about) : t("announcer.receives", about);
    const place = p.place ? t("announcer.place", { place: nth(p.place) }) : "";
    const overall = final?.place && final.segments.length > 1 ? t("announcer.overall", { total: number(final.totalScore), place: nth(final.place) }) : "";
    return [score, place, overall].filter(Boolean).join(" ");
  }

  function fillRead(p) {
    const corrected = Boolean(p) && known.has(p.entry);
    setText(at("read-title"), p ? corrected ? t("announcer.readCorrected") : t("announcer.readNow") : t("announcer.nothing"));
    at("read-panel").classList.toggle("now", Boolean(p));
    setText(at("read-name"), p?.name ?? "");
    setText(at("read-club"), p?.club ?? "");
    setText(at("read-score"), p ? number(p.segmentScore) : "");
    setText(at("read-say"), p ? sentence(p, state.finalStanding?.places.find((f) => f.entry === p.entry), corrected) : t("announcer.nothingNote"));
    const parts = p ? [[t("referee.elements"), p.elementScore], [t("referee.components"), p.componentScore], [t("referee.deductions"), p.totalDeductions]] : [];
    list(at("read-parts"), parts, (f) => f.join(), (f) => make("div", {}, make("dt", {}, f[0]), make("dd", {}, number(f[1]))), () => {});
  }

  function fillCall(now, coming) {
    const p = now.performance, who = p ?? coming[0];
    setText(at("call-title"), p ? t("announcer.onIce") : who ? t("announcer.call") : now.segment ? t("announcer.nobody") : t("announcer.whom"));
    setText(at("call-name"), who ? `${who.number} ${who.name}` : "");
    setText(at("call-club"), who?.club ?? "");
    const program = now.entries.find((e) => e.entry === who?.entry)?.programTitle ?? "";
    show(at("program"), Boolean(program));
    setText(at("program-title"), program);
    const about = who && { number: who.number, club: who.club, name: who.name };
    const wait = now.segment ? "" : t("announcer.nobodyNote");
    setText(at("call-say"), !who ? wait : p ? "" : who.club ? t("announcer.nextClub", about) : t("announcer.next", about));
    const rest = (p ? coming : coming.slice(1)).slice(0, COMING);
    const groupBefore = (s) => now.segment.order.find((o) => o.number === s.number - 1)?.group ?? s.group;
    const rows = rest.flatMap((s) => (s.group === groupBefore(s) ? [s] : [{ group: s.group }, s]));
    const row = (s) => (s.entry ? make("li", {}, ...["index", "name", "club"].map((name) => make("span", { class: name }))) : make("li", { class: "note" }));
    list(at("after-rows"), rows, (s) => s.entry ?? `group ${s.group}`, row, (node, s) => {
      if (!s.entry) return setText(node, t("announcer.group", { n: s.group }));
      return [String(s.number), s.name, s.club].forEach((text, i) => setText(node.children[i], text));
    });
    show(at("after"), rows.length > 0);
  }

  function fillStanding(now, p) {
    const placed = (now.standing?.places ?? []).filter((s) => s.place);
    const { segment: of } = now;
    setText(at("standing-title"), of ? t("announcer.standing", { segment: of.title, n: placed.length, all: of.order.length }) : t("announcer.noStanding"));
    const row = () => make("li", {}, ...["index", "name", "value"].map((name) => make("span", { class: name })));
    show(at("standing-none"), placed.length === 0);
    list(at("standing-rows"), placed, (s) => s.entry, row, (node, s) => {
      node.dataset.state = s.entry === p?.entry ? "now" : "";
      [`${s.place}${s.shared ? "=" : ""}`, s.name, number(s.segmentScore)].forEach((text, i) => setText(node.children[i], text));
    });
  }

  return (now) => {
    state = now;
    know(now);
    const coming = now.segment?.order.filter((s) => s.state === "WAITING") ?? [];
    const [p] = now.standing ? toRead(now) : [];
    fillRead(p);
    fillCall(now, coming);
    fillStanding(now, p);
    const say = p ? t("announcer.sayRead", { name: p.name }) : now.performance ? t("referee.onIce", { name: now.performance.name })
      : coming[0] ? t("announcer.sayCall", { name: coming[0].name }) : t("announcer.sayWait");
    const silent = desks?.silent().map((s) => s.text).join(" ");
    bar = {
      say, note: now.cut ? t("announcer.cut", { time: clock(now.cut) }) : silent || t("announcer.note"),
      second: { label: size() === SIZES.at(-1) ? t("announcer.smaller") : t("announcer.bigger"), run: bigger },
      action: p && { label: t("announcer.isRead"), keys: "Space", run: () => { known.set(p.entry, p.segmentScore); desk.refresh(); } },
    };
    desk.bar(bar);
    return desks?.fill(now);
  };
}

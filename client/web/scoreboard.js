// <rinktally-scoreboard event="spring-cup" server="https://scores.example">: the
// live scoreboard of an event, for a club's site.
//
//   event     id of the event
//   server    address of the server; left out, the one that this script came from
//   token     where reading is restricted: a token that may read
//   rows      most places to list, for a screen that cannot be scrolled
//   category  a category of the event, and
//   segment   one of its segments, or without it the result over all of them; left
//             out, what is skated now
//   view      standing, result (nothing but places), or skater
//   entry     with skater: whose score sheet is shown
//
// The element fires "scoreboard" with each new one, and "show" when who looks at it
// has opened something else, with { category, segment, view, entry }. What is put
// inside the element stands below its title.

import { followAge } from "./age.js";
import { Client } from "./client.js";
import { define, Element, list, make, setText, show } from "./dom.js";
import look from "./look.css.js";
import { followPlaces } from "./places.js";
import { Reading } from "./reading.js";
import styles from "./scoreboard.css.js";
import { corrections, outOf, sheetParts } from "./sheet.js";
import { watchScoreboard } from "./watch.js";
import { capital, clock, figure, inside, moment, nth, say } from "./words.js";

const home = new URL("../", import.meta.url).href;
const STATES = { ON_ICE: "onIce", REVIEW: "review", CONFIRMED: "confirmed", OUT: "out" };
const PLACED = ["category", "segment"];
const OPENED = ["category", "segment", "view", "entry"];

/** fitting returns the first places, and always that of the one who skates. */
function fitting(all, most, now) {
  const at = all.findIndex((s) => s.entry === now);
  return at < most ? all.slice(0, most) : [...all.slice(0, most - 1), all[at]];
}

/** afterGaps returns the rows before which there are others that are not listed. */
function afterGaps(rows) {
  let missing = 0; // so far; who shares a place stands right behind the other
  return new Set(rows.filter(({ place }, i) => {
    if (!place || place === rows[i - 1]?.place || place <= i + 1 + missing) return false;
    missing = place - i - 1;
    return true;
  }));
}

/** numeric is a name with a number under it. */
function numeric(title, main) {
  const value = make("dd");
  return { box: make("div", main ? { class: "main" } : {}, make("dt", {}, title), value), value };
}

const several = (final) => (final?.places ?? []).some((f) => f.segments.length > 1);
const named = ({ categoryTitle, segmentTitle }) =>
  (segmentTitle ? say("segment", { category: categoryTitle, segment: inside(segmentTitle) }) : say("allSegments", { category: categoryTitle }));

export class RinktallyScoreboard extends Element {
  static observedAttributes = ["event", "server", "token", "rows", ...OPENED];

  #parts;
  #board;
  #stop;
  #all; // the places of a large category, where they are asked for
  #reading; // what the board does not hold
  #filling;
  #age = followAge({ age: (age) => this.#aged(age) });

  connectedCallback() {
    if (!this.shadowRoot) this.#build();
    this.#watch();
  }

  disconnectedCallback() {
    this.#leave();
  }

  #leave() {
    this.#stop?.();
    this.#all?.stop();
    this.#age.stop();
    this.#stop = this.#all = undefined;
  }

  attributeChangedCallback(name, before, now) {
    if (!this.isConnected || before === now || !this.shadowRoot) return;
    if (name === "rows" || OPENED.includes(name)) this.#later();
    else this.#watch();
  }

  // #later fills the board once, after all attributes have been changed.
  #later() {
    this.#filling ??= Promise.resolve().then(() => {
      this.#filling = undefined;
      this.#fill();
    });
  }

  #watch() {
    this.#leave();
    const event = this.getAttribute("event");
    if (!event) {
      setText(this.#parts.nothing, say("missing"));
      return;
    }
    const client = this.#client();
    if (!this.#board) setText(this.#parts.nothing, say("fetched"));
    this.#board = undefined;
    show(this.#parts.copy, false);
    this.#reading = new Reading(client, event, () => this.#later());
    this.#stop = watchScoreboard(client.server.href, event, {
      board: (board) => this.#show(board),
      copy: (copy) => this.#age.heard(copy),
      link: (link) => this.#link(link),
    }, { token: client.token });
  }

  #client() {
    return new Client(new URL(this.getAttribute("server") || home, document.baseURI).href, { token: this.getAttribute("token") ?? "" });
  }

  // #listAll goes on with all places of a category that is too large for the board.
  #listAll() {
    this.#all = followPlaces(this.#client(), this.getAttribute("event"), {
      places: () => this.#fill(),
      refused: ({ message }) => setText(this.#parts.more, say("allRefused", { why: message })),
    });
    this.#fill();
  }

  #build() {
    const p = (this.#parts = {
      event: make("p", { class: "quiet", part: "event" }), title: make("span"),
      choose: make("select", { "aria-label": say("choose"), onchange: () => this.#choose() }),
      status: make("p", { class: "standing-of" }), link: make("p", { class: "link", role: "status", hidden: true }),
      copy: make("p", { class: "copy", hidden: true }),
      nothing: make("p", { class: "nothing" }, say("fetched")),
      state: make("p", { class: "state" }),
      name: make("button", { type: "button", onclick: () => this.#open(this.#board.skater.performance.entry) }),
      club: make("p", { class: "quiet" }), elements: make("ol", { class: "elements" }), lead: make("p", { class: "lead" }),
      technical: numeric(say("technicalSoFar"), true), components: numeric(say("components")), deductions: numeric(say("deductions")),
      total: numeric(say("score"), true), place: numeric(say("place")), overall: numeric(say("overallPlace")),
      heading: make("span"), tap: make("small"), head: make("tr"), rows: make("tbody"), more: make("p", { class: "quiet" }),
      all: make("button", { type: "button", hidden: true, onclick: () => this.#listAll() }),
      next: make("ol"), corrections: make("div", { class: "corrections" }), order: make("section", { class: "order", hidden: true }),
      back: make("button", { type: "button", class: "back", onclick: () => this.#open("") }),
      sheetName: make("h3", { tabindex: -1 }), sheetClub: make("p", { class: "quiet" }), sheetBody: make("div"),
      aloud: make("p", { class: "aloud", "aria-live": "polite" }),
    });
    p.titled = make("h2", { hidden: true }, p.title, p.choose);
    p.header = make("header", {}, make("div", { class: "titles" }, p.event, p.titled), p.status, p.link, p.copy);
    p.skater = make("section", { class: "skater", hidden: true, "aria-label": say("skater") }, p.state, make("h3", {}, p.name), p.club,
      make("dl", { class: "figures" }, ...[p.total, p.technical, p.components, p.deductions, p.place, p.overall].map((f) => f.box)),
      p.lead, p.elements);
    p.upcoming = make("section", { class: "next" }, make("h3", {}, say("next")), p.next);
    const placed = { class: "places", hidden: true, "aria-label": say("standing") };
    p.places = make("section", placed, make("h3", {}, p.heading, p.tap),
      make("table", {}, make("thead", {}, p.head), p.rows), p.more, p.all, p.upcoming);
    p.sheet = make("section", { class: "sheet", hidden: true }, p.back, p.sheetName, p.sheetClub, p.sheetBody);
    show(p.status, false);
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [look, styles];
    root.append(make("article", { class: "board" },
      p.header, make("slot"), p.nothing, p.corrections, p.skater, p.order, p.places, p.sheet, p.aloud));
  }

  // #aged says how old the copy is that a server shows which is not at the rink. A rink
  // that has nothing more to say may be silent.
  #aged({ seconds, silent }) {
    const { copy } = this.#parts;
    const over = this.#board?.segments.length > 0 && this.#board.segments.every((s) => s.status === "OFFICIAL");
    copy.dataset.silent = silent && !over ? "yes" : "no";
    const text = seconds !== undefined ? say("copied", { n: seconds }) : say(over ? "copiedOver" : "copiedSilent", { time: moment(silent) });
    setText(copy, text);
    show(copy, this.#parts.link.hidden); // without a connection nothing is known of the rink
  }

  #link({ connected, heard, error }) {
    const { link, nothing } = this.#parts;
    show(link, !connected);
    if (connected) return;
    setText(link, error ? say("refused", { why: error.message }) : heard ? say("cut", { time: clock(heard) }) : say("never"));
    if (!this.#board) setText(nothing, "");
  }

  #show(board) {
    const before = this.#board;
    this.#board = board;
    this.#fill();
    if (before) this.#tell(before, board);
    this.dispatchEvent(new CustomEvent("scoreboard", { detail: board }));
  }

  // #target is the segment to show: the one that is asked for, or the one that was
  // worked on last, or the first whose starting order is made.
  #target() {
    const { segment, segments } = this.#board;
    const [category, key] = PLACED.map((name) => this.getAttribute(name) ?? "");
    const asked = segments.find((s) => s.category === category && (!key || s.segment === key));
    if (asked) return key ? asked : { category, categoryTitle: asked.categoryTitle, segment: "", segmentTitle: "" };
    return segment ?? segments.find((s) => s.state === "DRAWN");
  }

  #fill() {
    const board = this.#board;
    if (!board) return;
    const p = this.#parts;
    const target = this.#target();
    const live = Boolean(target && board.segment && PLACED.every((name) => board.segment[name] === target[name]));
    setText(p.event, [board.name, board.place].filter(Boolean).join(", "));
    setText(p.title, target ? named(target) : "");
    show(p.titled, Boolean(target));
    this.#choices(target);
    const of = target && (live ? { ...board, ...this.#all?.behind(board) } : this.#reading.segment(board, target));
    const view = this.getAttribute("view") ?? "standing";
    const entry = view === "skater" ? this.getAttribute("entry") : "";
    const begun = live ? board.skater : target && (!target.segment || !["PLANNED", "DRAWN"].includes(target.state));
    const order = target?.segment && !begun ? this.#reading.order(board, target) : undefined;
    const signed = (target?.segment ? target.status : of?.finalStanding?.status) === "OFFICIAL";
    show(p.nothing, !target || (!begun && !order?.length));
    setText(p.nothing, target ? say("noOrder") : say("none"));
    show(p.status, Boolean(target && begun));
    show(p.skater, Boolean(live && board.skater && view === "standing" && !signed));
    show(p.order, Boolean(order?.length && !entry));
    show(p.places, Boolean(begun && of && !entry));
    show(p.sheet, Boolean(entry));
    if (!target) return;
    this.#status(signed);
    if (live && board.skater) this.#skater(board.skater);
    if (order) this.#order(order);
    if (begun && of) this.#places(of, target, live, signed);
    const next = live && view !== "result" ? board.next : [];
    show(p.upcoming, next.length > 0);
    list(p.next, next, (s) => s.entry, () => make("li", {}, make("span", { class: "place" }), make("span", {}, make("b"), make("small"))), (node, s) => {
      setText(node.firstChild, String(s.number));
      setText(node.lastChild.firstChild, s.name);
      setText(node.lastChild.lastChild, s.club);
    });
    this.#corrections(of, target, live, signed && !entry);
    if (entry) this.#sheet(of, target, live, entry);
    else p.sheetBody.replaceChildren();
  }

  // #choices lists all segments of the event and the results over them.
  #choices(target) {
    const p = this.#parts;
    const { segments, segment } = this.#board;
    const choices = segments.flatMap((s, i) => {
      const last = segments[i + 1]?.category !== s.category && segments[i - 1]?.category === s.category; // of several
      return last ? [s, { category: s.category, categoryTitle: s.categoryTitle, segment: "" }] : [s];
    });
    const key = (s) => `${s.category}/${s.segment}`;
    show(p.choose, choices.length > 1);
    list(p.choose, choices, key, () => make("option"), (node, s) => {
      node.value = key(s);
      const now = segment && key(segment) === key(s) && segment.status !== "OFFICIAL";
      setText(node, now ? say("now", { title: named(s) }) : named(s));
    });
    if (target) p.choose.value = key(target);
  }

  #choose() {
    const [category, segment] = this.#parts.choose.value.split("/");
    this.#go(this.#place({ category, segment }));
  }

  // #place is how the attributes name a segment: what is skated now by none of them.
  #place(of) {
    const { segment } = this.#board;
    return !of.category || (segment && PLACED.every((name) => segment[name] === of[name])) ? {} : of;
  }

  #open(entry) {
    const { category, segment } = this.#target();
    const before = this.getAttribute("entry");
    this.#go(entry ? { category, segment, view: "skater", entry } : this.#place({ category, segment }));
    this.#fill();
    const { rows, sheetName } = this.#parts;
    if (entry) sheetName.focus();
    else [...rows.querySelectorAll("button")].find((b) => b.dataset.entry === before)?.focus();
    if (entry) this.scrollIntoView({ block: "start" });
  }

  #go(to) {
    for (const name of OPENED) {
      if (to[name]) this.setAttribute(name, to[name]);
      else this.removeAttribute(name);
    }
    this.dispatchEvent(new CustomEvent("show", { detail: to }));
  }

  #status(signed) {
    const { status: box } = this.#parts;
    box.dataset.status = signed ? "OFFICIAL" : "PROVISIONAL";
    setText(box, say(signed ? "official" : "provisional"));
  }

  #skater({ performance, place, finalPlace, lead }) {
    const p = this.#parts;
    const done = performance.state === "CONFIRMED";
    const state = STATES[performance.state] ? say(STATES[performance.state], { number: performance.number, of: this.#board.segment.performances }) : "";
    setText(p.state, performance.corrections.length ? say("stateCorrected", { state }) : state);
    setText(p.name, performance.name);
    setText(p.club, [performance.club, done && say("startingNumber", { number: performance.number })].filter(Boolean).join(", "));
    const fill = (part, text) => {
      show(part.box, text !== "");
      setText(part.value, text);
    };
    fill(p.total, performance.segmentScore);
    fill(p.technical, performance.elementScore);
    setText(p.technical.box.firstChild, done ? say("technical") : say("technicalSoFar"));
    p.technical.box.classList.toggle("main", !done);
    fill(p.components, performance.componentScore);
    fill(p.deductions, performance.totalDeductions === "0.00" ? "" : figure(performance.totalDeductions));
    fill(p.place, done && place ? String(place) : "");
    const segments = this.#board.finalStanding?.places.find((f) => f.entry === performance.entry)?.segments ?? [];
    fill(p.overall, done && finalPlace && segments.length > 1 ? String(finalPlace) : "");
    show(p.lead, Boolean(lead));
    if (lead) {
      const need = several(this.#board.finalStanding) ? "toLeadOverall" : "toLead";
      setText(p.lead, `${say("leads", { name: lead.name, points: lead.totalScore })} ${say(need, { points: lead.segmentScoreToExceed })}`);
    }
    this.#elements(performance);
  }

  #elements(performance) {
    const items = performance.elements.length ? [{ element: "head" }, ...performance.elements] : [];
    const first = this.#parts.elements.childElementCount === 0;
    list(this.#parts.elements, items, (e) => `${performance.entry} ${performance.segment} ${e.element}`, (e) => {
      if (e.element === "head") {
        const heads = ["base", "goe", "elementScore"].map((h) => make("span", {}, say(h)));
        return make("li", { class: "head" }, make("span", { class: "code" }, say("element")), ...heads);
      }
      return make("li", { class: first ? "" : "new" }, make("span", { class: "code" }, make("span"), make("em")), make("span"), make("span"), make("span"));
    }, (node, e) => {
      if (e.element === "head") return;
      const [code, base, goe, score] = node.children;
      setText(code.firstChild, e.code);
      const extra = [e.secondHalf && say("secondHalf"), e.inReview && say("inReview")];
      setText(code.lastChild, [capital(e.name), ...extra].filter(Boolean).join(", "));
      code.classList.toggle("review", e.inReview);
      setText(base, e.baseValue);
      setText(goe, figure(e.goe));
      setText(score, e.score);
    });
  }

  #order(order) {
    const groups = [...new Set(order.map((s) => s.group))];
    this.#parts.order.replaceChildren(make("h3", {}, say("order")), ...groups.flatMap((group) => [
      groups.length > 1 && make("h4", {}, say("group", { group })),
      make("ol", {}, ...order.filter((s) => s.group === group).map((s) =>
        make("li", {}, make("span", { class: "place" }, String(s.number)), make("span", {}, make("b", {}, s.name), make("small", {}, s.club))))),
    ]).filter(Boolean));
  }

  #places({ standing, finalStanding }, target, live, signed) {
    const p = this.#parts;
    const overall = new Map((finalStanding?.places ?? []).map((f) => [f.entry, f]));
    const final = !target.segment; // the result over all segments itself
    const many = !final && several(finalStanding);
    const heads = [say("place"), say("skater"), say(final ? "total" : "score"), ...(many ? [say("total"), say("overall")] : [])];
    setText(p.heading, say(signed ? "result" : "standing"));
    list(p.head, heads, (h) => h, () => make("th", { scope: "col" }), (node, h) => {
      setText(node, h);
      node.className = h === say("skater") ? "" : many && heads.indexOf(h) > 2 ? "number beside" : "number";
    });
    const now = live ? this.#board.skater?.performance.entry : undefined;
    const all = (final ? finalStanding : standing)?.places ?? [];
    const most = Number(this.getAttribute("rows"));
    const rows = fitting(all, most || all.length, now);
    const gaps = afterGaps(rows);
    setText(p.tap, !final && rows.some((s) => s.segmentScore) ? say("tap") : "");
    list(p.rows, rows, (s) => s.entry, (s) => make("tr", {},
      make("td", { class: "place number", "data-key": "place" }),
      make("td", { class: "name", "data-key": "name" },
        make("button", { type: "button", "data-entry": s.entry, onclick: () => this.#open(s.entry) }),
        make("span", { class: "club" }), make("span", { class: "corrected" })),
      make("td", { class: "points number", "data-key": "points" })),
      (node, s) => {
        const [place, name, points] = node.children;
        setText(place, s.place ? `${s.place}${s.shared ? "=" : ""}` : "");
        setText(name.firstChild, s.name);
        name.firstChild.disabled = final || !s.segmentScore;
        setText(name.children[1], s.club);
        setText(name.lastChild, s.corrected ? say("corrected") : "");
        setText(points, (final ? s.totalScore : s.segmentScore) || outOf(s.status));
        node.classList.toggle("now", s.entry === now && !signed);
        node.classList.toggle("gap", gaps.has(s));
        const over = overall.get(s.entry);
        list(node, [...["place", "name", "points"], ...(many ? ["total", "overall"] : [])], (c) => c,
          () => make("td", { class: "number beside" }), (cell, c) => {
            if (c === "total") setText(cell, over?.totalScore ?? "");
            if (c === "overall") setText(cell, over?.place ? String(over.place) : "");
          });
      });
    const total = (final ? finalStanding : standing)?.totalPlaces ?? all.length;
    const left = total - rows.length;
    setText(p.more, left > 0 ? say("more", { n: left }) : "");
    setText(p.all, say("all", { n: total }));
    show(p.all, !most && !this.#all && total > all.length);
  }

  // #corrections says what was changed of a result, and why.
  #corrections(of, target, live, wanted) {
    const { performance } = this.#board.skater ?? {};
    const corrected = wanted && target.segment ? (of?.standing?.places ?? []).filter((s) => s.corrected) : [];
    const notes = corrected.flatMap((s) => {
      const sheet = live && performance?.entry === s.entry ? performance : this.#reading.sheet(target, s);
      return sheet ? corrections(sheet) : [];
    });
    this.#parts.corrections.replaceChildren(...notes);
  }

  #sheet(of, target, live, entry) {
    const p = this.#parts;
    const row = of?.standing?.places.find((s) => s.entry === entry);
    const now = this.#board.skater?.performance;
    const mine = live && now?.entry === entry ? now : undefined;
    const read = mine && mine.state !== "CONFIRMED" ? undefined : this.#reading.sheet(target, row ?? { entry }, true);
    const performance = read ?? mine;
    setText(p.back, say("back", { to: say(target.status === "OFFICIAL" ? "result" : "standing") }));
    const { name = "", club = "" } = performance ?? row ?? {};
    setText(p.sheetName, name);
    setText(p.sheetClub, [club, named(target)].filter(Boolean).join(" · "));
    if (!performance) return;
    const open = p.sheetBody.querySelector("details")?.open;
    p.sheetBody.replaceChildren(...sheetParts({
      performance, place: row, segment: target, final: of?.finalStanding?.places.find((f) => f.entry === entry),
    }));
    if (open) p.sheetBody.querySelector("details")?.setAttribute("open", "");
  }

  // #tell says what changed, for those who listen to the page.
  #tell(before, now) {
    const said = [];
    const was = before.skater?.performance, is = now.skater?.performance;
    if (is && (is.entry !== was?.entry || is.segment !== was?.segment)) said.push(say("saidCalled", { name: is.name }));
    else if (is) {
      for (const e of is.elements.slice(was.elements.length)) said.push(say("saidElement", { code: e.code, points: is.elementScore }));
      if (is.state === "CONFIRMED" && is.segmentScore !== was.segmentScore) {
        said.push(say("saidScore", { name: is.name, points: is.segmentScore, place: nth(now.skater.place) }));
      }
    }
    if (now.segment?.status === "OFFICIAL" && before.segment?.status !== "OFFICIAL") {
      said.push(say("saidOfficial", { segment: inside(now.segment.segmentTitle) }));
    }
    if (said.length) setText(this.#parts.aloud, said.join(" "));
  }
}

define("rinktally-scoreboard", RinktallyScoreboard);

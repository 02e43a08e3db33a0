// <rinktally-scoreboard event="spring-cup" server="https://scores.example">: the
// live scoreboard of an event, for a club's site or a hall's screen.
//
//   event   id of the event
//   server  address of the server; left out, the one that this script came from
//   token   where reading is restricted: a token that may read
//   rows    most places to list, for a screen that cannot be scrolled

import { Client } from "./client.js";
import { list, make, setText, show } from "./dom.js";
import { followPlaces } from "./places.js";
import styles from "./scoreboard.css.js";
import { watchScoreboard } from "./watch.js";

const home = new URL("../", import.meta.url).href;

const clock = (time) => time?.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

const STATES = {
  ON_ICE: "On the ice", REVIEW: "Finished; calls and marks are being checked", CONFIRMED: "Score", OUT: "Not competing any more",
};
const STATUSES = {
  PROVISIONAL: ["Provisional", "until the referee signs"], OFFICIAL: ["Official", "signed by the referee"],
};
const FETCHED = "The scoreboard is being fetched …";
const OUT = { WITHDRAWN: "withdrew", DISQUALIFIED: "disqualified" };

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

/** figure is a name with a number under it. */
function figure(title, main) {
  const value = make("dd");
  return { box: make("div", main ? { class: "main" } : {}, make("dt", {}, title), value), value };
}

export class RinktallyScoreboard extends HTMLElement {
  static observedAttributes = ["event", "server", "token", "rows"];

  #parts;
  #board;
  #stop;
  #all; // the places of a large category, where they are asked for

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
    this.#stop = this.#all = undefined;
  }

  attributeChangedCallback(name, before, now) {
    if (!this.isConnected || before === now || !this.shadowRoot) return;
    if (name === "rows") this.#fill();
    else this.#watch();
  }

  #watch() {
    this.#leave();
    const event = this.getAttribute("event");
    if (!event) {
      setText(this.#parts.nothing, "The attribute “event” is missing: it names the event to show.");
      return;
    }
    const server = this.#server();
    if (!this.#board) setText(this.#parts.nothing, FETCHED);
    this.#board = undefined;
    this.#stop = watchScoreboard(server, event, {
      board: (board) => this.#show(board),
      link: (link) => this.#link(link),
    }, { token: this.getAttribute("token") ?? "" });
  }

  #server() {
    return new URL(this.getAttribute("server") || home, document.baseURI).href;
  }

  // #listAll goes on with all places of a category that is too large for the board.
  #listAll() {
    const client = new Client(this.#server(), { token: this.getAttribute("token") ?? "" });
    this.#all = followPlaces(client, this.getAttribute("event"), {
      places: () => this.#fill(),
      refused: ({ message }) => setText(this.#parts.more, `The other places cannot be listed: ${message}`),
    });
    this.#fill();
  }

  #build() {
    const p = (this.#parts = {
      event: make("p", { class: "quiet" }), title: make("h2"), status: make("p", { class: "standing-of" }),
      link: make("p", { class: "link", role: "status", hidden: true }),
      nothing: make("p", { class: "nothing" }, FETCHED),
      state: make("p", { class: "state" }), name: make("h3"), club: make("p", { class: "quiet" }),
      elements: make("ol", { class: "elements" }), lead: make("p", { class: "lead" }),
      technical: figure("Technical score so far", true), components: figure("Components"), deductions: figure("Deductions"),
      total: figure("Segment score", true), place: figure("Place"), overall: figure("Place overall"),
      head: make("tr"), rows: make("tbody"), more: make("p", { class: "quiet" }),
      all: make("button", { type: "button", hidden: true, onclick: () => this.#listAll() }),
      next: make("ol"), notes: make("div", { class: "notes quiet" }), aloud: make("p", { class: "aloud", "aria-live": "polite" }),
    });
    p.skater = make("section", { class: "skater", hidden: true, "aria-label": "Skater" }, p.state, p.name, p.club,
      make("dl", { class: "figures" }, ...[p.total, p.technical, p.components, p.deductions, p.place, p.overall].map((f) => f.box)),
      p.lead, p.elements);
    p.upcoming = make("section", { class: "next" }, make("h4", {}, "Next"), p.next);
    p.places = make("section", { class: "places", hidden: true, "aria-label": "Standing" }, make("h4", {}, "Standing of the segment"),
      make("table", {}, make("thead", {}, p.head), p.rows), p.more, p.all, p.upcoming, p.notes);
    show(p.status, false);
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [styles];
    root.append(make("article", { class: "board" },
      make("header", {}, make("div", { class: "titles" }, p.event, p.title), p.status, p.link),
      p.nothing, p.skater, p.places, p.aloud));
  }

  #link({ connected, heard, error }) {
    const { link, nothing } = this.#parts;
    show(link, !connected);
    if (connected) return;
    const last = heard ? `last news ${clock(heard)}` : "no news yet";
    setText(link, error ? `Nothing to show: ${error.message}` : `Not connected, ${last}. It comes back by itself.`);
    if (!this.#board) setText(nothing, "");
  }

  #show(board) {
    const before = this.#board;
    this.#board = board;
    this.#fill();
    if (before) this.#tell(before, board);
    this.dispatchEvent(new CustomEvent("scoreboard", { detail: board }));
  }

  #fill() {
    const board = this.#board;
    if (!board) return;
    const p = this.#parts;
    setText(p.event, [board.name, board.place].filter(Boolean).join(", "));
    const segment = board.segment;
    setText(p.title, segment ? `${segment.categoryTitle}: ${segment.segmentTitle}` : board.name);
    show(p.nothing, !segment);
    setText(p.nothing, "No segment has started yet.");
    show(p.status, !!segment);
    show(p.places, !!segment);
    show(p.skater, !!board.skater);
    if (!segment) return;
    this.#status(segment.status);
    if (board.skater) this.#skater(board.skater);
    this.#places(board);
    show(p.upcoming, board.next.length > 0);
    list(p.next, board.next, (s) => s.entry, () => make("li"), (node, s) => setText(node, `${s.number}. ${s.name}${s.club ? `, ${s.club}` : ""}`));
    const corrected = (board.skater?.performance.corrections ?? []).map((c) => `Corrected: ${c.scoreBefore} became ${c.scoreAfter}, ${c.reason}`);
    const warnings = [board, board.standing, board.skater?.performance].flatMap((of) => of?.warnings ?? []).map((w) => `Note: ${w.message}`);
    list(p.notes, [...new Set([...corrected, ...warnings])], (text) => text, () => make("p"), setText);
  }

  #status(status) {
    const { status: box } = this.#parts;
    if (box.dataset.status === status) return;
    const [word, why] = STATUSES[status] ?? STATUSES.PROVISIONAL;
    box.dataset.status = status;
    box.replaceChildren(word, make("small", {}, why));
  }

  #skater({ performance, place, finalPlace, lead }) {
    const p = this.#parts;
    const done = performance.state === "CONFIRMED";
    setText(p.state, `${STATES[performance.state] ?? ""}${performance.corrections.length ? ", corrected" : ""}`);
    setText(p.name, performance.name);
    setText(p.club, [performance.club, `starting number ${performance.number}`].filter(Boolean).join(", "));
    const fill = (part, text) => {
      show(part.box, text !== "");
      setText(part.value, text);
    };
    fill(p.total, performance.segmentScore);
    fill(p.technical, performance.elementScore);
    setText(p.technical.box.firstChild, done ? "Technical score" : "Technical score so far");
    p.technical.box.classList.toggle("main", !done);
    fill(p.components, performance.componentScore);
    fill(p.deductions, performance.totalDeductions === "0.00" ? "" : performance.totalDeductions);
    fill(p.place, done && place ? String(place) : "");
    const segments = this.#board.finalStanding?.places.find((f) => f.entry === performance.entry)?.segments ?? [];
    fill(p.overall, done && finalPlace && segments.length > 1 ? String(finalPlace) : "");
    show(p.lead, !!lead);
    if (lead) {
      const text = `${lead.name} leads with ${lead.totalScore}. To lead: more than `;
      if (p.lead.dataset.text !== text + lead.segmentScoreToExceed) {
        p.lead.dataset.text = text + lead.segmentScoreToExceed;
        p.lead.replaceChildren(text, make("b", {}, lead.segmentScoreToExceed), " in this segment.");
      }
    }
    this.#elements(performance);
  }

  #elements(performance) {
    const cells = (node) => [...node.children];
    const items = performance.elements.length ? [{ element: "head" }, ...performance.elements] : [];
    const first = this.#parts.elements.childElementCount === 0;
    list(this.#parts.elements, items, (e) => `${performance.entry} ${performance.segment} ${e.element}`, (e) => {
      if (e.element === "head") {
        return make("li", { class: "head" }, make("span", { class: "code" }, "Element"), ...["Base", "GOE", "Score"].map((h) => make("span", {}, h)));
      }
      return make("li", { class: first ? "" : "new" }, make("span", { class: "code" }, make("span"), make("em")), make("span"), make("span"), make("span"));
    }, (node, e) => {
      if (e.element === "head") return;
      const [code, base, goe, score] = cells(node);
      setText(code.firstChild, e.code);
      setText(code.lastChild, [e.secondHalf && "second half", e.inReview && "in review"].filter(Boolean).join(", "));
      code.classList.toggle("review", e.inReview);
      setText(base, e.baseValue);
      setText(goe, e.goe);
      setText(score, e.score);
    });
  }

  #places(board) {
    const p = this.#parts;
    const { standing, finalStanding } = this.#all?.behind(board) ?? board;
    const overall = new Map((finalStanding?.places ?? []).map((f) => [f.entry, f]));
    const several = [...overall.values()].some((f) => f.segments.length > 1);
    const heads = ["Place", "Skater", "Segment score", ...(several ? ["Total", "Overall"] : [])];
    list(p.head, heads, (h) => h, () => make("th", { scope: "col" }), (node, h) => {
      setText(node, h);
      node.className = h === "Skater" ? "" : "number";
    });
    const now = board.skater?.performance.entry;
    const all = standing?.places ?? [];
    const most = Number(this.getAttribute("rows"));
    const rows = fitting(all, most || all.length, now);
    const gaps = afterGaps(rows);
    list(p.rows, rows, (s) => s.entry, () => make("tr", {}, 
      make("td", { class: "place number", "data-key": "place" }),
      make("td", { class: "name", "data-key": "name" }, make("span"), make("span", { class: "club" }), make("span", { class: "corrected" })),
      make("td", { class: "points number", "data-key": "points" })),
      (node, s) => {
        const [place, name, points] = node.children;
        setText(place, s.place ? `${s.place}${s.shared ? "=" : ""}` : "");
        setText(name.firstChild, s.name);
        setText(name.children[1], s.club);
        setText(name.lastChild, s.corrected ? "corrected" : "");
        setText(points, s.segmentScore || OUT[s.status] || "");
        node.classList.toggle("now", s.entry === now);
        node.classList.toggle("gap", gaps.has(s));
        const final = overall.get(s.entry);
        list(node, [...["place", "name", "points"], ...(several ? ["total", "overall"] : [])], (c) => c,
          () => make("td", { class: "number" }), (cell, c) => {
            if (c === "total") setText(cell, final?.totalScore ?? "");
            if (c === "overall") setText(cell, final?.place ? String(final.place) : "");
          });
      });
    const total = standing?.totalPlaces ?? all.length;
    const left = total - rows.length;
    setText(p.more, left > 0 ? `and ${left} more` : "");
    setText(p.all, `List all ${total}`);
    show(p.all, !most && !this.#all && total > all.length);
  }

  // #tell says what changed, for those who listen to the page.
  #tell(before, now) {
    const said = [];
    const was = before.skater?.performance, is = now.skater?.performance;
    if (is && (is.entry !== was?.entry || is.segment !== was?.segment)) said.push(`Now ${is.name}.`);
    else if (is) {
      for (const e of is.elements.slice(was.elements.length)) said.push(`${e.code}. Technical score so far ${is.elementScore}.`);
      if (is.state === "CONFIRMED" && is.segmentScore !== was.segmentScore) said.push(`${is.name}: ${is.segmentScore}, place ${now.skater.place}.`);
    }
    if (now.segment?.status === "OFFICIAL" && before.segment?.status !== "OFFICIAL") said.push(`The result of ${now.segment.segmentTitle} is official.`);
    if (said.length) setText(this.#parts.aloud, said.join(" "));
  }
}

if (!customElements.get("rinktally-scoreboard")) customElements.define("rinktally-scoreboard", RinktallyScoreboard);

// A hall's screen: a scene that fills it whatever its size, for everybody who cannot
// touch it. What does not fit is turned over page by page, and never cut.

import { followAge } from "../../embed/age.js";
import { make, setText } from "../../embed/dom.js";
import { followPlaces } from "../../embed/places.js";
import { watchScoreboard } from "../../embed/watch.js";
import { capital, inside } from "../../embed/words.js";
import { clock, number } from "../parts/numbers.js";
import { nth, rich, t } from "../parts/words.js";

const PAGE = 8_000; // ms, a page of places
const SCORE = 20_000; // a score, unless the next skater's first element comes
const SILENT = 30_000; // without news, before the screen says so
const ORDER = 20_000; // a name in a starting order can change without a word on the board
const GROUPS = 4; // columns of a page
const FEWEST = 6; // rows, so that few do not become huge
const FITS = 6; // steps of hall.css by which a text becomes smaller

const same = (a, b) => ["category", "segment", "entry"].every((name) => a?.[name] === b?.[name]);
const shown = ({ place, shared }) => (place ? `${place}${shared ? "=" : ""}` : "");
const fitting = (tag, name, text) => make(tag, { class: `${name} fits` }, text);

/** orderOf returns the starting order that stands before a segment: its segment and places. */
function orderOf(event, board) {
  const all = event.categories.flatMap((c) => c.segments.map((s) => ({ ...s, category: c.category, categoryTitle: c.title })));
  const { segment } = board;
  return all.find((s) => (segment ? s.category === segment.category && s.segment === segment.segment : s.state === "DRAWN"));
}

/** hall fills a place with the scenes of an event until the page is left. */
export function hall(place, client, event) {
  let board, order, turn = 0, scene = "";
  let scored, scoreEnds; // the board with the score that is announced
  let heard, refused, silent = false, alarm;
  let gone; // since when the rink is silent, where this server shows a copy
  const title = make("h1"), where = make("p", { class: "where" }), pill = make("p", { class: "pill" });
  const strip = make("div", { class: "strip-line" }), work = make("div", { class: "scene" }), next = make("footer", { hidden: true });
  place.append(make("header", {}, title, where, pill), strip, work, next);
  const all = followPlaces(client, event, { places: () => fill(), refused: () => {} });

  function fill() {
    if (!board) return silence();
    const now = sceneNow();
    if (now !== scene) turn = 0;
    const of = now === "score" ? scored : board;
    const build = { before, running, score, result }[now](of);
    if (now !== scene) {
      work.classList.remove("arrives");
      void work.offsetWidth; // so that the scene fades in
      work.classList.add("arrives");
    }
    scene = place.dataset.scene = now;
    work.replaceChildren(...build.parts);
    upcoming(now === "before" || now === "result" ? [] : of.next);
    for (const node of work.querySelectorAll(".fits")) fit(node);
    if (build.lists) {
      build.lists(); // in the room that the others leave
      for (const node of work.querySelectorAll("li .fits")) fit(node);
    }
    state();
  }

  function sceneNow() {
    const { segment, skater } = board;
    if (!segment) return "before";
    if (segment.status === "OFFICIAL") return "result";
    if (!skater) return "before";
    if (scored && (same(skater.performance, scored.skater.performance) || skater.performance.elements.length === 0)) return "score";
    return "running";
  }

  function state() {
    const { segment } = board;
    const official = scene === "result";
    strip.dataset.state = official ? "official" : "provisional";
    pill.dataset.state = strip.dataset.state;
    setText(pill, scene === "before" ? t("hall.order") : t(official ? "hall.official" : "hall.provisional"));
    pill.classList.toggle("plain", scene === "before");
    const of = scene === "before" ? order : segment;
    if (of && !official) setText(title, t("hall.title", { category: of.categoryTitle, segment: inside(of.segmentTitle ?? of.title) }));
    if (!of) setText(title, board.name);
    setText(where, [of && board.name, board.place].filter(Boolean).join(", "));
    silence();
  }

  // silence says since when there is no news, once there has been none for a while. A
  // rink may go home when all is official.
  function silence() {
    const away = gone && board?.segments.some((s) => s.status !== "OFFICIAL");
    if (!silent && !refused && !away) return;
    pill.dataset.state = "fault";
    pill.classList.remove("plain");
    const late = heard ? t("hall.silent", { time: clock(heard) }) : t("hall.never");
    setText(pill, refused ? refused.message : silent ? late : t("hall.gone", { time: clock(new Date(gone)) }));
  }

  const age = followAge({ age: ({ silent: since }) => {
    if (since === gone) return;
    gone = since;
    fill();
  } });

  // before shows who skates when: a column for each warm-up group.
  function before() {
    if (!order?.order.length) return { parts: [make("p", { class: "nothing" }, t("hall.none"))] };
    const columns = make("div", { class: "groups" });
    const lists = () => {
      const sample = make("li", { class: "least" });
      columns.replaceChildren(group(1, [], sample));
      const most = Math.max(FEWEST, Math.floor(columns.querySelector("ol").clientHeight / sample.offsetHeight));
      const groups = [...new Set(order.order.map((s) => s.group))];
      const parts = groups.flatMap((n) => chunks(order.order.filter((s) => s.group === n), most).map((some) => [n, some]));
      const rows = Math.max(FEWEST, ...parts.map(([, some]) => some.length));
      const pages = chunks(parts, GROUPS);
      columns.style.setProperty("--rows", rows);
      columns.replaceChildren(...pages[turn % pages.length].map(([n, some]) => group(n, some.map((s) =>
        make("li", {}, make("span", { class: "place" }, String(s.number)), fitting("b", "name", s.name), fitting("span", "club", s.club))))));
    };
    return { parts: [columns], lists };
  }

  function group(n, rows, ...more) {
    return make("section", {}, make("h2", {}, t("hall.group", { group: n })), make("ol", {}, ...rows, ...more));
  }

  function head({ performance }) {
    return make("div", { class: "skater" }, make("span", { class: "start-number" }, String(performance.number)),
      fitting("h2", "name", performance.name), fitting("p", "club", performance.club));
  }

  // running shows who skates, or has skated and waits.
  function running(of) {
    const { performance, lead } = of.skater;
    const confirmed = performance.state === "CONFIRMED";
    const elements = performance.elements;
    const newest = performance.state === "ON_ICE" ? elements.at(-1) : undefined;
    const list = make("ol", { class: "elements" }, ...elements.map((e) => make("li", { class: e === newest && "now" },
      make("span", { class: "place" }, String(elements.indexOf(e) + 1)), fitting("code", "code", e.code),
      make("span", { class: e.score ? "points" : "points open" }, number(e.score || e.baseValue)))));
    list.style.setProperty("--rows", Math.max(FEWEST, Math.ceil(elements.length / 2)));
    const right = make("section", { class: "right" });
    if (!confirmed) {
      const points = number(performance.elementScore || "0.00");
      right.append(make("p", { class: "so-far" }, make("span", {}, t("hall.technical")), fitting("b", "", points)));
    }
    if (lead) {
      const need = { points: make("b", {}, number(lead.segmentScoreToExceed)), segment: inside(of.segment.segmentTitle) };
      right.append(make("p", { class: "lead fits" }, t("hall.leads", { name: lead.name }), " ",
        ...rich(several(of) ? "hall.toLeadOverall" : "hall.toLead", need)));
    }
    const places = standing(of);
    right.append(...places.parts);
    return { parts: [make("section", { class: "left" }, head(of.skater), box(of, newest), list), right], lists: places.fill };
  }

  // box is the one thing to look at now.
  function box(of, newest) {
    const { performance } = of.skater;
    if (newest) {
      return make("div", { class: "box now" }, make("code", {}, newest.code), fitting("span", "words", capital(newest.name)),
        make("b", {}, number(newest.score || newest.baseValue)));
    }
    if (performance.state === "CONFIRMED") return make("div", { class: "box" }, make("b", {}, number(performance.segmentScore)), make("p", {}, placed(of)));
    if (performance.state === "OUT") return make("div", { class: "box" }, make("p", {}, t("hall.out")));
    const last = lastScore(of);
    const before = last && make("p", { class: "last" }, make("small", {}, t("hall.lastScore")),
      fitting("span", "name", last.name), make("b", {}, number(last.segmentScore)));
    return make("div", { class: "box" }, make("p", { class: "wait" }, t(performance.state === "REVIEW" ? "hall.waiting" : "hall.onIce")), before);
  }

  const lastScore = ({ standing, skater: { performance } }) => (standing?.places ?? [])
    .filter((s) => s.segmentScore && s.number < performance.number).toSorted((a, b) => b.number - a.number)[0];

  const placed = ({ skater, segment }) => (skater.place ? t("hall.placed", { place: nth(skater.place), segment: inside(segment.segmentTitle) }) : "");

  const several = ({ finalStanding }) => (finalStanding?.places ?? []).some((f) => f.segments.length > 1);

  function score(of) {
    const { performance, finalPlace } = of.skater;
    const figure = (title, points) => make("div", {}, make("dt", {}, title), make("dd", {}, number(points)));
    const final = of.finalStanding?.places.find((f) => f.entry === performance.entry);
    const places = standing(of);
    return {
      parts: [make("section", { class: "left" }, head(of.skater),
        make("div", { class: "score-box" }, make("b", {}, number(performance.segmentScore)), make("p", {}, placed(of))),
        make("dl", {}, figure(t("hall.elements"), performance.elementScore), figure(t("hall.components"), performance.componentScore),
          figure(t("hall.deductions"), performance.totalDeductions || "0.00")),
        final?.segments.length > 1 && make("p", { class: "overall" }, t("hall.overall"),
          make("b", {}, number(final.totalScore)), make("b", {}, finalPlace ? nth(finalPlace) : ""))),
      make("section", { class: "right" }, ...places.parts)],
      lists: places.fill,
    };
  }

  const points = (s, figure) => (figure ? number(figure) : t(`hall.status.${s.status}`));

  function row(s, of, figure = s.segmentScore) {
    return make("li", { class: s.entry === of.skater?.performance.entry && "now" }, make("span", { class: "place" }, shown(s)),
      fitting("span", "name", s.name), make("span", { class: figure ? "points" : "points open" }, points(s, figure)));
  }

  // standing shows the places so far: the leader always, the others in turn.
  function standing(of) {
    const places = ((all.behind(of) ?? of).standing?.places ?? []).filter((s) => s.segmentScore);
    if (!places.length) return { parts: [] };
    const count = make("span"), list = make("ol", { class: "places" });
    return {
      parts: [make("p", { class: "label" }, make("b", {}, t("hall.soFar", { segment: of.segment.segmentTitle })), count), list],
      fill() {
        const seek = scene === "score" ? places.findIndex((s) => s.entry === of.skater.performance.entry) : -1;
        setText(count, turnOver(list, places, (s) => row(s, of), seek));
      },
    };
  }

  // turnOver fills a list with the first item and the page of the moment, or at first
  // that of the item at seek, and returns what it shows.
  function turnOver(list, items, create, seek) {
    list.replaceChildren(create(items[0]));
    const rows = Math.max(2, Math.floor((list.clientHeight + 1) / list.firstElementChild.offsetHeight));
    const pages = Math.ceil((items.length - 1) / (rows - 1));
    const first = Math.max(0, Math.floor((seek - 1) / (rows - 1)));
    const at = pages ? (first + turn) % pages : 0;
    const from = Math.max(1, Math.min(1 + at * (rows - 1), items.length - rows + 1)); // the last page is full too
    const page = items.slice(from, from + rows - 1);
    list.style.setProperty("--rows", rows);
    list.replaceChildren(...[items[0], ...page].map(create));
    return pages > 1 ? t("hall.range", { from: at === 0 ? 1 : from + 1, to: from + page.length, n: items.length }) : "";
  }

  // result shows what the referee has signed, and the result over all segments after it.
  function result(of) {
    const { standing: segment, finalStanding } = all.behind(of) ?? of;
    const { categoryTitle, segmentTitle } = of.segment;
    const named = t("hall.title", { category: categoryTitle, segment: inside(segmentTitle) });
    const results = [{ title: t("hall.result", { title: named }), places: segment.places, points: (s) => s.segmentScore }];
    if (several(of)) {
      results.push({ title: t("hall.resultOverall", { title: categoryTitle }), places: finalStanding.places, points: (s) => s.totalScore });
    }
    const medals = make("ol", { class: "medals" }), rest = make("ol", { class: "places" });
    const put = (page) => {
      setText(title, page.title);
      medals.replaceChildren(...page.places.slice(0, 3).map((s) => make("li", {}, make("span", { class: "place" }, shown(s)),
        fitting("b", "name", s.name), fitting("span", "club", s.club), make("b", { class: "points" }, points(s, page.points(s))))));
      rest.replaceChildren(...page.rest.map((s) => row(s, {}, page.points(s))));
    };
    const lists = () => {
      put({ ...results[0], rest: results[0].places.slice(0, 1) });
      const rows = Math.max(1, Math.floor((rest.clientHeight + 1) / rest.firstElementChild.offsetHeight));
      rest.style.removeProperty("--columns");
      const columns = Number(getComputedStyle(rest).getPropertyValue("--columns"));
      rest.style.setProperty("--rows", rows);
      const others = (places) => (places.length > 3 ? chunks(places.slice(3), rows * columns) : [[]]);
      const pages = results.flatMap((r) => others(r.places).map((some) => ({ ...r, rest: some })));
      const page = pages[turn % pages.length];
      rest.style.setProperty("--columns", Math.max(1, Math.min(columns, Math.ceil(page.rest.length / rows)))); // a few have all the width
      put(page);
    };
    return { parts: [medals, rest], lists };
  }

  function upcoming(list) {
    next.hidden = list.length === 0;
    next.replaceChildren(make("b", {}, t("hall.next")),
      make("ol", {}, ...list.map((s) => make("li", {}, make("span", { class: "place" }, String(s.number)), fitting("span", "name", s.name)))));
    for (const node of next.querySelectorAll(".fits")) fit(node);
  }

  // announce shows a score for a while.
  function announce(now) {
    scored = now;
    clearTimeout(scoreEnds);
    scoreEnds = setTimeout(() => {
      scored = undefined;
      fill();
    }, SCORE);
  }

  function listen() {
    silent = false;
    clearTimeout(alarm);
    alarm = setTimeout(() => {
      silent = true;
      fill();
    }, SILENT);
  }

  async function readOrder() {
    if (!board || board.skater) return;
    try {
      order = orderOf((await client.call("GetEvent", { event })).event, board);
    } catch {
      return; // the link says it
    }
    fill();
  }

  setInterval(() => {
    turn++;
    fill();
  }, PAGE);
  setInterval(readOrder, ORDER);
  addEventListener("resize", fill);
  watchScoreboard(client.server.href, event, {
    board(now) {
      const was = board?.skater?.performance, is = now.skater?.performance;
      if (is?.state === "CONFIRMED" && same(was, is) && was.state !== "CONFIRMED") announce(now);
      else if (scored && same(scored.skater.performance, is)) scored = now;
      board = now;
      document.title = t("hall.of", { name: now.name });
      fill();
      readOrder();
    },
    copy: age.heard,
    link(now) {
      heard = now.heard ?? heard;
      refused = now.connected ? undefined : now.error;
      if (now.connected || !alarm) listen();
      fill();
    },
  }, { token: client.token });
}

const chunks = (all, size) => Array.from({ length: Math.ceil(all.length / size) }, (_, i) => all.slice(i * size, (i + 1) * size));

// fit makes a text smaller, and then gives it lines, until all of it can be read.
function fit(node) {
  for (let step = 0; step <= FITS; step++) {
    node.dataset.fit = step;
    if (node.scrollWidth <= node.clientWidth + 1 && node.scrollHeight <= node.clientHeight + 1) return;
  }
}

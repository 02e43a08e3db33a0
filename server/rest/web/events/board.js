// The page of an event: the scoreboard, and the papers below it. With ?hall it is
// the scoreboard alone; ?token= is for events whose reading is restricted.

import { Client } from "../../embed/client.js";
import { at, list, make, setText, show } from "../../embed/dom.js";
import "../../embed/scoreboard.js";

const home = new URL("../../", import.meta.url).href;
const event = decodeURIComponent(location.pathname.split("/").filter(Boolean).at(-1));
const query = new URLSearchParams(location.search);
const hall = query.has("hall");
const api = new Client(home);

const PAPERS = [["STARTING_ORDER", "Starting order"], ["SEGMENT_RESULT", "Result"], ["SCORE_SHEETS", "Score sheets"]];

const STATES = {
  PLANNED: "planned", DRAWN: "starting order drawn", RUNNING: "running", SKATED: "skated, provisional", OFFICIAL: "official",
};

function paper(category, segment, document, title) {
  const address = (format) => api.url("GetDocument", { event, category, segment, document, format });
  return make("span", { class: "paper" }, `${title}: `, make("a", { href: address("PDF") }, "PDF", make("span", { class: "aloud" }, ` of ${title}`)), " ",
    make("a", { href: address("CSV") }, "CSV", make("span", { class: "aloud" }, ` of ${title}`)));
}

function papers(segments) {
  list(at("papers"), segments, (s) => `${s.category} ${s.segment} ${s.state}`, (s) => {
    const last = segments.filter((x) => x.category === s.category).at(-1) === s;
    const there = PAPERS.filter(([document]) => s.state !== "PLANNED" && (document === "STARTING_ORDER" || s.confirmed > 0));
    return make("div", { class: "papers" }, make("h3", {}, `${s.categoryTitle}: ${s.segmentTitle}`),
      make("p", { class: "note" }, STATES[s.state] ?? ""),
      ...there.map(([document, title]) => paper(s.category, s.segment, document, title)),
      last && s.confirmed > 0 ? paper(s.category, undefined, "FINAL_RESULT", "Final result") : "");
  }, () => {});
}

const board = at("board");
board.addEventListener("scoreboard", ({ detail }) => {
  document.title = `${detail.name}: scoreboard`;
  setText(at("title"), `Scoreboard of ${detail.name}`);
  papers(detail.segments);
});
if (hall) board.setAttribute("rows", query.get("rows") || "12");
document.body.classList.toggle("hall", hall);
show(at("more"), !hall);
if (query.get("token")) board.setAttribute("token", query.get("token"));
board.setAttribute("event", event);
at("desk").href = `${home}desk/${encodeURIComponent(event)}`;
setText(at("embed"), `<script type="module" src="${home}embed/scoreboard.js"></script>\n<rinktally-scoreboard event="${event}"></rinktally-scoreboard>`);

// The page of an event: the scoreboard, and the papers below it. With ?hall it is
// the hall's screen. For
// events whose reading is restricted there is ?token=, #token= as of the desks, the
// token of the desk that was open in this tab, or one that is typed here.

import { Client } from "../../embed/client.js";
import { at, list, make, setText, show } from "../../embed/dom.js";
import "../../embed/scoreboard.js";
import { hall } from "./hall.js";
import { event, handed, home, tokenKey } from "./place.js";
import { tell } from "./refusal.js";
import { save } from "./save.js";

handed();
const query = new URLSearchParams(location.search);
const inHall = query.has("hall");
let token = query.get("token") || sessionStorage.getItem(tokenKey(event)) || "";
const api = new Client(home, { token });

const PAPERS = [["STARTING_ORDER", "Starting order"], ["SEGMENT_RESULT", "Result"], ["SCORE_SHEETS", "Score sheets"]];

const STATES = {
  PLANNED: "planned", DRAWN: "starting order drawn", RUNNING: "running", SKATED: "skated, provisional", OFFICIAL: "official",
};

// fetched saves a paper that is only given out for a token, which a link cannot send.
async function fetched(click, request, name) {
  click.preventDefault();
  try {
    save(await api.call("GetDocument", request), name);
    tell(at("fault"));
  } catch (error) {
    tell(at("fault"), error);
  }
}

function paper(category, segment, document, title) {
  const name = [event, category, segment, document].filter(Boolean).join("-").toLowerCase();
  const link = (format) => make("a", {
    href: api.url("GetDocument", { event, category, segment, document, format }),
    onclick: (click) => token && fetched(click, { event, category, segment, document, format }, `${name}.${format.toLowerCase()}`),
  }, format, make("span", { class: "aloud" }, ` of ${title}`));
  return make("span", { class: "paper" }, `${title}: `, link("PDF"), " ", link("CSV"));
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
document.body.classList.toggle("hall", inHall);
if (inHall) document.documentElement.dataset.face = "hall";

// enter shows the board, and asks who may not see it for a token. Whatever else is
// wrong the board tells itself.
async function enter(typed) {
  token = api.token = typed;
  try {
    await api.call("GetCaller", { event });
  } catch (error) {
    if ([401, 403].includes(error.status)) {
      if (token) tell(at("token-fault"), error, at("token"));
      show(at("gate"), true);
      return;
    }
  }
  if (!at("gate").hidden) sessionStorage.setItem(tokenKey(event), token);
  show(at("gate"), false);
  show(at(inHall ? "hall" : "board"), true);
  if (inHall) return hall(at("hall"), api, event);
  if (token) board.setAttribute("token", token);
  board.setAttribute("event", event);
  show(at("more"), true);
}

at("gate").addEventListener("submit", (submit) => {
  submit.preventDefault();
  tell(at("token-fault"), undefined, at("token"));
  enter(at("token").value.trim()).then(() => { at("token").value = ""; });
});
enter(token);
if (query.has("token")) at("to-hall").href = `?hall&token=${encodeURIComponent(token)}`;
at("desk").href = `${home}desk/${encodeURIComponent(event)}`;
setText(at("embed"), `<script type="module" src="${home}embed/scoreboard.js"></script>\n<rinktally-scoreboard event="${event}"></rinktally-scoreboard>`);

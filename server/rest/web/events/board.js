// The page of an event: the scoreboard, and its papers. What is open stands in the
// address, so that it can be shared. With ?hall the page is the hall's screen. For
// events whose reading is restricted there is ?token=, #token= as of the desks, the
// code of the desk that was open in this tab, or one that is typed here.

import { Client } from "../../embed/client.js";
import { at, list, make, setText, show } from "../../embed/dom.js";
import "../../embed/scoreboard.js";
import { copy } from "../parts/copy.js";
import { save } from "../parts/save.js";
import { t } from "../parts/words.js";
import { hall } from "./hall.js";
import { desksOf, event, handed, home, pageOf, tokenKey } from "./place.js";
import { tell } from "./refusal.js";
import { typedCode, watcherFault } from "./watcher.js";

handed();
const query = new URLSearchParams(location.search);
const inHall = query.has("hall");
let token = query.get("token") || sessionStorage.getItem(tokenKey(event)) || "";
const api = new Client(home, { token });

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

function link({ category, segment }, document, format, attributes, ...text) {
  const name = [event, category, segment, document].filter(Boolean).join("-").toLowerCase();
  const request = { event, category, segment, document, format };
  const onclick = (click) => token && fetched(click, request, `${name}.${format.toLowerCase()}`);
  return make("a", { ...attributes, href: api.url("GetDocument", request), onclick }, ...text);
}

function paper(of, document) {
  const title = t(`board.paper.${document}`);
  const links = ["PDF", "CSV"].flatMap((format) => [link(of, document, format, {}, format, make("span", { class: "aloud" }, ` ${title}`)), " "]);
  return make("span", { class: "paper" }, `${title}: `, ...links);
}

const begun = (s) => s.confirmed > 0;

// papers lists what can be printed; a copy has nothing for a panel to write on.
function papers(segments, copied) {
  const kept = segments.filter((s) => s.state !== "PLANNED");
  list(at("papers"), kept, (s) => `${s.category} ${s.segment} ${s.state} ${begun(s)}`, (s) => {
    const last = segments.filter((x) => x.category === s.category).at(-1) === s;
    return make("div", { class: "papers" }, make("h3", {}, t("board.segment", { category: s.categoryTitle, segment: s.segmentTitle })),
      make("p", { class: "note" }, t(`board.states.${s.state}`)),
      paper(s, "STARTING_ORDER"), !copied && (s.state === "DRAWN" || s.state === "RUNNING") ? paper(s, "PANEL_SHEETS") : "",
      ...(begun(s) ? [paper(s, "SEGMENT_RESULT"), paper(s, "SCORE_SHEETS")] : []),
      last && begun(s) ? paper({ category: s.category }, "FINAL_RESULT") : "");
  }, () => {});
  show(at("more-title"), kept.length > 0);
  show(at("unsigned"), kept.some((s) => s.status !== "OFFICIAL"));
}

// signed offers the papers of a result that is open and signed.
function signed({ segment, segments }) {
  const asked = (s) => s.category === query.get("category") && s.segment === query.get("segment");
  const open = query.has("category") ? segments.find(asked) : segment;
  const wanted = open?.status === "OFFICIAL" && !query.has("entry") ? ["SEGMENT_RESULT", "SCORE_SHEETS"] : [];
  list(at("signed"), wanted, (document) => `${document} ${open.category} ${open.segment}`,
    (document) => link(open, document, "PDF", { class: "button" }, t(`board.signed.${document}`)), () => {});
  show(at("signed"), wanted.length > 0);
}

const board = at("board");
const OPENED = ["category", "segment", "view", "entry"];
let last;

board.addEventListener("scoreboard", ({ detail }) => {
  last = detail;
  document.title = t("board.of", { name: detail.name });
  setText(document.querySelector(".top .title"), detail.name);
  papers(detail.segments, Boolean(detail.copy));
  signed(detail);
});
board.addEventListener("show", ({ detail }) => {
  for (const name of OPENED) query.delete(name);
  for (const [name, value] of Object.entries(detail)) if (value) query.set(name, value);
  history.pushState(null, "", `?${query}`);
  signed(last);
});
addEventListener("popstate", opened);

// opened shows what the address says.
function opened() {
  const now = new URLSearchParams(location.search);
  for (const name of OPENED) {
    if (now.get(name)) query.set(name, now.get(name));
    else query.delete(name);
    if (now.get(name)) board.setAttribute(name, now.get(name));
    else board.removeAttribute(name);
  }
  if (last) signed(last);
}

at("share").addEventListener("click", () => {
  const open = new URLSearchParams(OPENED.flatMap((name) => (query.has(name) ? [[name, query.get(name)]] : [])));
  copy(`${pageOf(event)}${open.size ? `?${open}` : ""}`, t("board.copied"));
});

document.body.classList.toggle("hall", inHall);
if (inHall) document.documentElement.dataset.face = "hall";

// enter shows the board, and asks who may not see it for a code. Whatever else is
// wrong the board says itself.
async function enter(typed) {
  token = api.token = typed;
  let there = true;
  try {
    await api.call("GetCaller", { event });
  } catch (error) {
    if ([401, 403].includes(error.status)) {
      if (token) watcherFault(error);
      show(at("gate"), true);
      return;
    }
    there = error.status !== 404;
  }
  if (!at("gate").hidden) sessionStorage.setItem(tokenKey(event), token);
  show(at("gate"), false);
  show(at(inHall ? "hall" : "board"), true);
  if (inHall) return hall(at("hall"), api, event);
  opened();
  if (token) board.setAttribute("token", token);
  board.setAttribute("event", event);
  show(at("more"), there);
  show(at("share"), there);
}

at("gate").addEventListener("submit", (submit) => {
  submit.preventDefault();
  watcherFault();
  enter(typedCode()).then(() => { at("token").value = ""; });
});
enter(token);
if (query.has("token")) at("to-hall").href = `?hall&token=${encodeURIComponent(token)}`;
at("desk").href = desksOf(event);
setText(at("embed"), `<script type="module" src="${home}embed/scoreboard.js"></script>\n<rinktally-scoreboard event="${event}"></rinktally-scoreboard>`);

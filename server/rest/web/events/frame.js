// The frame of a desk: what stands around its work and fills the screen with it.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { actionBar } from "../parts/bar.js";
import { menu } from "../parts/menu.js";
import { sending } from "../parts/sending.js";
import { t } from "../parts/words.js";
import { desksOf, event, pageOf } from "./place.js";
import { rehearsalStrip } from "./rehearsal.js";

const LONG = 32; // letters; a longer name is written smaller
const STATES = { ON_ICE: t("desk.onIce"), REVIEW: t("desk.over"), CONFIRMED: t("desk.confirmed") };

/**
 * frame puts the frame around the page. keys are [key, what it does] for the help;
 * skater says whether a strip shows who skates. It returns { bar, figure, fill, link,
 * more, notice, open, who }.
 */
export function frame({ keys = [], skater = true, leave }) {
  const link = sending(at("top-end"));
  const own = make("div", { class: "own" }), who = make("p", { class: "note who" });
  const help = () => tellKeys(keys);
  const more = menu(make("span", {}, t("desk.more")), own,
    keys.length > 0 && make("button", { type: "button", onclick: help }, t("desk.keys"), make("kbd", {}, "F1")),
    make("a", { href: pageOf(event) }, t("desk.board")), make("a", { href: desksOf(event) }, t("desk.desks")), who,
    make("button", { type: "button", class: "leave", onclick: leave }, t("desk.leave")));
  at("top-end").append(more);
  document.addEventListener("keydown", (press) => {
    if (press.key !== "F1" || !keys.length || document.querySelector("dialog")) return;
    press.preventDefault();
    help();
  });
  const { node: strip, ...stripped } = skaterStrip();
  const notice = make("div", { class: "notices", role: "status" });
  const desk = at("desk");
  const rehearsal = rehearsalStrip();
  desk.before(rehearsal.node, strip, notice);
  const bar = actionBar();
  return {
    bar, link, figure: stripped.figure,
    fill(now) {
      setText(at("where"), now.segment ? t("desk.where", { event: now.event.name, segment: segmentTitle(now) }) : now.event.name);
      stripped.fill(now);
      rehearsal.fill(now);
    },
    /** open shows the desk, or hides it. */
    open(yes) {
      show(desk, yes);
      show(strip, yes && skater);
      show(more, yes);
      show(notice, yes);
      if (!yes) show(document.querySelector(".bar"), false); // comes back with what it says
    },
    /** more fills the desk's own part of the menu with choices { label, run }. */
    more: (choices) => list(own, choices, (c) => c.label, (c) => make("button", { type: "button" }, c.label), (node, c) => { node.onclick = c.run; }),
    /** notice fills the lines above the work with { text, label, run }: what has to be known, and what can be done. */
    notice: (lines) => list(notice, lines, (l) => l.text,
      (l) => make("p", { class: "notice" }, make("span", {}, l.text), l.run && make("button", { type: "button" }, l.label)),
      (node, l) => { if (l.run) node.lastChild.onclick = l.run; }),
    who: (name) => setText(who, name && t("desk.who", { name })),
  };
}

/** segmentTitle is the segment that is worked on, with its category and what decides its values. */
export const segmentTitle = ({ category, segment }) =>
  t("desk.segment", { category: category.title, segment: [segment.title, segment.scope].filter(Boolean).join(", ") });

function skaterStrip() {
  const number = make("span", { class: "start-number" }), name = make("h2", { class: "name", id: "skater" });
  const club = make("span", { class: "club" }), of = make("span", { class: "of" });
  const state = make("span", { class: "pill", "data-state": "plain" });
  const label = make("span", { class: "note" }), value = make("output", { id: "figure" });
  const figure = make("span", { class: "figure", hidden: true }, label, value);
  return {
    node: make("section", { class: "strip", "aria-label": t("desk.skater"), hidden: true },
      number, make("div", { class: "whose" }, name, club, of), make("div", { class: "end" }, state, figure)),
    /** figure shows a figure at the end of the strip; without a value there is none. */
    figure(text, figures) {
      show(figure, figures !== undefined);
      setText(label, text ?? "");
      setText(value, figures ?? "");
    },
    fill(now) {
      const { performance, segment } = now;
      show(number, Boolean(performance));
      setText(number, performance ? String(performance.number) : "");
      setText(name, performance?.name ?? t(segment ? "desk.nobody" : "desk.noSegment"));
      name.classList.toggle("nobody", !performance);
      name.classList.toggle("long", performance?.name.length > LONG);
      setText(club, performance?.club ?? "");
      setText(of, segment ? segmentTitle(now) : "");
      setText(state, STATES[performance?.state] ?? "");
    },
  };
}

// tellKeys shows what the keys do.
function tellKeys(keys) {
  const close = make("button", { type: "button", class: "primary", onclick: () => dialog.close() }, t("desk.close"));
  const dialog = make("dialog", { class: "keys", "aria-labelledby": "keys-title", onclose: () => dialog.remove() },
    make("h2", { id: "keys-title" }, t("desk.keysTitle")),
    make("dl", {}, ...keys.flatMap(([key, what]) => [make("dt", {}, ...key.split(" ").map((k) => make("kbd", {}, k))), make("dd", {}, what)])),
    make("div", { class: "buttons" }, close));
  document.body.append(dialog);
  dialog.showModal();
  close.focus();
}

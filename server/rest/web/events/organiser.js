// The organiser's desk: what an event needs before its first skater, step by step.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { menu } from "../parts/menu.js";
import { save } from "../parts/save.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { categoriesPart } from "./categories.js";
import { openDesk } from "./desk.js";
import { entriesPart } from "./entries.js";
import { eventPart } from "./event.js";
import { orderForm } from "./order.js";
import { panelPart } from "./panel.js";
import { event, pageOf } from "./place.js";
import { publicationPart } from "./publication.js";
import { rehearsalPart } from "./rehearsal.js";
import { seatsPart } from "./seats.js";
import { fillOrder, segmentChoice, stateOf } from "./segment.js";
import { progress, segmentsOf, STEPS } from "./steps.js";
import { explain } from "./refusal.js";

openDesk({ roles: ["ORGANISER", "ADMIN"], skater: false, start });

function start(desk) {
  let state;
  let shown = {}; // the segment that is chosen, with its category
  let opened;
  const again = () => fill(state).catch(desk.refresh);
  const choose = segmentChoice(at("segment"), again);
  const names = () => ({ event, category: shown.category.category, segment: shown.segment.segment });
  const seats = seatsPart(desk, at("step-seats"), again);
  const parts = [
    eventPart(desk, at("step-event")), categoriesPart(desk, at("step-categories")), entriesPart(desk, at("entries"), true), panelPart(desk, at("step-panel")),
    orderForm(desk, at("draw"), names), seats.fill, rehearsalPart(desk, at("step-start")),
  ];
  const choices = papers(desk, () => seats.sheets(seats.all()));
  desk.more(choices); // on a phone, where the header has no room for another menu
  at("top-end").prepend(menu(make("span", {}, t("organiser.papers")), ...choices.map((c) => make("button", { type: "button", onclick: c.run }, c.label))));
  publicationPart(desk, at("step-event"));

  // open shows a step; from says that somebody asked for it. Where it is open already the
  // next thing is its first field.
  function open(id, from) {
    const field = from && opened === id && at(`step-${id}`).querySelector("form :is(input, select):not([type=checkbox])");
    opened = id;
    for (const step of STEPS) show(at(`step-${step}`), step === id);
    setText(at("opened-title"), t(`organiser.title.${id}`));
    at("opened").scrollTop = 0;
    if (field) field.focus();
    else if (from) at("opened-title").focus({ focusVisible: false });
    if (id === "seats") seats.look();
    if (state) again();
  }

  const startSegment = (s) => desk.act("StartSegment", { event, category: s.category, segment: s.segment }, at("start-fault"));

  // What the bar's action does, by its name.
  const actions = {
    open: ({ step, segment }) => {
      if (segment) {
        at("segment").value = segment;
        at("segment").dispatchEvent(new Event("change"));
      }
      open(step, true);
    },
    code: ({ seat }) => seats.code(seat),
    sheets: ({ list: some }) => seats.sheets(some),
    start: ({ segment }) => { open("start", true); startSegment(segment); },
    papers: () => { location.href = pageOf(event); },
  };
  const choice = (what) => what && { label: what.label, run: () => actions[what.run](what) };

  function fillSteps(steps) {
    const step = (s) => make("button", { type: "button", class: "step", onclick: () => open(s.id, true) }, make("span", { "aria-hidden": "true" }),
      make("span", { class: "words" }, make("strong", {}, t(`organiser.title.${s.id}`)), make("span", { class: "note" })), make("span", { class: "aloud" }));
    list(at("steps"), steps, (s) => s.id, (s) => make("li", {}, step(s)), (node, s) => {
      const [button] = node.children;
      button.dataset.state = s.state;
      button.setAttribute("aria-current", s.id === opened ? "step" : "false");
      setText(button.children[0], s.state === "done" ? "✓" : String(STEPS.indexOf(s.id) + 1));
      setText(button.querySelector(".note"), s.note);
      setText(button.children[2], t(`organiser.state.${s.state}`));
    });
  }

  function fillSegments({ event: { categories } }) {
    const button = (s) => make("button",
      { type: "button", class: "small", "aria-label": t("organiser.startOf", { segment: s.name }), onclick: () => startSegment(s) }, t("organiser.start"));
    const row = (s) => make("li", {}, make("span", { class: "name" }), make("span", { class: "badge" }), button(s));
    list(at("segments"), segmentsOf(categories), (s) => `${s.category} ${s.segment}`, row, (node, s) => {
      setText(node.children[0], s.name);
      setText(node.children[1], stateOf(s));
      show(node.children[2], s.state === "DRAWN");
    });
  }

  async function fill(now) {
    state = now;
    shown = choose(now);
    setText(at("segment-state"), shown.segment ? stateOf(shown.segment) : "");
    fillOrder(at("order"), shown.segment);
    fillSegments(now);
    await Promise.all(parts.map((part) => part(now, shown)));
    const { steps, say, note, action, second } = progress(now, seats.all());
    if (!opened) return open(steps.find((s) => s.state === "now")?.id ?? "start");
    fillSteps(steps);
    desk.bar({ say, note, action: choice(action), second: choice(second) });
    return undefined;
  }
  return fill;
}

// papers returns the choices { label, run } of what is printed and exported.
function papers({ api }, sheets) {
  const entries = () => api.call("ExportEntries", { event })
    .then((file) => save(file, `${event}-entries.csv`), (error) => toast(explain(error)));
  return [
    { label: t("organiser.allSheets"), run: sheets },
    { label: t("organiser.export"), run: entries },
    { label: t("paper.open"), run: () => { location.href = pageOf(event, "paper"); } },
    { label: t("organiser.results"), run: () => { location.href = `${pageOf(event)}#papers`; } },
  ];
}

// The organiser's desk: what an event needs before its first skater, step by step.

import { at, list, make, setText, show } from "../../embed/dom.js";
import { menu } from "../parts/menu.js";
import { t } from "../parts/words.js";
import { categoriesPart } from "./categories.js";
import { openDesk } from "./desk.js";
import { entriesPart } from "./entries.js";
import { eventPart } from "./event.js";
import { orderForm } from "./order.js";
import { panelPart } from "./panel.js";
import { event, pageOf } from "./place.js";
import { save } from "./save.js";
import { seatsPart } from "./seats.js";
import { fillOrder, segmentChoice, stateOf } from "./segment.js";
import { progress, segmentsOf, STEPS } from "./steps.js";
import { tell } from "./refusal.js";

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
    orderForm(desk, at("draw"), names), seats.fill,
  ];
  at("top-end").prepend(papers(desk, () => seats.sheets(seats.all())));

  // open shows a step; from says that somebody asked for it.
  function open(id, from) {
    opened = id;
    for (const step of STEPS) show(at(`step-${step}`), step === id);
    setText(at("opened-title"), t(`organiser.title.${id}`));
    at("opened").scrollTop = 0;
    if (from) at("opened-title").focus({ focusVisible: false });
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

// papers is the one place for what is printed and exported.
function papers({ api }, sheets) {
  const fault = make("span", { class: "fault", role: "alert" });
  const entries = () => api.call("ExportEntries", { event }).then((file) => save(file, `${event}-entries.csv`), (error) => tell(fault, error));
  return menu(make("span", {}, t("organiser.papers")),
    make("button", { type: "button", onclick: sheets }, t("organiser.allSheets")),
    make("button", { type: "button", onclick: entries }, t("organiser.export")),
    make("a", { href: `${pageOf(event)}#papers` }, t("organiser.results")), fault);
}

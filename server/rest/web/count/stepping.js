// The lower half while a step sequence is counted, and what is said of it: with a plan
// only whether each turn was clean, without one a cell for each turn and direction.

import { at, make, setText, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { counter } from "./after.js";
import { press } from "./frame.js";
import { begin, clean, counting, expected, kept, pass, request, set, SIGNS, times, toggle, turn, TYPES, WAYS } from "./steps.js";
import { featureName, numberName } from "./tables.js";

const AHEAD = 3; // turns after the next one
const turnName = ({ type, way }) => t("count.turn", { type: t(`count.turnTypes.${type}`), way: t(`count.ways.${way}`) });

/** stepping is the kind of element that a step sequence is, for count.js, as spinning is that of a spin. */
export function stepping(count, chosen, listens) {
  let now = begin(), last = 0;
  const most = () => Number(chosen.rule("levels.steps.variety.max_per_type") ?? Infinity);

  // thresholds are the numbers of turns that levels need: { turns, level, both }.
  const thresholds = () => {
    const list = [];
    for (let i = 0; chosen.rule(`levels.steps.variety.steps[${i}].turns`); i++) {
      const value = (name) => Number(chosen.rule(`levels.steps.variety.steps[${i}].${name}`) ?? 0);
      list.push({ turns: value("turns"), level: value("level"), both: value("both_directions") });
    }
    return list;
  };
  // signs are what the season lets be shown beside turns.
  const signs = () => Object.entries(SIGNS).filter(([name]) => chosen.features()
    .some((f) => chosen.rule(`levels.steps.features.${f.feature}.shown_by`)?.split(", ").includes(name))).flatMap(([, fields]) => fields);

  const planned = () => Boolean(expected(now));
  press(at("clean"), () => count.turn(clean, "revolution"));
  press(at("unclean"), () => count.turn(pass, "struck"));
  press(at("left-out"), () => count.turn(pass, "change"));
  press(at("undo-step"), count.back);
  const cells = TYPES.flatMap((type) => [make("span", { class: "type" }, t(`count.turnTypes.${type}`), make("small", {})), ...WAYS.map((way) => {
    const cell = make("button", { type: "button", "data-turn": `${type} ${way}` }, make("span", { "aria-hidden": "true" }), make("span", { class: "aloud" }));
    press(cell, () => count.turn((steps) => turn(steps, type, way), "revolution"));
    return cell;
  })]);
  at("turns").replaceChildren(make("span", {}, t("count.turnHead")), ...WAYS.map((way) => make("span", {}, t(`count.waysOf.${way}`))), ...cells);

  document.addEventListener("keydown", (event) => {
    if (!listens() || event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    const type = TYPES[/^Digit([1-6])$/.exec(event.code)?.[1] - 1];
    if (type) count.turn((steps) => turn(steps, type, event.shiftKey ? "clockwise" : "counterclockwise"), "revolution");
    else if (event.key === "Enter" && planned() && !event.target.closest("button, a, summary")) count.turn(clean, "revolution");
    else if (event.key === "Backspace") count.back();
    else if (event.key === "Escape") count.end();
    else return;
    event.preventDefault();
  });

  function toggles() {
    return signs().map((sign) => {
      const key = make("button", { type: "button", class: "tick", "aria-pressed": String(now.signs.includes(sign)) }, t(`count.signs.${sign}`));
      press(key, () => count.turn((steps) => toggle(steps, sign), "feature"));
      return key;
    });
  }

  // tally draws strokes, the fifth across the four before; what counts no more is thin.
  const tally = (n) => "I".repeat(n) || "–";

  function fill({ state, counting: live }) {
    now = state;
    const by = planned();
    show(at("planned"), by);
    show(at("turns"), !by);
    at("sign-keys").replaceChildren(...toggles());
    show(at("left-out"), by);
    at("undo-step").disabled = !live;
    for (const cell of at("turns").querySelectorAll("button")) {
      const [type, way] = cell.dataset.turn.split(" "), n = times(state, type, way);
      setText(cell.firstChild, tally(n));
      cell.classList.toggle("any", n > 0);
      setText(cell.lastChild, t("count.turnTimes", { turn: turnName({ type, way }), n }));
    }
    TYPES.forEach((type, i) => {
      const note = at("turns").querySelectorAll(".type small")[i], over = times(state, type) > most();
      setText(note, over ? t("count.onlyCount2", { n: most() }) : "");
    });
  }

  function live(state, reading) {
    const next = expected(state), { turns, both } = counting(state, most());
    const row = (n, name, note) => make("li", { "data-is": "missing" }, make("i", { "aria-hidden": "true" }, number(n)),
      make("span", {}, make("span", { class: "aloud" }, `${number(n)} `), name), note && make("span", { class: "note" }, note));
    const more = thresholds().filter((s) => s.turns > turns).map((s) => t("count.forLevel", { n: s.turns, level: s.level }));
    const bothFor = thresholds().find((s) => s.both > both);
    const others = (reading?.call.features ?? []).filter((f) => f.feature !== "TURN_VARIETY");
    const total = state.turns.length + state.missed + state.plan.length;
    at("parts").replaceChildren();
    return [
      row(turns, t("count.turnsCount"), more.slice(0, 2).join(", ")),
      row(both, t("count.typesBoth"), bothFor && t("count.forLevel", { n: bothFor.both, level: bothFor.level })),
      ...others.map((f) => featureRow(f)),
      ...(next ? [make("li", { class: "next-turn" }, make("p", { class: "note" }, t("count.nowOf", { n: total - state.plan.length + 1, of: total })),
        make("p", { class: "now-turn" }, turnName(next)),
        make("p", { class: "note" }, t("count.then", { turns: state.plan.slice(1, 1 + AHEAD).map(turnName).join(" · ") })))] : []),
      ...(!next && reading?.call.toNextLevel ? [make("li", { class: "next-turn note" }, reading.call.toNextLevel.options[0].message)] : []),
    ];
  }

  // featureRow is what was shown beside the turns, or their variety.
  function featureRow(f, note) {
    const is = f.counted ? "counted" : "struck";
    return make("li", { "data-is": is }, make("i", { "aria-hidden": "true" }, f.counted ? "✓" : ""),
      make("span", {}, make("span", { class: "aloud" }, `${t(`count.is.${is}`)} `), featureName(f)), note && make("span", { class: "note" }, note));
  }

  // heard says a number of turns that a level needs, and the level when it changes.
  function heard(before, after, state) {
    const { turns } = counting(state, most());
    const reached = turns > last && thresholds().some((s) => s.turns === turns);
    last = turns;
    const level = after.call.level !== before?.call.level && after.call.level;
    if (!reached && !(before && level)) return {};
    return { text: t("count.turnsSaid", { n: numberName(turns), level: numberName(after.call.level) }), felt: "feature" };
  }

  const rows = (steps, correct) => make("ol", { class: "list panel", "aria-label": t("count.turnsCount") },
    make("li", { class: "turn-row note", "aria-hidden": "true" }, make("span"), ...WAYS.map((way) => make("span", { class: "way" }, t(`count.ways.${way}`)))),
    ...TYPES.map((type) => make("li", { class: "turn-row" }, make("strong", {}, t(`count.turnTypes.${type}`)),
      ...WAYS.map((way) => counter(times(steps, type, way), turnName({ type, way }), (n) => correct(set(steps, type, way, n)), { whole: true })))));

  return {
    name: "steps", kept, fill, live, heard, rows, asksAhead: false,
    begin(plan, pattern) {
      last = 0;
      return begin(plan, pattern);
    },
    shown(visible) { show(at("sequence"), visible); },
    request: (steps) => ({ element: request(steps), at: () => undefined }),
    empty: (steps) => steps.turns.length === 0,
    title: (steps) => t("count.stepsTitle", { n: steps.turns.length }), label: () => t("count.steps"),
    line: (steps) => t("count.stepsTitle", { n: steps.turns.length }),
    list: (reading) => (reading?.call.features ?? []).map((f) => featureRow(f, f.message)),
    chips: (reading, steps) => signs().filter((sign) => !steps.signs.includes(sign))
      .map((sign) => ({ text: t(`count.signs.${sign}`), next: () => toggle(steps, sign) })),
    form: () => () => undefined,
  };
}

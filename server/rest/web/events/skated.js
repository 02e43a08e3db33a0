// A form for what was skated, from which the level is found: spins and step
// sequences. It shows what the level would be before the element is called.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { seasonOf } from "./deductions.js";
import { named } from "./desk.js";
import { tell } from "./refusal.js";

const VARIATIONS = {
  CAMEL: ["CAMEL_FORWARD", "CAMEL_SIDEWAYS", "CAMEL_UPWARD"], SIT: ["SIT_FORWARD", "SIT_SIDEWAYS", "SIT_BEHIND"],
  UPRIGHT: ["UPRIGHT_FORWARD", "UPRIGHT_STRAIGHT_OR_SIDEWAYS", "BIELLMANN"], LAYBACK: ["LAYBACK"], NON_BASIC: ["NON_BASIC"],
};
const WINDMILL = { feature: "WINDMILL", title: "Windmill", reported: "position" }; // a report that is no feature of its own
const TURNS = ["TWIZZLE", "BRACKET", "LOOP", "COUNTER", "ROCKER", "CHOCTAW"];
const STEPS = {
  rotationsBothDirections: "rotations in both directions", bodyMovement: "body movement",
  turnCombinationLeft: "combination of turns, left foot", turnCombinationRight: "combination of turns, right foot",
};

let ids = 0;

/** choice gives a labelled select. */
function choice(label, name, options, chosen) {
  const id = `skated-${++ids}`;
  const select = make("select", { id, name }, ...options.map(([value, text]) => make("option", { value }, text)));
  if (chosen !== undefined) select.value = chosen;
  return make("span", { class: "field" }, make("label", { for: id }, label), select);
}

function number(label, name, value, step) {
  const id = `skated-${++ids}`;
  return make("span", { class: "field" }, make("label", { for: id }, label), make("input", { id, name, type: "number", min: 0, step, value, inputmode: "decimal" }));
}

const check = (label, name) => make("label", { class: "check" }, make("input", { type: "checkbox", name }), ` ${label}`);
const part = (node, name) => node.querySelector(`[name=${name}]`);
const checked = (node, name) => part(node, name).checked;

/** reports fills a position with what a panel can report in it, as the season has it. */
function reports(node, features) {
  node.replaceChildren(...[...features, WINDMILL].filter((f) => f.reported === "position").map((f) => check(f.title, f.feature)));
}

function position(features) {
  const node = make("fieldset", { class: "position" }, make("legend", {}, "Position"));
  const change = choice("Foot", "change", [["", "same foot"], ["STEP", "other foot, by a step"], ["JUMP", "other foot, by a jump"]]);
  const kind = choice("Position", "position", ["CAMEL", "SIT", "UPRIGHT", "LAYBACK", "NON_BASIC"].map((p) => [p, words(p)]));
  const variation = choice("Difficult variation", "variation", []);
  const lean = choice("Lean", "lean", [["BACKWARD", "backward"], ["SIDEWAYS", "sideways"]]);
  const fit = () => {
    const at = part(kind, "position").value;
    part(variation, "variation").replaceChildren(make("option", { value: "" }, "none"), ...VARIATIONS[at].map((v) => make("option", { value: v }, words(v))));
    lean.hidden = at !== "LAYBACK";
  };
  kind.addEventListener("change", fit);
  node.append(make("div", { class: "row" }, change, kind, lean, variation, number("Revolutions", "revolutions", 3, 0.5)),
    make("div", { class: "row reports" }),
    make("button", { type: "button", class: "quiet", onclick: () => { const { parentNode } = node; node.remove(); parentNode.dispatchEvent(new Event("change", { bubbles: true })); } }, "Take this position out"));
  fit();
  reports(node.querySelector(".reports"), features);
  return node;
}

function readSpin(form) {
  const feet = [];
  for (const p of form.querySelectorAll(".position")) {
    const at = part(p, "position").value;
    const read = { position: at, revolutions: Number(part(p, "revolutions").value), features: [...p.querySelectorAll(".reports :checked")].map((box) => box.name) };
    if (part(p, "variation").value) read.variation = part(p, "variation").value;
    if (at === "LAYBACK") read.lean = part(p, "lean").value;
    const change = part(p, "change").value;
    if (feet.length === 0) feet.push({ positions: [read] });
    else if (change) feet.push({ change, positions: [read] });
    else feet.at(-1).positions.push(read);
  }
  return { spin: { flying: part(form, "flying").value, difficultEntrance: checked(form, "difficultEntrance"), difficultExit: checked(form, "difficultExit"), feet } };
}

function readSteps(form) {
  const turns = [...form.querySelectorAll(".turn")].map((t) => ({
    type: t.dataset.turn, clockwise: Number(part(t, "clockwise").value), counterclockwise: Number(part(t, "counterclockwise").value),
  })).filter((t) => t.clockwise + t.counterclockwise > 0);
  return { stepSequence: { turns, ...Object.fromEntries(Object.keys(STEPS).map((name) => [name, checked(form, name)])) } };
}

/**
 * skatedForm gives the form and a function that fits it to the event's season;
 * state gives what the desk knows, secondHalf whether the element is in it.
 */
export function skatedForm({ api, act }, state, secondHalf) {
  let season, known = []; // the season's features
  const title = (feature) => known.find((f) => f.feature === feature)?.title ?? words(feature);
  const positions = make("div", {}, position(known));
  const add = make("button", { type: "button", onclick: () => { positions.append(position(known)); preview(); } }, "Another position");
  const spin = make("div", {}, make("div", { class: "row" },
    choice("Flying entrance", "flying", [["NONE", "none"], ["PLAIN", "plain"], ["DIFFICULT", "difficult"], ["STEP_OVER", "step-over, no clear jump"]]),
    check("difficult entrance", "difficultEntrance"), check("difficult exit", "difficultExit")), positions, add);
  const steps = make("div", { hidden: true }, make("div", { class: "row" }, ...Object.entries(STEPS).map(([name, text]) => check(text, name))),
    ...TURNS.map((t) => make("div", { class: "row turn", "data-turn": t, role: "group", "aria-label": words(t) }, make("strong", {}, words(t)), number("clockwise", "clockwise", 0, 1), number("counterclockwise", "counterclockwise", 0, 1))));
  const kind = choice("Element", "kind", [["spin", "spin"], ["steps", "step sequence"]]);
  const result = make("p", { class: "total", role: "status" });
  const features = make("ul", { class: "note" });
  const fault = make("p", { class: "fault", role: "alert" });
  const form = make("form", { class: "skated" }, kind, spin, steps, result, features, make("button", { type: "submit" }, "Call what was found"), fault);

  const isSpin = () => part(kind, "kind").value === "spin";
  const skated = () => (isSpin() ? readSpin(spin) : readSteps(steps));
  let asked = 0;
  async function preview() {
    const { event, category, segment, performance } = state();
    if (!performance) return;
    const mine = ++asked;
    try {
      const answer = await api.call("CallLevels", { season: event.rules.season, category: category.rulesCategory, segment: segment.segment, elements: [skated()] });
      if (mine !== asked) return;
      const [call] = answer.elements;
      tell(fault);
      setText(result, call.code ? `${call.code}, base value ${call.baseValue || "unknown"}, taken alone` : "This makes no element.");
      list(features, call.features, (f) => `${f.feature} ${f.at}`, () => make("li"),
        (node, f) => setText(node, `${title(f.feature)}: ${f.counted ? "counts" : `does not count, ${f.message || words(f.reason)}`}`));
    } catch (error) {
      if (mine !== asked) return;
      setText(result, "");
      features.replaceChildren();
      tell(fault, error);
    }
  }
  form.addEventListener("change", () => {
    spin.hidden = !isSpin();
    steps.hidden = isSpin();
    preview();
  });
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const { performance } = state();
    if (!performance) return;
    const done = await act("CallElement", { ...named(performance), skated: skated(), secondHalf: secondHalf() }, fault);
    if (done) {
      positions.replaceChildren(position(known));
      form.reset();
      spin.hidden = false;
      steps.hidden = true;
      setText(result, "");
      features.replaceChildren();
    }
  });
  async function fill({ event }) {
    if (!event || season === event.rules.season) return;
    known = (await seasonOf(api, event)).levelFeatures;
    season = event.rules.season;
    for (const node of positions.querySelectorAll(".reports")) reports(node, known);
    for (const [name, feature] of [["difficultEntrance", "DIFFICULT_ENTRANCE"], ["difficultExit", "DIFFICULT_EXIT"]])
      show(part(spin, name).parentNode, known.some((f) => f.feature === feature));
  }
  return { node: form, fill };
}

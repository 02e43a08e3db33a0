// Finding the level of a spin or step sequence from what was skated, by taps. Each tap
// asks for the code again.

import { list, make, setText, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { seasonOf } from "./deductions.js";
import { explain } from "./refusal.js";

const VARIATIONS = {
  CAMEL: ["CAMEL_FORWARD", "CAMEL_SIDEWAYS", "CAMEL_UPWARD"], SIT: ["SIT_FORWARD", "SIT_SIDEWAYS", "SIT_BEHIND"],
  UPRIGHT: ["UPRIGHT_FORWARD", "UPRIGHT_STRAIGHT_OR_SIDEWAYS", "BIELLMANN"], LAYBACK: ["LAYBACK"], NON_BASIC: ["NON_BASIC"],
};
const TURNS = ["TWIZZLE", "BRACKET", "LOOP", "COUNTER", "ROCKER", "CHOCTAW"];
const WAYS = ["clockwise", "counterclockwise"];
const STEPS = ["rotationsBothDirections", "bodyMovement", "turnCombinationLeft", "turnCombinationRight"];
const OFTEN = 2; // a turn counts no more often in one direction, so taps go 0, 1, 2, 0
const BASIC = 3, MANY = 8; // revolutions of a position, and those that are a feature

const position = (change) => ({ change, position: "", variation: "", lean: "BACKWARD", many: false, features: [] });
const nothing = () => ({ kind: "spin", flying: "NONE", entrance: false, exit: false, positions: [position()], turns: {}, steps: [] });

// asSkated is what was tapped as the contract has it; undefined while there is nothing.
function asSkated(s) {
  if (s.kind === "steps") {
    const turned = (type) => WAYS.map((way) => [way, s.turns[`${type} ${way}`] ?? 0]);
    const turns = TURNS.map((type) => ({ type, ...Object.fromEntries(turned(type)) }))
      .filter((turn) => turn.clockwise + turn.counterclockwise > 0);
    return { stepSequence: { turns, ...Object.fromEntries(STEPS.map((name) => [name, s.steps.includes(name)])) } };
  }
  const feet = [];
  for (const p of s.positions) {
    if (!p.position) continue;
    const read = { position: p.position, revolutions: p.many ? MANY : BASIC, features: p.features };
    if (p.variation) read.variation = p.variation;
    if (p.position === "LAYBACK") read.lean = p.lean;
    if (!feet.length) feet.push({ positions: [read] });
    else if (p.change) feet.push({ change: p.change, positions: [read] });
    else feet.at(-1).positions.push(read);
  }
  return feet.length ? { spin: { flying: s.flying, difficultEntrance: s.entrance, difficultExit: s.exit, feet } } : undefined;
}

const toggled = (all, one) => (all.includes(one) ? all.filter((x) => x !== one) : [...all, one]);

/**
 * levelFinder fills a place. state returns what the desk knows, found is called with
 * { code, skated } after each tap, or with nothing, and close when somebody is done. It
 * returns { fill, open }: open begins with nothing tapped.
 */
export function levelFinder({ api }, place, state, found, close) {
  let season, known = []; // the season's features
  let s = nothing();
  let asked = 0;
  const rows = make("div", { class: "taps" });
  const level = make("strong"), counts = make("p"), next = make("p");
  const result = make("div", { class: "found", role: "status", hidden: true }, level, make("div", {}, counts, next));
  const kinds = make("div", { class: "chips" });
  place.append(make("div", { class: "row" }, make("h2", {}, t("technical.finder.title")), kinds,
    make("button", { type: "button", class: "quiet", onclick: close }, t("desk.close"), make("kbd", {}, "Esc"))), rows, result);

  const title = (feature) => known.find((f) => f.feature === feature)?.title ?? feature.toLowerCase().replaceAll("_", " ");
  const has = (feature) => known.some((f) => f.feature === feature);

  // spin and steps are the rows of taps: { name, taps: { label, on, tap } }.
  const one = (label, on, tap) => ({ label, on, tap });
  const word = (group, key) => t(`technical.finder.${group}.${key}`);
  const footOf = (i) => t("technical.finder.foot", { n: s.positions.slice(1, i + 1).filter((p) => p.change).length + 1 });

  function spin() {
    const now = s.positions.at(-1);
    const done = s.positions.slice(0, -1).map((p, i) => {
      const label = [word("positions", p.position), p.variation && word("variations", p.variation), p.many && MANY, "×"].filter(Boolean).join(" ");
      return { name: footOf(i), taps: [one(label, true, () => { s.positions.splice(i, 1); s.positions[0].change = undefined; })] };
    });
    const positions = Object.keys(VARIATIONS).map((p) => one(word("positions", p), now.position === p,
      () => Object.assign(now, { position: now.position === p ? "" : p, variation: "" })));
    const taps = [...positions, ...(now.position ? details(now) : [])];
    return [...done, { name: footOf(s.positions.length - 1), taps }, { name: t("technical.finder.more"), taps: more(now) }];
  }
  function details(now) {
    const feature = (name, label) => one(label, now.features.includes(name), () => { now.features = toggled(now.features, name); });
    const side = () => { now.lean = now.lean === "SIDEWAYS" ? "BACKWARD" : "SIDEWAYS"; };
    return [
      one(t("technical.finder.many"), now.many, () => { now.many = !now.many; }),
      ...VARIATIONS[now.position].map((v) => one(word("variations", v), now.variation === v, () => { now.variation = now.variation === v ? "" : v; })),
      ...(now.position === "LAYBACK" ? [one(t("technical.finder.lean"), now.lean === "SIDEWAYS", side)] : []),
      ...known.filter((f) => f.reported === "position").map((f) => feature(f.feature, f.short || f.title)),
      feature("WINDMILL", t("technical.finder.windmill")), // reported, and no feature of its own
    ];
  }
  function more(now) {
    const then = [["position"], ["step", "STEP"], ["jump", "JUMP"]]
      .map(([name, change]) => one(word("then", name), false, () => s.positions.push(position(change))));
    const flying = ["PLAIN", "DIFFICULT", "STEP_OVER"].map((f) => one(word("flying", f), s.flying === f, () => { s.flying = s.flying === f ? "NONE" : f; }));
    return [
      ...(now.position ? then : []), ...(s.positions.length === 1 ? flying : []),
      ...(has("DIFFICULT_ENTRANCE") ? [one(t("technical.finder.entrance"), s.entrance, () => { s.entrance = !s.entrance; })] : []),
      ...(has("DIFFICULT_EXIT") ? [one(t("technical.finder.exit"), s.exit, () => { s.exit = !s.exit; })] : []),
    ];
  }
  function steps() {
    const turns = (way) => TURNS.map((turn) => {
      const key = `${turn} ${way}`, n = s.turns[key] ?? 0;
      return one(`${word("turns", turn)}${n ? ` ${n}` : ""}`, n > 0, () => { s.turns[key] = (n + 1) % (OFTEN + 1); });
    });
    const others = STEPS.map((step) => one(word("steps", step), s.steps.includes(step), () => { s.steps = toggled(s.steps, step); }));
    return [
      ...WAYS.map((way) => ({ name: word("ways", way), taps: turns(way) })),
      { name: t("technical.finder.more"), taps: others },
    ];
  }

  function drawTaps(node, taps) {
    list(node, taps.map((tap, i) => ({ ...tap, i })), (tap) => tap.i, () => make("button", { type: "button", class: "tick" }), (button, tap) => {
      setText(button, tap.label);
      button.setAttribute("aria-pressed", String(tap.on));
      button.onclick = () => { tap.tap(); draw(); ask(); };
    });
  }
  function draw() {
    drawTaps(kinds, ["spin", "steps"].map((k) => one(word("kinds", k), s.kind === k, () => { s = { ...nothing(), kind: k }; })));
    const choices = s.kind === "spin" ? spin() : steps();
    const create = () => make("div", { role: "group" }, make("span", { class: "label" }), make("div", { class: "chips" }));
    list(rows, choices.map((row, i) => ({ ...row, i })), (row) => `${row.i} ${row.name}`, create, (node, row) => {
      node.setAttribute("aria-label", row.name);
      setText(node.firstChild, row.name);
      drawTaps(node.lastChild, row.taps);
    });
  }

  async function ask() {
    const skated = asSkated(s), mine = ++asked, { event, category, segment } = state();
    show(result, Boolean(skated));
    if (!skated) return found(undefined);
    try {
      const program = { season: event.rules.season, category: category.rulesCategory, segment: segment.segment };
      const answer = await api.call("CallLevels", { ...program, elements: [skated] });
      if (mine !== asked) return undefined;
      const [call] = answer.elements;
      const counted = call.features.filter((f) => f.counted).map((f) => title(f.feature));
      setText(level, call.code ? t("technical.finder.level", { level: call.level || "–" }) : t("technical.finder.none"));
      setText(counts, t("technical.finder.count", { n: counted.length, features: counted.join(", ") }));
      setText(next, call.features.filter((f) => !f.counted).map((f) => `${title(f.feature)}: ${f.message}`)[0] ?? "");
      return found(call.code ? { code: call.code, skated } : undefined);
    } catch (error) {
      if (mine !== asked) return undefined;
      setText(level, "");
      setText(counts, explain(error));
      setText(next, "");
      return undefined;
    }
  }

  return {
    open() {
      s = nothing();
      show(result, false);
      draw();
    },
    async fill({ event }) {
      if (!event || season === event.rules.season) return;
      known = (await seasonOf(api, event)).levelFeatures;
      season = event.rules.season;
    },
  };
}

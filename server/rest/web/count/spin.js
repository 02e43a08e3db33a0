// A spin while it is counted: what each touch makes of it, and the request that asks for
// its level. States are never changed, so that undoing is going back to the one before.

/** EDGES are the positions as the body lies: up, down, right and left of the pad. */
export const EDGES = { up: "UPRIGHT", down: "SIT", right: "CAMEL", left: "LAYBACK", other: "NON_BASIC" };

/** FORMS are what a position is skated as, by name; those of a position in the order in which its edge brings them. */
export const FORMS = {
  UPRIGHT: { position: "UPRIGHT" },
  UPRIGHT_STRAIGHT: { position: "UPRIGHT", variation: "UPRIGHT_STRAIGHT_OR_SIDEWAYS" },
  UPRIGHT_FORWARD: { position: "UPRIGHT", variation: "UPRIGHT_FORWARD" },
  UPRIGHT_LAYBACK: { position: "UPRIGHT", variation: "LAYBACK" },
  UPRIGHT_BIELLMANN: { position: "UPRIGHT", variation: "BIELLMANN" },
  SIT: { position: "SIT" },
  SIT_BEHIND: { position: "SIT", variation: "SIT_BEHIND" },
  SIT_FORWARD: { position: "SIT", variation: "SIT_FORWARD" },
  SIT_SIDEWAYS: { position: "SIT", variation: "SIT_SIDEWAYS" },
  CAMEL: { position: "CAMEL" },
  CAMEL_SIDEWAYS: { position: "CAMEL", variation: "CAMEL_SIDEWAYS" },
  CAMEL_UPWARD: { position: "CAMEL", variation: "CAMEL_UPWARD" },
  CAMEL_FORWARD: { position: "CAMEL", variation: "CAMEL_FORWARD" },
  BACK: { position: "LAYBACK", lean: "BACKWARD" },
  SIDE: { position: "LAYBACK", lean: "SIDEWAYS" },
  LAYBACK_VARIATION: { position: "LAYBACK", lean: "BACKWARD", variation: "LAYBACK" },
  BIELLMANN: { position: "LAYBACK", variation: "BIELLMANN" },
  OTHER: { position: "NON_BASIC" },
  OTHER_VARIATION: { position: "NON_BASIC", variation: "NON_BASIC" },
};

/** formsOf lists the forms of a position. */
export const formsOf = (position) => Object.keys(FORMS).filter((form) => FORMS[form].position === position);

/** ENTRIES are how a spin is entered, as the request says it. */
const ENTRIES = {
  NONE: {}, PLAIN: { flying: "PLAIN" }, DIFFICULT: { flying: "DIFFICULT" }, ENTRANCE: { difficultEntrance: true },
  STEP_OVER: { flying: "STEP_OVER" },
};

// Where the panel reports a feature that is no matter of one position.
const WHOLE = {
  DIFFICULT_EXIT: "exit", CHANGE_OF_FOOT_BY_JUMP: "jump", BOTH_DIRECTIONS: "reversed",
  DIFFICULT_ENTRANCE: "entrance", DIFFICULT_FLYING_ENTRY: "flying",
};

/**
 * begin is a spin before its first revolution. A plan is a spin too: what it holds is
 * taken over touch by touch; what no touch has said stays in pencil.
 */
export const begin = (plan, entry = plan?.entry ?? "NONE") => ({ entry, exit: false, later: 0, feet: [], plan: stepsOf(plan) });

// stepsOf lists the parts of a plan with the way to each.
function stepsOf(plan) {
  return (plan?.feet ?? []).flatMap(({ change: how, reversed, parts }, f) => parts.map(({ form }) => ({ form, foot: f, change: how, reversed })));
}

/** now is the part that is being counted; undefined where there is none yet. */
export const now = (spin) => spin.feet.at(-1)?.parts.at(-1);

/** expected is what the plan holds next: { form, foot }; undefined where it has ended. */
export const expected = (spin) => spin.plan[0];

const withFoot = (spin, foot) => ({ ...spin, feet: [...spin.feet.slice(0, -1), foot] });
const onFoot = (spin, change) => withFoot(spin, { ...spin.feet.at(-1), ...change });
const withPart = (spin, what) => onFoot(spin, { parts: [...spin.feet.at(-1).parts.slice(0, -1), { ...now(spin), ...what }] });
const newFoot = (spin, how = "STEP", reversed = false) => ({ ...spin, feet: [...spin.feet, { change: how, reversed, parts: [] }] });
const newPart = (spin, form, pencil = false) => {
  const on = spin.feet.length ? spin : newFoot(spin);
  return onFoot(on, { parts: [...on.feet.at(-1).parts, { form, revolutions: 0, features: [], pencil }] });
};

// next takes what the plan holds next.
function next(spin, pencil) {
  const [step, ...plan] = spin.plan;
  let to = { ...spin, plan };
  while (to.feet.length <= step.foot) to = newFoot(to, step.change, step.reversed);
  return newPart(to, step.form, pencil);
}

// unused is the first variation of a position that the spin does not have yet.
function unused(spin, position) {
  const used = new Set(spin.feet.flatMap((foot) => foot.parts.map((part) => part.form)));
  const varied = formsOf(position).filter((form) => FORMS[form].variation);
  return varied.find((form) => !used.has(form)) ?? varied[0];
}

// following is the form that the same edge brings next.
function following(spin, form) {
  const { position, variation } = FORMS[form];
  const forms = formsOf(position);
  if (position === "LAYBACK") return forms[(forms.indexOf(form) + 1) % forms.length];
  return variation ? forms[0] : unused(spin, position);
}

/** ahead is the form that touching an edge would bring now. */
export function ahead(spin, edge) {
  const part = now(spin), position = EDGES[edge];
  const step = expected(spin);
  if (step && FORMS[step.form].position === position) return step.form;
  if (!part?.form || FORMS[part.form].position !== position) return formsOf(position)[0];
  const forms = formsOf(position);
  return part.revolutions > 0 ? following(spin, part.form) : forms[(forms.indexOf(part.form) + 1) % forms.length];
}

/** revolution counts one. Before any edge was touched it belongs to what the plan begins with, or to a part that has no name yet. */
export function revolution(spin) {
  let to = spin;
  if (!now(to)) {
    const step = expected(to), before = to.feet.at(-2)?.parts.at(-1)?.form;
    if (step && step.foot === Math.max(0, to.feet.length - 1)) to = next(to, true);
    else to = { ...newPart(to, before && formsOf(FORMS[before].position)[0], Boolean(before)), plan: [] };
  }
  return withPart(to, { revolutions: now(to).revolutions + 1 });
}

/** byBeat counts one that no touch has counted: the part is about so long. */
export const byBeat = (spin) => (now(spin)?.form ? withPart(spin, { revolutions: now(spin).revolutions + 1, about: true }) : spin);

/** edge begins a part, or changes the form of one that has no revolution yet. */
export function edge(spin, side) {
  const part = now(spin), position = EDGES[side], step = expected(spin);
  if (part && !part.form) return withPart(spin, { form: formsOf(position)[0] }); // it was counted before it had a name
  if (step && FORMS[step.form].position === position) return next(spin, false);
  const form = ahead(spin, side);
  const guessed = Boolean(FORMS[form].variation) && position !== "LAYBACK";
  const off = { ...spin, plan: [] };
  const same = part && part.revolutions === 0 && FORMS[part.form].position === position;
  return same ? withPart(off, { form, pencil: false }) : newPart(off, form, guessed);
}

/** otherFoot changes the foot; again, before anything was counted there, by a jump; a third time in the other direction. */
export function otherFoot(spin) {
  const foot = spin.feet.at(-1);
  if (!foot) return spin;
  if (foot.parts.length > 0) {
    const planned = expected(spin)?.foot === spin.feet.length;
    return { ...newFoot(spin), plan: planned ? spin.plan : [] };
  }
  const turned = foot.change !== "JUMP" ? { change: "JUMP" } : { change: "STEP", reversed: !foot.reversed };
  return onFoot(spin, turned);
}

/** jump says that the foot was changed by a jump. */
export const jump = (spin) => (spin.feet.length > 1 ? onFoot(spin, { change: "JUMP" }) : spin);

/** feature adds what a panel reports: to the part that is counted, or to another one, { foot, part }. */
export function feature(spin, name, at) {
  const way = WHOLE[name];
  if (way === "exit") return { ...spin, exit: true };
  if (way === "entrance") return { ...spin, entry: "ENTRANCE" };
  if (way === "flying") return { ...spin, entry: "DIFFICULT" };
  const f = at?.foot ?? spin.feet.length - 1;
  const changed = (change) => ({ ...spin, feet: spin.feet.with(f, { ...spin.feet[f], ...change }) });
  if (!spin.feet[f]) return spin;
  if (way) return f === 0 ? spin : changed(way === "jump" ? { change: "JUMP" } : { reversed: true });
  const p = at?.part ?? spin.feet[f].parts.length - 1, part = spin.feet[f].parts[p];
  if (!part || part.features.includes(name)) return spin;
  return changed({ parts: spin.feet[f].parts.with(p, { ...part, features: [...part.features, name] }) });
}

/** later notes that something was done that is named afterwards. */
export const later = (spin) => ({ ...spin, later: spin.later + 1 });

/** change sets revolutions or form of a part afterwards; without revolutions it is gone. */
export function change(spin, { foot, part }, what) {
  const old = spin.feet[foot].parts[part];
  const revolutions = Math.max(0, what.revolutions ?? old.revolutions), pencil = what.form ? false : old.pencil;
  const parts = spin.feet[foot].parts.with(part, { ...old, ...what, revolutions, pencil, about: what.revolutions === undefined && old.about });
  return { ...spin, feet: spin.feet.with(foot, { ...spin.feet[foot], parts }) };
}

/** kept is the spin without what only counting needs: what a plan and a link hold. An edge touched by mistake is no part. */
export function kept({ entry, exit, feet }) {
  const clean = feet.map(({ change: how, reversed, parts }) => ({
    change: how, reversed,
    parts: parts.filter((p) => p.form && p.revolutions > 0).map(({ form, revolutions, features }) => ({ form, revolutions, features })),
  }));
  return { entry, exit, feet: clean.filter((foot) => foot.parts.length > 0) };
}

/** shorter is the spin where the beat was one ahead in each part that it counted; undefined where it counted none. */
export function shorter(spin) {
  const less = (part) => (part.about ? { ...part, revolutions: part.revolutions - 1 } : part);
  if (!spin.feet.some((foot) => foot.parts.some((part) => part.about))) return undefined;
  return { ...spin, feet: spin.feet.map((foot) => ({ ...foot, parts: foot.parts.map(less) })) };
}

/** turns counts the revolutions of a spin. */
export const turns = ({ feet }) => feet.flatMap((foot) => foot.parts).reduce((sum, part) => sum + part.revolutions, 0);

/**
 * request is the spin as levels:call takes it, undefined before anything was counted in
 * a position; more are revolutions that would follow in the part that is counted now. A
 * part that has none is no position yet. at finds the part of a place in the answer
 * ("feet[1].positions[0]").
 */
export function request(spin, more = 0) {
  const places = new Map();
  const feet = [];
  spin.feet.forEach((foot, f) => {
    const last = f === spin.feet.length - 1;
    const parts = foot.parts.map((part, p) => ({ part, p, current: last && p === foot.parts.length - 1 }))
      .filter(({ part, current }) => part.form && (part.revolutions > 0 || current && more > 0));
    if (!parts.length) return;
    parts.forEach(({ p }, n) => places.set(`feet[${feet.length}].positions[${n}]`, { foot: f, part: p }));
    feet.push({
      ...(feet.length > 0 && { change: foot.change ?? "STEP", directionReversed: Boolean(foot.reversed) }),
      positions: parts.map(({ part, current }) => ({ ...FORMS[part.form], revolutions: part.revolutions + (current ? more : 0), features: part.features })),
    });
  });
  if (!feet.length) return undefined;
  return { element: { spin: { ...ENTRIES[spin.entry], ...(spin.exit && { difficultExit: true }), feet } }, at: (place) => places.get(place) };
}

// The kind of element that a spin is, for count.js: what touches make of it, and what is
// said of it.

import { at, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { spinName, spinRows, spinTitle } from "./after.js";
import { heard } from "./answer.js";
import { frame } from "./frame.js";
import { featuresOf, partsOf } from "./live.js";
import { reportable, reports } from "./reports.js";
import { run, STILL, tap, wait } from "./beat.js";
import { begin, byBeat, edge, feature, jump, kept, later, now as partOf, otherFoot, request, revolution, shorter, turns } from "./spin.js";
import { capital, featureShort, formName, numberName, reasonShort } from "./tables.js";

/**
 * spinning is that kind. count has turn(step, felt), back(), touched(), pause(), end(),
 * tell(text) and number(n); chosen are the rules; listens says whether keys are for it.
 */
export function spinning(count, chosen, listens) {
  let now = begin(), said;
  let beats = false, beat = STILL, before = STILL, timer; // where revolutions run by themselves

  // runs lets the next revolution come by itself.
  function runs() {
    clearTimeout(timer);
    const pause = beats ? wait(beat, performance.now()) : undefined;
    if (pause === undefined) return;
    timer = setTimeout(() => {
      beat = run(beat);
      count.turn(byBeat, "revolution", { beat: true });
      count.number(partOf(now)?.revolutions ?? 0);
      runs();
    }, pause);
  }
  function still() {
    clearTimeout(timer);
    beat = before = STILL;
  }

  // short says that a part ends before it was one.
  function short() {
    const part = partOf(now), least = Number(chosen.rule("levels.spins.revolutions.position") ?? 0);
    if (part?.form && part.revolutions > 0 && part.revolutions < least) count.tell(t("count.tooShort"));
  }
  const act = {
    revolution(t) {
      if (beats) {
        before = beat;
        const { beat: set, add } = tap(beat, t);
        beat = set;
        if (add !== 1) count.turn((spin) => Array.from({ length: add }).reduce((s) => revolution(s), spin), "revolution");
        else count.turn(revolution, "revolution");
        runs();
      } else count.turn(revolution, "revolution");
      count.number(partOf(now)?.revolutions ?? 0);
    },
    back() {
      beat = before;
      count.back();
      runs();
    },
    undo() {
      if (beats) count.end();
      else count.back();
    }, end: count.end, released: count.touched,
    edge(side) { short(); count.turn((spin) => edge(spin, side), "change"); },
    foot() { if (partOf(now) || now.feet.length) { short(); count.turn(otherFoot, "change"); } },
    jump() { count.turn(jump, "change"); },
    feature() {
      count.pause();
      const named = (name) => count.turn(name ? (spin) => feature(spin, name) : later, "change");
      reports({ spin: now, reading: said, features: chosen.features() }, named, count.touched);
    },
  };
  const draw = frame(act, listens);

  // place is the first part in which a feature fits that is reported in a position.
  function place(spin, name) {
    for (const [f, foot] of spin.feet.entries()) {
      const p = foot.parts.findIndex((part) => part.form && reportable(chosen.features(), part.form, []).includes(name));
      if (p >= 0) return { foot: f, part: p };
    }
    return undefined;
  }

  return {
    name: "spin", begin, kept, request, asksAhead: true, rows: spinRows, title: spinTitle, label: spinName,
    empty: (spin) => turns(spin) === 0,
    line: (spin) => spin.feet.map((foot) => foot.parts.map((p) => `${formName(p.form)} ${number(p.revolutions)}`).join(" · ")).join(" / "),
    shown(visible) { show(at("frame"), visible); },
    beats: () => beats, still,
    beat(on) { beats = on; },
    less: (spin) => { const less = shorter(spin); return less && request(less)?.element; },
    fill({ state, reading, counting }) {
      now = state;
      said = reading;
      draw({ spin: state, reading, counting, beats });
    },
    live(spin, reading, form, used) {
      at("parts").replaceChildren(...partsOf(spin));
      return featuresOf(reading, form, (f) => used(f) || reasonShort(f.reason));
    },
    list(reading, form, used) {
      const rows = featuresOf(reading, form, (f) => [f.message, used(f)].filter(Boolean).join(" "));
      return rows.filter((row) => row.dataset.is !== "ahead");
    },
    heard(before, after) {
      const { count: n, held, struck } = heard(before, after), word = n && numberName(n);
      const why = struck && [t("count.doesNot"), reasonShort(struck.reason)].filter(Boolean).join(": ");
      const words = [n && (held ? t("count.notLevel", { number: word }) : word), why];
      return { text: words.filter(Boolean).join("; "), felt: struck ? "struck" : "feature" };
    },
    chips: (reading, spin) => (reading?.ahead ?? []).filter((name) => place(spin, name))
      .map((name) => ({ text: capital(featureShort(name)), next: () => feature(spin, name, place(spin, name)) })),
    more(spin, reading, correct) {
      reports({ spin, reading, features: chosen.features() }, (name) => name && correct(feature(spin, name)), () => undefined);
    },
    form: (spin, asked) => (where) => {
      const part = asked?.at(where);
      return part && spin.feet[part.foot]?.parts[part.part]?.form;
    },
  };
}

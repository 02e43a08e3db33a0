// A run-through: the elements of the program in their order, one touch each, and at the end
// the score that they would have had.

import { requestId } from "../../embed/client.js";
import { make } from "../../embed/dom.js";
import { read } from "../../embed/text.js";
import { fault } from "../parts/fault.js";
import { button } from "../parts/form.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { came, cameWell, isLevelled, touches } from "./came.js";
import { nameOf, touchName } from "./touch.js";

/**
 * runThrough returns { draw(place), forget() }, which begins a new one. program returns what
 * the skater plans, elements what codes are; keep keeps an attempt and returns what undo
 * takes it back by, saved is given a program that was typed, and end is called at the end.
 */
export function runThrough({ rules, keep, undo, learn, elements, program, skater, saved, end }) {
  let done = [], id = "", score = ""; // done are { attempt, … }, as they were kept

  function begin() {
    [done, id, score] = [[], requestId(), ""];
  }

  // worth asks what the elements are worth as they came.
  async function worth(place) {
    const planned = program(), of = done;
    const list = of.map(({ attempt: a }, i) => ({ code: a.came, secondHalf: planned.elements[i].secondHalf, grade: a.grade ?? 0 }));
    let answer;
    try {
      const { season } = await rules.call("GetSeason", { season: skater().season || "current" });
      const graded = list.map((e, i) => (of[i].attempt.fall ? { ...e, grade: season.goe.min } : e));
      answer = await rules.call("CheckProgram", { season: season.season, category: skater().category, segment: planned.segment, elements: graded });
    } catch (error) {
      if (error.status === undefined) throw error;
    }
    if (of !== done) return; // taken back, or another run-through
    score = answer?.predicted.elementScore ?? "";
    draw(place);
  }

  function touch(place, element, what) {
    const kept = keep({ ...came(element, what), runThrough: id });
    if (!kept) return;
    done = [...done, kept];
    if (done.length === program().elements.length) worth(place);
    draw(place);
  }

  function enter(place) {
    const input = make("input", {
      id: "run-program", class: "code-field", placeholder: "3lz 3s+2t | ccosp4", autocomplete: "off", spellcheck: "false", autocapitalize: "none",
    });
    const submit = async (event) => {
      event.preventDefault();
      const { rows, half } = read(input.value);
      await learn(rows.map((r) => r.code));
      const bad = rows.filter((r) => !elements().has(r.code));
      if (!rows.length || bad.length) return fault(input, t("practice.noElement", { codes: bad.map((r) => r.code).join(", ") }));
      const list = rows.map((r, i) => ({ code: elements().get(r.code).code, secondHalf: half !== undefined && i >= half }));
      return saved([{ segment: "free-skating", elements: list }]);
    };
    place.replaceChildren(make("form", { class: "empty", onsubmit: submit }, make("h2", {}, t("practice.noRun")),
      make("p", {}, t("practice.noRunHow")), make("label", { for: "run-program" }, t("practice.programCodes")), input,
      make("button", { type: "submit", class: "primary" }, t("practice.keepProgram"))));
  }

  // ended is what a run-through came to.
  function ended(place, back) {
    const falls = done.filter(({ attempt }) => attempt.fall).length, well = done.filter(({ attempt }) => cameWell(attempt)).length;
    const again = button(t("practice.runAgain"), () => { begin(); draw(place); });
    const over = button(t("practice.runEnd"), () => { id = ""; end(); }, { class: "primary" });
    return make("div", { class: "how", role: "status" }, make("h2", {}, score ? t("practice.runScore", { score: number(score) }) : t("practice.runOver")),
      make("p", {}, t("practice.runCame", { n: well, of: done.length, falls: t("practice.falls", { n: falls }) })),
      make("p", { class: "note" }, t("practice.runNote")), make("div", { class: "row" }, ...back, again, over));
  }

  function draw(place) {
    if (!skater()) return place.replaceChildren(make("p", { class: "empty" }, t("practice.runNeedsBook")));
    const planned = program();
    if (!planned?.elements.length) return place.querySelector("form") ? undefined : enter(place);
    if (!id) begin();
    const at = done.length, next = planned.elements[at], element = next && elements().get(next.code);
    const row = (e, i) => make("li", { "aria-current": i === at && "step" }, make("span", { class: "index" }, number(i + 1)),
      make("span", { class: "code" }, e.code), make("strong", {}, done[i] ? nameOf(done[i].attempt) : ""));
    const back = done.length ? [button(t("practice.undo"), () => { undo(done.at(-1)); done = done.slice(0, -1); score = ""; draw(place); })] : [];
    const key = (name) => button(touchName(name), () => touch(place, element, name), { class: "big" });
    place.replaceChildren(make("ol", { class: "list run", "aria-label": t("practice.program") }, ...planned.elements.map(row)),
      element ? make("div", { class: "how" }, make("h2", {}, make("span", { class: "code" }, next.code), " ", t("practice.how")),
        make("div", { class: isLevelled(element) ? "keys three" : "keys" }, ...touches(element).map(key)), ...back) : ended(place, back));
    return undefined;
  }
  return { draw, forget: () => { id = ""; } };
}

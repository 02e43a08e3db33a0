// What a program may not have too much of, and what the second half costs, in words.

import { make } from "../../embed/dom.js";
import { pane } from "../parts/dialog.js";
import { field } from "../parts/form.js";
import { number } from "../parts/numbers.js";
import { choose, option } from "../parts/seasons.js";
import { t } from "../parts/words.js";
import { TENTHS } from "./misses.js";

const TURNS = [5, 4, 3, 2];

const words = (limit, names) => (limit.turns ? t(`plan.turns.${limit.turns}`) : names.get(limit.jump) ?? limit.jump);

/** said lists the limits in words: "triple Lutz at most 2". */
export const said = (limits, half, names) => [
  ...limits.map((l) => t("plan.atMost", { what: words(l, names), n: number(l.atMost) })),
  ...(half?.atMost === undefined ? [] : [t("plan.atMost", { what: t("plan.halfJumps"), n: number(half.atMost) })]),
];

/**
 * limitsPane returns open(limits, half, names): names are the jumps of the repertoire in
 * words, by code. changed({ limits, half }) is called with each change.
 */
export function limitsPane(changed) {
  let limits = [], half, names = new Map();
  const rows = make("ul", { class: "list limits" }), add = make("select", { "aria-label": t("plan.addLimit") });
  const numbered = (id, key, attributes) => {
    const input = make("input", { id, class: "short", type: "number", inputmode: "decimal", ...attributes });
    input.addEventListener("change", () => { if (input.reportValidity()) put({ half: read() }); });
    return { input, node: field(t(key), input) };
  };
  const success = numbered("half-success", "plan.halfSuccess", { min: 0, max: TENTHS, step: 0.1 });
  const grade = numbered("half-grade", "plan.halfGrade", { min: -2, max: 0, step: 0.1 });
  const most = numbered("half-most", "plan.halfMost", { min: 0, max: 12, step: 1 });
  const box = pane("limits-pane", t("plan.limitsTitle"), make("p", { class: "note" }, t("plan.limitsNote")), rows,
    make("div", { class: "row" }, add), make("h3", {}, t("plan.halfTitle")), make("div", { class: "halves" }, success.node, grade.node, most.node));

  function read() {
    const value = ({ input }) => (input.value === "" ? undefined : Number(input.value));
    const [s, g, m] = [success, grade, most].map(value);
    const next = { ...(s !== undefined && s < TENTHS && { success: s / TENTHS }), ...(g && { grade: g }), ...(m !== undefined && { atMost: m }) };
    return Object.keys(next).length ? next : undefined;
  }

  function put(next) {
    ({ limits, half } = { limits, half, ...next });
    changed({ limits, half });
    draw();
  }

  function draw() {
    const focused = document.activeElement?.dataset.step;
    rows.replaceChildren(...limits.map((limit, i) => {
      const what = words(limit, names);
      const step = (by) => make("button", {
        type: "button", "data-step": `${i} ${by}`, "aria-label": t(by < 0 ? "plan.less" : "plan.more", { what }),
        onclick: () => put({ limits: limits.with(i, { ...limit, atMost: Math.min(12, Math.max(0, limit.atMost + by)) }) }),
      }, by < 0 ? "−" : "+");
      const gone = make("button", {
        type: "button", class: "small", "aria-label": t("plan.removeOf", { what }), onclick: () => put({ limits: limits.toSpliced(i, 1) }),
      }, t("plan.remove"));
      return make("li", {}, make("span", {}, t("plan.most", { what })),
        make("span", { class: "stepper" }, step(-1), make("output", {}, number(limit.atMost)), step(1)), gone);
    }));
    if (focused) rows.querySelector(`[data-step="${focused}"]`)?.focus();
    const free = [...TURNS.map((turns) => ({ turns })), ...[...names.keys()].map((jump) => ({ jump }))]
      .filter((x) => !limits.some((l) => (l.turns ?? l.jump) === (x.turns ?? x.jump)));
    choose(add, [option("", t("plan.addLimit")), ...free.map((x) => option(String(x.turns ?? x.jump), words(x, names)))], "");
  }
  add.addEventListener("change", () => {
    const what = add.value;
    if (what) put({ limits: [...limits, { ...(what.length > 1 ? { jump: what } : { turns: Number(what) }), atMost: 1 }] });
  });

  return (now) => {
    ({ limits, half, names } = now);
    success.input.value = half?.success === undefined ? "" : Math.round(half.success * 1000) / 100;
    grade.input.value = half?.grade ?? "";
    most.input.value = half?.atMost ?? "";
    draw();
    box.open();
  };
}

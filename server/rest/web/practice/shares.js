// The book in figures: how often each element comes, and whether a change has helped.

import { hundredths } from "../../embed/credit.js";
import { make } from "../../embed/dom.js";
import { day, number } from "../parts/numbers.js";
import { plot } from "../parts/plot.js";
import { span } from "../parts/span.js";
import { t } from "../parts/words.js";
import { points, tenth } from "../plan/worth.js";
import { hundred, verdict } from "./change.js";

/** bar is where the true success lies, on the scale of 100. */
const bar = ({ success, low, high }, open) => span({
  from: 0, to: 1, low, high, at: success, open, label: t("practice.barLabel", { at: hundred(success), low: hundred(low), high: hundred(high) }),
});

/** row is an element of the book: how often it came, and the bar. notes are words beside it. */
export function row(ability, record, notes, open) {
  const often = make("strong", {}, t("practice.ofN", { n: record.successes, of: record.attempts }));
  const head = make("button", { type: "button", class: "row-head", onclick: open },
    make("span", { class: "code" }, record.code), make("span", { class: "note" }, notes), often);
  return make("li", {}, head, bar(ability, false));
}

// shareRow is one side of a change.
function shareRow(name, share, open, few) {
  const often = t("practice.ofN", { n: share.successes, of: share.attempts });
  const range = few ? "" : t("practice.range", { low: hundred(share.low), high: hundred(share.high) });
  return make("div", { class: "share" }, make("span", {}, name), make("strong", {}, often), make("span", { class: "note number" }, range),
    few ? "" : bar(share, open));
}

/** effect is a change with what was before and what came since, and what can be said of it. */
export function effect(one, counting, more) {
  const [key, values] = verdict(one, counting), few = key === "notEnough";
  const sure = key === "better" || key === "worse";
  const words = t(`practice.verdicts.${key}`, { ...values, n: values.n ?? values.more });
  const head = sure ? t("practice.told") : few ? t("practice.notYet") : t("practice.early");
  return make("section", { class: "effect" }, make("h2", {}, t("practice.from", { what: one.change.text, day: day(one.change.time) }), more),
    make("div", { class: "panel" }, shareRow(t("practice.before"), one.before, true, few), shareRow(t("practice.since"), one.after, false, few)),
    make("p", { class: sure ? "verdict" : "verdict look" }, make("strong", {}, head), " ", words));
}

const DAY = 86_400_000;

/** weeks is the plot of an element week by week, with its changes. */
export function weeks(record) {
  if (record.weeks.length < 2) return "";
  const at = (date) => new Date(date).getTime() / DAY;
  const points = record.weeks.map(({ week, share }) => ({
    x: at(week), y: share.success * 100, low: share.low * 100, high: share.high * 100, size: Math.min(4, 0.6 + share.attempts / 8),
  }));
  const events = record.changes.map((c) => ({ at: at(c.change.time) }));
  const last = Math.max(...events.map((e) => e.at), -Infinity);
  const lines = [points.filter((p) => p.x < last), points.filter((p) => p.x >= last)].filter((own) => own.length)
    .map((own) => ({ name: "", points: own, joined: false, open: own[0].x < last }));
  const some = points.filter((_, i) => i % Math.ceil(points.length / 4) === 0);
  const ticks = some.map((p) => ({ at: p.x, label: day(new Date(p.x * DAY)).replace(/,? \d{4}$/, "") }));
  const words = record.weeks.map(({ week, share }) => t("practice.weekLabel", { week: day(week), n: share.successes, of: share.attempts })).join("; ");
  return make("figure", {}, make("figcaption", { class: "note" }, t("practice.weekly")), plot({
    label: words, x: ticks, y: [0, 50, 100].map((n) => ({ at: n, label: number(n) })), lines, right: 24,
    events: events.filter((e) => e.at >= points[0].x && e.at <= points.at(-1).x),
  }));
}

/** misses says why an element was missed, and how it came then. */
export function misses(record) {
  const n = record.causes.reduce((all, c) => all + c.attempts, 0);
  if (!n) return "";
  const most = Math.max(...record.causes.map((c) => c.attempts));
  const line = ({ cause, attempts }) => {
    const share = make("i", { class: cause ? "" : "open" });
    share.style.width = `${(attempts * 100) / most}%`;
    const amount = make("span", { class: "amount", "aria-hidden": "true" }, share);
    return make("li", {}, make("span", {}, cause || t("practice.notSaid")), amount, make("strong", {}, number(attempts)));
  };
  const came = record.came.map((c) => (c.fall ? t("practice.falls", { n: c.attempts }) : t("practice.cameAs", { n: c.attempts, code: c.code }))).join(", ");
  return make("section", { class: "misses" }, make("h2", {}, t("practice.misses", { n })), make("ul", { class: "list" }, ...record.causes.map(line)),
    make("p", { class: "note" }, t("practice.howCame", { came })));
}

/** programHead says what a program is worth as it comes now; plan is that of programs:plan with all its elements kept. */
export function programHead(title, plan, all, n) {
  const one = (n) => number(tenth(points(n)));
  // Component marks are only there to have the spread of the elements: they are taken off again.
  const marks = hundredths(plan.expectedSegmentScore) - hundredths(plan.expectedNetScore), of = (text) => one(hundredths(text) - marks);
  const falls = Math.round(plan.expectedFalls);
  const times = all >= 0.01 ? t("practice.allTimes", { all: n, n: hundred(all) }) : t("practice.allRarely", { all: n });
  return make("div", { class: "as-planned" }, make("p", { class: "note" }, t("practice.asIs", { program: title })),
    make("p", {}, make("strong", { class: "worth" }, one(hundredths(plan.expectedNetScore))), " ",
      t("practice.usually", { low: of(plan.spread.p10), high: of(plan.spread.p90) })),
    make("p", {}, `${times} ${falls ? t("practice.fallsExpected", { n: falls }) : t("practice.noFall")}`));
}

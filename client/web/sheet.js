// The score sheet of one performance, in words.

import { make } from "./dom.js";
import { capital, clock, figure, inside, nth, say } from "./words.js";

const COMPONENT_DIGITS = 2; // of a mark: 8.25
const OUT = { WITHDRAWN: "withdrawn", DISQUALIFIED: "disqualified" };

/** outOf says why somebody has no place: "withdrew"; "" for who competes. */
export const outOf = (status) => (status in OUT ? say(OUT[status]) : "");

/**
 * sheetParts builds the score sheet of a performance. place is its row of the standing,
 * final its row over all segments. Marks of judges stand on a signed sheet, where the
 * server shows them.
 */
export function sheetParts({ performance, place, final, segment }) {
  const confirmed = performance.state === "CONFIRMED";
  const overall = final?.place && final.segments.length > 1;
  const places = [
    confirmed && place?.place && say("placed", { place: nth(place.place), segment: inside(segment.segmentTitle) }),
    confirmed && overall && say("placedOverall", { place: nth(final.place), points: figure(final.totalScore) }),
    outOf(place?.status),
  ].filter(Boolean);
  const { elements, components, deductions } = performance;
  if (!confirmed && places.length === 0) places.push(say(elements.length ? "technicalSoFar" : "notSkated"));
  return [
    make("div", { class: "sum" }, make("p", { class: "big" }, figure(confirmed ? performance.segmentScore : elements.length ? performance.elementScore : "")),
      make("p", { class: "where" }, ...places.map((text) => make("span", {}, text)))),
    ...corrections(performance),
    ...(elements.length === 0 ? [] : [
      titled(say("elements"), performance.elementScore, elements.map(element)),
      make("p", { class: "quiet" }, say("gradeNote")),
    ]),
    performance.componentScore && titled(say("components"), performance.componentScore, components.map((c) =>
      line("", c.name, "", c.score, `${c.panelScore} × ${c.factor}`))),
    deductions.length > 0 && titled(say("deductions"), performance.totalDeductions, deductions.map((d) =>
      line(d.count > 1 ? `${d.count}×` : "", said(d), "", d.value, ""))),
    segment.status === "OFFICIAL" && marks(performance),
  ].filter(Boolean);
}

const said = (d) => d.note || d.kind.charAt(0) + d.kind.slice(1).toLowerCase().replaceAll("_", " ");

/** corrections says what was changed after it was confirmed, and why. */
export function corrections({ name, corrections: all }) {
  return all.map((c) => make("p", { class: "correction" }, make("b", {}, say("correction", { time: clock(c.time) })), " ",
    say("correctionOf", { name, before: figure(c.scoreBefore), after: figure(c.scoreAfter), reason: c.reason })));
}

const titled = (title, points, lines) => make("section", {}, make("h4", {}, title, make("span", {}, figure(points))), make("ol", { class: "lines" }, ...lines));

function line(index, words, below, points, made) {
  return make("li", {}, make("span", { class: "index" }, index), make("span", { class: "said" }, words, below && make("small", {}, below)),
    make("span", { class: "points" }, make("b", {}, figure(points)), made && make("small", {}, made)));
}

function element(e, i) {
  const extra = [e.secondHalf && say("secondHalf"), e.inReview && say("inReview")].filter(Boolean);
  const grade = e.goe && `${figure(e.baseValue)} ${e.goe.startsWith("-") ? "−" : "+"} ${e.goe.replace(/^[+-]/, "")}`;
  return line(String(i + 1), [capital(e.name) || e.code, ...extra].join(", "), make("code", {}, e.code), e.score || e.baseValue, grade || say("base"));
}

// marks are those of the judges, if there are any.
function marks({ elements, components }) {
  const all = [...elements.map((e, i) => [`${i + 1} ${e.code}`, e.marks]), ...components.map((c) => [c.name, c.marks, COMPONENT_DIGITS])];
  const given = all.filter(([, marks]) => marks.length > 0);
  const judges = [...new Set(given.flatMap(([, marks]) => marks.map((m) => m.judge)))].toSorted((a, b) => a - b);
  if (judges.length === 0) return undefined;
  const head = make("tr", {}, make("th", { scope: "col" }, say("element")),
    ...judges.map((n) => make("th", { scope: "col", class: "number" }, say("judge", { n }))));
  const rows = given.map(([title, marks, digits]) => make("tr", {}, make("th", { scope: "row" }, title),
    ...judges.map((n) => make("td", { class: "number" }, figure(marks.find((m) => m.judge === n)?.mark.toFixed(digits) ?? "")))));
  const table = make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows));
  return make("details", { class: "marks" }, make("summary", {}, say("marks")),
    make("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": say("marks") }, table));
}

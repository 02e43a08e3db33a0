// Correcting a confirmed score: the sheet as a form, of which only what was changed is
// sent, beside what that makes of the score and the places.

import { list, make, setText, show } from "../../embed/dom.js";
import { number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { nth, t } from "../parts/words.js";
import { formOf } from "./corrected.js";
import { deductionRules, seasonOf } from "./deductions.js";
import { explain } from "./refusal.js";

const PAUSE = 250; // ms without a key before the preview is asked for
const PARTS = ["elements", "components", "deductions"];

/**
 * correction makes the dialog; corrected is called with the performance as it is then.
 * It returns { open(performance, { category, segment }), fill(state) }.
 */
export function correction({ api, act }, corrected) {
  const title = make("h2", { id: "correct-title" }), about = make("p", { class: "note" });
  const tabs = make("fieldset", { class: "segmented" }, make("legend", { class: "aloud" }, t("correct.part")),
    ...PARTS.map((name) => make("label", {}, make("input", { type: "radio", name: "correct-part", value: name, onchange: turn }), t(`correct.parts.${name}`))));
  const sheet = make("div", { class: "parts scroll", tabindex: 0, role: "region", "aria-label": t("correct.sheet") });
  const reason = make("textarea", { id: "correct-reason", rows: 2, maxlength: 500, "aria-describedby": "correct-reason-fault" });
  const reasonFault = make("p", { class: "fault", id: "correct-reason-fault", role: "alert" });
  const rows = make("tbody"), moved = make("p", { class: "moved" }), stays = make("p", { class: "note" });
  const fault = make("p", { class: "fault", role: "alert" });
  const head = make("tr", {}, make("td"), ...[t("correct.now"), t("correct.after")].map((name) => make("th", { scope: "col", class: "number" }, name)));
  const table = make("table", { class: "compare" }, make("caption", { class: "aloud" }, t("correct.compare")), make("thead", {}, head), rows);
  const says = make("p", { class: "note", "aria-live": "polite" });
  const yes = make("button", { type: "button", class: "primary", onclick: send });
  const form = make("form", { onsubmit: (submit) => submit.preventDefault() }, title, about,
    make("div", { class: "both" },
      make("div", { class: "left" }, tabs, sheet, make("label", { for: "correct-reason" }, t("correct.why")), reason, reasonFault),
      make("div", { class: "right", "aria-live": "polite" }, table, moved, stays, fault)),
    make("div", { class: "row foot" }, says,
      make("button", { type: "button", onclick: () => dialog.close() }, t("correct.leave"), make("kbd", {}, "Esc")), yes));
  const dialog = make("dialog", { id: "correction", "aria-labelledby": title.id }, form);
  document.body.append(dialog);

  let now = {}; // the state of the desk
  let before; // the performance that is corrected
  let place; // names of it
  let sheetForm; // of its fields
  let preview; // what the correction would make of it, as last asked
  let asked = ""; // the request of that
  let timer, sending = false;

  function turn() {
    for (const part of sheet.children) show(part, part.dataset.part === tabs.querySelector(":checked").value);
  }
  reason.addEventListener("input", () => sayReason());
  const sayReason = (text = "") => { setText(reasonFault, text); reason.setAttribute("aria-invalid", String(Boolean(text))); };

  async function open(performance, { category, segment }) {
    before = performance;
    place = { event: now.event.event, category: category.category, segment: segment.segment, entry: performance.entry };
    [preview, asked] = [undefined, ""];
    const [rules, season] = [await deductionRules(api, now.event, category), await seasonOf(api, now.event)];
    sheetForm = formOf(performance, rules, season, segment.panel?.judges ?? 0, typed);
    sheet.replaceChildren(...PARTS.map((name) => sheetForm.parts[name]));
    tabs.querySelector("input").checked = true;
    turn();
    const became = performance.corrections.map((c) => t("referee.became", { before: number(c.scoreBefore), after: number(c.scoreAfter), reason: c.reason }));
    setText(title, t("correct.title", { name: performance.name }));
    setText(about, [...became, t("correct.how")].join(" "));
    setText(yes, t(segment.state === "OFFICIAL" ? "correct.signAgain" : "correct.yes"));
    setText(stays, t(segment.state === "OFFICIAL" ? "correct.staysOfficial" : "correct.stays"));
    reason.value = "";
    sayReason();
    setText(fault, "");
    fillAfter();
    dialog.showModal();
    sheet.querySelector(".mark")?.focus();
  }

  // typed is called with every key in the sheet.
  function typed() {
    setText(fault, "");
    clearTimeout(timer);
    timer = setTimeout(ask, PAUSE);
    fillAfter();
  }

  async function ask() {
    const { request, faults } = sheetForm.read();
    const key = JSON.stringify(request);
    if (faults.length || key === asked || !sheetForm.changes(request).length || !dialog.open) return;
    asked = key;
    const of = place;
    try {
      const answer = await api.call("PreviewCorrection", { ...of, ...request });
      if (key === asked && of === place) preview = answer;
    } catch (error) {
      if (key !== asked || of !== place) return;
      preview = undefined;
      if (error.temporary) asked = "";
      refuse(error);
    }
    fillAfter();
  }

  // refuse puts a refusal at the fields that it names.
  function refuse(error) {
    const others = sheetForm.refuse(error.fields);
    if (!error.fields.length) setText(fault, error.temporary ? t("correct.cut") : explain(error));
    else if (others.length) setText(fault, others.map((f) => f.description).join(" "));
  }

  // fillAfter shows what is now beside what would be then.
  function fillAfter() {
    const { request, faults } = sheetForm.read();
    const changes = sheetForm.changes(request);
    const same = !changes.length && !faults.length;
    const known = !faults.length && preview && JSON.stringify(request) === asked;
    const after = same ? before : known ? preview.performance : undefined;
    const own = known ? preview.places : undefined;
    const standing = (list) => list?.places.find((p) => p.entry === before.entry)?.place;
    const worked = now.segment?.segment === place.segment && now.category?.category === place.category;
    const placeNow = own?.placeBefore ?? (worked ? standing(now.standing) : undefined);
    const finalNow = own?.finalPlaceBefore ?? (worked ? standing(now.finalStanding) : undefined);
    const figure = (points) => (points === undefined || points === "" ? "–" : number(points)), at = (n) => (n ? nth(n) : "–");
    const all = new Map([...before.elements, ...(after?.elements ?? [])].map((e) => [e.element, e]));
    const scoreOf = (p, id) => p?.elements.find((e) => e.element === id)?.score;
    const moving = known ? [...all.keys()].filter((id) => scoreOf(before, id) !== scoreOf(after, id)) : [];
    const numbered = (id) => `${[...all.keys()].indexOf(id) + 1} ${all.get(id).code}`;
    const lines = [
      ...moving.map((id) => ({ name: numbered(id), was: figure(scoreOf(before, id)), is: figure(scoreOf(after, id)) })),
      ...[["elements", "elementScore"], ["components", "componentScore"], ["deductions", "totalDeductions"]]
        .map(([name, key]) => ({ name: t(`correct.parts.${name}`), was: figure(before[key]), is: figure(after?.[key]) })),
      { name: t("referee.score"), big: true, was: figure(before.segmentScore), is: figure(after?.segmentScore) },
      { name: t("referee.place"), big: true, was: at(placeNow), is: at(same ? placeNow : own?.placeAfter) },
      { name: t("referee.overall"), big: true, was: at(finalNow), is: at(same ? finalNow : own?.finalPlaceAfter) },
    ];
    const cell = (kind) => make("td", { class: "number" }, make(kind));
    const line = () => make("tr", {}, make("th", { scope: "row" }), cell("span"), cell("strong"));
    list(rows, lines, (l) => l.name, line, (node, l) => {
      node.classList.toggle("big", Boolean(l.big));
      setText(node.children[0], l.name);
      const changed = l.was !== l.is && l.is !== "–";
      const [was] = node.children[1].children;
      if ((was.localName === "s") !== changed) was.replaceWith(make(changed ? "s" : "span", {}, l.was));
      else setText(was, l.was);
      setText(node.children[2].firstChild, l.is);
    });
    setText(moved, known ? moves(preview) : "");
    const changing = changes.length > 2 ? t("correct.changes", { n: changes.length }) : changes.join(" ");
    setText(says, faults.length ? t("correct.faulty", { n: faults.length }) : changing || t("correct.nothing"));
    yes.setAttribute("aria-disabled", String(!known || Boolean(now.cut) || sending));
  }

  function moves({ moved: others }) {
    if (!others.length) return t("correct.nobodyMoves");
    const goes = ({ name, placeBefore, placeAfter, finalPlaceBefore, finalPlaceAfter }) => (finalPlaceBefore !== finalPlaceAfter
      ? t("correct.goesOverall", { name, before: nth(finalPlaceBefore), after: nth(finalPlaceAfter) })
      : t("correct.goes", { name, before: nth(placeBefore), after: nth(placeAfter) }));
    return `${t("correct.others", { n: others.length })} ${others.map(goes).join(" ")}`;
  }

  async function send() {
    const { request, faults } = sheetForm.read();
    if (sheetForm.tell(faults)) {
      const part = faults[0].input.closest("[data-part]").dataset.part;
      tabs.querySelector(`[value=${part}]`).checked = true;
      turn();
      return faults[0].input.focus();
    }
    if (yes.getAttribute("aria-disabled") === "true") return undefined;
    if (!reason.value.trim()) {
      sayReason(t("correct.needsReason"));
      return reason.focus();
    }
    sending = true;
    fillAfter();
    try {
      const answer = await act("CorrectResult", { ...place, ...request, reason: reason.value.trim().replaceAll(/\s+/g, " ") });
      dialog.close();
      corrected(answer.performance);
      toast(t("correct.done", { name: before.name, score: number(answer.performance.segmentScore) }));
    } catch (error) {
      refuse(error);
    }
    sending = false;
    return fillAfter();
  }

  return {
    open,
    fill(state) {
      now = state;
      if (dialog.open) fillAfter();
    },
  };
}

// Entries: one by one or from a CSV file; withdrawals.

import { list, make, setText, show } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { listed } from "../parts/numbers.js";
import { rich, t } from "../parts/words.js";
import { csvPart, inCSV } from "./csv.js";
import { faultLine, field } from "../parts/form.js";
import { event } from "./place.js";

const REASON = { label: t("skaters.reason") };

/**
 * entriesPart fills the part of the desk; organiser is true where entries may be
 * added. It lists those of the category that is worked on, until another is chosen.
 */
export function entriesPart({ act }, place, organiser) {
  const fault = faultLine();
  const rows = make("ul", { class: "entries" });
  const none = make("div", { class: "empty" }, make("strong", {}, t("skaters.none")), organiser && make("p", {}, t("skaters.noneHow")));
  const select = make("select", { id: "entry-category" });
  const count = make("span", { class: "note" });
  const name = make("input", { id: "entry-name", autocomplete: "off" }), club = make("input", { id: "entry-club", autocomplete: "off" });
  const program = make("input", { id: "entry-program", autocomplete: "off" });
  const add = make("form", { class: "row" }, field(t("skaters.name"), name), field(t("skaters.club"), club), field(t("skaters.program"), program),
    make("button", { type: "submit" }, t("skaters.add")));
  place.append(make("div", { class: "row" }, make("label", { for: select.id }, t("skaters.category")), select, count), none, rows, fault);
  const ids = make("p", { class: "note" });
  if (organiser) place.append(add, csvPart({ act }, ids));
  let now;
  let shown;
  let chosen = "";
  select.addEventListener("change", () => { chosen = select.value; fill(now, shown); });

  add.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const entry = { category: select.value, name: name.value.trim(), club: club.value.trim(), programTitle: program.value.trim() };
    if (!await act("AddEntry", { event, ...entry }, fault, { field: name })) return;
    name.value = program.value = "";
    name.focus();
  });

  async function change(e) {
    const fields = {
      name: { label: t("skaters.printed"), value: e.name, needed: true }, club: { label: t("skaters.club"), value: e.club },
      programTitle: { label: t("skaters.programRead"), value: e.programTitle },
    };
    const changed = await ask(t("skaters.entry", { entry: e.entry }), { yes: t("skaters.change"), fields });
    if (changed) act("UpdateEntry", { event, entry: e.entry, ...changed }, fault);
  }

  async function withdraw(e) {
    const answer = await ask(t("skaters.withdrawAsk", { name: e.name }), { yes: t("skaters.withdraw"), fields: { reason: REASON } });
    if (answer) act("WithdrawEntry", { event, entry: e.entry, ...answer }, fault);
  }

  async function disqualify(e) {
    const answer = await ask(t("skaters.disqualifyAsk", { name: e.name }), { yes: t("skaters.disqualify"), fields: { reason: { ...REASON, needed: true } } });
    if (answer) act("WithdrawEntry", { event, entry: e.entry, status: "DISQUALIFIED", ...answer }, fault);
  }

  async function reinstate(e) {
    const answer = await ask(t("skaters.reinstateAsk", { name: e.name }), { yes: t("skaters.reinstate"), fields: { reason: { ...REASON, needed: true } } });
    if (answer) act("ReinstateEntry", { event, entry: e.entry, ...answer }, fault);
  }

  async function erase(e) {
    const sure = await ask(t("skaters.eraseAsk", { name: e.name }), { note: t("skaters.eraseNote"), yes: t("skaters.erase"), no: t("skaters.keep") });
    if (sure) act("ErasePerson", { event, entry: e.entry }, fault);
  }

  function row(e) {
    const button = (text, onclick) => make("button",
      { type: "button", class: "small", "aria-label": t("skaters.buttonOf", { what: text, name: e.name }), onclick }, text);
    const competes = e.status === "COMPETING";
    return make("li", {}, make("span", { class: "number" }), make("span", { class: "name" }), make("span", { class: "row tools" },
      ...(organiser ? [button(t("skaters.change"), () => change(e)), button(t("skaters.erase"), () => erase(e))] : []),
      ...(competes ? [button(t("skaters.withdraw"), () => withdraw(e))] : [button(t("skaters.reinstate"), () => reinstate(e))]),
      ...(competes && !organiser ? [button(t("skaters.disqualify"), () => disqualify(e))] : [])));
  }

  function fillRows(entries) {
    list(rows, entries, (e) => `${e.entry} ${e.status} ${e.name} ${e.club} ${e.programTitle}`, row, (node, e) => {
      setText(node.children[0], e.entry);
      const program = e.programTitle && t("skaters.quoted", { title: e.programTitle });
      const who = make("span", {}, make("b", {}, e.name), ...[e.club, program].filter(Boolean).map((more) => `, ${more}`));
      const out = () => rich("skaters.out", { who, status: t(`skaters.status.${e.status}`), reason: e.reason });
      node.children[1].replaceChildren(...(e.status === "COMPETING" ? [who] : out()));
    });
  }

  function fill(...news) {
    [now, shown] = news;
    const { categories } = now.event;
    list(select, categories, (c) => c.category, (c) => make("option", { value: c.category }), (node, c) => setText(node, c.title));
    const category = categories.find((c) => c.category === (chosen || shown.category?.category)) ?? categories[0];
    show(place, !!category);
    if (!category) return;
    select.value = category.category;
    setText(count, t("skaters.count", { n: category.entryCount }));
    setText(ids, t("csv.categories", { list: listed(categories.map((c) => inCSV(c.title))) }));
    const competing = now.entries.filter((e) => e.category === category.category);
    show(none, competing.length === 0);
    fillRows(competing);
  }
  return fill;
}

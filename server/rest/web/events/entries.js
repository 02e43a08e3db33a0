// Entries: one by one or from a CSV file; withdrawals.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { faultLine, field } from "./form.js";
import { event } from "./place.js";
import { clause } from "./refusal.js";
import { save } from "./save.js";

const REASON = { label: "Reason, which only organiser and referee see" };

/**
 * entriesPart fills the part of the desk; organiser tells whether entries may be
 * added. It lists those of the category that is worked on, until another is chosen.
 */
export function entriesPart({ api, act }, place, organiser) {
  const fault = faultLine();
  const rows = make("ul", { class: "entries" });
  const select = make("select", { id: "entry-category" });
  const count = make("span", { class: "note" });
  const name = make("input", { id: "entry-name", autocomplete: "off" }), club = make("input", { id: "entry-club", autocomplete: "off" });
  const add = make("form", { class: "row" }, field("Name", name), field("Club", club), make("button", { type: "submit" }, "Add"));
  place.append(make("div", { class: "row" }, make("label", { for: select.id }, "Category"), select, count), rows, fault);
  const ids = make("p", { class: "note" });
  if (organiser) place.append(add, csvPart({ api, act }, ids));
  let now;
  let shown;
  let chosen = "";
  select.addEventListener("change", () => { chosen = select.value; fill(now, shown); });

  add.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const done = await act("AddEntry", { event, category: select.value, name: name.value.trim(), club: club.value.trim() }, fault, name);
    if (done) { name.value = ""; name.focus(); }
  });

  async function change(e) {
    const fields = { name: { label: "Name as it is printed", value: e.name, needed: true }, club: { label: "Club", value: e.club } };
    const changed = await ask(`Entry ${e.entry}`, { yes: "Change", fields });
    if (changed) act("UpdateEntry", { event, entry: e.entry, ...changed }, fault);
  }

  async function withdraw(e) {
    const answer = await ask(`Take ${e.name} out of the competition?`, { yes: "Withdraw", fields: { reason: REASON } });
    if (answer) act("WithdrawEntry", { event, entry: e.entry, ...answer }, fault);
  }

  async function disqualify(e) {
    const answer = await ask(`Disqualify ${e.name}?`, { yes: "Disqualify", fields: { reason: { ...REASON, needed: true } } });
    if (answer) act("WithdrawEntry", { event, entry: e.entry, status: "DISQUALIFIED", ...answer }, fault);
  }

  async function reinstate(e) {
    const answer = await ask(`Let ${e.name} compete again?`, { yes: "Reinstate", fields: { reason: { ...REASON, needed: true } } });
    if (answer) act("ReinstateEntry", { event, entry: e.entry, ...answer }, fault);
  }

  function row(e) {
    const button = (text, onclick) => make("button", { type: "button", class: "small", "aria-label": `${text} ${e.name}`, onclick }, text);
    const competes = e.status === "COMPETING";
    return make("li", {}, make("span", { class: "number" }), make("span", { class: "name" }), make("span", { class: "row tools" },
      ...(organiser ? [button("Change", () => change(e))] : []),
      ...(competes ? [button("Withdraw", () => withdraw(e)), ...(organiser ? [] : [button("Disqualify", () => disqualify(e))])] : [button("Reinstate", () => reinstate(e))])));
  }

  function fillRows(entries) {
    list(rows, entries, (e) => `${e.entry} ${e.status} ${e.name} ${e.club}`, row, (node, e) => {
      setText(node.children[0], e.entry);
      setText(node.children[1], `${e.name}${e.club ? `, ${e.club}` : ""}${e.status === "COMPETING" ? "" : `: ${words(e.status)} ${e.reason}`}`);
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
    setText(count, `${category.entryCount} ${category.entryCount === 1 ? "entry" : "entries"}`);
    setText(ids, `In the column category stands one of: ${categories.map((c) => c.category).join(", ")}.`);
    fillRows(now.entries.filter((e) => e.category === category.category));
  }
  return fill;
}

// inFile gives a fault of a CSV file with its line.
function inFile({ field, description }) {
  const [, line, column] = /^csv\.line\[(\d+)\](?:\.(\w+))?$/.exec(field) ?? [];
  if (!line) return clause("The file", description);
  return column ? `Line ${line}: ${clause(column, description)}` : `Line ${line} ${description}`;
}

// csvPart brings entries in from a CSV file and gives them out as one. ids is the
// line that names the categories.
function csvPart({ api, act }, ids) {
  const csv = make("textarea", { id: "csv", rows: 6, spellcheck: "false", placeholder: "category,name,club" });
  const file = make("input", { type: "file", id: "csv-file", accept: ".csv,text/csv,text/plain" });
  const done = make("p", { class: "note", role: "status" });
  const faults = make("ul", { class: "fault", role: "alert" });
  const say = (...lines) => faults.replaceChildren(...lines.map((line) => make("li", {}, line)));

  file.addEventListener("change", async () => {
    say();
    if (!file.files[0]) return;
    try {
      csv.value = new TextDecoder("utf-8", { fatal: true }).decode(await file.files[0].arrayBuffer());
    } catch {
      csv.value = "";
      say("The file is not UTF-8, so names would come out wrong: save it as “CSV UTF-8”.");
    }
  });

  async function bringIn() {
    setText(done, "");
    say();
    try {
      const answer = await act("ImportEntries", { event, csv: csv.value });
      setText(done, `${answer.added} added, ${answer.changed} changed.`);
    } catch (error) {
      say(...(error.fields.length ? error.fields.map(inFile) : [error.message]));
    }
  }

  async function giveOut() {
    say();
    try {
      save(await api.call("ExportEntries", { event }), `${event}-entries.csv`);
    } catch (error) {
      say(error.message);
    }
  }

  return make("details", {}, make("summary", {}, "From or to a CSV file"),
    make("p", { class: "note" }, "The first line is the header: entry,category,name,club in any order; entry and club may be left out. An entry that is there already is changed. All lines are taken, or none."),
    ids, make("label", { for: "csv-file" }, "File"), file, make("label", { for: "csv" }, "or its text"), csv,
    make("div", { class: "row" }, make("button", { type: "button", onclick: bringIn }, "Take these entries"), make("button", { type: "button", onclick: giveOut }, "Save all entries as a file")), done, faults);
}

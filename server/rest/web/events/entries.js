// Entries: one by one or from a CSV file; withdrawals.

import { list, make, setText, show, words } from "../../embed/dom.js";
import { ask } from "./ask.js";
import { event, tell } from "./desk.js";

/** entriesPart fills the part of the desk; organiser tells whether entries may be added. */
export function entriesPart({ api, act }, place, organiser) {
  const fault = make("p", { class: "fault", role: "alert" });
  const rows = make("ul", { class: "entries" });
  const title = make("p", { class: "note" });
  const name = make("input", { id: "entry-name", autocomplete: "off" }), club = make("input", { id: "entry-club", autocomplete: "off" });
  const add = make("form", { class: "row" }, make("span", { class: "field" }, make("label", { for: "entry-name" }, "Name"), name),
    make("span", { class: "field" }, make("label", { for: "entry-club" }, "Club"), club), make("button", { type: "submit" }, "Add"));
  const csv = make("textarea", { id: "csv", rows: 6, spellcheck: "false", placeholder: "category,name,club" });
  const file = make("input", { type: "file", id: "csv-file", accept: ".csv,text/csv,text/plain" });
  const imported = make("p", { class: "note", role: "status" });
  const csvFault = make("ul", { class: "fault", role: "alert" });
  const bring = make("details", {}, make("summary", {}, "From or to a CSV file"),
    make("p", { class: "note" }, "The first line is the header: entry,category,name,club in any order; entry and club may be left out. An entry that is there already is changed. All lines are taken, or none."),
    make("label", { for: "csv-file" }, "File"), file, make("label", { for: "csv" }, "or its text"), csv,
    make("div", { class: "row" }, make("button", { type: "button", onclick: () => bringIn() }, "Take these entries"), make("button", { type: "button", onclick: () => save() }, "Save all entries as a file")), imported, csvFault);
  place.append(title, rows, fault, ...(organiser ? [add, bring] : []));
  let category;
  let seen = "";

  add.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const done = await act("AddEntry", { event, category, name: name.value.trim(), club: club.value.trim() }, fault, name);
    if (done) { name.value = ""; name.focus(); }
  });
  file.addEventListener("change", async () => { csv.value = await file.files[0]?.text() ?? ""; });

  async function bringIn() {
    setText(imported, "");
    csvFault.replaceChildren();
    try {
      const answer = await act("ImportEntries", { event, csv: csv.value });
      setText(imported, `${answer.added} added, ${answer.changed} changed.`);
    } catch (error) {
      const line = (f) => f.field.replace(/^csv\.line\[(\d+)\]\.?/, "Line $1 ").replace(/^csv$/, "The file");
      csvFault.replaceChildren(...(error.fields.length ? error.fields.map((f) => make("li", {}, `${line(f)} ${f.description}`)) : [make("li", {}, error.message)]));
    }
  }

  async function save() {
    try {
      const text = await api.call("ExportEntries", { event });
      const link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "text/csv" })), download: `${event}-entries.csv` });
      link.click();
      URL.revokeObjectURL(link.href);
    } catch (error) {
      tell(fault, error);
    }
  }

  async function withdraw(e) {
    const reason = await ask(`Take ${e.name} out of the competition?`, { yes: "Withdraw", label: "Reason" });
    if (reason !== undefined) act("WithdrawEntry", { event, entry: e.entry, reason }, fault);
  }

  async function reinstate(e) {
    const reason = await ask(`Let ${e.name} compete again?`, { yes: "Reinstate", label: "Reason", needed: true });
    if (reason !== undefined) act("ReinstateEntry", { event, entry: e.entry, reason }, fault);
  }

  function fill(entries) {
    list(rows, entries, (e) => `${e.entry} ${e.status}`, (e) => make("li", {}, make("span", { class: "number" }), make("span", { class: "name" }),
      e.status === "COMPETING"
        ? make("button", { type: "button", class: "small", "aria-label": `Withdraw ${e.name}`, onclick: () => withdraw(e) }, "Withdraw")
        : make("button", { type: "button", class: "small", "aria-label": `Reinstate ${e.name}`, onclick: () => reinstate(e) }, "Reinstate")),
    (node, e) => {
      setText(node.children[0], e.entry);
      setText(node.children[1], `${e.name}${e.club ? `, ${e.club}` : ""}${e.status === "COMPETING" ? "" : `: ${words(e.status)} ${e.reason}`}`);
    });
  }

  return async (now, shown) => {
    category = shown?.category?.category;
    setText(title, shown?.category ? `${shown.category.title}: ${shown.category.entryCount} ${shown.category.entryCount === 1 ? "entry" : "entries"}` : "There is no category yet.");
    show(add, !!category);
    const version = `${now.event.sequence} ${category}`;
    if (!category || version === seen) return;
    seen = version;
    try {
      fill((await api.call("ListEntries", { event, category })).entries);
    } catch (error) {
      seen = "";
      if (!error.temporary) tell(fault, error);
    }
  };
}

// Skaters from a CSV file.

import { make, setText } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { t } from "../parts/words.js";
import { field } from "../parts/form.js";
import { event } from "./place.js";
import { clause } from "./refusal.js";

const LINE = /^csv\.line\[(\d+)\](?:\.(\w+))?$/;

// Who is there already has this fault, in a line without an id.
const there = ({ field, description }) => LINE.exec(field)?.[2] === "entry" && description.includes("there already");

// inFile says a fault of the file with its line.
function inFile({ field, description }) {
  const [, line, column] = LINE.exec(field) ?? [];
  if (!line) return clause(t("csv.file"), description);
  return column ? t("csv.faultAt", { line, fault: clause(column, description) }) : t("csv.fault", { line, fault: description });
}

/** inCSV writes a text as it stands in a CSV file. */
export const inCSV = (text) => (/[",;]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** csvPart is the part that takes skaters from a file; ids is the line that names the categories. */
export function csvPart({ act }, ids) {
  const csv = make("textarea", { id: "csv", rows: 6, spellcheck: "false", placeholder: "category,name,club" });
  const file = make("input", { type: "file", id: "csv-file", accept: ".csv,text/csv,text/plain" });
  const done = make("p", { class: "note", role: "status" });
  const faults = make("ul");
  const say = (...lines) => faults.replaceChildren(...lines.map((line) => make("li", {}, line)));

  file.addEventListener("change", async () => {
    say();
    if (!file.files[0]) return;
    try {
      csv.value = new TextDecoder("utf-8", { fatal: true }).decode(await file.files[0].arrayBuffer());
    } catch {
      csv.value = "";
      say(t("csv.notUTF8"));
    }
  });

  async function take(onlyNew) {
    setText(done, "");
    say();
    try {
      const answer = await act("ImportEntries", { event, csv: csv.value, onlyNew });
      setText(done, t("csv.done", { added: answer.added, changed: answer.changed }));
    } catch (error) {
      const again = error.fields.filter(there);
      if (!onlyNew && again.length > 0 && again.length === error.fields.length) return repeated(again.length);
      return say(...(error.fields.length ? error.fields.map(inFile) : [error.message]));
    }
    return undefined;
  }

  // repeated asks about a file of which some are there already.
  async function repeated(n) {
    const lines = csv.value.split(/\r?\n/).filter((line) => line.trim()).length - 1;
    if (lines <= n) return setText(done, t("csv.allThere", { n }));
    const sure = await ask(t("csv.repeated", { n }), {
      note: t("csv.repeatedNote"), yes: t("csv.addNew", { n: lines - n }), no: t("csv.nothing"), danger: false,
    });
    return sure ? take(true) : setText(done, t("csv.left"));
  }

  return make("details", { id: "csv-box" }, make("summary", {}, t("csv.from")), make("p", { class: "note" }, t("csv.how")),
    ids, field(t("csv.file"), file), make("label", { for: "csv" }, t("csv.text")), csv,
    make("div", { class: "row" }, make("button", { type: "button", onclick: () => take(false) }, t("csv.take"))), done,
    make("div", { class: "fault", role: "alert" }, faults));
}

// What is kept and where, and the ways to take it along or to delete it.

import { at, make, setText } from "../../embed/dom.js";
import { copy } from "../parts/copy.js";
import { ask, pane } from "../parts/dialog.js";
import { button, field } from "../parts/form.js";
import { save } from "../parts/save.js";
import { categories, choose, option, titled } from "../parts/seasons.js";
import { t } from "../parts/words.js";
import { write } from "./link.js";

// typed asks for a name before something is deleted, and reports whether it is the same.
async function typedName(question, note, name, tell) {
  const typed = await ask(question, {
    note, yes: t("practice.delete"), no: t("practice.keepIt"), danger: true,
    fields: { name: { label: t("practice.typeName", { name }), needed: true, value: "" } },
  });
  if (!typed) return false;
  if (typed.name === name) return true;
  tell(t("practice.otherName"));
  return false;
}

/** keeping opens what is kept. do has skater, book, open, api, explain, changed, close, gone. */
export function keeping({ api, info, open, reopens, skater, explain, changed, close, gone }) {
  const of = () => ({ book: open.book, skater: skater.skater });
  const told = make("p", { role: "status" }), tell = (text) => setText(told, text); // a toast would lie behind the dialog
  const tried = async (run) => {
    try {
      return await run();
    } catch (error) {
      if (error.status === undefined) throw error;
      tell(explain(error));
      return undefined;
    }
  };
  const csv = async () => {
    const file = await tried(() => api.call("ExportAttempts", of()));
    if (file) save(file, `${skater.name}.csv`);
  };
  const file = make("input", { type: "file", id: "csv-file", accept: ".csv,text/csv", hidden: true, "aria-label": t("practice.csvIn"), onchange: async () => {
    const [chosen] = file.files;
    if (!chosen) return;
    const answer = await tried(async () => api.call("ImportAttempts", { ...of(), csv: await chosen.text() }));
    file.value = "";
    if (!answer) return;
    tell(t("practice.csvTaken", { n: answer.added, passed: answer.passedOver }));
    changed();
  } });
  const deleteSkater = async () => {
    if (!(await typedName(t("practice.deleteSkater", { name: skater.name }), t("practice.deleteNote"), skater.name, tell))) return;
    if (await tried(() => api.call("DeleteSkater", of()))) gone(skater.name);
  };
  const deleteBook = async () => {
    if (!(await typedName(t("practice.deleteBook", { name: info.title }), t("practice.deleteNote"), info.title, tell))) return;
    if (await tried(() => api.call("DeleteBook", { book: open.book }))) close();
  };
  const renew = async () => {
    if (!(await ask(t("practice.renew"), { note: t("practice.renewNote"), yes: t("practice.renewYes"), no: t("parts.back") }))) return;
    const answer = await tried(() => api.call("RenewBookToken", { book: open.book }));
    if (answer) close(write(location.href, { book: open.book, token: answer.token }));
  };
  const hand = () => copy(write(location.href, open), t("practice.linkCopied"));
  const where = open.book ? t("practice.keptBook", { title: info?.title ?? "" }) : t("practice.keptNone");
  const ofSkater = [button(t("practice.csvOut"), csv), button(t("practice.csvIn"), () => file.click()), file,
    button(t("practice.deleteSkaterKey"), deleteSkater)];
  const words = [t("practice.keptPhone"), reopens ? t("practice.reopens") : t("practice.needsNetwork"), where];
  const box = pane("kept", t("practice.keptKey"), told, ...words.map((text) => make("p", {}, text)),
    ...(info ? [make("p", { class: "note" }, t("practice.keptDeleted"))] : []),
    ...(skater ? [make("h3", {}, skater.name), make("div", { class: "row" }, ...ofSkater)] : []),
    ...(info ? [make("h3", {}, info.title), make("div", { class: "row" }, button(t("practice.handOut"), hand), button(t("practice.renewKey"), renew),
      button(t("practice.closeBook"), () => close()), button(t("practice.deleteBookKey"), deleteBook))] : []));
  box.node.addEventListener("close", () => box.node.remove());
  box.open();
}

/** skaterPane changes a skater's name, season and category. */
export async function skaterPane(rules, skater, change) {
  const name = make("input", { id: "skater-name", required: true, autocomplete: "off", value: skater.name });
  const season = make("select", { id: "skater-season" }), category = make("select", { id: "skater-category" });
  const load = async (wanted) => {
    const { season: chosen } = await rules.call("GetSeason", { season: season.value });
    choose(category, [option("", t("practice.noneChosen")), ...categories(chosen)], wanted);
  };
  season.addEventListener("change", () => load(category.value));
  const form = make("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (await change({ name: name.value.trim(), season: season.value, category: category.value })) box.close();
  } }, field(t("practice.name"), name), field(t("program.season"), season), field(t("program.category"), category),
  make("div", { class: "buttons" }, button(t("parts.back"), () => box.close()), make("button", { type: "submit", class: "primary" }, t("practice.save"))));
  const box = pane("skater-pane", t("practice.changeSkater", { name: skater.name }), form);
  box.node.addEventListener("close", () => box.node.remove());
  const { seasons, current } = await rules.call("ListSeasons");
  choose(season, titled(seasons).map(([key, title]) => option(key, title)), skater.season && skater.season !== "current" ? skater.season : current);
  await load(skater.category || "senior-women");
  box.open();
  at("skater-category").focus();
}

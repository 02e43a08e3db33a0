// The book of a skater: how often each element comes, what changes have brought, and one
// element by itself.

import { ApiError, requestId } from "../../embed/client.js";
import { at, make } from "../../embed/dom.js";
import { spelled } from "../../embed/spelling.js";
import { ask } from "../parts/dialog.js";
import { button } from "../parts/form.js";
import { listed, number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { attemptList } from "./attempts.js";
import { allAsPlanned } from "./change.js";
import { noBook } from "./gate.js";
import { effect, misses, programHead, row, weeks } from "./shares.js";
import { dayText } from "./today.js";

const MARK = 5; // of each component, only to have how the elements spread: it is taken off again

/**
 * bookView runs the views of the book. It returns { open(view), most(), attempts(which) }: most
 * resolves to the codes with most attempts first.
 */
export function bookView({ api, rules, server, book, skater, explain, change, opened, choose, look, changed }) {
  let counted; // the last answer of GetAbilities
  const of = () => ({ book: book(), skater: skater().skater });
  const count = async () => {
    counted = await api.call("GetAbilities", { ...of(), season: skater().season || "current", category: skater().category });
    return counted;
  };
  const record = (code) => counted.records.findIndex((r) => r.code === code);
  const empty = (head, how, ...more) => make("div", { class: "empty" }, make("h2", {}, t(head)), make("p", {}, t(how)), ...more);

  async function noteChange(code = "") {
    const typed = await ask(t("practice.note"), {
      note: t("practice.noteHow"), yes: t("practice.noteIt"), no: t("parts.back"), fields: {
        text: { label: t("practice.whatChanged"), needed: true, value: "" }, code: { label: t("practice.whichElement"), value: code },
        day: { label: t("practice.fromDay"), needed: true, type: "date", value: dayText(new Date()) },
      },
    });
    if (!typed) return;
    const time = new Date(`${typed.day}T00:00:00`).toISOString(); // where the phone is
    await tried(() => api.call("AddChange", { ...of(), text: typed.text, code: spelled(typed.code), time, requestId: requestId() }));
    counted = undefined;
    look(at("main").dataset.view);
  }

  // tried makes a call and says why it was refused.
  async function tried(run) {
    try {
      return await run();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      toast(explain(error));
      return undefined;
    }
  }

  // head is what the planned program is worth as its elements come now.
  async function head() {
    const planned = skater().programs.at(-1);
    if (!planned) return make("p", { class: "note" }, t("practice.noProgram"));
    const known = new Map(counted.abilities.map((a) => [a.code, a])), codes = planned.elements.map((e) => e.code);
    const missing = [...new Set(codes.filter((code) => !known.has(code)))];
    if (missing.length) return make("p", { class: "note" }, t("practice.notTried", { codes: listed(missing) }));
    const { season } = await rules.call("GetSeason", { season: skater().season || "current" });
    const segment = season.categories.find((c) => c.category === skater().category)?.segments.find((s) => s.segment === planned.segment);
    const times = (code) => codes.filter((c) => c === code).length;
    const { plans } = await rules.call("PlanProgram", {
      season: season.season, category: skater().category, segment: planned.segment,
      abilities: [...new Set(codes)].map((code) => ({ ...ability(known.get(code)), atMost: times(code) })),
      keep: planned.elements.map(({ code, secondHalf }) => ({ code, secondHalf })), secondHalf: { atMost: codes.length },
      components: segment.components.map(({ component }) => ({ component, mark: MARK })),
    });
    return programHead(segment.title, plans[0], allAsPlanned(codes, known), codes.length);
  }

  async function showBook(place, answer) {
    const { abilities, records, leftOut, counting } = await answer();
    const notes = (r, a) => [r.changes[0]?.change.text, a.attempts < counting.fewest && t("practice.few")].filter(Boolean).join(" · ");
    const rows = records.map((r, i) => row(abilities[i], r, notes(r, abilities[i]), () => look(`element ${r.code}`)));
    const ends = [number(0), t("practice.cleanOf"), number(100)].map((text) => make("span", {}, text));
    const worth = make("div");
    place.replaceChildren(worth, ...(records.length ? [make("div", { class: "scale-of", "aria-hidden": "true" }, ...ends),
      make("ul", { class: "list shares" }, ...rows), make("p", { class: "note" }, t("practice.barNote"))]
      : [empty("practice.emptyBook", "practice.emptyBookHow")]),
    ...leftOut.map((l) => make("p", { class: "note" }, `◇ ${l.message}`)),
    make("details", {}, make("summary", {}, t("practice.counted")), make("p", { class: "note" }, counting.message)),
    make("a", { class: "button", href: planOf() }, t("practice.planIt")));
    if (records.length) head().then((node) => worth.replaceChildren(node), () => undefined); // without it the rows stand alone
  }

  // planOf is the link to the page of plans with these abilities.
  const planOf = () => `${server}plan#${new URLSearchParams({ season: counted.rules.season, category: skater().category, from: "book" })}`;

  async function showChanges(place, answer) {
    const [{ records, counting }, { changes }] = await Promise.all([answer(), api.call("ListChanges", of())]);
    const gone = (c) => button(t("practice.remove"), async () => {
      await tried(() => api.call("DeleteChange", { ...of(), change: c.change }));
      look("changes");
    }, { class: "small quiet", "aria-label": t("practice.removeOf", { what: c.text }) });
    const blocks = changes.flatMap((c) => {
      const concerned = records.filter((r) => (!c.code || r.code === c.code) && r.changes.some((e) => e.change.change === c.change));
      if (!concerned.length) {
        return [make("section", { class: "effect" }, make("h2", {}, c.text, gone(c)), make("p", { class: "note" }, t("practice.noAttempts")))];
      }
      return concerned.map((r) => make("div", {}, button(r.code, () => look(`element ${r.code}`), { class: "quiet code" }),
        effect(r.changes.find((e) => e.change.change === c.change), counting, gone(c))));
    });
    place.replaceChildren(...(blocks.length ? blocks : [empty("practice.noChange", "practice.noChangeHow")]),
      make("div", { class: "foot" }, button(t("practice.note"), () => noteChange(), { class: "primary" })));
  }

  async function showElement(place, code) {
    const { records, counting } = counted ?? await count();
    const r = records[record(code)];
    if (!r) return look("book");
    return place.replaceChildren(button(`‹ ${t("practice.book")}`, () => look("book"), { class: "quiet" }),
      make("h2", { id: "element-head", tabindex: -1, class: "code" }, code),
      ...r.changes.map((e) => effect(e, counting, "")), weeks(r), misses(r),
      make("div", { class: "foot" }, button(t("practice.allAttempts"), () => attemptList(api, { ...of(), code }, explain, changed)),
        button(t("practice.note"), () => noteChange(code), { class: "primary" })));
  }

  // open shows a view; fresh is whether most has asked the book just now.
  async function open(view, fresh = false) {
    const place = at(view.split(" ")[0]), answer = () => (fresh && counted) || count();
    if (!book()) return noBook(place, { server, explain, opened });
    if (!skater()) return place.replaceChildren(empty("practice.nobody", "practice.nobodyHow"));
    if (!skater().category) {
      return place.replaceChildren(empty("practice.noCategory", "practice.noCategoryHow", button(t("practice.chooseCategory"), choose, { class: "primary" })));
    }
    try {
      if (view === "book") await showBook(place, answer);
      else if (view === "changes") await showChanges(place, answer);
      else await showElement(place, view.slice("element ".length));
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      place.replaceChildren(make("p", { class: "fault" }, explain(error)));
    }
  }

  return {
    open, attempts: (which) => attemptList(api, { ...of(), ...which }, explain, changed),
    most: () => (skater()?.category ? count().then(({ records }) => records.map((r) => r.code)) : Promise.resolve([])),
  };
}

/** ability is one of GetAbilities as programs:plan takes it. */
export const ability = ({ code, success, grade, attempts, misses: ways }) => ({ code, success, grade, attempts, misses: ways });

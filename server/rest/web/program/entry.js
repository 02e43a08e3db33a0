// The field that elements are typed into: it says what it reads and what that is
// worth before it is added.

import { hundredths, isStruck, placeOf } from "../../embed/credit.js";
import { at, setText } from "../../embed/dom.js";
import { read, write } from "../../embed/text.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";

const PAUSE = 25; // ms without a key before asking

function say(text, state = "", value = "") {
  setText(at("read"), text);
  at("read").dataset.state = state;
  setText(at("value"), value);
  at("code").setAttribute("aria-invalid", String(state === "fault"));
}

/**
 * entryField runs the field. program returns the program as it stands, check asks the
 * server about one, add is given the program with what was typed in its place, up is
 * called to leave the field upwards. It returns { preview, change }: to say again what
 * is in the field, and to take a row into it.
 */
export function entryField({ program, check, add, up }) {
  let changing; // the id of the row that is changed
  let bad; // places of what the server could not read; undefined while it has not answered
  let asked = 0, pause;

  // placed puts what was typed where it would stand: at the end, or in the place of
  // the row that is changed.
  function placed(entry) {
    const { rows, half } = program();
    const from = changing === undefined ? rows.length : rows.findIndex((r) => r.id === changing);
    const taken = changing === undefined ? 0 : 1;
    const line = half !== undefined && taken && from < half ? half + entry.rows.length - taken : half;
    return { from, program: { rows: rows.toSpliced(from, taken, ...entry.rows), half: entry.half === undefined ? line : from + entry.half } };
  }

  async function preview() {
    const mine = ++asked;
    const entry = read(at("code").value);
    bad = undefined;
    if (!entry.rows.length) return say(entry.half === undefined ? "" : t("program.halfHere"));
    const { from, program: next } = placed(entry);
    let answer;
    try {
      answer = await check(next);
    } catch (error) {
      return mine === asked && say(error.temporary ? t("program.away") : error.message, "fault");
    }
    if (mine !== asked) return undefined;
    const typed = (place) => place >= from && place < from + entry.rows.length;
    const left = new Map(answer.leftOut.map((l) => [placeOf(l.field), l.message]));
    bad = new Set([...left.keys()].filter(typed).map((place) => place - from));
    const read$ = next.rows.map((_, place) => place).filter((place) => !left.has(place));
    const elements = answer.elements.filter((_, n) => typed(read$[n]));
    const value = number((elements.reduce((sum, e) => sum + hundredths(e.baseValue), 0) / 100).toFixed(2));
    if (bad.size) return say(left.get([...left.keys()].find(typed)), "fault", elements.length ? value : "");
    if (elements.length > 1) return say(elements.map((e) => e.code).join(", "), elements.some(isStruck) ? "look" : "", value);
    const [e] = elements;
    const why = e.findings.map((n) => answer.findings[n]).filter((f) => f.severity !== "INFO").map((f) => `${f.message} ${f.advice}`).join(" ");
    return say(why ? `◇ ${why}` : e.name, why ? "look" : "", `${e.code} ${value}`);
  }

  async function submit(event) {
    event.preventDefault();
    clearTimeout(pause);
    const text = at("code").value;
    const entry = read(text);
    if (entry.rows.length) await preview();
    if (at("code").value !== text || entry.rows.length && !bad) return; // typed on meanwhile, or nobody answers: it stays
    const good = entry.rows.filter((_, i) => !bad?.has(i));
    const before = entry.rows.filter((_, i) => bad?.has(i) && i < entry.half).length;
    at("code").value = write({ rows: entry.rows.filter((_, i) => bad?.has(i)) });
    if (good.length || entry.half !== undefined) {
      const { program: next } = placed({ rows: good, half: entry.half && entry.half - before });
      change();
      add(next);
    } else preview();
    at("code").focus();
  }

  function change(id) {
    changing = id;
    const row = program().rows.find((r) => r.id === id);
    setText(at("add"), t(row ? "program.put" : "program.add"));
    if (!row) return;
    at("code").value = write({ rows: [row] });
    at("code").focus();
    at("code").select();
    preview();
  }

  at("entry").addEventListener("submit", submit);
  at("code").addEventListener("input", () => { clearTimeout(pause); pause = setTimeout(preview, PAUSE); });
  at("code").addEventListener("keydown", (event) => {
    if (event.key === "ArrowUp") up();
    else if (event.key === "Escape") { change(); at("code").value = ""; preview(); } else return;
    event.preventDefault();
  });
  return { preview, change };
}

// The elements as a list: shown, moved, opened, taken out.

import { hundredths, isStruck, madeOf } from "../../embed/credit.js";
import { at, list, make, setText } from "../../embed/dom.js";
import { button } from "../parts/form.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { difference } from "./sum.js";

const SIGNS = { ON_QUARTER: "q", UNDER_ROTATED: "<", DOWNGRADED: "<<", UNCLEAR_EDGE: "!", WRONG_EDGE: "e" };
const HALF = { id: "half" }; // stands in the list for the line between the halves

const SHORTCUTS = "Alt+ArrowUp Alt+ArrowDown Delete";

const signed = (points) => number(points, { signed: true });
const fill = (node, ...children) => node.replaceChildren(...children.filter(Boolean));

// called names one change: a call on a jump, a fall, a level.
function called(e, w) {
  if (w.call === "FALL") return t("program.fall");
  if (w.call === "NEXT_LEVEL") return w.code;
  return e.parts[w.jump].code + SIGNS[w.call];
}

// one is what a coach looks for first: the dearest < and a fall, or the next level.
function one(e) {
  const dearest = e.worth.filter((w) => w.call === "UNDER_ROTATED").sort((a, b) => hundredths(a.difference) - hundredths(b.difference))[0];
  const words = [];
  if (dearest) words.push(`${e.parts.length > 1 ? `${t(`program.jumps.${dearest.jump}`)} ` : ""}< ${signed(dearest.difference)}`);
  for (const w of e.worth) {
    if (w.call === "FALL") words.push(`${t("program.fall")} ${signed(w.difference)}`);
    if (w.call === "NEXT_LEVEL") words.push(t("program.level", { level: w.code.replace(/V?$/, "").at(-1), points: signed(w.difference) }));
  }
  return words.map((said) => said.replaceAll(" ", "\u00a0")).join(" · ");
}

/**
 * rowList shows a program in the page's list. act is { move(from, to), remove(place),
 * change(row), begin() }: places count the rows and, where there is one, the line
 * between the halves. It returns { show, focus }.
 */
export function rowList(act) {
  const place = at("rows");
  let items = [], open;
  const nodeOf = (id) => place.querySelector(`[data-key="${id}"]`);
  const index = (id) => items.findIndex((item) => String(item.id) === String(id));

  /** focus puts the focus on a row, or on the one that stands where it was. */
  const focus = (id, instead = 0) => (nodeOf(id) ?? place.children[Math.min(instead, place.children.length - 1)])?.querySelector(".takes")?.focus();

  function step(id, by) {
    const from = index(id), to = from + by;
    if (to < 0 || to >= items.length) return;
    act.move(from, to);
    focus(id);
  }

  function keys(id) {
    return (event) => {
      const arrow = { ArrowUp: -1, ArrowDown: 1 }[event.key];
      if (arrow && event.altKey) step(id, arrow);
      else if (arrow) focus(undefined, Math.max(0, index(id) + arrow));
      else if (event.key === "Delete") remove(id);
      else return;
      event.preventDefault();
    };
  }

  function remove(id) {
    const from = index(id);
    act.remove(from);
    focus(undefined, from);
  }

  // drag moves a row with its grip: a line shows where it would stand.
  function drag(id) {
    return (down) => {
      if (down.button) return;
      down.preventDefault();
      const node = nodeOf(id), from = index(id);
      let to = from;
      node.classList.add("dragged");
      const clear = () => place.querySelectorAll("[data-drop]").forEach((n) => delete n.dataset.drop);
      const over = (event) => {
        clear();
        const rows = [...place.children];
        const below = rows.findIndex((n) => event.clientY < n.getBoundingClientRect().top + n.offsetHeight / 2);
        const gap = below < 0 ? rows.length : below;
        to = gap > from ? gap - 1 : gap;
        if (to !== from) rows[Math.min(gap, rows.length - 1)].dataset.drop = gap < rows.length ? "before" : "after";
      };
      const end = (event) => {
        for (const [name, run] of Object.entries(listening)) document.removeEventListener(name, run);
        clear();
        node.classList.remove("dragged");
        if (event.type === "pointerup" && to !== from) act.move(from, to);
      };
      const listening = { pointermove: over, pointerup: end, pointercancel: end };
      for (const [name, run] of Object.entries(listening)) document.addEventListener(name, run);
    };
  }

  function create(item) {
    const { id } = item;
    if (item === HALF) {
      const grip = make("button", { type: "button", class: "grip takes", "aria-keyshortcuts": SHORTCUTS, onpointerdown: drag(id), onkeydown: keys(id) },
        `⇅ ${t("program.move")}`, make("span", { class: "aloud" }, ` ${t("program.half")}`));
      return make("li", { class: "half" }, make("span", {}, t("program.half")), grip);
    }
    const code = make("button", {
      type: "button", class: "code takes", "aria-expanded": "false", "aria-keyshortcuts": SHORTCUTS, onkeydown: keys(id),
      onclick: () => {
        open = open === id ? undefined : id;
        items.forEach((other) => other !== HALF && opened(nodeOf(other.id), other));
      },
    });
    const span = (kind) => make("span", { class: kind });
    return make("li", { class: "item" }, span("index"), code, span("base number"), span("graded number"), span("compared number"),
      span("made note"), span("changes-of note"), span("why"),
      make("button", { type: "button", class: "grip", tabindex: "-1", "aria-hidden": "true", onpointerdown: drag(id) }, "⇅"),
      make("div", { class: "more", hidden: true }));
  }

  function opened(node, item) {
    const is = open === item.id;
    node.querySelector(".code").setAttribute("aria-expanded", String(is));
    const more = node.querySelector(".more");
    more.hidden = !is;
    if (!is) return more.replaceChildren();
    const e = item.credited;
    const changes = (e?.worth ?? []).filter((w) => hundredths(w.difference) !== 0);
    const key = (text, run) => button(text, run, { class: "small" });
    return fill(more, e && make("p", { class: "note" }, e.name),
      changes.length > 0 && make("ul", { class: "changes", "aria-label": t("program.changes") },
        ...changes.map((w) => make("li", { title: w.message }, `${called(e, w)} ${signed(w.difference)}`))),
      make("div", { class: "row" }, key(t("program.change"), () => act.change(item.id)), key(t("program.up"), () => step(item.id, -1)),
        key(t("program.down"), () => step(item.id, 1)), key(t("program.remove"), () => remove(item.id))));
  }

  function update(node, item) {
    if (item === HALF) return;
    const { number: place, credited: e, other, fault, findings, cure } = item;
    const [index, code, base, graded, compared, made, changes, why] = node.children;
    setText(index, number(place));
    setText(code, e?.code ?? item.code);
    setText(base, e ? number(e.baseValue) : "–");
    setText(graded, e?.goe ? number(e.score) : "");
    const named = other && other.code !== e.code ? `${other.code} ` : "";
    setText(compared, other ? `${named}${number(other.baseValue)} (${difference(e.baseValue, other.baseValue)})` : "");
    const struck = fault !== undefined || Boolean(e && isStruck(e));
    setText(made, e && !struck ? madeOf(e, number) : "");
    setText(changes, e && !struck ? one(e) : "");
    fill(why, ...(fault ? [make("span", { class: "sign" }), " ", make("strong", {}, fault)] : []),
      ...findings.flatMap((f) => [
        f.severity === "ERROR" ? make("span", { class: "sign" }) : f.severity === "WARNING" ? "◇" : "", " ",
        make(f.severity === "ERROR" ? "strong" : "span", {}, f.message), f.advice ? ` ${f.advice} ` : " "]), cure);
    why.hidden = !why.childNodes.length;
    made.hidden = changes.hidden = !why.hidden && struck;
    node.dataset.state = struck ? "fault" : "";
    opened(node, item);
  }

  /** show fills the list with rows { id, code, number, credited, other, fault, findings, cure } and the line before the row at half. */
  function show(rows, half) {
    items = [...rows];
    if (half !== undefined) items.splice(half, 0, HALF);
    const had = document.activeElement?.closest("#rows > li")?.dataset.key;
    list(place, items, (item) => item.id, create, update);
    if (had && document.activeElement === document.body) focus(had);
  }
  return { show, focus };
}

// <rinktally-program category="senior-women" segment="free-skating" text="3Lz+3T, CCoSp4">:
// a program as the rules of a season credit it, for a club's site.
//
//   text      the program: codes with commas or line ends between; behind one may stand an
//             expected grade with its sign; | begins the second half; # begins a remark
//   category  a category of the season, and
//   segment   one of its segments
//   season    the season whose rules are asked; left out, the current one
//   server    address of the server; left out, the one that this script came from
//   offline   there: the engine in the page answers, once it is loaded from the server
//
// The element fires "program" with each answer. What is put inside the element stands
// below its title.

import { Client } from "./client.js";
import { hundredths, isStruck, madeOf, saidOf, unsure } from "./credit.js";
import { define, Element, make, setText, show, words } from "./dom.js";
import { pause } from "./link.js";
import look from "./look.css.js";
import styles from "./program.css.js";
import { read } from "./text.js";
import { capital, figure, say } from "./words.js";

const home = new URL("../", import.meta.url).href;
const NEEDED = ["category", "segment", "text"];
const SIGNS = { ERROR: "!", WARNING: "◇" };

// named returns a key of a season for people: senior-women is "senior women".
const named = (key) => words(key).replaceAll("-", " ");

// finding says what the rules say of an element or of the whole.
const finding = (tag, { severity, message, advice }) => make(tag, { class: "finding", "data-severity": severity },
  SIGNS[severity] && make("span", { class: "sign", "aria-hidden": true }, SIGNS[severity]), make("span", {}, capital([message, advice].filter(Boolean).join(" "))));

export class RinktallyProgram extends Element {
  static observedAttributes = [...NEEDED, "season", "server", "offline"];

  #parts;
  #api; // what answers: { key, ready }, by the attributes that it is made of
  #asked = 0;
  #asking;
  #again;

  connectedCallback() {
    if (!this.shadowRoot) this.#build();
    this.#later();
  }

  disconnectedCallback() {
    clearTimeout(this.#again);
    this.#asked++;
  }

  attributeChangedCallback(name, before, now) {
    if (this.isConnected && before !== now && this.shadowRoot) this.#later();
  }

  // #later asks once, after all attributes have been changed.
  #later() {
    this.#asking ??= Promise.resolve().then(() => {
      this.#asking = undefined;
      return this.#ask();
    });
  }

  // #answers returns what answers calls: the server, or the engine of the server in the page.
  async #answers(season) {
    const server = new URL(this.getAttribute("server") || home, document.baseURI).href;
    const offline = this.hasAttribute("offline");
    const key = `${server} ${offline}`;
    if (this.#api?.key !== key) {
      const engine = async () => (await import("./offline/page.js")).openEngine(server, { seasons: [season] });
      this.#api = { key, ready: offline ? engine() : new Client(server) };
    }
    return this.#api.ready;
  }

  async #ask() {
    clearTimeout(this.#again);
    const mine = ++this.#asked;
    const missing = NEEDED.filter((name) => !this.getAttribute(name));
    if (missing.length || !this.isConnected) return this.#fault(say(`missing.${missing[0]}`));
    const [category, segment, text] = NEEDED.map((name) => this.getAttribute(name));
    const season = this.getAttribute("season") || "current";
    const { rows, half } = read(text);
    const elements = rows.map(({ code, grade }, i) => ({ code, grade, secondHalf: half !== undefined && i >= half }));
    try {
      const api = await this.#answers(season);
      const answer = await api.call("CheckProgram", { season, category, segment, partial: true, elements });
      if (mine !== this.#asked) return undefined;
      this.#fill(rows, half, answer);
      this.dispatchEvent(new CustomEvent("program", { detail: answer }));
    } catch (error) {
      if (mine !== this.#asked) return undefined;
      this.#fault(error.fields?.map((f) => f.description).join(" ") || error.message);
      if (error.temporary) this.#again = setTimeout(() => this.#ask(), pause(error));
      else if (error.temporary === undefined) throw error; // none of a call
    }
    return undefined;
  }

  #build() {
    const p = (this.#parts = {
      title: make("h2"), season: make("p", { class: "quiet" }), total: make("b"), lost: make("p", { class: "lost", hidden: true }),
      fault: make("p", { class: "nothing", role: "status" }, say("checked")), head: make("tr"), rows: make("tbody"),
      findings: make("ul", { class: "findings", hidden: true }), predicted: make("dl", { class: "predicted", hidden: true }),
      caution: make("p", { class: "caution", hidden: true }), unsure: make("details", { hidden: true }, make("summary"), make("ul")),
      aloud: make("p", { class: "aloud", role: "status" }),
    });
    p.sum = make("div", { class: "sum", hidden: true }, make("p", {}, p.total, ` ${say("baseValue")}`), p.lost);
    p.table = make("table", { hidden: true }, make("caption", { class: "aloud" }, say("elements")), make("thead", {}, p.head), p.rows);
    p.note = make("p", { class: "quiet", hidden: true }, say("unofficial"));
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [look, styles];
    root.append(make("article", { class: "board" }, make("header", {}, make("div", { class: "titles" }, p.title, p.season), p.sum),
      make("slot"), p.fault, p.table, p.predicted, p.findings, p.caution, p.unsure, p.note, p.aloud));
  }

  // #fault says why nothing new is shown. What was there stays.
  #fault(text) {
    setText(this.#parts.fault, text);
  }

  #fill(rows, half, answer) {
    const p = this.#parts;
    const all = saidOf(rows, answer);
    const graded = all.some(({ credited }) => credited?.goe);
    const lost = all.filter(({ credited, fault }) => fault !== undefined || isStruck(credited)).length;
    const whole = answer.findings.filter((f) => f.element === undefined);
    this.#fault("");
    setText(p.title, capital([this.getAttribute("category"), this.getAttribute("segment")].map(named).join(", ")));
    setText(p.season, answer.rules.title);
    setText(p.total, figure(answer.totalBaseValue));
    setText(p.lost, say("withoutValue", { n: lost }));
    p.head.replaceChildren(...["number", "element", "base", ...(graded ? ["elementScore"] : [])].map((key) =>
      make("th", { scope: "col", class: key !== "element" && "number" }, say(key))));
    p.rows.replaceChildren(...all.flatMap((said, i) => [
      i === half && make("tr", { class: "half" }, make("td", { colspan: graded ? 4 : 3 }, capital(say("secondHalf")))), this.#row(rows[i], i, said, graded),
    ].filter(Boolean)));
    p.findings.replaceChildren(...whole.map((f) => finding("li", f)));
    setText(p.caution, answer.caution);
    const notes = unsure(answer, (f) => say("rests", f));
    setText(p.unsure.firstChild, say("unsure", { n: notes.length }));
    p.unsure.lastChild.replaceChildren(...notes.map((text) => make("li", {}, text)));
    const score = answer.predicted;
    p.predicted.replaceChildren(...(score ? [make("dt", {}, say("withGrades")), make("dd", {}, figure(score.elementScore))] : []));
    for (const [part, shown] of Object.entries({
      sum: true, lost, table: rows.length, findings: whole.length, caution: answer.caution, unsure: notes.length, predicted: score, note: true,
    })) show(p[part], Boolean(shown));
    setText(p.aloud, [`${say("baseValue")} ${answer.totalBaseValue}`, ...(lost ? [say("withoutValue", { n: lost })] : [])].join(", "));
  }

  #row({ code }, i, { credited: e, fault, findings = [] }, graded) {
    const struck = fault !== undefined || isStruck(e);
    const made = e && madeOf(e, figure);
    return make("tr", { class: struck && "struck" }, make("td", { class: "number" }, String(i + 1)),
      make("td", { class: "code" }, make("code", {}, e?.code ?? code), e && make("small", {}, capital(e.name)), made && make("small", {}, made),
        ...(fault === undefined ? findings : [{ severity: "ERROR", message: fault }]).map((f) => finding("p", f))),
      make("td", { class: "number points" }, e ? figure(e.baseValue) : "–"),
      graded && make("td", { class: "number" }, e && hundredths(e.score) !== hundredths(e.baseValue) ? figure(e.score) : ""));
  }
}

define("rinktally-program", RinktallyProgram);

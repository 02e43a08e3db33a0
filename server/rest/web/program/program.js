// The page of a program: what stands, and what the engine in the page makes of it, or
// the server where there is no engine. It stands in the address behind the #, so that a
// program can be kept as a bookmark.

import { Client } from "../../embed/client.js";
import { isStruck, saidOf } from "../../embed/credit.js";
import { at, make, setText, show } from "../../embed/dom.js";
import { openEngine } from "../../embed/offline/page.js";
import { read, write } from "../../embed/text.js";
import { keeping } from "../parts/keep.js";
import { number } from "../parts/numbers.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";
import { choices, expected, rules, typed } from "./choices.js";
import { cures } from "./cure.js";
import { entryField } from "./entry.js";
import { fromFile, toFile } from "./file.js";
import { rowList } from "./rows.js";
import { beside, doubts, predicted, sentence, squares } from "./sum.js";

const READ_ALOUD = 900; // ms without a change before the sum is spoken

// Invented, with one spin twice.
const EXAMPLE = "3Lz, 3F, 3Lo, 3S, CCoSp4, FCSp3, StSq3, ChSq1 | 3T+3T, 3S+2T, 2A+1Eu+2S, FCSp3";

const fromAddress = () => Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
const server = new URL("../../", import.meta.url).href;
const api = "engine" in at("main").dataset ? openEngine(server, { seasons: [fromAddress().season ?? "current"] }) : new Client(server);
const NOTHING = { elements: [], findings: [], kinds: [], warnings: [], leftOut: [], totalBaseValue: "0.00" };

let program = { rows: [], half: undefined }; // rows are { id, code, grade }
let answer = NOTHING; // what the server says of it
let said = new Map(); // what it says of each row, by the row's id
let mended = new Map(); // what would mend a row without value, by its id
const past = []; // what it was before each change
let ids = 0, asked = 0, speaking;

const known = (rows) => rows.map((row) => (row.id ? row : { ...row, id: ++ids }));

const request = ({ rows, half }, more = {}) => ({
  ...rules(), partial: true, ...more,
  elements: rows.map(({ code, grade }, i) => ({ code, grade, secondHalf: half !== undefined && i >= half })),
});
const ask = (asking, more) => api.call("CheckProgram", request(asking, more));
const askMany = async (lists) =>
  (await api.call("BatchCheckPrograms", { season: rules().season, programs: lists.map((rows) => request({ ...program, rows })) })).results;

// check asks what the program is worth and shows it.
async function check() {
  const mine = ++asked, asking = program;
  const address = Object.entries({ ...typed(), text: write(program) }).filter(([, value]) => value);
  history.replaceState(null, "", `#${new URLSearchParams(address)}`);
  draw(); // what was changed is seen at once
  try {
    const got = await ask(asking, expected());
    if (mine !== asked) return;
    answer = got;
    said = new Map(saidOf(asking.rows, got).map((of, i) => [asking.rows[i].id, of]));
    setText(at("away"), answer.leftOut.filter((l) => l.field === "compareSeason").map((l) => l.message).join(" "));
  } catch (error) {
    if (mine !== asked) return;
    if (!error.temporary) {
      answer = NOTHING;
      said = new Map();
    }
    setText(at("away"), error.temporary ? t("program.away") : error.fields?.map((f) => f.description).join(" ") || error.message);
  }
  mended = new Map();
  draw();
  entry.preview();
  const cured = await cures(credited(), askMany).catch(() => new Map()); // without it the advice stands alone
  if (mine !== asked || !cured.size) return;
  mended = cured;
  draw();
}

// credited returns the rows with what is said of them. One that has changed since has
// its code alone.
const credited = () => program.rows.map((row, i) => {
  const cure = mended.get(row.id);
  return {
    ...row, number: i + 1, findings: [], ...said.get(row.id),
    cure: cure ? t("program.cure", { code: cure.code, value: number(cure.value) }) : "",
  };
});

// put shows nodes in a place, and the place where there are any.
function put(id, nodes) {
  at(id).replaceChildren(...nodes);
  show(at(id), nodes.length > 0);
}

function draw() {
  const rows = credited(), any = rows.length > 0;
  const struck = rows.filter((r) => r.credited && isStruck(r.credited));
  const lost = struck.length + rows.filter((r) => r.fault !== undefined).length;
  list.show(rows, choice.halves() ? program.half : undefined);
  document.querySelector("main").classList.toggle("is-graded", rows.some((r) => r.credited?.goe));
  document.querySelector("main").classList.toggle("is-compared", Boolean(answer.compared));
  setText(at("compared-head"), answer.compared?.rules.season ?? "");
  show(at("heads"), any);
  show(at("empty"), !any);
  show(at("begin"), any && choice.halves() && program.half === undefined);

  setText(at("total"), number(answer.totalBaseValue));
  put("beside", beside(answer));
  put("lost", lost ? [make("span", { class: "sign" }), t("program.lost", { n: lost })] : []);
  put("struck", struck.map((r) => make("p", {}, `${number(r.number)} `, make("span", { class: "code" }, r.credited.code.replaceAll("*", "")), ": ",
    [...r.findings.map((f) => `${f.message} ${f.advice}`), r.cure].join(" "))));
  put("predicted", predicted(answer));
  put("places", squares(answer, choice.places()));
  // What is missing of a kind is seen at its places.
  const whole = any ? answer.findings.filter((f) => f.element === undefined && !/\.boxes\.\w+$/.test(f.rule)) : [];
  const state = { ERROR: "fault", WARNING: "look" };
  put("findings", whole.map((f) => make("li", { "data-state": state[f.severity] }, `${f.message} ${f.advice}`)));
  put("caution", answer.caution ? [answer.caution] : []);
  const notes = any ? doubts(answer) : [];
  setText(at("unsure").firstElementChild, t("program.unsure", { n: notes.length }));
  at("unsure").lastElementChild.replaceChildren(...notes.map((text) => make("li", {}, text)));
  show(at("unsure"), notes.length > 0);
  clearTimeout(speaking);
  speaking = setTimeout(() => setText(at("summary"), any ? sentence(answer, lost) : ""), READ_ALOUD);
}

// turn changes the program; what it was can be brought back.
function turn({ rows, half }) {
  past.push(program);
  program = { rows: known(rows), half };
  check();
}

function back() {
  if (!past.length) return;
  program = past.pop();
  check();
}

// lined returns the program as one list with the line between the halves in it, and
// apart takes such a list apart.
const LINE = {};
const lined = () => (program.half === undefined || !choice.halves() ? [...program.rows] : program.rows.toSpliced(program.half, 0, LINE));
const apart = (items) => ({
  rows: items.filter((item) => item !== LINE),
  half: items.includes(LINE) ? items.indexOf(LINE) : choice.halves() ? undefined : program.half,
});

const choice = choices(api, check);
const list = rowList({
  move(from, to) {
    const items = lined();
    items.splice(to, 0, ...items.splice(from, 1));
    turn(apart(items));
  },
  remove(place) {
    const items = lined();
    const [gone] = items.splice(place, 1);
    turn(apart(items));
    const text = gone === LINE ? t("program.lineGone") : t("program.gone", { code: gone.code });
    toast(text, { label: t("program.bring"), keys: t("program.undoKeys"), run: back });
  },
  change: (id) => entry.change(id),
});
const entry = entryField({ program: () => program, check: ask, add: turn, up: () => list.focus(undefined, Infinity) });
keeping({
  name: t("program.file"), copied: t("program.copied"), text: () => toFile(rules(), program),
  async opened(content) {
    const { text, ...wanted } = fromFile(content);
    await choice.take(wanted);
    turn(read(text));
  },
});

at("begin").addEventListener("click", () => turn({ ...program, half: program.rows.length }));
at("example").addEventListener("click", () => turn(read(EXAMPLE)));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.value) return;
  event.preventDefault();
  back();
});
document.addEventListener("pointerdown", (event) => { if (!at("rules").contains(event.target)) at("rules").open = false; });
at("rules").addEventListener("keydown", (event) => { if (event.key === "Escape") { at("rules").open = false; at("chosen").focus(); } });
addEventListener("hashchange", () => location.reload()); // another program's link in the same tab

async function begin() {
  const wanted = { category: "senior-women", segment: "free-skating", ...fromAddress() };
  const { rows, half } = read(wanted.text ?? "");
  program = { rows: known(rows), half };
  await choice.begin(wanted);
  await check();
  document.querySelector("main").dataset.ready = "";
}

Promise.resolve(api.ready).then((offline) => setText(at("network"), t(offline ? "program.alone" : "program.asked")));
begin().catch((error) => setText(at("away"), t("parts.broken", { why: error.message })));

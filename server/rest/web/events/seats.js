// Who sits where: each desk of the panel with its sheet, its QR code, and a code to be
// typed; and what was handed out and still holds.

import { list, make, setText, show } from "../../embed/dom.js";
import { copy } from "../parts/copy.js";
import { ask } from "../parts/dialog.js";
import { clock } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { answers, deskName, keyOf } from "./answers.js";
import { spelled } from "./code.js";
import { faultLine } from "../parts/form.js";
import { roleName } from "./gate.js";
import { address, showCode, showSheets } from "./handout.js";
import { DESKS, event, pageOf } from "./place.js";
import { tell } from "./refusal.js";

const NOW = 45_000; // ms, in which a desk has answered just now

/**
 * seatsPart fills the part of the desk; changed is called when a desk begins to answer
 * or falls silent. It returns { fill, all, sheets, code, look }: all are the desks of the
 * panel { role, judge, name, given, state, since }, sheets prints some, code shows the QR
 * code of one, look asks the server who has called.
 */
export function seatsPart(desk, place, changed) {
  const { act } = desk;
  const fault = faultLine();
  const rows = make("ul", { class: "seats", id: "seats-list" });
  const held = make("ul", { class: "entries", id: "held" });
  const others = make("ul", { class: "seats", id: "other-seats" });
  place.append(make("p", { class: "note" }, t("seats.how", { address: address() })), fault, rows,
    make("details", {}, make("summary", {}, t("seats.others")), others),
    make("details", { id: "held-box" }, make("summary", {}, t("seats.held")), make("p", { class: "note" }, t("seats.heldNote")), held));
  let now = { event: { categories: [] }, tokens: [] };
  const codes = new Map(); // { code, ends, had } by desk, which are shown this once; had are the tokens before
  const links = new Map(); // { link, id } by desk, so that what is shown again is the same

  const { panel, seat, time, local, ...heard } = answers(desk, changed, () => draw());
  const beside = () => [{ role: "ORGANISER" }, { role: "VIEWER" }].map(seat);

  async function link(of) {
    const kept = links.get(keyOf(of));
    if (kept && now.tokens.some((x) => x.id === kept.id && !x.revoked)) return { ...of, link: kept.link };
    const made = await act("CreateToken", { event, role: of.role, judge: of.judge, label: t("seats.label") }, fault);
    if (!made?.token) {
      if (made) setText(fault, t("seats.lost"));
      return undefined;
    }
    const way = `${pageOf(event, DESKS[of.role])}#token=${made.token}`;
    links.set(keyOf(of), { link: way, id: made.info.id });
    return { ...of, link: way };
  }

  async function shown(run) {
    try {
      await run();
    } catch (error) {
      tell(fault, error);
    }
  }
  const code = (of) => shown(async () => {
    const linked = await link(of);
    if (linked) await showCode(linked);
  });
  const sheets = (list) => shown(async () => {
    const linked = [];
    for (const of of list) linked.push(await link(of));
    if (linked.every(Boolean)) await showSheets(now.event, linked);
  });
  async function newCode(of) {
    const made = await act("CreateSeatCode", { event, role: of.role, judge: of.judge }, fault);
    if (made && !made.code) setText(fault, t("seats.lost"));
    if (!made?.code) return;
    codes.set(keyOf(of), { code: made.code, ends: Date.parse(made.expireTime), had: new Set(now.tokens.map((x) => x.id)) });
    draw();
  }

  function row(of) {
    const button = (text, run) => make("button", { type: "button", "aria-label": t("seats.of", { what: text, desk: of.name }), onclick: run }, text);
    const copied = () => copy(codes.get(keyOf(of)).code, t("seats.copied", { desk: of.name }));
    return make("li", {}, make("strong", {}), make("span", { class: "answers" }),
      make("span", { class: "typed", role: "status" }, make("span", { class: "code" }), make("span", { class: "note" })),
      make("span", { class: "tools" }, button(t("seats.copy"), copied), button(t("seats.code"), () => newCode(of)),
        button(t("seats.qr"), () => code(of)), button(t("seats.sheet"), () => sheets([of]))));
  }

  function fillRow(node, of) {
    const [name, state, typed, tools] = node.children;
    setText(name, of.name);
    const ago = Math.round((time() - of.since) / 1000);
    const texts = {
      nobody: t("seats.nobody"), silent: t("seats.silent", { time: clock(local(of.since)) }),
      answers: ago * 1000 < NOW ? t("seats.now") : t("seats.ago", { n: ago }),
    };
    setText(state, texts[of.state]);
    node.dataset.state = of.state;
    const made = codes.get(keyOf(of));
    const left = made ? Math.ceil((made.ends - time()) / 60_000) : 0;
    if (made && left <= 0) codes.delete(keyOf(of));
    show(typed, left > 0);
    show(tools.children[0], left > 0);
    setText(typed.firstChild, left > 0 ? spelled(made.code) : "");
    setText(typed.lastChild, left > 0 ? t("seats.left", { n: left }) : "");
    const what = left > 0 ? t("seats.newCode") : t("seats.code");
    setText(tools.children[1], what);
    tools.children[1].setAttribute("aria-label", t("seats.of", { what, desk: of.name }));
  }

  async function cancel(x) {
    const sure = await ask(t("seats.cancelAsk", { desk: roleName(x) }), { note: t("seats.cancelNote"), yes: t("seats.cancel"), no: t("seats.keep") });
    if (sure) act("RevokeToken", { event, token: x.id }, fault);
  }

  function draw() {
    list(rows, panel(), keyOf, row, fillRow);
    list(others, beside(), keyOf, row, fillRow);
    const itsCancel = (x) => {
      const desk = `${roleName(x)}, ${clock(new Date(x.createTime))}`;
      return make("button", { type: "button", class: "small", "aria-label": t("seats.of", { what: t("seats.cancel"), desk }), onclick: () => cancel(x) },
        t("seats.cancel"));
    };
    const heldRow = (x) => make("li", {}, make("span", { class: "name" }), itsCancel(x));
    list(held, now.tokens.filter((x) => !x.revoked), (x) => x.id, heldRow, (node, x) => setText(node.firstChild,
      t("seats.heldRow", { desk: deskName(x), what: x.label || t("seats.byCode"), time: clock(new Date(x.createTime)) })));
  }

  const look = () => heard.look().catch(() => {}); // the desk says itself that the server is away

  return {
    all: panel, sheets, code, look,
    async fill(state) {
      now = state;
      // A code is good once: whoever took it has a token of the desk, without a label.
      for (const x of now.tokens) if (!x.label && codes.get(keyOf(x))?.had.has(x.id) === false) codes.delete(keyOf(x));
      await heard.fill(state);
      draw();
    },
  };
}

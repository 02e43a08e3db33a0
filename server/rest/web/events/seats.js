// Who sits where: each desk of the panel with its sheet, its QR code, and a code to be
// typed; and what was handed out and still holds.

import { list, make, setText, show } from "../../embed/dom.js";
import { copy } from "../parts/copy.js";
import { ask } from "../parts/dialog.js";
import { clock } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { spelled } from "./code.js";
import { faultLine } from "./form.js";
import { roleName } from "./gate.js";
import { address, showCode, showSheets } from "./handout.js";
import { DESKS, event, pageOf } from "./place.js";
import { tell } from "./refusal.js";

const LOOKS = 20_000; // ms between two looks at who has called
const SILENT = 90_000; // ms: a desk calls every 30 seconds
const NOW = 45_000;

const keyOf = ({ role, judge }) => `${role} ${judge || 0}`;
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** deskName is who sits at a desk, as a title. */
export const deskName = (seat) => capital(roleName(seat));

/**
 * seatsPart fills the part of the desk; changed is called when a desk begins to answer
 * or falls silent. It gives { fill, all, sheets, code, look }: all are the desks of the
 * panel { role, judge, name, given, state, since }, sheets prints some, code shows the QR
 * code of one, look asks the server who has called.
 */
export function seatsPart({ api, act }, place, changed) {
  const fault = faultLine();
  const rows = make("ul", { class: "seats", id: "seats-list" });
  const held = make("ul", { class: "entries", id: "held" });
  const others = make("ul", { class: "seats", id: "other-seats" });
  place.append(make("p", { class: "note" }, t("seats.how", { address: address() })), fault, rows,
    make("details", {}, make("summary", {}, t("seats.others")), others),
    make("details", { id: "held-box" }, make("summary", {}, t("seats.held")), make("p", { class: "note" }, t("seats.heldNote")), held));
  let now = { event: { categories: [] }, tokens: [] };
  let called = new Map(); // when the holder of a token called last, by its id
  let ahead = 0; // of this clock to the server's, ms
  const codes = new Map(); // { code, ends } by desk, which are shown this once
  const links = new Map(); // { link, id } by desk, so that what is shown again is the same

  const time = () => Date.now() - ahead;
  const judges = () => Math.max(0, ...[now.event, ...now.event.categories.flatMap((c) => c.segments)].map((x) => x.panel?.judges ?? 0));

  function seat(of) {
    const tokens = now.tokens.filter((x) => !x.revoked && keyOf(x) === keyOf(of));
    const since = Math.max(0, ...tokens.map((x) => called.get(x.id) ?? 0));
    const state = !since ? "nobody" : time() - since > SILENT ? "silent" : "answers";
    return { ...of, name: deskName(of), given: tokens.length > 0, state, since };
  }
  const panel = () => (judges() === 0 ? [] : [{ role: "REFEREE" }, { role: "TECHNICAL_PANEL" },
    ...Array.from({ length: judges() }, (_, i) => ({ role: "JUDGE", judge: i + 1 })), { role: "ANNOUNCER" }]).map(seat);
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
    codes.set(keyOf(of), { code: made.code, ends: Date.parse(made.expireTime) });
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
      nobody: t("seats.nobody"), silent: t("seats.silent", { time: clock(of.since + ahead) }),
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

  const states = () => panel().map((x) => x.state).join();
  async function look() {
    const before = states();
    try {
      const answer = await api.call("ListTokens", { event });
      ahead = Date.now() - Date.parse(answer.now);
      called = new Map(answer.tokens.filter((x) => x.lastCallTime).map((x) => [x.id, Date.parse(x.lastCallTime)]));
    } catch { // the desk says itself that the server is away
      return;
    }
    draw();
    if (states() !== before) changed();
  }

  let known; // how many tokens there were when it was looked last
  return {
    all: panel, sheets, code, look,
    async fill(state) {
      now = state;
      if (known === undefined) setInterval(look, LOOKS);
      if (known !== now.tokens.length) {
        known = now.tokens.length;
        await look();
      }
      draw();
    },
  };
}

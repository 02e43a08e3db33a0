// Who may do what: tokens for the panel, each shown once with the address of its
// desk, to be handed out.

import { list, make, setText, show } from "../../embed/dom.js";
import { ask } from "../parts/dialog.js";
import { roleName } from "./gate.js";
import { faultLine, field } from "./form.js";
import { event, pageOf } from "./place.js";

// The roles, each with its page.
const ROLES = {
  TECHNICAL_PANEL: ["technical panel", "technical"], JUDGE: ["judge", "judge"], REFEREE: ["referee", "referee"],
  ORGANISER: ["organiser", "organiser"], ANNOUNCER: ["announcer", "announcer"], VIEWER: ["viewer", ""],
};

// Names of this machine that other machines take for themselves.
const HERE = ["localhost", "127.0.0.1", "[::1]"];

/** tokensPart fills the part of the desk. It gives what fills it, and whether the panel has its tokens. */
export function tokensPart({ act }, place) {
  const fault = faultLine();
  const role = make("select", { id: "token-role" }, ...Object.entries(ROLES).map(([value, [text]]) => make("option", { value }, text)));
  const number = make("input", { id: "token-judge", type: "number", min: 1, value: 1, class: "short" });
  const label = make("input", { id: "token-label", autocomplete: "off", placeholder: "tablet 3" });
  const numberField = field("Judge's number", number);
  const one = make("form", { class: "row" }, field("Token for", role), numberField, field("Remark", label), make("button", { type: "submit" }, "Make a token"));
  const all = make("button", { type: "button", id: "token-all" }, "Make the tokens of the whole panel");
  const handouts = make("ul", { class: "handouts", id: "handouts" });
  const hand = make("div", { hidden: true, role: "region", "aria-label": "New tokens" },
    make("p", {}, make("strong", {}, "Shown only now: "), "print these or send each link to its person. Whoever has a link may do what it is for."),
    HERE.includes(location.hostname) && make("p", { class: "warning" }, "These links work on this machine only. For other devices the server must listen on the rink's network (", make("code", {}, "--http-addr :7080"), "); open this page by one of the addresses that it shows then, and make the tokens there."),
    handouts, make("div", { class: "row" }, make("button", { type: "button", onclick: () => print() }, "Print these"),
      make("button", { type: "button", class: "quiet", onclick: () => { handouts.replaceChildren(); show(hand, false); } }, "All handed out: hide them")));
  const rows = make("ul", { class: "entries", id: "tokens-given" });
  place.append(make("div", { class: "row" }, all), make("details", {}, make("summary", {}, "A single token"), one), fault, hand, rows);
  let e = {};
  let given = []; // tokens that hold
  const fit = () => show(numberField, role.value === "JUDGE");
  role.addEventListener("change", fit);
  fit();

  const judges = () => Math.max(0, ...[e, ...(e.categories ?? []).flatMap((c) => c.segments)].map((x) => x.panel?.judges ?? 0));
  const wanted = () => [{ role: "TECHNICAL_PANEL" }, ...Array.from({ length: judges() }, (_, i) => ({ role: "JUDGE", judge: i + 1 })), { role: "REFEREE" }]
    .filter((w) => !given.some((t) => t.role === w.role && (t.judge || 0) === (w.judge ?? 0)));

  async function issue(request) {
    const made = await act("CreateToken", { event, ...request }, fault);
    if (!made) return false;
    const who = roleName(made.info);
    const page = pageOf(event, ROLES[made.info.role][1]);
    const link = ROLES[made.info.role][1] ? `${page}#token=${made.token}` : e.restricted ? `${page}?token=${encodeURIComponent(made.token)}` : page;
    handouts.append(make("li", {}, make("strong", {}, `${e.name}: ${who}`),
      ...(made.token
        ? [make("a", { href: link, target: "_blank" }, link), make("span", {}, "or open ", make("b", {}, page), " and give the token ", make("code", {}, made.token))]
        : ["This token got lost on its way: end it below and make another."])));
    show(hand, true);
    return true;
  }

  one.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const request = { role: role.value, label: label.value.trim() };
    if (role.value === "JUDGE") request.judge = Number(number.value);
    if (await issue(request) && role.value === "JUDGE") number.value = Number(number.value) + 1;
  });
  all.addEventListener("click", async () => {
    all.disabled = true;
    for (const request of wanted()) if (!await issue(request)) break;
    all.disabled = false;
  });

  async function revoke(t) {
    if (await ask(`End the token of ${roleName(t)}${t.label ? `, ${t.label}` : ""}? Whoever sits there needs another.`, { yes: "End it" })) {
      act("RevokeToken", { event, token: t.id }, fault);
    }
  }

  return {
    complete: () => wanted().length === 0,
    fill(now) {
      e = now.event;
      given = now.tokens.filter((t) => !t.revoked);
      list(rows, given, (t) => t.id, (t) => make("li", {}, make("span", { class: "name" }), make("button", { type: "button", class: "small", "aria-label": `End the token of ${roleName(t)} ${t.label}`, onclick: () => revoke(t) }, "End")),
        (node, t) => setText(node.firstChild, `${roleName(t)}${t.label ? `, ${t.label}` : ""}`));
      show(all, judges() > 0 && wanted().length > 0);
    },
  };
}

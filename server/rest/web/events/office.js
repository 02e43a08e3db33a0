// What only the organiser does: how many judges there are, and who gets a token.

import { list, make, setText } from "../../embed/dom.js";
import { ask } from "./ask.js";
import { event, roleName, tell } from "./desk.js";

const ROLES = { TECHNICAL_PANEL: "technical panel", JUDGE: "judge", REFEREE: "referee", ANNOUNCER: "announcer", VIEWER: "viewer", ORGANISER: "organiser" };

/** officePart fills both parts of the desk. */
export function officePart({ api, act }, panel, tokens) {
  const panelFault = make("p", { class: "fault", role: "alert" }), tokenFault = make("p", { class: "fault", role: "alert" });
  const judges = make("input", { id: "judges", type: "number", min: 1, class: "short" });
  const set = make("form", { class: "row" }, make("span", { class: "field" }, make("label", { for: "judges" }, "Judges of the event"), judges), make("button", { type: "submit" }, "Set"));
  panel.append(set, panelFault);
  const role = make("select", { id: "token-role" }, ...Object.entries(ROLES).map(([value, text]) => make("option", { value }, text)));
  const number = make("input", { id: "token-judge", type: "number", min: 1, value: 1, class: "short" });
  const label = make("input", { id: "token-label", autocomplete: "off", placeholder: "tablet 3" });
  const field = (text, input) => make("span", { class: "field" }, make("label", { for: input.id }, text), input);
  const numberField = field("Judge's number", number);
  const tokenForm = make("form", { class: "row" }, field("Token for", role), numberField, field("Remark", label), make("button", { type: "submit" }, "Make a token"));
  const secret = make("p", { class: "secret", role: "status" });
  const rows = make("ul", { class: "entries" });
  tokens.append(tokenForm, secret, rows, tokenFault);
  let state = {};
  const fit = () => { numberField.hidden = role.value !== "JUDGE"; };
  role.addEventListener("change", fit);
  fit();

  set.addEventListener("submit", (submit) => {
    submit.preventDefault();
    const { members = [], countedJudges = [] } = state.event.panel ?? {};
    act("SetPanel", { event, panel: { judges: Number(judges.value), members, countedJudges } }, panelFault, judges);
  });
  tokenForm.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    const request = { event, role: role.value, label: label.value.trim() };
    if (role.value === "JUDGE") request.judge = Number(number.value);
    const made = await act("CreateToken", request, tokenFault);
    if (!made) return;
    secret.replaceChildren(`Token of ${roleName(made.info)}, shown this once: `, make("code", {}, made.token));
    if (role.value === "JUDGE") number.value = Number(number.value) + 1;
    fill();
  });

  async function revoke(t) {
    if (await ask(`End the token of ${roleName(t)}${t.label ? `, ${t.label}` : ""}? Whoever sits there needs another.`, { yes: "End it" })) {
      await act("RevokeToken", { event, token: t.id }, tokenFault);
      fill();
    }
  }

  async function fill() {
    try {
      const { tokens: all } = await api.call("ListTokens", { event });
      list(rows, all.filter((t) => !t.revoked), (t) => t.id, (t) => make("li", {}, make("span", { class: "name" }), make("button", { type: "button", class: "small", "aria-label": `End the token of ${roleName(t)} ${t.label}`, onclick: () => revoke(t) }, "End")),
        (node, t) => setText(node.firstChild, `${roleName(t)}${t.label ? `, ${t.label}` : ""}`));
    } catch (error) {
      if (!error.temporary) tell(tokenFault, error);
    }
  }

  return (now) => {
    const first = !state.event;
    state = now;
    const count = now.event.panel?.judges;
    if (count && document.activeElement !== judges) judges.value = count;
    if (first) fill();
  };
}

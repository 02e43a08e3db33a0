// Sitting down at a desk: by the link that the organiser hands out, or by its code.

import { at, make, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { codeFault, isCode, takeSeat } from "./code.js";
import { DESKS, event, pageOf } from "./place.js";
import { explain } from "./refusal.js";

/** roleName says who somebody is, inside a sentence. */
export const roleName = ({ role, judge }) => (judge ? t("desk.judge", { n: judge }) : t(`desk.roles.${role}`));

/**
 * gate puts the way to sit down in front of the desk; enter is called with what was
 * typed. It returns { show, refuse, wrong }.
 */
export function gate(title, enter) {
  const code = make("input", { id: "token", autocomplete: "off", spellcheck: "false", required: true, "aria-describedby": "token-fault" });
  const fault = make("p", { class: "fault", id: "token-fault", role: "alert" });
  const form = make("form", { class: "gate panel" }, make("h2", {}, t("desk.sit", { desk: title })), make("p", {}, t("desk.sitHow")),
    make("label", { for: "token" }, t("desk.code")),
    make("div", { class: "row" }, code, make("button", { type: "submit", class: "primary" }, t("desk.enter"))),
    fault, make("p", { class: "note" }, t("desk.sitNote")));
  const node = make("main", { class: "seat", hidden: true }, form);
  at("desk").before(node);
  const say = (...parts) => {
    fault.replaceChildren(...parts);
    code.setAttribute("aria-invalid", String(parts.length > 0));
  };
  code.addEventListener("input", () => say());
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    let typed = new URLSearchParams(code.value.split("#")[1] ?? "").get("token") ?? code.value.trim(); // a link holds a longer one
    try {
      if (isCode(typed)) typed = (await takeSeat(typed)).token;
    } catch (error) {
      say(codeFault(error));
      return;
    }
    if (typed) await enter(typed);
    code.value = "";
  });
  return {
    /** show opens the gate or takes it away. */
    show(yes) {
      show(node, yes);
      if (yes) code.focus();
    },
    /** refuse says why somebody cannot sit down; without an error nothing. */
    refuse(error) {
      if (!error) return say();
      return say(error.status === 401 ? t("desk.unknownCode") : error.temporary ? t("desk.away") : explain(error));
    },
    /** wrong says that a code is for somebody else, and leads to the right desk. */
    wrong(caller, token) {
      if (caller.role === "ROLE_UNSPECIFIED") return say(t("desk.otherEvent"));
      const desk = DESKS[caller.role];
      const way = desk && make("a", { href: `${pageOf(event, desk)}#token=${encodeURIComponent(token)}` }, t("desk.toDesk"));
      return say(make("span", {}, t("desk.otherDesk", { who: roleName(caller), desk: title }), " ", way));
    },
  };
}

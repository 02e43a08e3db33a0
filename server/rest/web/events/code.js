// A typed code, which opens one desk once: six characters that the organiser reads out.

import { Client, requestId } from "../../embed/client.js";
import { make } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { DESKS, event, home, pageOf, tokenKey } from "./place.js";
import { explain } from "./refusal.js";

/** isCode is true for a typed code and false for a link. Spaces, hyphens and the size of letters do not matter. */
export const isCode = (typed) => /^[2-9A-HJ-NP-Z]{6}$/i.test(typed.replaceAll(/[\s-]/g, ""));

/** spelled writes a code as it is read out: "K7M 42P". */
export const spelled = (code) => `${code.slice(0, 3)} ${code.slice(3)}`;

/** takeSeat returns { token, info } for a code, or throws the refusal. */
export const takeSeat = (code) => new Client(home).call("TakeSeat", { event, code, requestId: requestId() });

/** codeFault says what to do about a code that was refused. */
export function codeFault(error) {
  if (error.status === 401) return t("code.refused");
  if (error.status === 429) return t("code.tooMany");
  return error.temporary ? t("desk.away") : explain(error);
}

/** codeForm returns a form that leads whoever types a code to the desk of the code. */
export function codeForm() {
  const code = make("input", {
    id: "code", class: "code-field", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", required: true, maxlength: 12,
    "aria-describedby": "code-fault",
  });
  const fault = make("p", { class: "fault", id: "code-fault", role: "alert" });
  const form = make("form", { class: "panel gate" }, make("h2", {}, t("code.title")), make("p", { class: "note" }, t("code.how")),
    make("label", { for: "code" }, t("code.label")),
    make("div", { class: "row" }, code, make("button", { type: "submit", class: "primary" }, t("desk.enter"))), fault);
  const say = (text = "") => {
    fault.textContent = text;
    code.setAttribute("aria-invalid", String(Boolean(text)));
  };
  code.addEventListener("input", () => say());
  form.addEventListener("submit", async (submit) => {
    submit.preventDefault();
    if (!isCode(code.value)) return say(t("code.shape"));
    try {
      const { token, info } = await takeSeat(code.value);
      sessionStorage.setItem(tokenKey(event), token);
      location.href = pageOf(event, DESKS[info.role]);
    } catch (error) {
      say(codeFault(error));
    }
    return undefined;
  });
  return form;
}

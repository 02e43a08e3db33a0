// The code with which watchers see an event that not everybody may see.

import { at } from "../../embed/dom.js";
import { fault } from "../parts/fault.js";
import { t } from "../parts/words.js";
import { explain } from "./refusal.js";

/** typedCode returns the code that was typed; a link holds one, too. */
export function typedCode() {
  const typed = at("token").value.trim();
  const link = /[?#&]token=([^&]+)/.exec(typed);
  return link ? decodeURIComponent(link[1]) : typed;
}

/** watcherFault says at the field why a code does not do; without an error nothing. */
export function watcherFault(error) {
  if (!error) return fault(at("token"));
  const text = { 401: t("watch.unknown"), 403: t("watch.other") }[error.status];
  return fault(at("token"), text ?? (error.temporary ? t("watch.away") : explain(error)));
}

at("token").addEventListener("input", () => watcherFault());

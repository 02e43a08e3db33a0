// What a call that waits to be sent is, in words.

import { number } from "../parts/numbers.js";
import { has, t } from "../parts/words.js";

/** saidOf says what an item of the outbox is; heard is the state of the event, as far as it is known. */
export function saidOf({ call, request, about }, heard) {
  const name = heard?.entries.find((e) => e.entry === request.entry)?.name ?? request.entry ?? "";
  const key = call === "EndProgram" && request.takeBack ? "takeBack" : call;
  const score = about.announced && number(about.announced);
  return has(`desk.calls.${key}`) ? t(`desk.calls.${key}`, { ...about, name, score }) : t("desk.calls.other");
}

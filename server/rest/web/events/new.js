// Making an event.

import { Client } from "../../embed/client.js";
import { at, setText } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { eventFields } from "./event.js";
import { home, pageOf, tokenKey } from "./place.js";
import { tell } from "./refusal.js";

// What is wrong with a code, by the status of the refusal.
const REFUSED = { 401: t("new.unknown"), 403: t("new.other") };

const api = new Client(home);
const fields = eventFields(api);
at("details").replaceChildren(fields.node);
fields.seasons().catch((error) => tell(at("fault"), error));

at("new").addEventListener("submit", async (submit) => {
  submit.preventDefault();
  tell(at("fault"), undefined, at("token"));
  api.token = at("token").value.trim();
  try {
    const { event: made } = await api.call("CreateEvent", fields.read());
    sessionStorage.setItem(tokenKey(made.event), api.token);
    location.href = pageOf(made.event, "organiser");
  } catch (error) {
    tell(at("fault"), error, error.status in REFUSED ? at("token") : undefined);
    if (error.status in REFUSED) setText(at("fault"), REFUSED[error.status]);
  }
});

// Making an event.

import { Client } from "../../embed/client.js";
import { at } from "../../embed/dom.js";
import { eventFields } from "./event.js";
import { home, pageOf, tokenKey } from "./place.js";
import { tell } from "./refusal.js";

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
    tell(at("fault"), error, [401, 403].includes(error.status) ? at("token") : undefined);
  }
});

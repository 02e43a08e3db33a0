// Making an event.

import { Client } from "../../embed/client.js";
import { at, setText } from "../../embed/dom.js";
import { eventFields } from "./event.js";
import { home, pageOf, tokenKey } from "./place.js";
import { tell } from "./refusal.js";

// What is wrong with a token, by the status of the refusal.
const REFUSED = {
  401: "This server does not know this token: it is mistyped, was ended, or is of another server. Copy the administrator's token again.",
  403: "This token is not the administrator's. Only the administrator makes events.",
};

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

// The page that leads to the desks of an event.

import { Client } from "../../embed/client.js";
import { at, setText } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { codeForm } from "./code.js";
import { event, home, pageOf, tokenKey } from "./place.js";

for (const desk of ["organiser", "technical", "judge", "referee", "announcer"]) at(desk).href = pageOf(event, desk);
at("seat").append(codeForm());
at("code").focus(); // who types the address of a sheet has a code to type next
at("board").href = pageOf(event);
at("hall").href = `${pageOf(event)}?hall`;
new Client(home, { token: sessionStorage.getItem(tokenKey(event)) ?? "" }).call("GetScoreboard", { event }).then(
  ({ scoreboard }) => setText(at("event"), scoreboard.name),
  (error) => {
    at("event").className = "caution"; // no name
    setText(at("event"), [401, 403].includes(error.status) ? t("desks.restricted") : error.message);
  },
);

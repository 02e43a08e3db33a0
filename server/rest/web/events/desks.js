// The page that leads to the desks of an event.

import { Client } from "../../embed/client.js";
import { at, setText } from "../../embed/dom.js";
import { event, home, pageOf } from "./place.js";

for (const desk of ["technical", "judge", "referee", "organiser"]) at(desk).href = pageOf(event, desk);
at("board").href = pageOf(event);
new Client(home).call("GetScoreboard", { event }).then(
  ({ scoreboard }) => setText(at("event"), scoreboard.name),
  (error) => setText(at("event"), error.message),
);

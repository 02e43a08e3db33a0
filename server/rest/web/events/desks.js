// The page that leads to the desks of an event.

import { Client } from "../../embed/client.js";
import { at, setText } from "../../embed/dom.js";
import { event, home } from "./desk.js";

for (const desk of ["technical", "judge", "referee"]) at(desk).href = `${home}desk/${encodeURIComponent(event)}/${desk}`;
at("board").href = `${home}events/${encodeURIComponent(event)}`;
new Client(home).call("GetScoreboard", { event }).then(
  ({ scoreboard }) => setText(at("event"), scoreboard.name),
  (error) => setText(at("event"), error.message),
);

// Watching a scoreboard over a connection of its own.

import { openStream } from "./stream.js";

/** openBoard is watchScoreboard with a connection of its own. */
export function openBoard(server, event, on, options) {
  let board; // the last one, of which only changes come
  return openStream(server, `v1/events/${encodeURIComponent(event)}/scoreboard:watch?changes=true`, (message) => {
    if (message.data.copy) on.copy?.(message.data.copy);
    if (message.event === "heartbeat") return;
    board = { ...(message.event === "reset" ? {} : board), ...message.data };
    on.board?.(board);
  }, on.link, options);
}

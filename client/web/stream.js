// A scoreboard's stream: Server-Sent Events that come back by themselves after
// everything that can cut them, and go on where they were.

import { Client } from "./client.js";
import { keepOpen } from "./link.js";

/**
 * openStream watches an event until the function that it returns is called. It is
 * watchScoreboard with a connection of its own.
 */
export function openStream(server, event, on, token) {
  const client = new Client(server, { token });
  let sequence = ""; // of the last board
  let board; // the last one, of which only changes come

  return keepOpen((connection) => {
    const url = new URL(`v1/events/${encodeURIComponent(event)}/scoreboard:watch`, client.server);
    // A browser that comes back by itself sends Last-Event-ID; this is for a stream
    // that had to be opened again.
    if (sequence) url.searchParams.set("afterSequence", sequence);
    url.searchParams.set("changes", "true");
    if (token) url.searchParams.set("access_token", token); // EventSource sends no headers
    const source = new EventSource(url);

    // show puts the members that have changed into the board before; without one the
    // board has come whole.
    function show(message, before) {
      sequence = message.lastEventId || sequence;
      board = { ...before, ...JSON.parse(message.data) };
      connection.alive();
      on.board?.(board);
    }

    source.onopen = connection.alive;
    source.onerror = () => {
      connection.lost();
      if (source.readyState !== EventSource.CLOSED) return;
      // An EventSource does not say why it was refused; another call does.
      client.call("GetScoreboard", { event }).then(() => connection.again(), connection.again);
    };
    source.addEventListener("heartbeat", connection.alive);
    source.addEventListener("scoreboard", (message) => show(message, board));
    source.addEventListener("reset", (message) => show(message));
    return () => source.close();
  }, on.link);
}

// A scoreboard's stream: Server-Sent Events that come back by themselves after
// everything that can cut them, and go on where they were.

import { Client } from "./client.js";

const SILENCE = 40_000; // the server says something at least every 15 s
const AGAIN = 2_000;
const REFUSED_AGAIN = 15_000;

/**
 * openStream watches an event until the function that it gives is called. It is
 * watchScoreboard with a connection of its own.
 */
export function openStream(server, event, on, token) {
  const client = new Client(server, { token });
  let source, alarm, retry;
  let sequence = ""; // of the last board
  let board; // the last one, of which only changes come
  let heard; // when the last news came
  let stopped = false;

  function open() {
    clearTimeout(retry);
    source?.close();
    const url = new URL(`v1/events/${encodeURIComponent(event)}/scoreboard:watch`, client.server);
    // A browser that comes back by itself sends Last-Event-ID; this is for a stream
    // that had to be opened anew.
    if (sequence) url.searchParams.set("afterSequence", sequence);
    url.searchParams.set("changes", "true");
    if (token) url.searchParams.set("access_token", token); // EventSource sends no headers
    source = new EventSource(url);
    source.onopen = alive;
    source.onerror = cut;
    source.addEventListener("heartbeat", alive);
    source.addEventListener("scoreboard", (message) => show(message, board));
    source.addEventListener("reset", (message) => show(message));
    listen();
  }

  function listen() {
    clearTimeout(alarm);
    alarm = setTimeout(() => { cut(); open(); }, SILENCE);
  }

  function alive() {
    heard = new Date();
    listen();
    on.link?.({ connected: true, heard });
  }

  // show puts the members that have changed into the board before; without one the
  // board has come whole.
  function show(message, before) {
    sequence = message.lastEventId || sequence;
    board = { ...before, ...JSON.parse(message.data) };
    alive();
    on.board?.(board);
  }

  function cut() {
    on.link?.({ connected: false, heard });
    if (source.readyState === EventSource.CLOSED && !stopped) ask();
  }

  // ask finds out why a stream was refused, which an EventSource does not tell.
  async function ask() {
    clearTimeout(retry);
    let wait = AGAIN;
    try {
      await client.call("GetScoreboard", { event });
    } catch (error) {
      if (stopped) return;
      if (!error.temporary) {
        wait = REFUSED_AGAIN;
        on.link?.({ connected: false, heard, error });
      }
    }
    // Not all at once, when a server comes back that many watched.
    if (!stopped) retry = setTimeout(open, wait * (1 + Math.random() / 2));
  }

  const offline = () => on.link?.({ connected: false, heard });
  globalThis.addEventListener?.("offline", offline);
  globalThis.addEventListener?.("online", open);
  open();
  return () => {
    stopped = true;
    clearTimeout(alarm);
    clearTimeout(retry);
    globalThis.removeEventListener?.("offline", offline);
    globalThis.removeEventListener?.("online", open);
    source.close();
  };
}

// Watching an event as a desk does: all that the holder of a token may read of it,
// and then what changes. The stream is read with fetch, so that the token goes into a
// header and never into an address.

import { ApiError } from "./client.js";
import { keepOpen } from "./link.js";

/**
 * watchEvent watches an event until the function that it returns is called. on.change
 * is given the whole state { sequence, event, entries, order, performance, standing,
 * finalStanding, tokens } after each change; on.link whether news arrive, and
 * otherwise when the last ones did and, if the server refuses, why.
 */
export function watchEvent(server, event, on, { token = "" } = {}) {
  const base = new URL(server.endsWith("/") ? server : `${server}/`);
  let state;

  function take(message, connection) {
    if (message.event === "end") throw new ApiError(0, message.data);
    if (message.event === "change" || message.event === "reset") {
      state = applied(message.event === "reset" ? undefined : state, message.data);
    } else if (message.event === "heartbeat" && state) state = { ...state, sequence: message.data.sequence };
    connection.alive();
    if (message.event !== "heartbeat") on.change?.(state);
  }

  async function read(connection, signal) {
    const url = new URL(`v1/events/${encodeURIComponent(event)}:watch`, base);
    if (state) url.searchParams.set("afterSequence", state.sequence);
    // Without credentials a browser keeps these connections apart from those of the
    // calls, which could otherwise wait for one for ever.
    const response = await fetch(url, { headers: token ? { Authorization: `Bearer ${token}` } : {}, signal, credentials: "omit", cache: "no-store" });
    if (!response.ok) throw new ApiError(response.status, await response.json().catch(() => undefined));
    connection.alive();
    for await (const message of messages(response.body)) {
      if (signal.aborted) return;
      take(message, connection);
    }
    throw new ApiError(0); // the server has ended it
  }

  return keepOpen((connection) => {
    const control = new AbortController();
    read(connection, control.signal).catch((error) => {
      const cut = error instanceof ApiError || error instanceof TypeError || error.name === "AbortError";
      connection.again(error);
      if (!cut) throw error;
    });
    return () => control.abort();
  }, on.link);
}

// messages reads Server-Sent Events, each with its data as JSON.
async function* messages(body) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    const blocks = (rest + value).split("\n\n");
    rest = blocks.pop();
    for (const block of blocks) {
      const fields = Object.fromEntries(block.split("\n").map((line) => [line.slice(0, line.indexOf(":")), line.slice(line.indexOf(":") + 2)]));
      if (fields.data) yield { event: fields.event, data: JSON.parse(fields.data) };
    }
  }
}

const MEMBERS = ["event", "order", "standing", "finalStanding"];
const elementId = (e) => String(e.element);
const lineId = (line) => line.split(" of judge")[0];
const LISTS = { elements: elementId, components: (c) => c.component, missing: lineId };

/** applied returns a state after a change; without a state before the change is all. */
export function applied(before = { entries: [], tokens: [] }, change) {
  const now = { ...before, sequence: change.sequence };
  let { performance } = before;
  for (const { member, id } of change.removed ?? []) {
    const [name, list, part] = member.split(".");
    if (name !== "performance") delete now[name];
    else if (!list) performance = undefined;
    else if (part) performance = { ...performance, [list]: performance[list].map((x) => (LISTS[list](x) === id ? { ...x, [part]: null } : x)) };
    else performance = { ...performance, [list]: performance[list].filter((x) => LISTS[list](x) !== id) };
  }
  for (const name of MEMBERS) if (change[name]) now[name] = change[name];
  now.entries = merged(now.entries, change.entries, (e) => e.entry);
  now.tokens = merged(now.tokens, change.tokens, (t) => t.id);
  now.performance = change.performance ? performed(performance, change.performance) : performance;
  return now;
}

// performed returns a performance after its change: another performance, or another
// state of the same, comes whole.
function performed(was, change) {
  const other = ["category", "segment", "entry"].some((key) => was?.[key] !== change[key]);
  if (other || (change.state && change.state !== was.state)) return change;
  const now = { ...was, ...change };
  for (const [list, id] of Object.entries(LISTS)) {
    const came = list !== "elements" ? change[list] : change.elements?.map((e) => {
      const old = was.elements.find((x) => x.element === e.element);
      return e.call || old?.code !== e.code ? e : { ...e, call: old.call };
    });
    now[list] = merged(was[list], came, id);
  }
  return now;
}

function merged(held, came = [], id) {
  const news = new Map(came.map((item) => [id(item), item]));
  const all = held.map((item) => {
    const name = id(item);
    const present = news.get(name) ?? item;
    news.delete(name);
    return present;
  });
  return [...all, ...news.values()];
}

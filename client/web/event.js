// Watching an event as a desk does: all that the holder of a token may read of it,
// and then what changes.

import { openStream } from "./stream.js";

/**
 * watchEvent watches an event until the function that it returns is called, or
 * options.signal is aborted. on.change is given the whole state { sequence, event,
 * entries, order, performance, standing, finalStanding, tokens } after each change;
 * on.link whether news arrive, and otherwise when the last ones did and, if the server
 * refuses, why.
 *
 * Without credentials a browser keeps the connections of desks apart from those of the
 * calls and the board, six to a server, which could otherwise wait for one for ever.
 */
export function watchEvent(server, event, on, options) {
  let state;
  return openStream(server, `v1/events/${encodeURIComponent(event)}:watch`, (message) => {
    if (message.event === "heartbeat") {
      if (state) state = { ...state, sequence: message.data.sequence };
      return;
    }
    state = applied(message.event === "reset" ? undefined : state, message.data);
    on.change?.(state);
  }, on.link, { ...options, credentials: "omit" });
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

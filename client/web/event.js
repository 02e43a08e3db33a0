// Watching an event as a desk does: all that the holder of a token may read of it,
// and then what changes. The stream is read with fetch, so that the token goes into a
// header and never into an address.

import { ApiError } from "./client.js";

const SILENCE = 40_000; // the server says something at least every 15 s
const AGAIN = 1_000;
const REFUSED_AGAIN = 15_000;

/**
 * watchEvent watches an event until the function that it returns is called. on.change
 * is given the whole state { sequence, event, entries, order, performance, standing,
 * finalStanding, tokens } after each change; on.link whether news arrive, and
 * otherwise when the last ones did and, if the server refuses, why.
 */
export function watchEvent(server, event, on, { token = "" } = {}) {
  const base = new URL(server.endsWith("/") ? server : `${server}/`);
  let state;
  let heard; // when the last news came
  let stopped = false;
  let current; // the stream that is open
  let retry;

  function alive(alarm) {
    heard = new Date();
    alarm.reset();
    on.link?.({ connected: true, heard });
  }

  function take(message, alarm) {
    if (message.event === "end") throw new ApiError(0, message.data);
    if (message.event === "change" || message.event === "reset") {
      state = applied(message.event === "reset" ? undefined : state, message.data);
    } else if (message.event === "heartbeat" && state) state = { ...state, sequence: message.data.sequence };
    alive(alarm);
    if (message.event !== "heartbeat") on.change?.(state);
  }

  async function open() {
    clearTimeout(retry);
    current?.abort();
    const mine = (current = new AbortController());
    const alarm = silence(() => mine.abort());
    let wait = AGAIN;
    try {
      const url = new URL(`v1/events/${encodeURIComponent(event)}:watch`, base);
      if (state) url.searchParams.set("afterSequence", state.sequence);
      // Without credentials a browser keeps these connections apart from those of the
      // calls, which could otherwise wait for one for ever.
      const response = await fetch(url, { headers: token ? { Authorization: `Bearer ${token}` } : {}, signal: mine.signal, credentials: "omit", cache: "no-store" });
      if (!response.ok) throw new ApiError(response.status, await response.json().catch(() => undefined));
      alive(alarm);
      for await (const message of messages(response.body)) {
        if (mine.signal.aborted) break;
        take(message, alarm);
      }
      throw new ApiError(0); // the server has ended it
    } catch (error) {
      if (mine !== current || stopped) return;
      const refused = error instanceof ApiError && error.status && !error.temporary ? error : undefined;
      if (refused) wait = REFUSED_AGAIN;
      on.link?.({ connected: false, heard, error: refused });
      if (!(error instanceof ApiError) && error.name !== "AbortError" && !(error instanceof TypeError)) throw error;
    } finally {
      alarm.stop();
      if (mine === current && !stopped) retry = setTimeout(open, wait * (1 + Math.random() / 2));
    }
  }

  const offline = () => on.link?.({ connected: false, heard });
  globalThis.addEventListener?.("offline", offline);
  globalThis.addEventListener?.("online", open);
  open();
  return () => {
    stopped = true;
    clearTimeout(retry);
    current?.abort();
    globalThis.removeEventListener?.("offline", offline);
    globalThis.removeEventListener?.("online", open);
  };
}

// silence calls when nothing has come for too long.
function silence(late) {
  let timer;
  const stop = () => clearTimeout(timer);
  const reset = () => { stop(); timer = setTimeout(late, SILENCE); };
  reset();
  return { stop, reset };
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
  if (was?.category !== change.category || was?.segment !== change.segment || was?.entry !== change.entry || (change.state && change.state !== was.state)) return change;
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

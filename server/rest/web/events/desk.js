// What all desks share: who sits there, the state of the event as it changes, and
// what was typed and is not sent yet.

import { ApiError, Client } from "../../embed/client.js";
import { at } from "../../embed/dom.js";
import { watchEvent } from "../../embed/event.js";
import { ask } from "../parts/dialog.js";
import { listed } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { frame } from "./frame.js";
import { gate, roleName } from "./gate.js";
import { concerns, Outbox } from "./outbox.js";
import { saidOf } from "./pending.js";
import { event, handed, home, tokenKey } from "./place.js";
import { explain, tell } from "./refusal.js";
import { fromRehearsal, sayOver, toRehearsal } from "./rehearsal.js";

const key = tokenKey(event);
// Several people may sit at pages of one browser, each with a seat of their own.
const boxKey = ({ role, judge }) => `rinktally unsent ${location.pathname} ${role} ${judge}`;

const CALLS = 30_000; // ms: how often a desk says that it is there
const LATE = 1_000; // ms until a call that is no row of a list is said to wait

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/**
 * openDesk lets somebody of one of the roles sit down and then starts the desk; skater
 * and keys are those of the frame. start is given { api, caller, outbox, act, refresh,
 * bar, figure, more }: bar, figure and more fill parts of the frame, act makes a call;
 * it may put answered(answer, item) there. It returns a function that is given the
 * state after every change: { sequence, event, entries, tokens, standing,
 * finalStanding, category, segment, performance, latest, pending, cut }. segment is the
 * one that is worked on, performance who is on the ice there, latest who is or was
 * last, and what is not there is undefined; pending is what the outbox holds, and cut
 * since when nothing is heard of the server. The desk is shown when that function is
 * done first.
 */
export function openDesk({ roles, skater, keys, start }) {
  handed();
  const title = document.querySelector(".top .title");
  const api = new Client(home, { token: sessionStorage.getItem(key) ?? "" });
  const desk = { api, start, lock, frame: frame({ keys, skater, leave }) };
  const seat = gate(title.textContent, enter);
  let running;

  async function enter(token) {
    api.token = token;
    let caller;
    try {
      caller = await api.call("GetCaller", { event });
    } catch (error) {
      if (fromRehearsal(error, token)) return undefined;
      if (!error.temporary) return lock(error);
      seat.refuse(error);
      seat.show(!sessionStorage.getItem(key));
      if (sessionStorage.getItem(key)) setTimeout(enter, 2000, token);
      return undefined;
    }
    if (!roles.includes(caller.role)) {
      seat.show(true);
      return seat.wrong(caller, token);
    }
    sessionStorage.setItem(key, token);
    if (toRehearsal(caller, token)) return undefined;
    sayOver();
    return unlock(caller);
  }

  function lock(error) {
    running?.stop();
    running = undefined;
    sessionStorage.removeItem(key);
    desk.frame.open(false);
    seat.refuse(error);
    seat.show(true);
  }

  function unlock(caller) {
    seat.show(false);
    seat.refuse();
    if (caller.judge) title.textContent = capital(roleName(caller));
    document.title = t("desk.title", { desk: title.textContent, event });
    desk.frame.who(roleName(caller));
    running ??= follow(desk, caller);
  }

  async function leave() {
    const n = running.waiting();
    if (n && !await ask(t("desk.leaveUnsent", { n }), { note: t("desk.leaveNote"), yes: t("desk.leaveYes"), no: t("desk.leaveNo") })) return;
    lock();
    location.reload();
  }

  desk.frame.open(false);
  if (api.token) enter(api.token);
  else lock();
}

// follow keeps a desk up to date until its stop is called.
function follow({ api, start, lock, frame: around }, caller) {
  let link = { connected: true };
  let cut; // since when nothing is heard
  let soon; // until a call is late
  const line = () => {
    if (link.connected && !(outbox.stuck && !outbox.stuck.reason)) cut = undefined;
    else cut ??= link.heard ?? new Date();
    around.link({ waiting: outbox.waiting, cut });
    // What is no row of what stands on the desk is said above it.
    const items = outbox.items.filter((i) => !drawn(i));
    const open = items.filter((i) => !i.refused), late = (i) => cut || outbox.stuck || Date.now() - i.time >= LATE;
    const waits = open.filter(late).map((i) => saidOf(i, heard));
    clearTimeout(soon);
    if (open.length > waits.length) soon = setTimeout(line, LATE);
    around.notice([
      ...(outbox.stuck?.reason ? [{ text: t("desk.says", { reason: explain(outbox.stuck) }) }] : []),
      ...(waits.length ? [{ text: t("desk.waits", { what: listed(waits) }) }] : []),
      ...items.filter((i) => i.refused).map((i) => ({
        text: t("desk.refused", { what: saidOf(i, heard), reason: i.refused }), label: t("desk.putAway"), run: () => outbox.drop(i),
      })),
    ]);
  };
  const drawn = (item) => heard?.performance && concerns(heard.performance)(item) && (item.refused ? item.about.row : item.about.row || item.about.shown);
  const outbox = new Outbox(api, boxKey(caller), {
    changed: () => { line(); refresh(); },
    locked: lock,
    answered: (answer, item) => {
      if (Number(answer.sequence) >= Number(own?.sequence ?? 0)) own = answer;
      desk.answered?.(answer, item);
    },
  });

  let fill;
  let heard; // what the stream says
  let own; // the answer to a call of this desk that the stream has not reached yet
  let busy = false, again = false, stopped = false;
  async function refresh() {
    again = true;
    if (busy || stopped || !fill || !heard) return;
    busy = true;
    try {
      while (again && !stopped) {
        again = false;
        const state = { ...present(heard, own), pending: outbox.items, cut };
        around.fill(state);
        await fill(state);
        // Only now, so that nothing moves away under a finger.
        if (!stopped && at("desk").hidden) {
          around.open(true);
          at("desk").dispatchEvent(new Event("shown")); // what is hidden takes no focus
        }
      }
    } catch (error) {
      if (error.status === 401) lock(error);
      else if (!(error instanceof ApiError)) throw error;
      else if (error.temporary && !stopped) setTimeout(refresh, 1000);
    } finally {
      busy = false;
    }
  }

  /**
   * act sends a call and returns its answer; a refusal is shown in place. about is what the
   * outbox keeps of it.
   */
  async function act(call, request, place, { field, about } = {}) {
    if (place) tell(place, undefined, field);
    try {
      return await outbox.send(call, request, about);
    } catch (error) {
      if (!place) throw error;
      tell(place, error, field);
      refresh();
      return undefined;
    }
  }

  const sayThere = () => api.call("GetCaller", { event })
    .then((now) => toRehearsal(now, api.token), (error) => fromRehearsal(error, api.token));

  const desk = { api, caller, outbox, act, refresh, bar: around.bar, figure: around.figure, more: around.more };
  fill = start(desk);
  outbox.run();
  line();
  const leave = watchEvent(home, event, {
    change: (state) => { heard = state; line(); refresh(); },
    link: (l) => {
      if (l.error?.status === 401) return lock(l.error);
      if (fromRehearsal(l.error, api.token)) return undefined;
      if (l.connected && !link.connected) {
        outbox.run();
        sayThere(); // it may belong elsewhere now
      }
      const before = cut;
      link = l;
      line();
      if (!before !== !cut) refresh();
      return undefined;
    },
  }, { token: api.token });
  // Others see which desk has gone silent. What a desk asks for as often says it as well.
  const calls = setInterval(() => cut || (desk.beat ?? sayThere)().catch(() => {}), CALLS);
  return { stop: () => { stopped = true; clearInterval(calls); clearTimeout(soon); leave(); outbox.close(); }, waiting: () => outbox.waiting };
}

// present puts together what a desk shows: what the stream says, and in front of it
// the answer to the desk's own call while the stream has not reached that.
function present(heard, own) {
  const ahead = own && Number(own.sequence) > Number(heard.sequence) ? own : {};
  const e = ahead.event ?? heard.event;
  const category = e.categories.find((c) => c.category === heard.order?.category);
  const segment = category?.segments.find((s) => s.segment === heard.order.segment);
  const performance = [ahead.performance, heard.performance]
    .find((p) => p && segment?.current === p.entry && p.segment === segment.segment && p.category === category.category);
  const latest = performance ?? [ahead.performance, heard.performance].find((p) => p && p.segment === segment?.segment && p.category === category.category);
  return { ...heard, sequence: ahead.sequence ?? heard.sequence, event: e, category, segment, performance, latest };
}

/** hasEnded says whether everybody of a segment has skated. */
export const hasEnded = (segment) => ["SKATED", "OFFICIAL"].includes(segment?.state);

/** named returns what the path of a performance's calls needs. */
export const named = (p) => ({ event, category: p.category, segment: p.segment, entry: p.entry });

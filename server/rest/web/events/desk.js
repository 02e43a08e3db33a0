// What all desks share: the token, who holds it, the state of the event as it
// changes, and the line that says whether everything has arrived.

import { ApiError, Client } from "../../embed/client.js";
import { at, list, make, setText, show, words } from "../../embed/dom.js";
import { watchEvent } from "../../embed/event.js";
import { Outbox } from "./outbox.js";
import { event, handed, home, tokenKey } from "./place.js";
import { explain, tell } from "./refusal.js";

const key = tokenKey(event);
const boxKey = `rinktally unsent ${location.pathname}`;

const clock = (time) => time.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

/** roleName says who somebody is. */
export const roleName = ({ role, judge }) => (role === "ADMIN" ? "administrator" : judge ? `judge ${judge}` : words(role));

/**
 * openDesk asks for a token of one of the roles and then starts the desk. start
 * is given { api, caller, outbox, act, refresh } and returns a function that is given
 * { sequence, event, entries, tokens, standing, finalStanding, category, segment,
 * performance } after every change: segment is the one that is worked on, performance
 * who is on the ice there, and what is not there is undefined. The desk is shown when
 * that function is done first.
 */
export function openDesk(title, roles, start) {
  handed();
  const head = buildHead(title);
  const api = new Client(home, { token: sessionStorage.getItem(key) ?? "" });
  let stop;

  async function enter(token) {
    api.token = token;
    let caller;
    try {
      caller = await api.call("GetCaller", { event });
    } catch (error) {
      if (error.temporary) {
        tell(head.fault, error);
        if (sessionStorage.getItem(key)) setTimeout(() => enter(token), 2000);
        return;
      }
      return lock(error);
    }
    if (!roles.includes(caller.role)) {
      setText(head.fault, caller.role === "ROLE_UNSPECIFIED"
        ? "This token is for another event. Ask the organiser for one of this event."
        : `This token is for ${roleName(caller)}; this desk is for ${roles.map((role) => roleName({ role })).join(" or ")}.`);
      show(head.gate, true);
      return;
    }
    sessionStorage.setItem(key, token);
    unlock(caller);
  }

  function lock(error) {
    stop?.();
    stop = undefined;
    sessionStorage.removeItem(key);
    tell(head.fault, error, head.token);
    show(head.gate, true);
    show(head.leave, false);
    show(at("desk"), false);
    setText(head.who, "");
    head.token.focus();
  }

  function unlock(caller) {
    show(head.gate, false);
    show(head.leave, true);
    setText(head.who, roleName(caller));
    tell(head.fault);
    if (stop) return;
    stop = follow(api, caller, head, start, lock);
  }

  head.gate.addEventListener("submit", (submit) => {
    submit.preventDefault();
    if (head.token.value.trim()) enter(head.token.value.trim()).then(() => { head.token.value = ""; });
  });
  head.leave.addEventListener("click", () => { lock(); location.reload(); });
  if (api.token) enter(api.token);
  else lock();
}

function buildHead(title) {
  document.title = `${title}: ${event}`;
  const head = {
    event: at("where"), who: make("span", { class: "who pill" }),
    link: make("p", { class: "link", role: "status" }),
    leave: make("button", { type: "button", class: "quiet small", hidden: true }, "Leave this desk"),
    fault: make("p", { class: "fault", id: "token-fault", role: "alert" }),
    token: make("input", { id: "token", type: "password", autocomplete: "off", required: true, "aria-describedby": "token-fault" }),
  };
  head.gate = make("form", { class: "gate", hidden: true }, make("label", { for: "token" }, "Token of this desk"),
    make("div", { class: "row" }, head.token, make("button", { type: "submit", class: "primary" }, "Sit down")), head.fault,
    make("p", { class: "note" }, "The organiser gives out the tokens. This one is kept until the tab is closed."));
  setText(head.event, event);
  at("top-end").append(head.who, head.leave);
  document.querySelector(".top").after(head.link, head.gate);
  return head;
}

// follow keeps a desk up to date until the function that it gives is called.
function follow(api, caller, head, start, lock) {
  let link = { connected: true };
  const line = () => {
    const parts = [];
    if (!link.connected) parts.push(`Not connected${link.heard ? `, last news ${clock(link.heard)}` : ""}.`);
    if (outbox.waiting > 0 && outbox.stuck) {
      parts.push(`${outbox.waiting} not sent yet: it is kept and sent again by itself.`);
      if (outbox.stuck.reason) parts.push(`The server says: ${explain(outbox.stuck)}`); // else nobody answered
    }
    head.link.dataset.state = parts.length ? "cut" : "good";
    setText(head.link, parts.join(" ") || (outbox.waiting > 0 ? "Sending …" : "Connected, everything has arrived."));
  };
  const outbox = new Outbox(api, boxKey, {
    changed: () => line(),
    locked: lock,
    refused: (error) => setText(head.fault, `Something that was typed before was refused: ${explain(error)}`),
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
        const state = present(heard, own);
        setText(head.event, state.event.name);
        await fill(state);
        // Only now, so that nothing moves away under a finger.
        if (!stopped) show(at("desk"), true);
      }
    } catch (error) {
      if (error.status === 401) lock(error);
      else if (!(error instanceof ApiError)) throw error;
      else if (error.temporary && !stopped) setTimeout(refresh, 1000);
    } finally {
      busy = false;
    }
  }

  /** act sends a call and shows its answer; a refusal is shown in place. */
  async function act(call, request, place, field) {
    if (place) tell(place, undefined, field);
    try {
      const answer = await outbox.send(call, request);
      own = answer;
      refresh();
      return answer;
    } catch (error) {
      if (!place) throw error;
      tell(place, error, field);
      refresh();
      return undefined;
    }
  }

  fill = start({ api, caller, outbox, act, refresh });
  outbox.run();
  line();
  const leave = watchEvent(home, event, {
    change: (state) => { heard = state; refresh(); },
    link: (l) => {
      if (l.error?.status === 401) return lock(l.error);
      if (l.connected && !link.connected) outbox.run();
      link = l;
      line();
      return undefined;
    },
  }, { token: api.token });
  return () => { stopped = true; leave(); };
}

// present puts together what a desk shows: what the stream says, and in front of it
// the answer to the desk's own call while the stream has not reached that.
function present(heard, own) {
  const ahead = own && Number(own.sequence) > Number(heard.sequence) ? own : {};
  const e = ahead.event ?? heard.event;
  const category = e.categories.find((c) => c.category === heard.order?.category);
  const segment = category?.segments.find((s) => s.segment === heard.order.segment);
  const performance = [ahead.performance, heard.performance].find((p) => p && segment?.current === p.entry && p.segment === segment.segment && p.category === category.category);
  return { ...heard, sequence: ahead.sequence ?? heard.sequence, event: e, category, segment, performance };
}

/** named gives what the path of a performance's calls needs. */
export const named = (p) => ({ event, category: p.category, segment: p.segment, entry: p.entry });

/** skaterLine fills the line that says who is on the ice. */
export function skaterLine(place, { segment, category, performance }) {
  const states = { ON_ICE: "on the ice", REVIEW: "program over" };
  const parts = performance
    ? [make("strong", {}, `${performance.number}. ${performance.name}`), ` ${performance.club} `, make("span", { class: "note" }, `${category.title}, ${segment.title}: ${states[performance.state] ?? ""}`)]
    : [make("span", { class: "note" }, segment ? `${category.title}, ${segment.title}: nobody is on the ice.` : "No segment has started.")];
  list(place, [parts.map((x) => x.textContent ?? x).join("")], (text) => text, () => make("p", {}, ...parts), () => {});
}

// Which desks of the panel answer: who holds a code of the event, and when they called last.

import { clock } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { roleName } from "./gate.js";
import { event } from "./place.js";

const SILENT = 90_000; // ms: a desk calls every 30 seconds

export const keyOf = ({ role, judge }) => `${role} ${judge || 0}`;
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** deskName is who sits at a desk, as a title. */
export const deskName = (seat) => capital(roleName(seat));

/**
 * answers looks who has called, as often as this desk calls, and when a code is new;
 * changed is called when a desk begins to answer or falls silent. It returns { fill,
 * panel, seat, silent, look, time, local }: panel are the desks of the panel { role, judge, name,
 * given, state: "nobody", "silent" or "answers", since }, seat is one of them, silent are
 * the others that are silent, each with a text, time is the server's and local makes it this clock's.
 */
export function answers(desk, changed, looked = () => {}) {
  let now = { event: { categories: [] }, tokens: [] };
  let called = new Map(); // when the holder of a token called last, by its id
  let ahead = 0; // of this clock to the server's, ms
  let known; // how many tokens there were when it was looked last

  const time = () => Date.now() - ahead;
  const local = (ms) => ms + ahead;
  const judges = () => Math.max(0, ...[now.event, ...now.event.categories.flatMap((c) => c.segments)].map((x) => x.panel?.judges ?? 0));

  function seat(of) {
    const tokens = now.tokens.filter((x) => !x.revoked && keyOf(x) === keyOf(of));
    const since = Math.max(0, ...tokens.map((x) => called.get(x.id) ?? 0));
    const state = !since ? "nobody" : time() - since > SILENT ? "silent" : "answers";
    return { ...of, name: deskName(of), given: tokens.length > 0, state, since };
  }
  const panel = () => (judges() === 0 ? [] : [{ role: "REFEREE" }, { role: "TECHNICAL_PANEL" },
    ...Array.from({ length: judges() }, (_, i) => ({ role: "JUDGE", judge: i + 1 })), { role: "ANNOUNCER" }]).map(seat);
  const silent = () => panel().filter((s) => s.state === "silent" && keyOf(s) !== keyOf(desk.caller))
    .map((s) => ({ ...s, text: t("seats.silentDesk", { desk: s.name, time: clock(local(s.since)) }) }));

  let states = "";
  async function look() {
    const answer = await desk.api.call("ListTokens", { event });
    ahead = Date.now() - Date.parse(answer.now);
    called = new Map(answer.tokens.filter((x) => x.lastCallTime).map((x) => [x.id, Date.parse(x.lastCallTime)]));
    looked();
    const before = states;
    states = panel().map((s) => s.state).join();
    if (states !== before) changed();
  }
  desk.beat = look; // which says too that this desk is there

  return {
    panel, seat, silent, look, time, local,
    async fill(state) {
      now = { ...state, tokens: state.tokens ?? [] };
      if (known === now.tokens.length) return;
      known = now.tokens.length;
      await look().catch(() => {}); // the desk says itself that the server is away
    },
  };
}

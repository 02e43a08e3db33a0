// The elements of a performance as the desk knows them: what the server has, and
// before it what was typed and is not sent yet.

import { concerns } from "./outbox.js";

/** highest is the number of the newest element that the server has; 0 without one. */
export const highest = (performance) => Math.max(0, ...performance.elements.map((e) => e.element));

/**
 * rowsOf returns the elements in their order as { key, element, code, secondHalf,
 * inReview, baseValue, marksGiven, item, unsent, gone, refused }. item is a call that
 * is not sent yet, unsent says that something of the row is not, gone that it is to be
 * taken out, refused is the item that the server would not have.
 */
export function rowsOf(performance, pending) {
  const rows = performance.elements.map((e) => ({ ...e, key: `${performance.segment} ${performance.entry} ${e.element}` }));
  const claimed = new Set();
  const own = pending.filter(concerns(performance));
  for (const item of own) {
    const { call, request, about, refused } = item;
    if (call === "CallElement") {
      // The server may have it, and only its answer was lost on the way.
      const there = item.tried && !refused && rows.find((r) => r.element > about.base && r.code === about.code && !claimed.has(r.element));
      if (there) {
        claimed.add(there.element);
        if (about.takenBack) there.gone = there.unsent = true;
      } else if (!about.takenBack) {
        rows.push({
          key: item.id, code: about.code, secondHalf: request.secondHalf, inReview: false, baseValue: "", item,
          unsent: !refused, refused: refused ? item : undefined,
        });
      }
      continue;
    }
    const row = rows.find((r) => r.element && r.element === request.element);
    if (!row) continue;
    if (refused) {
      row.refused = item;
      continue;
    }
    row.unsent = true;
    if (call === "RemoveElement") row.gone = true;
    if (call === "ReviewElement") row.inReview = request.inReview;
    if (call === "ReviseElement") {
      if (request.code !== undefined) {
        row.code = request.code;
        row.baseValue = "";
      }
      row.secondHalf = request.secondHalf ?? row.secondHalf;
    }
  }
  let number = 0;
  for (const row of rows) if (!row.gone) row.number = ++number;
  return rows;
}

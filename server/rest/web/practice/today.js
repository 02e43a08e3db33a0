// What was tried today, by element.

import { cameWell } from "./came.js";

/** TILES is how many elements stand at hand. */
const TILES = 8;

/** dayStart is the beginning of a day where the phone is. */
export const dayStart = (now) => new Date(now.getFullYear(), now.getMonth(), now.getDate());

/** dayText is a day where the phone is, as a field for a date has it: 2026-12-01. */
export const dayText = (now) => [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");

/** counts counts attempts by what was meant: { n, well, last }. */
export function counts(attempts) {
  const found = new Map();
  for (const a of attempts) {
    const one = found.get(a.planned) ?? { n: 0, well: 0, last: a };
    found.set(a.planned, { n: one.n + 1, well: one.well + (cameWell(a) ? 1 : 0), last: a.time >= one.last.time ? a : one.last });
  }
  return found;
}

/**
 * tiles are the codes at hand: those that were asked for, then those that the book has
 * most attempts of, then today's and the program's.
 */
export const tiles = (asked, most, today, program) => [...new Set([...asked, ...most, ...today, ...program])].slice(0, Math.max(TILES, asked.length));

/** causes are the words for a miss: those noted most for this element first, then the book's. */
export function causesFor(code, attempts, words) {
  const n = new Map();
  for (const a of attempts) if (a.planned === code && a.cause) n.set(a.cause, (n.get(a.cause) ?? 0) + 1);
  return [...new Set([...[...n.keys()].sort((a, b) => n.get(b) - n.get(a)), ...words])];
}

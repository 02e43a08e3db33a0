// What a coach's pages keep on the phone: the rules that were chosen, names, the last spin
// of each skater, the book that is open, and attempts that wait for it.

import { requestId } from "../../embed/client.js";

const KEY = "rinktally.count", ATTEMPTS = "rinktally.attempts", BOOK = "rinktally.book";

function read(key, empty) {
  try {
    return { ...empty, ...JSON.parse(localStorage.getItem(key)) };
  } catch { // nothing is kept, or the browser keeps nothing
    return empty;
  }
}

function write(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/**
 * phone is what is kept: { rules, skater, skaters, plans, voice, tiles, causes }:
 * plans are by skater and kind, tiles the elements at hand by skater.
 */
export const phone = () => read(KEY, { rules: {}, skater: "", skaters: [], plans: {}, voice: "off", tiles: {}, causes: [] });

/** remember changes some of it; false says that this browser keeps nothing. */
export const remember = (change) => write(KEY, { ...phone(), ...change });

/** waiting are the attempts that no book has taken yet, as waiting.js of the practice has them. */
export const waiting = () => read(ATTEMPTS, { list: [] }).list;

/** wait puts another list in its place; false says that it could not be kept. */
export const wait = (list) => write(ATTEMPTS, { list });

/**
 * keepAttempt puts an attempt into the list that waits and returns its request id; ""
 * says that it could not be kept.
 */
export function keepAttempt(skater, attempt) {
  const id = requestId();
  return wait([...waiting(), { requestId: id, skater, attempt }]) ? id : "";
}

/** openBook is the book that is open here: { book, token }, both "" for none. */
export const openBook = () => read(BOOK, { book: "", token: "" });

/** keepBook opens another one, or none. */
export const keepBook = (book) => write(BOOK, book ?? {});

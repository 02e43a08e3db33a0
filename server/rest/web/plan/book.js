// Abilities from the book of attempts that is open on this phone.

import { Client } from "../../embed/client.js";
import { openBook, phone } from "../parts/phone.js";
import { TENTHS } from "./misses.js";

/** inBook is the name of the skater whose attempts can be taken; "" for none. */
export const inBook = () => (openBook().book ? phone().skater : "");

/** ofBook turns an ability of GetAbilities into one of the page, without its element. */
const ofBook = ({ code, success, grade, attempts, misses }) => ({
  code, success: success * TENTHS, grade, attempts, wish: "", inBook: success * TENTHS,
  misses: misses.map((m) => ({ code: m.code, of: m.chance * TENTHS, grade: m.grade, fall: m.fall })),
});

async function skaterOf(api, book) {
  const { skaters } = await api.call("ListSkaters", { book });
  return skaters.find((s) => s.name === inBook());
}

/** keepProgram makes a plan the skater's program of a segment; it resolves to whether the book has the skater. */
export async function keepProgram(server, segment, { elements }) {
  const { book, token } = openBook(), api = new Client(server, { token });
  const found = await skaterOf(api, book);
  if (!found) return false;
  const own = { segment, elements: elements.map(({ code, secondHalf }) => ({ code, secondHalf })) };
  const programs = [...found.programs.filter((p) => p.segment !== segment), own];
  await api.call("UpdateSkater", { book, skater: found.skater, programs: { programs } });
  return true;
}

/** fromBook asks how often the skater's elements come; it resolves to abilities without their elements. */
export async function fromBook(server, { season, category }) {
  const { book, token } = openBook(), api = new Client(server, { token });
  const found = await skaterOf(api, book);
  if (!found) return [];
  const { abilities } = await api.call("GetAbilities", { book, skater: found.skater, season, category });
  return abilities.map(ofBook);
}

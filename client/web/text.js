// A program as text: what people paste, keep in a file and put into a link.

import { spelled } from "./spelling.js";

/**
 * read returns { rows, half } of a text: rows are { code, grade }, half is the place
 * before which | stands, undefined where nothing marks the second half. Codes stand
 * with spaces, commas, semicolons or line ends between, in any case; behind one may
 * stand an expected grade with its sign, and x for the second half; # begins a remark.
 */
export function read(text) {
  const rows = [];
  let half;
  const plain = text.split("\n").map((line) => line.split("#")[0]).join("\n").replaceAll(/\s*\+\s*(?=\d?[a-z])/gi, "+").replaceAll("−", "-");
  for (const word of plain.match(/\||[^\s,;|]+/g) ?? []) {
    if (word === "|") half ??= rows.length;
    else if (rows.length && /^x$/i.test(word)) half ??= rows.length - 1;
    else if (rows.length && /^[+-]\d+(\.\d+)?$/.test(word)) rows.at(-1).grade = Number(word);
    else rows.push({ code: spelled(word) });
  }
  return { rows, half };
}

const graded = ({ code, grade }) => (grade === undefined ? code : `${code} ${grade < 0 ? "" : "+"}${grade}`);

/** write returns the text that read reads. */
export function write({ rows, half }) {
  const part = (list) => list.map(graded).join(", ");
  if (half === undefined) return part(rows);
  return `${part(rows.slice(0, half))} | ${part(rows.slice(half))}`.trim();
}

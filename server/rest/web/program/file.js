// A program kept in a file.

import { write } from "../../embed/text.js";

// A file begins with the rules that it is for; to everybody else they are a remark.
const HEAD = /^# rules: (\S+) (\S+) (\S+)/m;

/** toFile returns the text of a file. */
export const toFile = ({ season, category, segment }, program) =>
  `# rules: ${season} ${category} ${segment}\n${write(program).replaceAll(/ (?=[|])|, /g, "\n")}\n`;

/** fromFile returns what a file says: { season, category, segment } where it does, and the program's text. */
export function fromFile(text) {
  const [, season, category, segment] = HEAD.exec(text) ?? [];
  return { season, category, segment, text };
}

// What a skater can do, as a text: what is typed into the field, kept in a file and put
// into a link. An ability is its code, then how often of 10 it comes, the grade with its
// sign, 40x for the attempts that this was counted in, one word (keep, first, second, out)
// for what is asked of the program, and in brackets what comes instead:
//
//	3Lz 5 +0.2 40x second (3Lz< 2 -3), CCoSp4 6 +1.5

import { spelled } from "../../embed/spelling.js";

/** WISHES are what may be asked of the program about an ability. */
const WISHES = ["keep", "first", "second", "out"];

const isNumber = /^\d+(\.\d+)?$/, isGrade = /^[+-]\d+(\.\d+)?$/, isAttempts = /^\d+x$/i;

/**
 * read returns the abilities of a text, each { code, success, grade, attempts, wish,
 * misses }; success is undefined where none is said. # begins a remark.
 */
export function read(text) {
  const list = [];
  let within = false;
  const plain = text.split("\n").map((line) => line.split("#")[0]).join("\n").replaceAll(/\s*\+\s*(?=\d?[a-z])/gi, "+").replaceAll("−", "-");
  for (const word of plain.match(/[()]|[^\s,;()]+/g) ?? []) {
    const last = list.at(-1), miss = last?.misses.at(-1);
    if (word === "(" || word === ")") within = word === "(" && last !== undefined;
    else if (within) {
      if (isNumber.test(word) && miss) miss.of = Number(word);
      else if (isGrade.test(word) && miss) miss.grade = Number(word);
      else if (/^falls?$/i.test(word) && miss) miss.fall = true;
      else last.misses.push({ code: spelled(word), of: 0, grade: 0, fall: false });
    } else if (last && isNumber.test(word)) last.success = Math.min(10, Number(word));
    else if (last && isGrade.test(word)) last.grade = Number(word);
    else if (last && isAttempts.test(word)) last.attempts = Number.parseInt(word, 10);
    else if (last && WISHES.includes(word.toLowerCase())) last.wish = word.toLowerCase();
    else list.push({ code: spelled(word), success: undefined, grade: 0, attempts: 0, wish: "", misses: [] });
  }
  return list;
}

const rounded = (n) => (n === undefined ? n : Math.round(n * 1000) / 1000);
const signed = (grade) => `${grade < 0 ? "" : "+"}${grade}`;
const one = ({ code, success, grade, attempts, wish, misses }) => [
  code, rounded(success), signed(rounded(grade)), attempts > 0 && `${attempts}x`, wish,
  misses.length > 0 && `(${misses.map((m) => `${m.code} ${rounded(m.of)} ${signed(rounded(m.grade))}${m.fall ? " fall" : ""}`).join(", ")})`,
].filter((word) => word !== undefined && word !== false && word !== "").join(" ");

/** write returns the text that read reads; between is what stands between abilities. */
export const write = (list, between = ", ") => list.map(one).join(between);

// A file begins with the rules that it is for and with what is chosen beside; to
// everybody else they are remarks.
const HEAD = /^# plan: (.+)$/m;

/** toFile returns the text of a file; chosen is everything beside the abilities, by name. */
export const toFile = (chosen, list) => `# plan: ${new URLSearchParams(chosen)}\n${write(list, "\n")}\n`;

/** fromFile returns what a file says: what is chosen, by name, and the text of the abilities. */
export const fromFile = (text) => [Object.fromEntries(new URLSearchParams(HEAD.exec(text)?.[1].trim() ?? "")), text];

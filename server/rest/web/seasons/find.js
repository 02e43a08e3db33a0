// Search in rows of all sections at once.

import { show } from "../../embed/dom.js";

// indexed puts a space before each word of a text, and before a key as a whole.
const indexed = (text) => ` ${text} ${text.replaceAll(/[^\p{L}\p{N}<!*+]+/gu, " ")}`;

/**
 * search returns a function that shows only the rows where every word of a text begins a word, and
 * the number of those; an empty text shows all. parts are sections { node, groups } of
 * groups { node, rows, fold } of rows { node, text, close }: fold is the part that opens
 * to show the rows, close shuts what a row has open below it.
 */
export function search(parts) {
  let before = "";
  const texts = new Map(parts.flatMap((p) => p.groups).flatMap((g) => g.rows).map((row) => [row, indexed(row.text)]));
  return (typed) => {
    const words = typed.toLowerCase().replaceAll("−", "-").split(/[\s,]+/).filter(Boolean)
      .map((word) => (/^[a-z]{4,}s$/.test(word) && !word.endsWith("ss") ? word.slice(0, -1) : word));
    let all = 0;
    for (const { node, groups } of parts) {
      let inSection = 0;
      for (const group of groups) {
        let inGroup = 0;
        for (const row of group.rows) {
          const found = words.every((word) => texts.get(row).includes(` ${word}`));
          show(row.node, found);
          if (!found) row.close?.();
          inGroup += found ? 1 : 0;
        }
        show(group.node, inGroup > 0 || (words.length === 0 && group.rows.length === 0));
        if (group.fold && (words.length > 0 || before)) group.fold.open = words.length > 0 && inGroup > 0;
        inSection += inGroup;
      }
      show(node, inSection > 0 || words.length === 0);
      all += inSection;
    }
    before = words.join(" ");
    return all;
  };
}

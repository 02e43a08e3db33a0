// What would mend a spin that has no value.

import { hundredths, isStruck } from "../../embed/credit.js";

const SPIN = /^(F?)(C?)(USp|LSp|CSp|SSp|CoSp)([B1-4])/;
const POSITIONS = ["USp", "LSp", "CSp", "SSp", "CoSp"];

// near lists the spins of the same level that differ in one thing: in the position,
// then in the entry or the foot.
function near(code) {
  const [, flying, change, position, level] = SPIN.exec(code) ?? [];
  if (!position) return [];
  const others = POSITIONS.filter((p) => p !== position).map((p) => flying + change + p + level);
  return [others, [(flying ? "" : "F") + change + position + level], [flying + (change ? "" : "C") + position + level]];
}

/**
 * cures finds for each struck spin the code that would bring most without being worth
 * more than the spin itself, so that nothing harder is asked for. rows are those of
 * the page; ask checks many programs at once. It returns { code, value } by the rows' ids.
 */
export async function cures(rows, ask) {
  const found = new Map();
  for (const [i, row] of rows.entries()) {
    if (!row.credited || !isStruck(row.credited)) continue;
    const groups = near(row.code);
    if (!groups.length) continue;
    const codes = groups.flat();
    const programs = [[row], ...codes.map((code) => rows.with(i, { ...row, code }))];
    const [alone, ...tried] = (await ask(programs)).map((result) => result.program);
    const most = hundredths(alone?.elements[0]?.baseValue);
    const worth = new Map(tried.map((program, n) => {
      const e = program && !program.leftOut.length ? program.elements[i] : undefined;
      const fine = e && !isStruck(e) && hundredths(e.baseValue) <= most && !e.findings.some((f) => program.findings[f].severity === "ERROR");
      return [codes[n], fine ? e.baseValue : "0.00"];
    }));
    for (const group of groups) {
      const [code] = group.toSorted((a, b) => hundredths(worth.get(b)) - hundredths(worth.get(a)));
      if (hundredths(worth.get(code)) === 0) continue;
      found.set(row.id, { code, value: worth.get(code) });
      break;
    }
  }
  return found;
}

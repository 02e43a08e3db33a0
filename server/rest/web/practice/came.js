// How an element came: what one touch means for it. An element is that of elements:parse.

const SIGNS = ["<", "<<", "q", "e", "!"];
const EDGES = ["e", "!"]; // of the flip and the Lutz alone
const LEVELS = ["4", "3", "2", "1", "B"];

const levelOf = (element) => element.parts.at(-1)?.level ?? "";

/** isJump and isLevelled say which touches an element has. */
export const isJump = (element) => element.kind === "jump";
export const isLevelled = (element) => !isJump(element) && element.kind !== "choreo" && element.parts.length === 1 && levelOf(element) !== "";

/** levels lists the levels that an element may come with: { level, code }. */
export const levels = ({ code }) => LEVELS.map((level) => ({ level, code: code.replace(/[1-4B](?=V?$)/, level) }));

// replaced is an element with one of its jumps changed.
function replaced({ code, parts }, n, by) {
  const from = parts.slice(0, n).reduce((at, p) => code.indexOf(p.code, at) + p.code.length, 0);
  const at = code.indexOf(parts[n].code, from);
  return code.slice(0, at) + by + code.slice(at + parts[n].code.length);
}

/** touches lists the touches that an element has. */
export function touches(element) {
  if (isLevelled(element)) return [...LEVELS, "fall"];
  return isJump(element) ? ["clean", "called", ...(pops(element).length ? ["popped"] : []), "fall"] : ["clean", "fall"];
}

/** calls lists how the panel may call an element, its last jump first. */
export function calls(element) {
  const signs = ({ bare }) => SIGNS.filter((sign) => !EDGES.includes(sign) || /^\d(F|Lz)$/.test(bare));
  return element.parts.flatMap((p, n) => [signs(p).map((sign) => replaced(element, n, p.code + sign))]).reverse().flat();
}

/** pops lists what is left of an element that was popped, the most first. */
export function pops(element) {
  const turns = (p) => Array.from({ length: Math.max(0, p.turns - 1) }, (_, less) => p.turns - 1 - less);
  const fewer = element.parts.flatMap((p, n) => turns(p).map((left) => replaced(element, n, p.code.replace(/^\d/, left))));
  const alone = element.parts.length > 1 ? [element.parts[0].code] : [];
  return [...fewer, ...alone];
}

/**
 * came returns what an attempt says for one touch: "clean", "called", "popped", "fall", or
 * a level. last are codes that this element came with before, the newest first: the same
 * call again is the likely one.
 */
export function came(element, touch, last = []) {
  const { code } = element;
  if (touch === "clean") return { planned: code, came: code, fall: false };
  if (touch === "fall") return { planned: code, came: code, fall: true };
  const all = touch === "called" ? calls(element) : touch === "popped" ? pops(element) : [levels(element).find((l) => l.level === touch)?.code];
  return { planned: code, came: last.find((c) => all.includes(c)) ?? all[0], fall: false };
}

/** kindOf says how an attempt came: "clean", "fall", "called", "popped", or "level". */
export function kindOf({ planned, came: as, fall }) {
  if (fall) return "fall";
  if (!as || as === planned) return "clean";
  const bare = as.replaceAll(/[<q!e]+(?=\+|$)/g, "");
  return bare === planned ? "called" : /^\d/.test(planned) ? "popped" : "level";
}

/** cameWell reports whether an attempt came as meant, or with a higher level. */
export function cameWell(attempt) {
  const kind = kindOf(attempt);
  if (kind !== "level") return kind === "clean";
  const rank = (code) => "B1234".indexOf(code.replace(/V$/, "").at(-1));
  return rank(attempt.came) >= rank(attempt.planned);
}

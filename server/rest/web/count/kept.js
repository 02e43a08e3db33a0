// What this page keeps on the phone: the rules that were chosen, names, the last spin
// of each skater, and attempts that wait for the practice book.

const KEY = "rinktally.count", ATTEMPTS = "rinktally.attempts";

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

/** phone is what is kept: { rules, skater, skaters, plans, voice }; plans are by skater and kind. */
export const phone = () => read(KEY, { rules: {}, skater: "", skaters: [], plans: {}, voice: "off" });

/** remember changes some of it; false says that this browser keeps nothing. */
export const remember = (change) => write(KEY, { ...phone(), ...change });

/** waiting are the attempts that no book has taken yet: { requestId, skater, attempt }. */
export const waiting = () => read(ATTEMPTS, { list: [] }).list;

/** keepAttempt puts an attempt into the list that waits; false says that it could not be kept. */
export function keepAttempt(skater, attempt) {
  const requestId = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return write(ATTEMPTS, { list: [...waiting(), { requestId, skater, attempt }] });
}

/** takeBack takes the newest attempt out of the list that waits. */
export const takeBack = () => write(ATTEMPTS, { list: waiting().slice(0, -1) });

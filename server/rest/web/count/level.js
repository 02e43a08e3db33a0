// Asks for the level of what is being counted: of the engine in the page, or of the
// server where there is none.

import { AHEAD, reading } from "./answer.js";

/**
 * levels returns a function that asks for the level of an element and calls shown with
 * what the answer says, or with the error. While one is asked, only the last element is
 * kept, and an answer to an earlier one is not shown. elementWith(n) is the element with
 * n revolutions more, undefined where that says nothing.
 */
export function levels(api, shown) {
  let waiting, busy = false;
  async function ask({ season, rules, earlier, elementWith }) {
    const elements = Array.from({ length: AHEAD + 1 }, (_, n) => elementWith(n)).filter(Boolean);
    const programs = elements.map((element) => ({ ...rules, elements: [...earlier, element] }));
    const { results } = await api.call("BatchCallLevels", { season, programs });
    const refused = results[0].error;
    if (refused) throw Object.assign(new Error(refused.message), { temporary: false });
    return reading(results);
  }
  async function run() {
    busy = true;
    while (waiting) {
      const asked = waiting;
      waiting = undefined;
      const said = await ask(asked).then((answer) => ({ answer }), (error) => ({ error }));
      if (!waiting) shown(said, asked);
    }
    busy = false;
  }
  const asking = (question) => {
    waiting = question;
    if (!busy) run();
  };
  /** forget drops what is asked and not answered yet. */
  asking.forget = () => { waiting = undefined; };
  return asking;
}

// What the rules say about the elements as they are called, while they are.

import { saidOf } from "../../embed/credit.js";

/**
 * programCheck checks the called elements again whenever they change; changed is
 * called when there is news. It returns a function of the state and the elements,
 * which returns for each element what is known of it by now: { baseValue, why, lost }. why is what the rules
 * have against it, with lost where it has no value as it stands. The panel decides:
 * nothing is changed by this.
 */
export function programCheck(api, changed) {
  const seen = new Map(); // by what was asked
  let asked, wanted, busy = false;

  async function run() {
    if (busy) return;
    busy = true;
    while (wanted && wanted.key !== asked) {
      const { key, request } = wanted;
      try {
        const answer = await api.call("CheckProgram", request);
        asked = key;
        seen.clear(); // what was said of other programs does not hold for this one
        read(request.elements, answer).forEach((one, i) => seen.set(`${i} ${request.elements[i].code}`, one));
        changed();
      } catch (error) {
        if (!error.temporary) asked = key;
        break; // the next change asks again
      }
    }
    busy = false;
  }

  return (state, elements) => {
    const { event, category, segment } = state;
    const request = {
      season: event.rules.season, category: category.rulesCategory, segment: segment.segment, scope: segment.scope,
      keepPanelCalls: true, partial: true, elements: elements.map(({ code, secondHalf }) => ({ code, secondHalf })),
    };
    wanted = elements.length ? { key: JSON.stringify(request), request } : undefined;
    if (!state.cut) run();
    return elements.map((e, i) => seen.get(`${i} ${e.code}`) ?? {});
  };
}

// read returns what an answer says of each element that was asked for; those that the
// season does not have are left out of it.
const read = (elements, answer) => saidOf(elements, answer).map(({ credited, findings }) => {
  if (!credited) return {};
  const finding = findings.find((f) => f.severity === "ERROR");
  return { baseValue: credited.baseValue, why: finding?.message, lost: Boolean(finding) && Number(credited.baseValue) === 0 };
});

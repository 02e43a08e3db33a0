// What was touched while a film ran, by the film's time: touches may come in any order,
// and can be moved afterwards. It knows no page and no film.

const inOrder = (events) => events.toSorted((a, b) => a.t - b.t);

/** add puts a touch at a time: step makes the next state, felt says what it was. */
export const add = (events, t, step, felt) => inOrder([...events, { t, step, felt }]);

/** move puts a touch at another time. */
export const move = (events, event, t) => inOrder(events.map((one) => (one === event ? { ...one, t } : one)));

/** remove takes a touch away. */
export const remove = (events, event) => events.filter((one) => one !== event);

/** replay is what the touches make of a beginning, in the order of the film. */
export const replay = (events, beginning) => events.reduce((state, { step }) => step(state), beginning);

/** ticks are the touches that were revolutions or turns. */
export const ticks = (events) => events.filter((one) => one.felt === "revolution");

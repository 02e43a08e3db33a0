// What waits for the book, as a list. An item is one call with a requestId of its own:
// an attempt { requestId, skater, attempt }, or what follows an attempt that the book has
// { requestId, skater, of, change } and { requestId, skater, of, gone }. tried says that the
// book may have it already, refused why the book will not have it, after what is to follow.

/** first is the item that is sent next. */
export const first = (list) => list.find((item) => !item.refused);

/** unsent counts what is not sent. */
export const unsent = (list) => list.filter((item) => item.attempt && !item.undone).length;

const put = (list, requestId, change) => list.map((item) => (item.requestId === requestId ? change(item) : item));
const without = (list, requestId) => list.filter((item) => item.requestId !== requestId);

/** tried notes that an item is on its way. */
export const tried = (list, requestId) => put(list, requestId, (item) => ({ ...item, tried: true }));

/** amend changes an attempt that is in the list: what may be on its way is changed when it has come. */
export const amend = (list, requestId, change) => put(list, requestId, (item) => (item.tried
  ? { ...item, after: { change: { ...item.after?.change, ...change } }, shown: { ...item.attempt, ...item.after?.change, ...change } }
  : { ...item, attempt: { ...item.attempt, ...change } }));

/** undo takes an attempt out of the list; what may be on its way is taken out of the book when it has come. */
export const undo = (list, requestId) => (list.some((item) => item.requestId === requestId && item.tried)
  ? put(list, requestId, (item) => ({ ...item, after: { gone: true }, undone: true })) : without(list, requestId));

/** answered takes an item out that the book has; id is that of its attempt there, next an id for what follows. */
export function answered(list, requestId, id, next) {
  const item = list.find((one) => one.requestId === requestId);
  const rest = without(list, requestId);
  return item?.after ? [{ requestId: next, skater: item.skater, of: id, ...item.after }, ...rest] : rest;
}

/** refused notes why the book will not have an item. */
export const refused = (list, requestId, why) => put(list, requestId, (item) => ({ ...item, refused: why }));

/** untimed sends an item again that was refused, as of when the server takes it. */
export const untimed = (list, requestId) => put(list, requestId, ({ refused: _, attempt: { time: __, ...attempt }, ...item }) => ({ ...item, attempt }));

/** drop takes an item out that was refused. */
export const drop = without;

/** attemptsOf are a skater's attempts in the list, as they are shown. */
export const attemptsOf = (list, skater) => list.filter((item) => item.skater === skater && item.attempt && !item.undone)
  .map((item) => ({ ...(item.shown ?? item.attempt), requestId: item.requestId, refused: item.refused }));

// Revolutions that run by themselves: two taps set the pace, a tap sets it again. It knows
// no clock; a beat is { last, pace, ran }: the last tap, ms of a revolution, and how many
// have run since that tap.

/** STILL is a beat before its first tap. */
export const STILL = {};

/** tap sets the beat at a time and returns it with the revolutions that the tap adds: those that the beat has missed, and none where it was ahead. */
export function tap({ last, pace, ran }, t) {
  if (last === undefined) return { beat: { last: t }, add: 1 };
  if (!pace) return { beat: { last: t, pace: t - last, ran: 0 }, add: 1 };
  const since = Math.max(1, Math.round((t - last) / pace));
  return { beat: { last: t, pace: (t - last) / since, ran: 0 }, add: Math.max(0, since - ran) };
}

/** run is the beat one revolution later. */
export const run = (beat) => ({ ...beat, ran: beat.ran + 1 });

/** wait is how long from a time until the next revolution; undefined while there is no pace. */
export const wait = ({ last, pace, ran }, t) => (pace ? Math.max(0, last + (ran + 1) * pace - t) : undefined);

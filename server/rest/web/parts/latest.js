// Asking again while an answer is still coming.

/**
 * latest returns a function that asks with what it is given and shows the answer. While
 * one is asked, only the last question is kept, so that a slow answer holds back no more
 * than one; an answer to a question that is no longer the last one is not shown.
 * ask(question) resolves to the answer; shown is called with { answer } or { error }.
 */
export function latest(ask, shown) {
  let waiting, busy = false;
  const run = async () => {
    busy = true;
    try {
      while (waiting) {
        const { question } = waiting;
        waiting = undefined;
        const result = await ask(question).then((answer) => ({ answer }), (error) => ({ error }));
        if (!waiting) shown(result, question);
      }
    } finally {
      busy = false;
    }
  };
  return (question) => {
    waiting = { question };
    if (!busy) run();
  };
}

// How what listens to a server comes back after everything that can cut it.

const SILENCE = 40_000; // the server says something at least every 15 s
const AGAIN = 1_000;
const REFUSED_AGAIN = 15_000;

// refusal is an error with which the server says no; others pass by themselves.
const refusal = (error) => (error?.temporary === false ? error : undefined);

/**
 * pause returns how long to wait after an error, where the server has not said it: not
 * all come at once when a server is back that many wait for.
 */
export function pause(error, said) {
  if (said && !refusal(error)) return said;
  return (refusal(error) ? REFUSED_AGAIN : AGAIN) * (1 + Math.random());
}

/**
 * keepOpen keeps a connection open until the function that it returns is called.
 * open(connection) opens it and returns what closes it; meanwhile it calls
 * connection.alive() with whatever comes, and again(error, wait) when it has to be
 * opened again, after what the server has asked to wait. None of them does anything
 * once the connection has been closed, or signal is aborted. onLink is given whether
 * news arrive, and otherwise when the last ones did and, if the server refuses, why.
 */
export function keepOpen(open, onLink = () => {}, signal = undefined) {
  let heard, alarm, retry, current;

  function start() {
    end();
    const connection = (current = {
      close() {},
      alive() {
        if (connection !== current) return;
        heard = new Date();
        listen(connection);
        onLink({ connected: true, heard });
      },
      again(error, wait) {
        if (connection !== current) return;
        onLink({ connected: false, heard, error: refusal(error) });
        if (connection !== current) return; // whoever heard of it has stopped
        end();
        retry = setTimeout(start, pause(error, wait));
      },
    });
    listen(connection);
    connection.close = open(connection);
  }

  function listen(connection) {
    clearTimeout(alarm);
    alarm = setTimeout(() => connection.again(), SILENCE);
  }

  function end() {
    clearTimeout(alarm);
    clearTimeout(retry);
    const before = current;
    current = undefined;
    before?.close();
  }

  const offline = () => onLink({ connected: false, heard });
  const stop = () => {
    globalThis.removeEventListener?.("offline", offline);
    globalThis.removeEventListener?.("online", start);
    signal?.removeEventListener("abort", stop);
    end();
  };
  if (signal?.aborted) return stop;
  globalThis.addEventListener?.("offline", offline);
  globalThis.addEventListener?.("online", start);
  signal?.addEventListener("abort", stop);
  start();
  return stop;
}

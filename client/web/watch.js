// Watching a scoreboard, with one connection for all pages of a browser: a browser
// keeps no more than six connections to a server that speaks HTTP/1.1, so a laptop
// with more desks and boards open than that would hear nothing on the others.

import { openBoard } from "./board.js";
import { serverOf } from "./client.js";
import { ApiError } from "./error.js";

export { watchEvent } from "./event.js";
export { allPlaces } from "./places.js";

const script = new URL("shared.js", import.meta.url);

// shares reports whether pages can share: not everywhere are there workers for that,
// and they are only for pages of the same site.
const shares = (server) => typeof SharedWorker === "function" && [script, serverOf(server)].every((url) => url.origin === globalThis.location?.origin);

/**
 * watchScoreboard watches an event until the function that it returns is called, or
 * options.signal is aborted. on.board is given each scoreboard; on.link whether news
 * arrive, and otherwise when the last ones did and, if the server refuses, why; on.copy
 * how old what a server shows is that has only a copy of the event.
 */
export function watchScoreboard(server, event, on, options = {}) {
  return shares(server) ? join(server, event, on, options) : openBoard(server, event, on, options);
}

function join(server, event, on, { token = "", signal } = {}) {
  let leave;
  const enter = () => {
    const worker = new SharedWorker(script, { type: "module" });
    worker.port.onmessage = ({ data: { board, copy, link } }) => {
      if (link) on.link?.(link.error ? { ...link, error: Object.assign(new ApiError(link.error.status), link.error) } : link);
      if (copy) on.copy?.(copy);
      if (board) on.board?.(board);
    };
    worker.onerror = () => { leave(); leave = openBoard(server, event, on, { token }); };
    worker.port.postMessage({ server, event, token });
    leave = () => {
      worker.onerror = undefined;
      worker.port.postMessage("leave");
      worker.port.close();
    };
  };
  const hidden = () => leave();
  const back = ({ persisted }) => persisted && enter();
  const stop = () => {
    globalThis.removeEventListener("pagehide", hidden);
    globalThis.removeEventListener("pageshow", back);
    signal?.removeEventListener("abort", stop);
    leave();
  };
  if (signal?.aborted) return () => {};
  globalThis.addEventListener("pagehide", hidden);
  globalThis.addEventListener("pageshow", back);
  signal?.addEventListener("abort", stop);
  enter();
  return stop;
}

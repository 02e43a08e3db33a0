// Watching a scoreboard, with one connection for all pages of a browser: a browser
// keeps no more than six connections to a server that speaks HTTP/1.1, so a laptop
// with more desks and boards open than that would hear nothing on the others.

import { ApiError } from "./client.js";
import { openStream } from "./stream.js";

export { watchEvent } from "./event.js";
export { allPlaces } from "./places.js";

const script = new URL("shared.js", import.meta.url);

// shares reports whether pages can share: not everywhere are there workers for that,
// and they are only for pages of the same site.
const shares = (server) => typeof SharedWorker === "function" && [script, new URL(server)].every((url) => url.origin === globalThis.location?.origin);

/**
 * watchScoreboard watches an event until the function that it returns is called.
 * on.board is told each scoreboard; on.link whether news arrive, and otherwise
 * when the last ones did and, if the server refuses, why.
 */
export function watchScoreboard(server, event, on, { token = "" } = {}) {
  return shares(server) ? join(server, event, on, token) : openStream(server, event, on, token);
}

function join(server, event, on, token) {
  let leave;
  const enter = () => {
    const worker = new SharedWorker(script, { type: "module" });
    worker.port.onmessage = ({ data: { board, link } }) => {
      if (link) on.link?.(link.error ? { ...link, error: Object.assign(new ApiError(link.error.status), link.error) } : link);
      if (board) on.board?.(board);
    };
    worker.onerror = () => { leave(); leave = openStream(server, event, on, token); };
    worker.port.postMessage({ server, event, token });
    leave = () => {
      worker.onerror = undefined;
      worker.port.postMessage("leave");
      worker.port.close();
    };
  };
  const hidden = () => leave();
  const back = ({ persisted }) => persisted && enter();
  globalThis.addEventListener("pagehide", hidden);
  globalThis.addEventListener("pageshow", back);
  enter();
  return () => {
    globalThis.removeEventListener("pagehide", hidden);
    globalThis.removeEventListener("pageshow", back);
    leave();
  };
}

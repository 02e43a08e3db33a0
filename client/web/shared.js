// The worker that watches for all pages of a browser: one stream for each event.

import { openBoard } from "./board.js";
import { Client } from "./client.js";
import { pause } from "./link.js";

const watches = new Map(); // by server and event

// Watch is the stream of one event and the pages that follow it. A page is let in
// when its own token may read; the stream is opened with the token of one of them.
class Watch {
  #server;
  #event;
  #tokens = new Map(); // of the pages' ports
  #stream; // { token, stop }
  #last = {}; // what the stream said last

  constructor(server, event) {
    this.#server = server;
    this.#event = event;
  }

  enter(port, token) {
    this.#tokens.set(port, token);
    port.postMessage(this.#last);
    if (!this.#stream) this.#open(token);
  }

  leave(port) {
    this.#tokens.delete(port);
    if (this.#tokens.size > 0) return;
    this.#stream?.stop();
    this.#stream = undefined;
    this.#last = {};
  }

  #open(token) {
    const heard = { board: (board) => this.#tell({ board }), copy: (copy) => this.#tell({ copy }), link: (link) => this.#heard(link) };
    this.#stream = { token, stop: openBoard(this.#server, this.#event, heard, { token }) };
  }

  #tell(news) {
    this.#last = { ...this.#last, ...news };
    for (const port of this.#tokens.keys()) port.postMessage(news);
  }

  // A stream that is refused tries again by itself. When that is for its token, it
  // goes on with another page's, and the pages with the bad one are left behind.
  #heard(link) {
    const told = link.error ? { ...link, error: plain(link.error) } : link;
    const { token, stop } = this.#stream;
    const other = [...this.#tokens.values()].find((t) => t !== token);
    if (other === undefined || ![401, 403].includes(link.error?.status)) return this.#tell({ link: told });
    for (const [port, t] of this.#tokens) {
      if (t !== token) continue;
      port.postMessage({ link: told });
      this.#tokens.delete(port);
    }
    stop();
    return this.#open(other);
  }
}

// plain is an error as a page can be sent it.
const plain = (error) => ({ ...error, message: error.message });

globalThis.onconnect = ({ ports: [port] }) => {
  let watch, waiting, gone = false;

  // enter lets the page in as soon as the server does.
  async function enter({ server, event, token }) {
    const key = `${server} ${event}`;
    try {
      await new Client(server, { token }).call("GetScoreboard", { event });
    } catch (error) {
      if (gone) return;
      port.postMessage({ link: { connected: false, ...(error.temporary ? {} : { error: plain(error) }) } });
      waiting = setTimeout(enter, pause(error), { server, event, token });
      return;
    }
    if (gone) return;
    if (!watches.has(key)) watches.set(key, new Watch(server, event));
    watch = watches.get(key);
    watch.enter(port, token);
  }

  port.onmessage = ({ data }) => {
    if (data !== "leave") return enter(data);
    gone = true;
    clearTimeout(waiting);
    watch?.leave(port);
    return undefined;
  };
};

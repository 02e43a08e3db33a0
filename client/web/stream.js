// Server-Sent Events, which come back by themselves after everything that can cut them
// and go on where they were. They are read with fetch, which Node.js has too: the token
// goes into a header and never into an address, and who is refused hears why.

import { headersOf, serverOf } from "./client.js";
import { ApiError, refused, silent } from "./error.js";
import { keepOpen } from "./link.js";
import { notAllowed } from "./origin.js";

/**
 * openStream reads the stream at a path until the function that it returns is called,
 * or options.signal is aborted. take is given each { event, data }, its data as JSON;
 * onLink what keepOpen gives.
 */
export function openStream(server, path, take, onLink, { token = "", signal: stop, credentials } = {}) {
  const base = serverOf(server);
  const url = new URL(path, base);
  let last; // the sequence that was seen last
  let wait; // that the server asks for before who was cut comes back
  let answered = false; // so that this site may read it

  async function open(signal) {
    const headers = headersOf(token, last ? { "Last-Event-ID": last } : {});
    try {
      return await fetch(url, { headers, signal, credentials, cache: "no-store" });
    } catch (cause) {
      throw (!answered && !signal.aborted && (await notAllowed(base, { cause }))) || silent(base, cause);
    }
  }

  async function read(connection, signal) {
    const response = await open(signal);
    answered = true;
    const events = response.headers.get("Content-Type")?.startsWith("text/event-stream");
    if (!response.ok || !events) throw refused(response, await response.json().catch(() => undefined));
    connection.alive();
    for await (const { event, data, id, retry } of messages(response.body)) {
      if (signal.aborted) return;
      if (retry) wait = Number(retry);
      if (!data) continue;
      if (event === "end") throw new ApiError(0, data);
      last = id ?? data.sequence ?? last;
      connection.alive();
      given({ event, data });
    }
    throw new ApiError(0); // the server has ended it
  }

  // given hands an event on. What goes wrong with it there is not the stream's fault.
  function given(message) {
    try {
      take(message);
    } catch (error) {
      queueMicrotask(() => { throw error; });
    }
  }

  return keepOpen((connection) => {
    const control = new AbortController();
    read(connection, control.signal).catch((error) => connection.again(error, wait));
    return () => control.abort();
  }, onLink, stop);
}

// messages reads the fields of each event, its data as JSON.
async function* messages(body) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    let events;
    try {
      const { value, done } = await reader.read();
      if (done) return;
      const blocks = (rest + value).split("\n\n");
      rest = blocks.pop();
      events = blocks.map(fieldsOf);
    } catch (cause) {
      throw new ApiError(0, undefined, { cause });
    }
    yield* events;
  }
}

function fieldsOf(block) {
  const fields = Object.fromEntries(block.split("\n").map((line) => [line.slice(0, line.indexOf(":")), line.slice(line.indexOf(":") + 1).trim()]));
  return fields.data ? { ...fields, data: JSON.parse(fields.data) } : fields;
}

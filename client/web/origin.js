// Why a page of another site gets no answer: a browser keeps both "not allowed" and
// "not there" to itself, and only the second passes by itself.

import { NOT_ALLOWED, withReason } from "./error.js";

/**
 * notAllowed finds out whether a server that a page cannot read is there. It resolves
 * to the error that names the setting which allows the page's site, and to undefined
 * where that is not the matter.
 */
export async function notAllowed(server, options) {
  const { origin } = globalThis; // there is none outside of browsers
  if (!origin || origin === server.origin) return undefined;
  try {
    await fetch(new URL("readyz", server), { mode: "no-cors", cache: "no-store", credentials: "omit" });
  } catch {
    return undefined; // it is away
  }
  const why = origin === "null"
    ? `This page was opened from a file, which is no site that the server at ${server.origin} could allow: open it over HTTP.`
    : `The server at ${server.origin} does not let pages of ${origin} read it. Whoever runs it allows them with the setting --cors-origins ${origin}`;
  return withReason(NOT_ALLOWED, why, options);
}

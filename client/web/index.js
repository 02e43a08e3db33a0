// The package: the client of a server, and what watches its events.

export { ApiError, Client, requestId } from "./client.js";
export { allPlaces, watchEvent, watchScoreboard } from "./watch.js";

// Where a page is.

export const home = new URL("../../", import.meta.url).href;

/** event is the id of the event in a desk's address. */
export const event = decodeURIComponent(location.pathname.slice(new URL(home).pathname.length).split("/")[1] ?? "");

/** DESKS are the pages of the roles that have a desk. */
export const DESKS = { TECHNICAL_PANEL: "technical", JUDGE: "judge", REFEREE: "referee", ORGANISER: "organiser", ANNOUNCER: "announcer" };

/** tokenKey is where the session storage keeps the token of an event until the tab is closed. */
export const tokenKey = (name) => `rinktally token ${name}`;

/**
 * handed keeps the token of a link that the organiser gave out. It stands behind
 * "#", which no server is sent, and leaves the address at once.
 */
export function handed() {
  const token = new URLSearchParams(location.hash.slice(1)).get("token");
  if (!token) return;
  sessionStorage.setItem(tokenKey(event), token);
  history.replaceState(null, "", location.pathname + location.search);
}

/** pageOf returns the address of an event's page: "judge" is the judge's desk, "" the scoreboard. */
export const pageOf = (name, desk) => `${home}${desk ? "desk" : "events"}/${encodeURIComponent(name)}${desk ? `/${desk}` : ""}`;

/** desksOf returns the address of the page that leads to the desks of an event. */
export const desksOf = (name) => `${home}desk/${encodeURIComponent(name)}`;

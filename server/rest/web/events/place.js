// Where a page is.

export const home = new URL("../../", import.meta.url).href;

/** event is the id of the event in a desk's address. */
export const event = decodeURIComponent(location.pathname.slice(new URL(home).pathname.length).split("/")[1] ?? "");

/** tokenKey is where the session storage keeps the token of an event until the tab is closed. */
export const tokenKey = (name) => `rinktally token ${name}`;

/** pageOf gives the address of an event's page: "judge" is the judge's desk, "" the scoreboard. */
export const pageOf = (name, desk) => `${home}${desk ? "desk" : "events"}/${encodeURIComponent(name)}${desk ? `/${desk}` : ""}`;

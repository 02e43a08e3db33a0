// The places behind a scoreboard: that of a large category holds only some of them,
// and says in totalPlaces how many there are.

import { pause } from "./link.js";

const PAGE = 500;
const READINGS = 10; // places change with a confirmation, every few minutes
const SPREAD = 3_000; // so that not all who watch ask at once when a place changes

/** allPlaces reads the places page by page and returns them all: { sequence, standing, finalStanding }. */
export async function allPlaces(client, event, options) {
  for (let reading = 1; ; reading++) {
    try {
      return await read(client, event, options);
    } catch (error) {
      if (error.reason !== "PAGE_TOKEN_INVALID" || reading === READINGS) throw error; // otherwise a place has changed
    }
  }
}

async function read(client, event, options) {
  const all = await client.call("ListPlaces", { event, pageSize: PAGE }, options);
  for (let page = all; page.nextPageToken;) {
    page = await client.call("ListPlaces", { event, pageSize: PAGE, pageToken: page.nextPageToken }, options);
    for (const name of ["standing", "finalStanding"]) all[name].places.push(...page[name].places);
  }
  const whole = (standing) => standing && { ...standing, totalPlaces: undefined, placesTag: undefined };
  return { sequence: all.sequence, standing: whole(all.standing), finalStanding: whole(all.finalStanding) };
}

/**
 * followPlaces keeps all places behind the boards that behind is called with. on.places
 * is called when there are others, on.refused with the error if the server refuses.
 */
export function followPlaces(client, event, on) {
  let places, wanted, timer;

  async function take(tags) {
    try {
      const all = await allPlaces(client, event);
      if (tags !== wanted) return; // there are newer ones
      places = all;
      on.places();
    } catch (error) {
      if (tags !== wanted) return;
      if (error.temporary) later(pause(error));
      else on.refused(error);
    }
  }

  function later(wait) {
    clearTimeout(timer);
    timer = setTimeout(take, wait, wanted);
  }

  return {
    /** behind returns the places behind a board; undefined before they are here, and where it holds all of its segment. */
    behind({ standing, finalStanding }) {
      if (!standing?.totalPlaces) return undefined;
      const tags = [standing.segment, standing.placesTag, finalStanding.placesTag].join(" ");
      if (tags !== wanted) {
        wanted = tags;
        later(places ? Math.random() * SPREAD : 0);
      }
      const same = ["category", "segment"].every((name) => places?.standing[name] === standing[name]);
      return same ? places : undefined;
    },
    stop() {
      clearTimeout(timer);
      wanted = undefined;
    },
  };
}

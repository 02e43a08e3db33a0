import type { Scoreboard } from "./client.js";

/** What somebody has opened: a segment, or the score sheet of an entry; all left out is what is skated now. */
export interface Shown {
  category?: string;
  segment?: string;
  view?: "standing" | "result" | "skater";
  entry?: string;
}

/**
 * <rinktally-scoreboard event="spring-cup" server="https://scores.example"> shows
 * an event live. Its attribute token is for events whose reading is restricted,
 * rows limits the places that are listed; category, segment, view and entry show
 * something else than what is skated now. It fires "scoreboard" with every new one,
 * and "show" when something else is opened. The part "event" is the event's name; what
 * the element holds stands below its title.
 */
export class RinktallyScoreboard extends HTMLElement {
  addEventListener(type: "scoreboard", listener: (event: CustomEvent<Scoreboard>) => void, options?: boolean | AddEventListenerOptions): void;
  addEventListener(type: "show", listener: (event: CustomEvent<Shown>) => void, options?: boolean | AddEventListenerOptions): void;
  addEventListener(type: string, listener: EventListenerOrEventListenerObject, options?: boolean | AddEventListenerOptions): void;
}

declare global {
  interface HTMLElementTagNameMap {
    "rinktally-scoreboard": RinktallyScoreboard;
  }
}

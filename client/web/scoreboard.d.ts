import type { Scoreboard } from "./client.js";

/**
 * <rinktally-scoreboard event="spring-cup" server="https://scores.example"> shows
 * an event live. Its attribute token is for events whose reading is restricted,
 * rows limits the places that are listed. It fires "scoreboard" with every new one.
 */
export class RinktallyScoreboard extends HTMLElement {
  addEventListener(type: "scoreboard", listener: (event: CustomEvent<Scoreboard>) => void, options?: boolean | AddEventListenerOptions): void;
  addEventListener(type: string, listener: EventListenerOrEventListenerObject, options?: boolean | AddEventListenerOptions): void;
}

declare global {
  interface HTMLElementTagNameMap {
    "rinktally-scoreboard": RinktallyScoreboard;
  }
}

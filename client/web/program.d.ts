import type { CheckProgramResponse } from "./client.js";

/**
 * <rinktally-program category="senior-women" segment="free-skating" text="3Lz+3T, CCoSp4 | 2A">
 * shows a program as the rules of a season credit it: codes, values, findings. Its
 * attribute season names other rules than the current ones, server another server than
 * the one that the script came from; with offline the engine in the page answers, once
 * it is loaded. It fires "program" with every answer.
 */
export class RinktallyProgram extends HTMLElement {
  addEventListener(type: "program", listener: (event: CustomEvent<CheckProgramResponse>) => void, options?: boolean | AddEventListenerOptions): void;
  addEventListener(type: string, listener: EventListenerOrEventListenerObject, options?: boolean | AddEventListenerOptions): void;
}

declare global {
  interface HTMLElementTagNameMap {
    "rinktally-program": RinktallyProgram;
  }
}

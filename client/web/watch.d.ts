import type { ApiError, Scoreboard } from "./client.js";

/** Link tells whether news arrive. */
export interface Link {
  connected: boolean;
  /** When the last news came; unset before the first. */
  heard?: Date;
  /** Why the server refuses to be watched. */
  error?: ApiError;
}

export interface Listener {
  /** Told the scoreboard as it is, then after every change. */
  board?(board: Scoreboard): void;
  /** Told whether news arrive, also when that has not changed. */
  link?(link: Link): void;
}

/** watchScoreboard watches an event until the function that it gives is called. */
export function watchScoreboard(server: string, event: string, on: Listener, options?: { token?: string }): () => void;

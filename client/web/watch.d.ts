import type { ApiError, BoardCopy, CallOptions, Client, ListPlacesResponse, Scoreboard, WatchEventResponse } from "./client.js";

/** Link says whether news arrive. */
export interface Link {
  connected: boolean;
  /** When the last news came; unset before the first. */
  heard?: Date;
  /** Why the server refuses to be watched. It is asked again all the same, less often. */
  error?: ApiError;
}

export interface WatchOptions {
  /** A token that may read, where reading is restricted. */
  token?: string;
  /** Ends the watch. */
  signal?: AbortSignal;
}

export interface Listener {
  /** Given the scoreboard as it is, then after every change. */
  board?(board: Scoreboard): void;
  /** Given whether news arrive, also when that has not changed. */
  link?(link: Link): void;
  /** Given how old the scoreboard is where the server has only a copy of the event. */
  copy?(copy: BoardCopy): void;
}

/**
 * watchScoreboard watches an event until the function that it returns is called. A
 * connection that breaks comes back by itself and goes on behind what was seen last.
 */
export function watchScoreboard(server: string, event: string, on: Listener, options?: WatchOptions): () => void;

/** EventState is all that the holder of a token may read of an event. */
export type EventState = Omit<WatchEventResponse, "reset" | "removed">;

export interface EventListener {
  /** Given the state as it is, then after every change. */
  change?(state: EventState): void;
  /** Given whether news arrive, also when that has not changed. */
  link?(link: Link): void;
}

/** watchEvent watches all that the holder of a token may read of an event until the function that it returns is called. */
export function watchEvent(server: string, event: string, on: EventListener, options?: WatchOptions): () => void;

/** Places are all places behind a scoreboard. */
export type Places = Omit<ListPlacesResponse, "nextPageToken">;

/**
 * allPlaces reads all places behind a scoreboard, whose standings hold only some where
 * they have a totalPlaces.
 */
export function allPlaces(client: Client, event: string, options?: CallOptions): Promise<Places>;

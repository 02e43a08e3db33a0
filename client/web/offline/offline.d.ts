import type { ApiError, CallOptions, Calls, ProgramService, ResultService, RulesService, ScoringService } from "../client.js";

export type * from "../client.js";
export { ApiError } from "../client.js";

/** The calls that need only tables, as methods. */
export interface OfflineMethods extends RulesService, ScoringService, ProgramService, ResultService {}

/** The calls that need only tables. */
export type OfflineCalls = Pick<Calls, Capitalize<keyof OfflineMethods> & keyof Calls>;

/** What an engine is made of. */
export interface EngineOptions {
  /**
   * The engine: its address, an answer of fetch, its bytes or its module. Without it
   * that is built/rinktally.wasm beside this module. Beside an address lie wasm_exec.js
   * and the folder seasons, as in built/.
   */
  wasm?: string | URL | Response | BufferSource | WebAssembly.Module | Promise<Response>;
  /**
   * Files of season tables by their path ("our-club/season.yaml"), as `rinktally serve
   * --rules` reads them: folders that add a season or replace one of the same key.
   * Seasons are compiled then, which takes seconds for the first one.
   */
  rules?: Record<string, string | BufferSource> | Map<string, string | BufferSource>;
}

export interface OfflineOptions extends EngineOptions {
  /** Seasons to have at hand at once; others are loaded when they are first asked for. */
  seasons?: string[];
  /** Ends the loading, which throws the signal's reason then. */
  signal?: AbortSignal;
}

/** Offline answers the calls that need only tables, as a server does: `offline.valueElements({ … })`. */
export class Offline {
  /** Whether it answers without a network: true. */
  readonly offline: true;
  /** load loads seasons, so that calls on them need no network. */
  load(seasons: string[], options?: CallOptions): Promise<void>;
  /**
   * call makes a call by its name and resolves to its answer. It throws an ApiError; one with
   * status 0 says that a season could not be loaded.
   */
  call<C extends keyof OfflineCalls>(call: C, request?: OfflineCalls[C]["request"], options?: CallOptions): Promise<OfflineCalls[C]["answer"]>;
}

export interface Offline extends OfflineMethods {}

/**
 * openOffline starts the engine as WebAssembly, in a browser or in Node.js. In a page
 * use openEngine, whose engine runs beside the page. It throws an Error where there is
 * no engine or the tables have faults, which the message lists.
 */
export function openOffline(options?: OfflineOptions): Promise<Offline>;

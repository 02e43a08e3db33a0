import type { CallOptions, Calls, Methods } from "../client.js";
import type { OfflineOptions } from "./offline.js";

/** Engine answers calls itself once it is ready, and asks the server until then. */
export interface Engine extends Methods {
  /** Whether calls on tables are answered without the network by now. */
  readonly offline: boolean;
  /** Why there is no engine; empty while it may still come. */
  readonly reason: string;
  /** Resolves to offline when the engine is ready, or known not to come. */
  readonly ready: Promise<boolean>;
  /** call makes a call by its name and resolves to its answer; it throws an ApiError. */
  call<C extends keyof Calls>(call: C, request?: Calls[C]["request"], options?: CallOptions): Promise<Calls[C]["answer"]>;
}

/** openEngine starts an engine in a worker and returns at once. */
export function openEngine(server: string, options?: Omit<OfflineOptions, "signal">): Engine;

import type { CallOptions, Calls, ErrorReason, Methods } from "./contract.js";

export type * from "./contract.js";

/** A fault of a field of a request. */
export interface FieldViolation {
  /** Path of the field: "elements[3].marks[2]". */
  field: string;
  /** What was found and what is allowed. */
  description: string;
  /** What is wrong, for programs. */
  reason?: ErrorReason;
}

/**
 * ApiError is an answer that refuses a call, or the lack of one. What else a call may
 * throw is the reason of a signal that ended it, and a TypeError where a request lacks
 * a part of its path.
 */
export class ApiError extends Error {
  constructor(status: number, body?: unknown, options?: ErrorOptions);
  /** Status of HTTP; 0 when nobody answered. */
  status: number;
  /** Code of gRPC; undefined when no rinktally server said it. */
  code: number | undefined;
  /**
   * What went wrong, for programs: "MARK_OUT_OF_RANGE". Empty when nobody answered.
   * "ORIGIN_NOT_ALLOWED" is known in browsers only: the server is there and does not
   * let pages of this site read it; the message says which setting allows them.
   */
  reason: ErrorReason | "ORIGIN_NOT_ALLOWED" | "";
  /** Repeats the values in the message. */
  metadata: Record<string, string>;
  /** The faults of the request, all of them. */
  fields: FieldViolation[];
  /** Finds the call in the server's log; empty when nobody answered. */
  requestId: string;
  /** Whether the same call may go well a little later. */
  get temporary(): boolean;
}

/** When a call is made again that the server was not available for; times in milliseconds. */
export interface Again {
  /** How often it is made in all; 1 is never again. Left out: 3. */
  attempts?: number;
  /** Before the second attempt; it doubles from then on. Left out: 100. */
  pause?: number;
  /** The longest pause. Left out: 5000. */
  maxPause?: number;
  /** Part of each pause, 0 to 1, by which it is lengthened or shortened at random. Left out: 0.2. */
  jitter?: number;
}

export interface ClientOptions {
  /** The token of a desk, for what not everybody may do. */
  token?: string;
  /** How long an answer is waited for, over all attempts, in milliseconds; 0 is for ever. Left out: 30000. */
  timeout?: number;
  /** When a call is made again. */
  again?: Again;
}

/** requestId makes an id for a call that changes something, so that it can be made again. */
export function requestId(): string;

/**
 * Client calls one server: `new Client("https://scores.example")`. Each call of the
 * contract is a method: `client.valueElements({ … })`. One that the server was not
 * available for is made again as options.again says, but those that show a secret;
 * what changes something gets a requestId for that, unless the request has its own.
 */
export class Client {
  constructor(server: string | URL, options?: ClientOptions);
  server: URL;
  token: string;
  timeout: number;
  again: Again;
  /** Whether it answers without a network: false. */
  readonly offline: boolean;
  /** url returns the address of a call without a body, to link to. */
  url<C extends keyof Calls>(call: C, request?: Partial<Calls[C]["request"]>): string;
  /** call makes a call by its name and resolves to its answer, a Blob where that is a document; it throws an ApiError. */
  call<C extends keyof Calls>(call: C, request?: Calls[C]["request"], options?: CallOptions): Promise<Calls[C]["answer"]>;
}

export interface Client extends Methods {}

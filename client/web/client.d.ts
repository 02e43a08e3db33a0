import type { Calls } from "./contract.js";

export * from "./contract.js";

/** A fault of a field of a request. */
export interface FieldViolation {
  /** Path of the field: "elements[3].marks[2]". */
  field: string;
  description: string;
  reason?: string;
}

/** ApiError is an answer that refuses a call, or the lack of one. */
export class ApiError extends Error {
  constructor(status: number, body?: unknown);
  /** Status of HTTP; 0 when nobody answered. */
  status: number;
  /** Name of the contract's ErrorReason: "MARK_OUT_OF_RANGE". */
  reason: string;
  metadata: Record<string, string>;
  fields: FieldViolation[];
  /** Whether the same call may go well a little later. */
  get temporary(): boolean;
}

/** requestId makes an id for a call that changes something, so that it can be repeated. */
export function requestId(): string;

/** Client calls one server: `new Client("https://scores.example")`. */
export class Client {
  constructor(server: string, options?: { token?: string });
  server: URL;
  token: string;
  /** Whether it answers without a network: false. */
  readonly offline: boolean;
  /** url gives the address of a call without a body, to link to. */
  url<C extends keyof Calls>(call: C, request?: Partial<Calls[C]["request"]>): string;
  /** call makes a call and gives its answer, a Blob where that is a document; it throws an ApiError. */
  call<C extends keyof Calls>(call: C, request?: Calls[C]["request"], options?: { signal?: AbortSignal }): Promise<Calls[C]["answer"]>;
}

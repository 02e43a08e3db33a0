// The error of every call and watch.

/** ApiError is an answer that refuses a call, or the lack of one. */
export class ApiError extends Error {
  constructor(status, body, options) {
    super(body?.message || (status ? `the server answered ${status}` : "the server does not answer"), options);
    this.name = "ApiError";
    this.status = status; // of HTTP; 0 when nobody answered
    this.code = body?.code; // of gRPC; undefined when no rinktally server said it
    this.requestId = ""; // of the call, in the server's log
    const details = body?.details ?? [];
    this.reason = details.find((d) => d.reason)?.reason ?? "";
    this.metadata = details.find((d) => d.reason)?.metadata ?? {};
    this.fields = details.flatMap((d) => d.fieldViolations ?? []);
  }

  /** Whether the same call may go well a little later. */
  get temporary() {
    return [0, 408, 429, 502, 503, 504].includes(this.status) && this.reason !== NOT_ALLOWED;
  }
}

/** NOT_ALLOWED is the reason, known in browsers only, of a server that does not let the page's site read it. */
export const NOT_ALLOWED = "ORIGIN_NOT_ALLOWED";

/** withReason returns an error that no server has answered. */
export const withReason = (reason, message, options) => new ApiError(0, { message, details: [{ reason }] }, options);

/** silent is the error of a server that is not reached, or cut while it answers. */
export const silent = (server, cause) => new ApiError(0, { message: `the server at ${server.origin} does not answer` }, { cause });

/** refused is the error of an answer that is not wanted, with its JSON where it has some. */
export function refused(response, body) {
  const error = new ApiError(response.status, body);
  error.requestId = response.headers.get("X-Request-Id") ?? "";
  if (body === undefined && !error.temporary) error.message = `what answers at ${new URL(response.url).origin} is no rinktally server (HTTP ${response.status})`;
  return error;
}

// The calls of the contract as methods: client.valueElements(request, options).

import { calls } from "./contract.js";

/** withMethods gives a class that has call(name, request, options) a method for each call that is wanted. */
export function withMethods(kind, wanted = () => true) {
  for (const call of Object.keys(calls).filter(wanted)) {
    const name = call[0].toLowerCase() + call.slice(1);
    const value = { [name](request, options) { return this.call(call, request, options); } }[name];
    Object.defineProperty(kind.prototype, name, { value, configurable: true, writable: true });
  }
}

/** ofTables reports whether a call needs only the tables of seasons. */
export const ofTables = (call) => calls[call]?.routes[0][1].startsWith("/v1/seasons") ?? false;

// Where the calls of the contract go.

import { calls } from "./contract.js";

/** address is a call in the REST form: its method, its path with the query, and its body, if it has one. */
export function address(call, request) {
  const has = (name) => request[name] !== undefined && request[name] !== "" && request[name] !== 0;
  const variables = (path) => [...path.matchAll(/\{(\w+)\}/g)].map((m) => m[1]);
  if (!calls[call]) throw new TypeError(`${call}: there is no such call`);
  const { routes } = calls[call];
  const route = routes.find(([, path]) => variables(path).every(has));
  if (!route) {
    const [missing] = routes.map(([, path]) => variables(path).filter((name) => !has(name))).sort((a, b) => a.length - b.length);
    throw new TypeError(`${call}: the request has no ${missing.join(", no ")}`);
  }
  const [method, path, hasBody] = route;
  const rest = { ...request };
  const filled = path.replace(/\{(\w+)\}/g, (_, name) => {
    delete rest[name];
    return encodeURIComponent(request[name]);
  });
  if (hasBody) return { method, path: filled, body: JSON.stringify(rest) };
  const query = new URLSearchParams(Object.entries(rest).filter(([, value]) => value !== undefined)).toString();
  return { method, path: query ? `${filled}?${query}` : filled };
}

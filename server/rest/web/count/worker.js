// Keeps the pages of a coach on the phone, so that they open again without a network:
// a page, what it is made of, the engine and the seasons that were used. What comes
// from the network is newer and goes first.

const KEPT = "rinktally count";
const root = new URL("../../", self.location.href).href;
const IMPORTED = /^(?:(?:import|export)\b[^"';]*\bfrom |import )"(\.[^"]+)";/gm;

// ours reports whether a request is for something that the page is made of.
const OURS = /^((count|practice|plan)([?#]|$)|assets\/|embed\/|v1\/seasons)/;
const ours = ({ method, url }) => method === "GET" && url.startsWith(root) && OURS.test(url.slice(root.length));

async function fetched(request) {
  const answer = await fetch(request);
  if (answer.ok) {
    const cache = await caches.open(KEPT);
    await cache.put(request, answer.clone());
  }
  return answer;
}

async function kept(request, why) {
  const cache = await caches.open(KEPT);
  const match = (more) => cache.match(request, { ignoreVary: true, ...more });
  const found = await match() ?? await match({ ignoreSearch: request.mode === "navigate" });
  if (!found) throw why;
  return found;
}

// keep fetches what is listed, with all that its modules import.
async function keep(list) {
  const seen = new Set();
  const one = async (url) => {
    if (seen.has(url)) return;
    seen.add(url);
    const answer = await fetched(url).catch((why) => kept(new Request(url), why));
    if (!answer.ok) throw new Error(url);
    if (!url.endsWith(".js")) return;
    const source = await answer.text();
    await Promise.all([...source.matchAll(IMPORTED)].map(([, path]) => one(new URL(path, url).href)));
  };
  await Promise.all(list.map(one));
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (ours(request)) event.respondWith(fetched(request).catch((why) => kept(request, why)));
});
self.addEventListener("message", (event) => {
  const [port] = event.ports;
  event.waitUntil(keep(event.data).then(() => port.postMessage(""), (error) => port.postMessage(error.message)));
});

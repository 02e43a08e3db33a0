// What works without a network: an open page goes on; to open it again the phone must
// keep it, which browsers allow only from an address that they trust.

import { at, make } from "../../embed/dom.js";
import { pane } from "../parts/dialog.js";
import { t } from "../parts/words.js";

const ENGINE = ["worker.js", "built/wasm_exec.js", "built/rinktally.wasm", "built/seasons/index"];

/** worker resolves to what keeps the page, undefined where the browser does not allow that here. */
async function worker(server) {
  try {
    const registered = await navigator.serviceWorker.register(new URL("./worker.js", import.meta.url), { scope: server });
    await navigator.serviceWorker.ready;
    return registered.active;
  } catch { // no secure address, a certificate that is not trusted, or a browser that keeps nothing
    return undefined;
  }
}

/**
 * keeping returns keep(season, engine), which has the phone keep the page with a season
 * and resolves to whether it opens again without a network.
 */
export function keeping(server) {
  let started;
  return async (season, engine) => {
    started ??= worker(server);
    const active = await started;
    if (!active) return false;
    const parts = [...document.querySelectorAll("link[rel=stylesheet], link[rel=modulepreload], link[rel=icon]")].map((link) => link.href);
    const scripts = [...document.scripts].map((script) => script.src).filter(Boolean);
    const engines = engine ? [...ENGINE, `built/seasons/${encodeURIComponent(season)}`].map((path) => new URL(`embed/offline/${path}`, server).href) : [];
    const { port1, port2 } = new MessageChannel();
    return new Promise((resolve) => {
      port1.onmessage = ({ data }) => resolve(data === "");
      active.postMessage([location.href.split("#")[0], ...parts, ...scripts, ...engines], [port2]);
    });
  };
}

/** explain shows what works without a network; reopens says whether the page is kept. */
export function explain({ engine, reopens, season, server }) {
  const way = !reopens && at("main").dataset.trust; // to the server's own root, where it has one
  const steps = ["install", "trust", "again"].map((step, i) => make("li", { class: "step", "data-state": i ? "todo" : "now" },
    make("span", {}, String(i + 1)), t(`count.offline.${step}`)));
  const kept = t(engine ? "count.offline.kept" : "count.offline.keptCount", { season });
  const box = pane("offline", t("count.offline.title"),
    make("h3", {}, t(engine ? "count.offline.goesOn" : "count.offline.countsOn")),
    make("p", {}, t(engine ? "count.offline.here" : "count.asked", { season })),
    make("h3", {}, t(reopens ? "count.offline.reopens" : "count.offline.needs")),
    make("p", {}, reopens ? kept : t("count.offline.untrusted", { host: location.host })),
    ...(way ? [make("ol", { class: "steps panel" }, ...steps)] : []),
    ...(reopens ? [] : [make("p", { class: "note" }, t(way ? "count.offline.orAsk" : "count.offline.ask"))]),
    make("div", { class: "buttons" }, way && make("a", { class: "button primary", href: new URL(way, server).href }, t("count.offline.how")),
      make("button", { type: "button", onclick: () => box.close() }, t(reopens ? "parts.close" : "count.offline.enough"))));
  box.node.addEventListener("close", () => box.node.remove());
  box.open();
}

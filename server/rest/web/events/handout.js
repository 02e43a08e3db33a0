// What is handed out for desks: a printed sheet each, or a QR code on the whole screen.

import { make } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { desksOf, event } from "./place.js";
import { qr } from "./qr.js";

/** address is what somebody types who has no camera. */
export const address = () => desksOf(event).replace(/^https?:\/\//, "");

// Names of this machine that other machines take for themselves.
const HERE = ["localhost", "127.0.0.1", "[::1]"];

/** onlyHere says that no other device finds what is handed out; "" where they do. */
const onlyHere = () => (HERE.includes(location.hostname) ? t("sheet.onlyHere") : "");

// full shows something on the whole screen until it is closed.
function full(kind, title, buttons, ...children) {
  const close = make("button", { type: "button", onclick: () => dialog.close() }, t("parts.close"));
  const warning = onlyHere();
  const dialog = make("dialog", { class: `full ${kind}`, "aria-labelledby": "full-title", onclose: () => dialog.remove() },
    make("header", { class: "row" }, make("h2", { id: "full-title" }, title), ...buttons, close),
    warning && make("p", { class: "caution" }, warning), ...children);
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

/** showCode fills the screen with the QR code of a desk { name, link }. */
export async function showCode({ name, link }) {
  full("scan", name, [], await qr(link, t("sheet.qrOf", { desk: name })), make("p", {}, t("sheet.scan")));
}

/** showSheets shows the sheets of desks { name, role, link }, to be printed. */
export async function showSheets(now, desks) {
  const print = make("button", { type: "button", class: "primary", onclick: () => globalThis.print() }, t("sheet.print"));
  const sheets = await Promise.all(desks.map((desk) => sheet(now, desk)));
  full("sheets", t("sheet.title", { n: desks.length }), [print], ...sheets).classList.add("printed");
  print.focus();
}

async function sheet({ name: of, place }, { name, role, link }) {
  const box = (title, ...children) => make("section", {}, make("h3", {}, title), ...children);
  const steps = [t("sheet.network"), t("sheet.camera"), t("sheet.seated", { desk: name }), t(`sheet.does.${role}`)];
  const dead = role === "JUDGE" ? t("sheet.deadJudge") : t("sheet.deadDesk");
  return make("article", { class: "sheet", "data-face": "paper", "aria-label": name },
    make("header", {}, make("div", {}, make("p", { class: "note" }, t("sheet.of", { event: [of, place].filter(Boolean).join(", ") })), make("h2", {}, name)),
      document.querySelector(".home .mark").cloneNode(true)),
    make("div", { class: "scanned" },
      make("figure", {}, await qr(link, t("sheet.qrOf", { desk: name })),
        make("figcaption", { class: "note" }, t("sheet.opens", { host: location.host, desk: name }))),
      make("ol", {}, ...steps.map((text) => make("li", {}, text)))),
    box(t("sheet.noCamera"), make("p", {}, t("sheet.typed", { address: address() })),
      make("p", { class: "boxes", "aria-hidden": "true" }, ...Array.from({ length: 6 }, () => make("span")))),
    box(t("sheet.dead"), make("p", {}, dead)),
    box(t("sheet.unsent"), make("p", {}, t("sheet.unsentHow"))),
    make("p", {}, t("sheet.keys")),
    make("footer", { class: "note" }, t("sheet.whose", { desk: name })));
}

// Opening a book by its link, and making one.

import { ApiError, Client } from "../../embed/client.js";
import { make, setText } from "../../embed/dom.js";
import { fault } from "../parts/fault.js";
import { copy } from "../parts/copy.js";
import { button, field } from "../parts/form.js";
import { t } from "../parts/words.js";
import { write } from "./link.js";

function linkForm(opened) {
  const input = make("input", { id: "book-link", autocomplete: "off", spellcheck: "false", autocapitalize: "none", required: true });
  return make("form", { onsubmit: (event) => {
    event.preventDefault();
    if (!opened(input.value.trim())) fault(input, t("practice.noLink"));
  } }, field(t("practice.link"), input), make("button", { type: "submit" }, t("practice.open")));
}

/** closedBook says that the book is closed to this phone: none of the n that wait is lost. forget closes it here. */
export function closedBook(place, { n, opened, forget }) {
  if (!place.firstChild) {
    place.append(make("h2", {}, t("practice.closed")), make("p"), linkForm(opened),
      button(t("practice.forget"), forget, { class: "quiet" }));
  }
  setText(place.querySelector("p"), n ? t("practice.closedWaiting", { n }) : t("practice.closedNone"));
}

/** noBook is what stands where no book is open: how to open one, and how a club makes one. */
export function noBook(place, { server, explain, opened }) {
  if (place.querySelector("form")) return;
  const title = make("input", { id: "book-title", autocomplete: "off", required: true });
  const token = make("input", { id: "book-token", type: "password", autocomplete: "off", required: true });
  const done = make("div", { role: "status" });
  const create = async (event) => {
    event.preventDefault();
    const api = new Client(server, { token: token.value.trim() });
    try {
      const { book, token: key } = await api.call("CreateBook", { title: title.value.trim(), causes: [] });
      token.value = "";
      const link = write(location.href, { book: book.book, token: key });
      done.replaceChildren(make("p", {}, t("practice.made", { title: book.title })),
        make("div", { class: "row" }, button(t("practice.copyLink"), () => copy(link, t("practice.linkCopied"))),
          button(t("practice.openHere"), () => opened(link), { class: "primary" })));
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      fault(token, [401, 403].includes(error.status) ? t("practice.notAdministrator") : explain(error));
    }
  };
  place.replaceChildren(
    make("div", { class: "panel gate" }, make("h2", {}, t("practice.noBookHead")), make("p", {}, t("practice.noBookText")), linkForm(opened)),
    make("details", { class: "gate" }, make("summary", {}, t("practice.make")), make("p", {}, t("practice.makeText")),
      make("form", { onsubmit: create }, field(t("practice.bookTitle"), title), field(t("practice.adminToken"), token),
        make("button", { type: "submit" }, t("practice.makeBook"))), done));
}

// Where this server sends the event for the world, and whether that works.

import { make, setText, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { event } from "./place.js";

const AGAIN = 10_000; // ms

/** publicationPart fills a place with where the event is sent, if it is. */
export function publicationPart({ api }, place) {
  const link = make("a"), line = make("p", {}, link, " "), sent = make("span"), fault = make("p", { class: "caution", role: "status", hidden: true });
  line.append(sent);
  show(line, false);
  place.append(line, fault);

  async function look() {
    let now;
    try {
      now = await api.call("GetPublication", { event });
    } catch {
      return; // the frame says it
    }
    show(line, Boolean(now.address));
    link.href = now.address;
    setText(link, now.address);
    const ago = now.sentTime && Math.round((new Date(now.now) - new Date(now.sentTime)) / 1000);
    setText(sent, now.fault ? "" : now.sentTime ? t("publication.sent", { n: ago }) : t("publication.begins"));
    setText(fault, now.fault ? t("publication.fault", { why: now.fault }) : "");
    show(fault, Boolean(now.fault));
  }
  setInterval(look, AGAIN);
  look();
}

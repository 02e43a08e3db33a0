// A fault at its field: what to do, until the next key.

import { at, make, setText } from "../../embed/dom.js";

/** fault says below a field what is wrong with it; without a text it clears that. */
export function fault(field, text = "") {
  const id = `${field.id}-fault`;
  let place = at(id);
  if (!place) {
    place = make("p", { id, class: "fault", role: "alert" });
    field.after(place);
    field.setAttribute("aria-describedby", [field.getAttribute("aria-describedby"), id].filter(Boolean).join(" "));
    field.addEventListener("input", () => fault(field));
  }
  setText(place, text);
  field.setAttribute("aria-invalid", String(Boolean(text)));
}

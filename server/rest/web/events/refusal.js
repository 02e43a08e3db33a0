// What a refusal says to the person who must act.

import { ApiError } from "../../embed/client.js";
import { setText } from "../../embed/dom.js";

/** clause puts a name in front of a description that goes on from it ("is 7; allowed is …"). */
export const clause = (name, description) => (/^(is|has|lacks|makes|leaves|stands|brings|cannot)\b/.test(description) ? `${name} ${description}` : description);

// fault returns a fault of a field as a sentence; the field is a word here and not a path.
function fault({ field, description }) {
  const name = field.replaceAll(/\[\d+\]/g, "").split(".").at(-1).replaceAll(/([A-Z])/g, " $1").toLowerCase();
  const text = clause(name, description);
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** explain returns what a refusal says, for the person who must act. */
export function explain(error) {
  if (!(error instanceof ApiError)) throw error;
  const text = error.fields.length ? error.fields.map(fault).join(". ") : error.message;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** tell shows a refusal in its place beside a field; without one it clears the place. */
export function tell(place, error, field) {
  setText(place, error ? explain(error) : "");
  field?.setAttribute("aria-invalid", String(!!error));
}

// QR codes, which the server draws: the link of a desk goes there in a body, never in
// an address.

import { ApiError } from "../../embed/client.js";
import { home } from "./place.js";

/** qr returns a text as a picture; it throws an ApiError. */
export async function qr(text, label) {
  let svg;
  try {
    const response = await fetch(new URL("qr", home), { method: "POST", body: text });
    if (!response.ok) throw new ApiError(response.status);
    svg = await response.text();
  } catch (error) {
    throw error instanceof ApiError ? error : new ApiError(0);
  }
  const node = document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
  node.setAttribute("class", "qr");
  node.setAttribute("role", "img");
  node.setAttribute("aria-label", label);
  return node;
}

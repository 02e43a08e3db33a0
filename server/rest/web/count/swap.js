// Drawing again without taking the focus from who works with keys.

const name = (node) => node.id || node.getAttribute("aria-label") || node.textContent;
const parts = (place) => [...place.querySelectorAll("button, select, a, summary")];

/** swap puts nodes into a place instead of what is there; the focus goes to the part that stands for the one that had it. */
export function swap(place, ...nodes) {
  const had = parts(place).indexOf(document.activeElement);
  const called = had >= 0 ? name(document.activeElement) : "";
  place.replaceChildren(...nodes.filter(Boolean));
  if (had < 0) return;
  const now = parts(place);
  (now.find((node) => name(node) === called) ?? now[had])?.focus({ preventScroll: true });
}

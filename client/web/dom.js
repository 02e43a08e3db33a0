// Building pages. Everything that comes from a server is put in as text, never as
// markup, and only what differs is touched, so that nothing flickers.

// Sites are also rendered by programs, which import what is for pages: there it does nothing.

/** Element is what elements of our own extend. */
export const Element = globalThis.HTMLElement ?? class {};

/** define gives an element its name, once. */
export function define(name, kind) {
  if (globalThis.customElements && !customElements.get(name)) customElements.define(name, kind);
}

/** sheet returns a style sheet for the inside of elements. */
export function sheet(text) {
  const made = globalThis.CSSStyleSheet && new CSSStyleSheet();
  made?.replaceSync(text);
  return made;
}

/** at returns the element with an id. */
export const at = (id) => document.getElementById(id);

/** words returns a name of the contract for people: DIFFICULT_VARIATION is "difficult variation". */
export const words = (name) => (name || "").toLowerCase().replaceAll("_", " ");

/** make builds an element; values of attributes that are false or undefined are left out. */
export function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value !== undefined && value !== false) node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.filter((child) => child !== undefined && child !== false && child !== ""));
  return node;
}

/** setText changes a node's text when it differs. */
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** show hides a node or brings it back. */
export function show(node, visible) {
  if (node.hidden === visible) node.hidden = !visible;
}

/**
 * list brings the children of a node into line with items: those that stay are
 * updated and moved only when they stand elsewhere. key names an item, create
 * builds its node, update fills it.
 */
export function list(parent, items, key, create, update) {
  const known = new Map([...parent.children].map((child) => [child.dataset.key, child]));
  let place = parent.firstElementChild;
  for (const item of items) {
    const name = String(key(item));
    let node = known.get(name);
    known.delete(name);
    if (!node) {
      node = create(item);
      node.dataset.key = name;
    }
    if (node === place) place = place.nextElementSibling;
    else parent.insertBefore(node, place);
    update(node, item);
  }
  for (const gone of known.values()) {
    if (gone === place) place = place.nextElementSibling;
    gone.remove();
  }
}

// What the pages' scripts share. Text is put in as text, never as markup.

// at gives the element with an id.
export const at = (id) => document.getElementById(id);

// make makes an element with attributes and children: nodes or texts.
export function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.append(...children);
  return node;
}

// A word of the contract for people: DIFFICULT_VARIATION is "difficult variation".
export const words = (name) => (name || "").toLowerCase().replaceAll("_", " ");

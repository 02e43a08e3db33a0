// Files that a page gives to a person.

import { make } from "../../embed/dom.js";

/** save puts a Blob into the person's downloads. */
export function save(file, name) {
  const link = make("a", { href: URL.createObjectURL(file), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href));
}

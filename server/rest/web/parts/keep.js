// What a page is about, kept elsewhere: in a file, as a link, on paper.

import { at, make } from "../../embed/dom.js";
import { copy } from "./copy.js";

function save(text, name) {
  const link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "text/plain" })), download: `${name}.txt` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href));
}

/**
 * keeping runs the buttons open, save, link and print, and the field file: name is that
 * of the file, text returns what it holds, opened is given the text of one that was
 * chosen, and copied is what is said of a link.
 */
export function keeping({ name, text, opened, copied }) {
  at("open").addEventListener("click", () => at("file").click());
  at("file").addEventListener("change", async () => {
    const [file] = at("file").files;
    if (!file) return;
    const content = await file.text();
    at("file").value = "";
    opened(content);
  });
  at("save").addEventListener("click", () => save(text(), name));
  at("link").addEventListener("click", () => copy(location.href, copied));
  at("print").addEventListener("click", () => print());
}

// What a page is about, kept elsewhere: in a file, as a link, on paper.

import { at } from "../../embed/dom.js";
import { copy } from "./copy.js";
import { save } from "./save.js";

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
  at("save").addEventListener("click", () => save(new Blob([text()], { type: "text/plain" }), `${name}.txt`));
  at("link").addEventListener("click", () => copy(location.href, copied));
  at("print").addEventListener("click", () => print());
}

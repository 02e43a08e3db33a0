// A program kept elsewhere: in a file, as a link, on paper.

import { at, make } from "../../embed/dom.js";
import { write } from "../../embed/text.js";
import { ask } from "../parts/dialog.js";
import { toast } from "../parts/toast.js";
import { t } from "../parts/words.js";

// A file begins with the rules that it is for; to everybody else they are a remark.
const HEAD = /^# rules: (\S+) (\S+) (\S+)/m;

// toFile returns the text of a file.
const toFile = ({ season, category, segment }, program) =>
  `# rules: ${season} ${category} ${segment}\n${write(program).replaceAll(/ (?=[|])|, /g, "\n")}\n`;

// fromFile returns what a file says: { season, category, segment } where it does, and the program's text.
function fromFile(text) {
  const [, season, category, segment] = HEAD.exec(text) ?? [];
  return { season, category, segment, text };
}

function save(text) {
  const link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "text/plain" })), download: `${t("program.file")}.txt` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href));
}

async function copyLink() {
  try {
    await navigator.clipboard.writeText(location.href);
    toast(t("program.copied"));
  } catch { // no clipboard over plain HTTP, or it is not allowed
    ask(t("program.copy"), { yes: t("program.close"), no: t("program.cancel"), fields: { link: { label: t("program.address"), value: location.href } } });
    at("ask-link").select();
  }
}

/** keeping runs the buttons; program returns the rules and the program, opened is given what a file says. */
export function keeping({ program, opened }) {
  at("open").addEventListener("click", () => at("file").click());
  at("file").addEventListener("change", async () => {
    const [file] = at("file").files;
    if (!file) return;
    const text = await file.text();
    at("file").value = "";
    opened(fromFile(text));
  });
  at("save").addEventListener("click", () => save(toFile(...program())));
  at("link").addEventListener("click", copyLink);
  at("print").addEventListener("click", () => print());
}

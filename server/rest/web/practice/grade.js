// Asking for a grade.

import { make } from "../../embed/dom.js";
import { markPad } from "../parts/pads.js";
import { t } from "../parts/words.js";

/** askGrade resolves to the grade of execution that was pressed, undefined for none. */
export function askGrade(code) {
  return new Promise((resolve) => {
    let grade;
    const pad = make("div"), title = t("practice.gradeOf", { code });
    const dialog = make("dialog", { "aria-labelledby": "grade-title", onclose: () => { dialog.remove(); resolve(grade); } },
      make("div", { class: "row" }, make("h2", { id: "grade-title" }, title),
        make("button", { type: "button", onclick: () => dialog.close() }, t("practice.noGrade"))), pad);
    markPad(pad, title, (mark) => { grade = mark; dialog.close(); });
    document.body.append(dialog);
    dialog.showModal();
  });
}

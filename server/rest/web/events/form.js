// Parts of forms.

import { make } from "../../embed/dom.js";

/** field gives an input with its label above it. */
export const field = (label, input) => make("span", { class: "field" }, make("label", { for: input.id }, label), input);

/** fault gives the place where a form says what was refused. */
export const faultLine = () => make("p", { class: "fault", role: "alert" });

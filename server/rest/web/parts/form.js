// Parts of forms.

import { make } from "../../embed/dom.js";

/** button returns a button that runs something; more are its other attributes. */
export const button = (text, run, more = {}) => make("button", { type: "button", onclick: run, ...more }, text);

/** field returns an input with its label above it. */
export const field = (label, input) => make("span", { class: "field" }, make("label", { for: input.id }, label), input);

/** faultLine returns the place where a form says what was refused. */
export const faultLine = () => make("p", { class: "fault", role: "alert" });

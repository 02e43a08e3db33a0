// Right after: what was counted, to be corrected and kept.

import { make } from "../../embed/dom.js";
import { button } from "../parts/form.js";
import { number } from "../parts/numbers.js";
import { t } from "../parts/words.js";
import { change, FORMS, formsOf, turns } from "./spin.js";
import { swap } from "./swap.js";
import { featureShort, formName, positionOf } from "./tables.js";

const HALF = 0.5;

/** counter is − n +; the number itself adds a half or takes it away, unless there are only whole ones. */
export function counter(n, label, set, { whole = false } = {}) {
  return make("span", { class: "count-of", role: "group", "aria-label": label },
    button("−", () => set(Math.max(0, n - 1)), { "aria-label": t("count.less", { what: label }) }),
    whole ? make("span", {}, number(n)) : button(number(n), () => set(n % 1 ? n - HALF : n + HALF), { "aria-label": t("count.half", { n, what: label }) }),
    button("+", () => set(n + 1), { "aria-label": t("count.moreOf", { what: label }) }));
}

// part is a part of the spin with its form and its revolutions.
function part(spin, place, correct) {
  const { form, revolutions, features, pencil, about } = spin.feet[place.foot].parts[place.part];
  const chosen = () => correct(change(spin, place, { form: forms.value }));
  const forms = make("select", { "aria-label": t("count.formOf", { form: formName(form) }), onchange: chosen },
    ...["CAMEL", "SIT", "UPRIGHT", "LAYBACK", "NON_BASIC"].map((position) => make("optgroup", { label: t(`count.positions.${position}`) },
      ...formsOf(position).map((f) => make("option", { value: f, selected: f === form }, formName(f))))));
  const more = [pencil && t("count.pencil"), about && t("count.about"), ...features.map(featureShort)].filter(Boolean).join(", ");
  return make("li", { class: pencil && "pencil" },
    make("div", {}, forms, more && make("p", { class: "note" }, more)),
    counter(revolutions, formName(form), (n) => correct(change(spin, place, { revolutions: n }))));
}

// feetOf lists the parts, with what happened between the feet.
const feetOf = (spin, correct) => spin.feet.flatMap((foot, f) => [
  ...(f > 0 ? [make("li", { class: "note" }, t(`count.changes.${foot.reversed ? "REVERSED" : foot.change}`))] : []),
  ...foot.parts.flatMap((p, n) => (p.form ? [part(spin, { foot: f, part: n }, correct)] : [])),
]);

/** spinRows are the rows of a spin that can be corrected. */
export const spinRows = (spin, correct) => make("ol", { class: "list panel", "aria-label": t("count.parts") }, ...feetOf(spin, correct));

/** spinName is what kind of spin it is: "Layback". */
export function spinName(spin) {
  const forms = spin.feet.flatMap((foot) => foot.parts.map((p) => p.form)).filter(Boolean);
  const positions = new Set(forms.map((form) => FORMS[form].position));
  return positions.size === 1 ? positionOf(forms[0]) : t("count.combination");
}

/** spinTitle says what spin it was: "Layback, 15 revolutions". */
export const spinTitle = (spin) => t("count.turns", { what: spinName(spin), n: turns(spin) });

/**
 * summary fills the page after the count. what is { reading, error, title, rows, list,
 * chips, more, rules, name, ended, later, program }; act has on, recount, report(chip),
 * more, keep, drop, seasons, link, next.
 */
export function summary(place, what, act) {
  const { reading, error, chips } = what;
  const call = reading?.call;
  const head = make("div", { class: "head" },
    make("output", { class: "level" }, call?.level || "–"),
    make("div", {}, make("p", { class: "worth" }, call?.code ? `${call.code} · ${number(call.baseValue)}` : error ?? t("count.moment")),
      make("p", { class: "note" }, what.title), make("p", { class: "note" }, what.rules)),
    button(t("count.recount"), act.recount, { class: "quiet" }));
  const list = make("ul", { class: "features", "aria-label": t("count.featuresOf") }, ...what.list);
  const doubts = [...new Set(reading?.warnings.map((w) => w.message) ?? [])];
  swap(place, head, what.rows, list,
    ...(call?.notes ?? []).map((note) => make("p", { class: "note" }, note)),
    ...(what.later ? [make("p", { class: "warning" }, t("count.notNamed", { n: what.later }))] : []),
    ...(chips.length && call?.toNextLevel ? [make("p", { class: "note" }, t("count.wasThere", { level: call.toNextLevel.level }))] : []),
    make("div", { class: "chips" }, ...chips.map((chip) => button(chip.text, () => act.report(chip))), what.more && button(t("count.somethingElse"), act.more)),
    ...(chips.length && reading?.caution ? [make("p", { class: "caution" }, reading.caution)] : []),
    make("p", { class: "note" }, t("count.panelDecides")),
    ...(doubts.length ? [make("details", {}, make("summary", {}, t("count.doubts")), make("ul", {}, ...doubts.map((text) => make("li", {}, text))))] : []),
    make("div", { class: "more" },
      call?.code && make("a", { href: what.program }, t("count.intoProgram")), button(t("count.nextElement"), act.next),
      button(t("count.otherSeason"), act.seasons), button(t("count.link"), act.link)),
    make("div", { class: "foot" },
      what.ended && button(t("count.goesOn"), act.on, { class: "on" }),
      make("div", { class: "choice" }, button(t("count.drop"), act.drop),
        button(what.name ? t("count.keepFor", { name: what.name }) : t("count.keep"), act.keep, { class: "primary", id: "keep" }))));
}

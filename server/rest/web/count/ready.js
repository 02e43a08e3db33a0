// Before a spin: who skates, what is planned, how it is entered.

import { at, make, setText, show } from "../../embed/dom.js";
import { ask, pane } from "../parts/dialog.js";
import { menu } from "../parts/menu.js";
import { day, listed, number } from "../parts/numbers.js";
import { sending } from "../parts/sending.js";
import { t } from "../parts/words.js";
import { unsent } from "../practice/waiting.js";
import { usedBefore } from "./answer.js";
import { phone, remember, waiting } from "../parts/phone.js";
import { COMMON } from "./plans.js";
import { PATTERNS } from "./steps.js";
import { felt } from "./said.js";
import { swap } from "./swap.js";
import { featureName } from "./tables.js";

const BUTTONS = ["NONE", "PLAIN", "DIFFICULT", "ENTRANCE"];
const LONG = 500; // ms of a press that means the other thing
const PLANS = 8; // that are kept of a skater

/**
 * ready runs what stands above the frame before an element. It returns { draw, take,
 * plan, entry, name, who, keepPlan, network }: the plan is { spin or steps, code, day },
 * undefined for none; who resolves to the name that an attempt is kept for.
 */
export function ready({ chosen, kind, earlier, restart, forget }) {
  let plan, entry, skater = phone().skater;
  const own = (name) => (phone().plans[name] ?? []).filter((p) => p[kind().name]);
  plan = own(skater)[0];

  const pill = sending(at("unsent"));
  function take(next) {
    plan = next;
    entry = undefined;
    restart();
  }
  function choose(name) {
    skater = name;
    remember({ skater });
    take(own(name)[0]);
  }
  async function add() {
    const typed = await ask(t("count.whose"), {
      note: t("count.whereKept"), yes: t("count.add"), no: t("parts.back"), fields: { name: { label: t("count.name"), needed: true, value: "" } },
    });
    if (!typed) return "";
    remember({ skaters: [...new Set([...phone().skaters, typed.name])], skater: typed.name });
    skater = typed.name;
    return skater;
  }

  function another() {
    const shut = (next) => () => { box.close(); take(next); };
    const key = (title, note, next) => make("button", { type: "button", onclick: shut(next) }, make("span", {}, title), make("small", {}, note));
    const { name: what, label, line } = kind(), spins = what === "spin" ? Object.entries(COMMON) : [];
    const common = spins.map(([name, spin]) => key(t(`count.common.${name}`), line(spin), { spin, common: true }));
    const kept = own(skater).map((p) => key(`${label(p[what])} · ${p.code}`, line(p[what]), p));
    const none = key(t("count.noPlan"), t(what === "spin" ? "count.noPlanNote" : "count.noTurnsNote"), undefined);
    const box = pane("spins", t(what === "spin" ? "count.another" : "count.anotherSteps"), make("div", { class: "options" }, none, ...kept, ...common));
    box.node.addEventListener("close", () => box.node.remove());
    box.open();
  }

  at("how").addEventListener("click", () => {
    const told = ["tap", "edges", "again", "hold", "corners", "end", "beat", "steps", "keys", ...(felt ? ["felt"] : [])];
    const rows = told.flatMap((name) => [make("dt", {}, t(`count.help.${name}`)), make("dd", {}, t(`count.helps.${name}`))]);
    const box = pane("help", t("count.how"), make("dl", { class: "how" }, ...rows));
    box.node.addEventListener("close", () => box.node.remove());
    box.open();
  });

  // patternKeys are for seasons whose codes name the pattern.
  function patternKeys() {
    const named = PATTERNS.filter((pattern) => chosen.rule(`levels.steps.codes.pattern.${pattern}`));
    return named.map((pattern) => make("button", {
      type: "button", "aria-pressed": String(entry === pattern), onclick: () => { entry = pattern; restart(); },
    }, t(`count.patterns.${pattern}`)));
  }

  function entryKeys() {
    const now = entry ?? plan?.spin?.entry ?? "NONE";
    return BUTTONS.map((name) => {
      const steps = name === "PLAIN" && now === "STEP_OVER";
      let down;
      const key = make("button", {
        type: "button", "aria-pressed": String(now === name || steps), onpointerdown: (event) => { down = event.timeStamp; },
        onclick: (event) => {
          const long = name === "PLAIN" && (now === "PLAIN" || event.timeStamp - down > LONG);
          entry = long ? "STEP_OVER" : name;
          restart();
        },
      }, t(`count.entries.${steps ? "STEP_OVER" : name}`));
      return key;
    });
  }

  function draw() {
    const { name: what, label, line } = kind(), spins = what === "spin";
    at("is-spin").setAttribute("aria-pressed", String(spins));
    at("is-steps").setAttribute("aria-pressed", String(!spins));
    const title = !plan ? t("count.noPlan") : plan.common ? label(plan[what]) : `${label(plan[what])} · ${plan.code}`;
    const none = t(spins ? "count.noPlanNote" : "count.noTurnsNote");
    const from = !plan ? none : plan.common ? t("count.commonNote") : t("count.lastCounted", { name: skater, day: day(plan.day) });
    const change = make("button", { type: "button", class: "quiet", onclick: another }, t(spins ? "count.another" : "count.anotherSteps"));
    swap(at("plan"), make("div", { class: "row" }, make("strong", {}, title), change),
      ...(plan ? [make("p", {}, line(plan[what]))] : []), make("p", { class: "note" }, from));
    const running = kind().beats?.() ?? false;
    show(at("beat"), spins);
    at("i-tap").setAttribute("aria-pressed", String(!running));
    at("beat-runs").setAttribute("aria-pressed", String(running));
    const keys = spins ? entryKeys() : patternKeys();
    swap(at("entry"), ...keys);
    show(at("entry"), keys.length > 0);
    const names = phone().skaters.map((name) => make("button", { type: "button", onclick: () => choose(name) }, name));
    at("skater").replaceChildren(menu(skater || t("count.noSkater"), ...names,
      make("button", { type: "button", onclick: async () => choose(await add() || skater) }, t("count.addSkater"))));
    drawUnsent();
    inProgram();
  }

  // drawUnsent says how much no book has taken yet.
  function drawUnsent() {
    const n = unsent(waiting());
    pill({ waiting: n });
    show(at("unsent"), n > 0);
  }

  // inProgram says what comes before in the same program and what that has used up.
  function inProgram() {
    const before = earlier();
    at("program").replaceChildren();
    if (!before.length) return;
    const once = (f) => !["NONE", undefined].includes(chosen.rule(`levels.spins.features.${f}.limit`));
    const used = usedBefore(before.map((e) => e.call)).filter((u) => once(u.feature))
      .map((u) => t("count.usedUp", { feature: featureName(u), n: u.element }));
    const codes = listed(before.map((e) => e.call.code));
    at("program").append(t("count.inProgram", { codes, n: before.length + 1 }), " ", used.length ? `${listed(used)}. ` : "",
      make("button", { type: "button", class: "quiet small", onclick: forget }, t("count.startOver")));
  }

  return {
    draw, unsent: drawUnsent,
    // take chooses the plan of another kind of element.
    take: () => take(own(skater)[0]),
    plan: () => plan, entry: () => entry ?? plan?.[kind().name].entry, name: () => skater,
    who: async () => skater || add(),
    keepPlan(name, next) {
      const others = (phone().plans[name] ?? []).filter((p) => p.code.replace(/\d.*$/, "") !== next.code.replace(/\d.*$/, ""));
      remember({ plans: { ...phone().plans, [name]: [next, ...others].slice(0, PLANS) } });
      [plan, entry] = [next, undefined];
    },
    // network says what works without one, with the way to more of it.
    network({ engine, reopens, more }) {
      const again = make("button", { type: "button", class: "quiet small", onclick: more }, t(reopens ? "count.reopens" : "count.openAgain"));
      at("network").replaceChildren(t(engine ? "count.alone" : "count.asked"), " ", again, ...(navigator.wakeLock ? [] : [" ", t("count.stayAwake")]));
    },
  };
}

// Every part once, as pages use it.

import { at } from "../../embed/dom.js";
import { actionBar } from "./bar.js";
import { ask } from "./dialog.js";
import { fault } from "./fault.js";
import { componentPad, markPad } from "./pads.js";
import { plot } from "./plot.js";
import { sending } from "./sending.js";
import { toast } from "./toast.js";

sending(at("sent"))({});
sending(at("unsent"))({ waiting: 3, cut: new Date(2026, 0, 15, 14, 2, 31) });
sending(at("top-end"))({});
const marked = markPad(at("mark-pad"), "Mark", (mark) => marked(mark));
marked(0);
const graded = componentPad(at("component-pad"), "Skating skills", (mark) => graded(mark));
graded(5.25);
fault(at("bad-code"), "“xl” is no jump or spin. Did you mean 3Lz?");
fault(at("mark"), "Judge 3 has no mark for element 12. Type −5 to +5, or put +1 back.");
const ticks = (list) => list.map((label, i) => ({ at: i, label }));
at("plot").append(plot({
  label: "Scores from September to December: Linnea from 63 to 85.40, Katla from 55 to 75.10",
  x: ticks(["Sep", "Oct", "Nov", "Dec"]),
  y: [60, 75, 90].map((n) => ({ at: n, label: String(n) })),
  lines: [["Linnea 85.40", [63, 70, 66, 85.4]], ["Katla 75.10", [55, 58, 71.5, 75.1]]]
    .map(([name, ys]) => ({ name, points: ys.map((y, x) => ({ x, y })) })),
}));
at("question").addEventListener("click", () => ask("Draw the starting order again?",
  { note: "All 24 places change. The old order is kept in the log.", yes: "Draw again", no: "Keep the order" }));
at("task").addEventListener("click", () => ask("Late entry",
  { yes: "Add", no: "Leave it", fields: { reason: { label: "Why?", needed: true, value: "Late entry" } } }));
at("take-back").addEventListener("click", () => toast("Element 12 taken back.", { label: "Put it back", keys: "Ctrl Z", run: () => {} }));
actionBar()({
  say: "One sentence: what to do now.", note: "What happens then, or what is still open.",
  second: { label: "Second choice", run: () => {} }, action: { label: "The one action", keys: "Ctrl Enter", run: () => {} },
});

// The colours of each face, whatever this page's own is.
const rules = [...document.styleSheets].flatMap((sheet) => [...sheet.cssRules]);
const faces = {
  light: rules.find((r) => r.selectorText === ":root"),
  dark: rules.find((r) => r.conditionText?.includes("color-scheme: dark"))?.cssRules[0],
  hall: rules.find((r) => r.selectorText?.includes("data-face")),
};
for (const box of document.querySelectorAll("[data-colours]")) {
  const { style } = faces[box.dataset.colours];
  for (const name of style) if (name.startsWith("--")) box.style.setProperty(name, style.getPropertyValue(name));
}

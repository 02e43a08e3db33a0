// What a skater can do, what is asked of it, and what the answers of programs:plan say.

import assert from "node:assert/strict";
import { test } from "node:test";

import { latest } from "./parts/latest.js";
import { halfFrom, halfTo, limitsFrom, limitsTo, question } from "./plan/asking.js";
import { outcomes, rest, ways } from "./plan/misses.js";
import { fromFile, read, toFile, write } from "./plan/repertoire.js";
import { allTogether, asProgram, noise, steadier, swap, tenth, together, worth } from "./plan/worth.js";

const goe = { min: -5, max: 5 };
const jump = (code, ...parts) => ({ code, kind: "jump", parts: parts.map((p) => ({ code: p, bare: p, turns: Number(p[0]) })) });
const ability = (element, success, more) => ({ code: element.code, element, success, grade: 1, attempts: 0, wish: "", misses: [], ...more });
const lutz = jump("3Lz", "3Lz"), pair = jump("3S+2T", "3S", "2T"), spin = { code: "CCoSp4", kind: "spin", parts: [{ code: "CCoSp4", turns: 0 }] };
const choreo = { code: "ChSq1", kind: "choreo", parts: [{ code: "ChSq1", turns: 0 }] };

test("abilities are read as people type them and as they are written", () => {
  for (const [text, want] of Object.entries({
    "3lz 3s2t ccosp4": "3Lz +0, 3S+2T +0, CCoSp4 +0",
    "3lz 5 3s 2t": "3Lz 5 +0, 3S +0, 2T +0",
    "2a1eu2s 7.5, 3s2aseq −1": "2A+1Eu+2S 7.5 +0, 3S+2A+SEQ -1",
    "3Lz 5 +0.2 40x second (3lz< 2 -3, 3Lz 3 -5 fall)\nChSq1 10 # a remark, 2A": "3Lz 5 +0.2 40x second (3Lz< 2 -3, 3Lz 3 -5 fall), ChSq1 10 +0",
    "5 +1 keep 3lz 12": "5 +1 keep, 3Lz 10 +0", // what is no code is left to who knows codes
    " ,;\n": "",
  })) {
    assert.equal(write(read(text)), want, text);
    assert.equal(write(read(want)), want);
  }
  const chosen = { season: "2025-26", limits: "3Lz:2,4:1" };
  assert.deepEqual(fromFile(toFile(chosen, read("3Lz 5, 2A 9"))).map((x) => (typeof x === "string" ? write(read(x)) : x)), [chosen, "3Lz 5 +0, 2A 9 +0"]);
});

test("what comes instead is what the planner assumes, until the coach says more", () => {
  assert.deepEqual(rest(ability(lutz), goe), { code: "3Lz", grade: -5, fall: true });
  assert.deepEqual(rest(ability(pair), goe), { code: "3S", grade: -5, fall: true });
  assert.deepEqual(rest(ability(spin), goe), { code: "CCoSp3", grade: 1, fall: false });
  assert.deepEqual(rest(ability({ ...spin, code: "CCoSp1V" }), goe).code, "CCoSpBV");
  assert.deepEqual(rest(ability(choreo), goe), { code: "ChSq1", grade: -5, fall: false });
  assert.deepEqual(ways(ability(lutz), goe).map((w) => w.code), ["3Lz<", "3Lz<<", "2Lz", "3Lz"]);
  assert.deepEqual(ways(ability(pair), goe).map((w) => w.code), ["3S+2T<", "3S+2T<<", "3S+1T", "3S", "3S+2T"]);
  assert.deepEqual(ways(ability(spin), goe).map((w) => w.code), ["CCoSp2", "CCoSp4"]);

  const under = { code: "3Lz<", of: 2, grade: -3, fall: false };
  assert.deepEqual(outcomes(ability(lutz, 5, { misses: [under] }), goe).map((m) => [m.code, m.of]), [["3Lz", 3], ["3Lz<", 2]]);
  assert.deepEqual(outcomes(ability(lutz, 9, { misses: [under] }), goe).map((m) => [m.code, m.of]), [["3Lz<", 1]], "there is no room for more");
  assert.deepEqual(outcomes(ability(lutz, 10, { misses: [under] }), goe), []);
});

test("a question holds what is said, in chances", () => {
  const list = [ability(lutz, 5, { wish: "second", attempts: 40 }), ability(pair, undefined), ability(spin, 6.5, { wish: "out" })];
  const { request, places } = question({ season: "2025-26", category: "senior-women", target: "100.00", half: halfFrom("9.7 -0.1 4") }, "free-skating", list, goe);
  assert.deepEqual(places, [0, 2]);
  assert.deepEqual(request.abilities[0], { code: "3Lz", success: 0.5, grade: 1, attempts: 40, misses: [{ code: "3Lz", chance: 0.5, grade: -5, fall: true }] });
  assert.equal(request.abilities[1].atMost, 0);
  assert.deepEqual(request.keep, [{ code: "3Lz", secondHalf: true }]);
  assert.equal(request.target, "", "without marks there is no score to reach it");
  assert.deepEqual(request.secondHalf, { success: 0.97, grade: -0.1, atMost: 4 });
  for (const a of request.abilities) assert.ok(Math.abs(a.success + a.misses.reduce((sum, m) => sum + m.chance, 0) - 1) < 0.001);
  for (const text of ["3Lz:2,4:1", ""]) assert.equal(limitsTo(limitsFrom(text)), text);
  for (const text of ["9.7 -0.1 4", "- - 3", ""]) assert.equal(halfTo(halfFrom(text)), text);
  assert.deepEqual(limitsFrom("nonsense,3Lz:-1,9:9"), []);
});

const planned = (net, more) => ({ expectedNetScore: net, expectedElementScore: "48.70", expectedSegmentScore: "95.65", differs: "0.00", standardError: "0.92", elements: [], ...more });

test("figures add up in hundredths", () => {
  assert.deepEqual(worth(planned("46.00"), "46.02"), { whole: "95.65", elements: "48.70", components: "49.65", falls: "-2.70", bound: "95.67" });
  assert.deepEqual(worth(planned("46.00", { expectedSegmentScore: "" }), ""), { whole: "46.00", elements: "48.70", components: "", falls: "-2.70", bound: "" });
  assert.deepEqual(["97.45", "97.44", "0.05", "-1.05"].map(tenth), ["97.5", "97.4", "0.1", "-1.0"]);
});

test("the order of plans is called noise only where it is", () => {
  const of = (...apart) => ({ plans: ["0.00", ...apart].map((differs) => planned("46.00", { differs })), practice: [{ code: "3S", inPlan: true, gain: "0.40" }, { code: "4T", inPlan: false, gain: "2.00" }] });
  assert.deepEqual(noise(of("0.18", "0.32"), [40, 0, 12]), { state: "noise", apart: "0.32", error: "0.92", fewest: 12, most: 40 });
  assert.equal(noise(of("0.18", "0.92"), [40]).state, "partly");
  assert.deepEqual([noise(of("1.00", "2.00"), [40])].map((n) => [n.state, n.apart]), [["clear", "1.00"]]);
  assert.equal(noise(of(), [40]).state, "one");
  const typed = of("0.18", "0.32");
  for (const p of typed.plans) p.standardError = "";
  assert.deepEqual(noise(typed, [0]), { state: "step", apart: "0.32", step: "0.40", code: "3S", less: true });
});

test("two plans differ by what one has and the other has not", () => {
  const plan = (...elements) => ({ elements: elements.map((e) => ({ code: e.replace("|", ""), secondHalf: e.startsWith("|") })) });
  assert.deepEqual(swap(plan("3S", "3S", "|3Lz", "2A"), plan("3S", "|3F", "3Lz", "2A")), { only: ["3S"], instead: ["3F"], moved: ["3Lz"] });
  assert.deepEqual(swap(plan("3S"), plan("3S")), { only: [], instead: [], moved: [] });
  assert.equal(asProgram({ elements: [{ code: "3S", secondHalf: false, grade: 0.8 }, { code: "3Lz", secondHalf: true, grade: -0.1 }] }), "3S +0.8 | 3Lz -0.1");
  assert.equal(asProgram({ elements: [{ code: "3S", secondHalf: false, grade: 0 }] }), "3S +0 |");
  const spread = (p10) => ({ spread: { p10 } });
  assert.equal(steadier([spread("45.10"), spread("45.90"), spread("45.20")]).spread.p10, "45.90");
  assert.equal(steadier([spread("45.10"), spread("45.00")]), undefined);
});

test("practice of one repertoire counts in both programs", () => {
  const got = together([[{ code: "3S", inPlan: false, gain: "0.10", needed: 0.9 }], [{ code: "3S", inPlan: true, gain: "0.42", needed: 0.8 }, { code: "2A", inPlan: false, gain: "0.60" }]]);
  assert.deepEqual(got, [{ code: "2A", inPlan: false, gain: "0.60", needed: undefined }, { code: "3S", inPlan: true, gain: "0.52", needed: 0.8 }]);
});

test("scores of two programs together are every pair of them", () => {
  const short = [{ score: "40.00", atLeast: 1 }, { score: "50.00", atLeast: 0.75 }], free = [{ score: "90.00", atLeast: 1 }, { score: "100.01", atLeast: 0.5 }];
  const both = allTogether([short, free]);
  const near = (a, b) => assert.ok(Math.abs(a - b) < 1e-9, `${a} is not ${b}`);
  near(both.reach("130.00"), 1);
  near(both.reach("130.01"), 0.875);
  near(both.reach("140.01"), 0.5); // 40 + 100.01 and 50 + 100.01
  near(both.reach("140.02"), 0.375);
  near(both.reach("150.02"), 0);
  assert.deepEqual(both.spread, { p10: "130.00", p50: "140.00", p90: "150.01" });
});

test("only the last question waits, and only its answer is shown", async () => {
  const asked = [], shown = [], open = [];
  const ask = latest((q) => { asked.push(q); return new Promise((resolve, reject) => open.push({ resolve, reject })); }, (result, q) => shown.push([q, result.answer ?? result.error.message]));
  const turn = () => new Promise((resolve) => setImmediate(resolve));
  for (const q of [1, 2, 3]) ask(q);
  await turn();
  assert.deepEqual(asked, [1]);
  open[0].resolve("one");
  await turn();
  assert.deepEqual([asked, shown], [[1, 3], []]);
  open[1].reject(new Error("away"));
  await turn();
  assert.deepEqual(shown, [[3, "away"]]);
  ask(4);
  await turn();
  open[2].resolve("four");
  await turn();
  assert.deepEqual(shown.at(-1), [4, "four"]);
});

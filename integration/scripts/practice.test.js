// What one touch means in practice, what waits for the book, and what is said of a change.

import assert from "node:assert/strict";
import { test } from "node:test";

import { calls, came, cameWell, isJump, isLevelled, kindOf, levels, pops } from "./practice/came.js";
import { allAsPlanned, verdict } from "./practice/change.js";
import { read, write } from "./practice/link.js";
import { causesFor, counts, dayStart, dayText, tiles } from "./practice/today.js";
import { amend, answered, attemptsOf, drop, first, refused, tried, undo, unsent, untimed } from "./practice/waiting.js";

const jump = (code, ...parts) => ({ code, kind: "jump", parts: parts.map((p) => ({ code: p, bare: p, turns: Number(p[0]), level: "" })) });
const levelled = (code, kind, level) => ({ code, kind, parts: [{ code, bare: code, turns: 0, level }] });
const lutz = jump("3Lz", "3Lz"), loops = jump("3Lo+3Lo", "3Lo", "3Lo"), sequence = jump("3S+2A+SEQ", "3S", "2A"), spin = levelled("CCoSp4V", "spin", "4");

test("one touch says how an element came", () => {
  for (const [element, touch, last, want] of [
    [lutz, "clean", [], ["3Lz", false]], [lutz, "fall", [], ["3Lz", true]],
    [lutz, "called", [], ["3Lz<", false]], [lutz, "called", ["2Lz", "3Lzq", "3Lz<"], ["3Lzq", false]],
    [lutz, "popped", [], ["2Lz", false]], [lutz, "popped", ["1Lz"], ["1Lz", false]],
    [loops, "called", [], ["3Lo+3Lo<", false]], [sequence, "called", [], ["3S+2A<+SEQ", false]],
    [sequence, "popped", [], ["2S+2A+SEQ", false]], [spin, "2", [], ["CCoSp2V", false]], [spin, "B", [], ["CCoSpBV", false]],
  ]) {
    const got = came(element, touch, last);
    assert.deepEqual([got.planned, got.came, got.fall], [element.code, ...want], `${element.code} ${touch}`);
  }
  assert.deepEqual(calls(lutz), ["3Lz<", "3Lz<<", "3Lzq", "3Lze", "3Lz!"]);
  assert.deepEqual(calls(loops), ["3Lo+3Lo<", "3Lo+3Lo<<", "3Lo+3Loq", "3Lo<+3Lo", "3Lo<<+3Lo", "3Loq+3Lo"]);
  assert.deepEqual(pops(loops), ["2Lo+3Lo", "1Lo+3Lo", "3Lo+2Lo", "3Lo+1Lo", "3Lo"]);
  assert.deepEqual(levels(spin).map((l) => l.code), ["CCoSp4V", "CCoSp3V", "CCoSp2V", "CCoSp1V", "CCoSpBV"]);
  assert.deepEqual([lutz, spin, levelled("StSq3", "step", "3"), levelled("ChSq1", "choreo", "1")].map((e) => [isJump(e), isLevelled(e)]),
    [[true, false], [false, true], [false, true], [false, false]]);
});

test("what came is told apart by its code", () => {
  for (const [planned, as, fall, kind, well] of [
    ["3Lz", "3Lz", false, "clean", true], ["3Lz", "", false, "clean", true], ["3Lz", "3Lz", true, "fall", false], ["3Lz", "3Lz!<", false, "called", false],
    ["3S+2A+SEQ", "3S+2A<+SEQ", false, "called", false], ["3Lz", "2Lz", false, "popped", false], ["3S+2T", "3S", false, "popped", false],
    ["CCoSp4", "CCoSp3", false, "level", false], ["CCoSp3", "CCoSp4", false, "level", true], ["LSp1", "LSpB", false, "level", false],
  ]) {
    assert.deepEqual([kindOf({ planned, came: as, fall }), cameWell({ planned, came: as, fall })], [kind, well], `${planned} came as ${as}`);
  }
});

test("nothing that waits is lost or sent twice", () => {
  const attempt = (planned) => ({ planned, came: planned, fall: false, time: "2026-01-15T10:00:00Z" });
  let list = ["a", "b", "c"].map((requestId) => ({ requestId, skater: "Mira", attempt: attempt(`3${requestId}`) }));
  list = amend(list, "a", { cause: "axis" });
  assert.equal(list[0].attempt.cause, "axis", "what is not on its way is changed in place");
  list = undo(list, "b");
  assert.deepEqual(list.map((i) => i.requestId), ["a", "c"]);
  list = tried(list, "a");
  list = amend(list, "a", { cause: "timing" });
  list = amend(list, "a", { came: "3a<" });
  assert.deepEqual([list[0].attempt.cause, attemptsOf(list, "Mira")[0].cause, attemptsOf(list, "Mira")[0].came], ["axis", "timing", "3a<"]);
  assert.equal(unsent(list), 2);
  list = answered(list, "a", "17", "x");
  assert.deepEqual(list[0], { requestId: "x", skater: "Mira", of: "17", change: { cause: "timing", came: "3a<" } }, "what follows is sent first");
  assert.equal(unsent(list), 1);
  list = answered(list, "x", "17", "y");
  list = undo(tried(list, "c"), "c");
  assert.deepEqual([unsent(list), attemptsOf(list, "Mira")], [0, []], "what was taken back is not seen");
  list = answered(list, "c", "18", "z");
  assert.deepEqual(list, [{ requestId: "z", skater: "Mira", of: "18", gone: true }]);
  list = refused(list, "z", "why");
  assert.equal(first(list), undefined);
  assert.deepEqual(drop(list, "z"), []);
  const timed = refused([{ requestId: "t", skater: "Mira", attempt: attempt("2A") }], "t", "time");
  assert.deepEqual(untimed(timed, "t"), [{ requestId: "t", skater: "Mira", attempt: { planned: "2A", came: "2A", fall: false } }]);
});

test("today is counted where the phone is", () => {
  const now = new Date(2026, 0, 15, 23, 30), start = dayStart(now);
  assert.deepEqual([start.getHours(), start.getDate(), dayText(now)], [0, 15, "2026-01-15"]);
  const of = (planned, as, fall, time) => ({ planned, came: as, fall, time });
  const got = counts([of("3Lz", "3Lz", false, "2"), of("3Lz", "3Lz", true, "3"), of("3Lz", "3Lz<", false, "1"), of("LSp3", "LSp4", false, "1")]);
  assert.deepEqual([...got].map(([code, c]) => [code, c.n, c.well, c.last.time]), [["3Lz", 3, 1, "3"], ["LSp3", 1, 1, "1"]]);
  const many = Array.from({ length: 9 }, (_, i) => `m${i}`);
  assert.deepEqual(tiles(["3A"], many, ["3Lz"], ["3F"]), ["3A", ...many.slice(0, 7)]);
  assert.deepEqual(tiles([], ["3Lz"], ["3Lz", "2A"], ["3F", "2A"]), ["3Lz", "2A", "3F"]);
  const miss = (cause, planned = "3Lz") => ({ planned, cause });
  assert.deepEqual(causesFor("3Lz", [miss("axis"), miss("timing"), miss("timing"), miss("speed", "3F"), miss("")], ["speed", "axis"]), ["timing", "axis", "speed"]);
});

test("a change is called better only from the chance on that the book states", () => {
  const counting = { fewest: 5, sure: 0.95 }, shares = { before: { attempts: 24 }, after: { attempts: 13 } };
  assert.deepEqual(verdict({ ...shares, verdict: "TOO_EARLY", better: 0.91, more: 13 }, counting), ["tooEarly", { chance: 91, sure: 95, more: 13, fewest: 5 }]);
  assert.deepEqual(verdict({ ...shares, verdict: "TOO_EARLY", better: 0.2 }, counting)[0], "noTellingWorse");
  assert.equal(verdict({ ...shares, verdict: "TOO_EARLY", better: 0.2 }, counting)[1].chance, 80);
  assert.deepEqual(verdict({ ...shares, verdict: "BETTER", better: 0.97 }, counting)[0], "better");
  assert.deepEqual([verdict({ ...shares, verdict: "WORSE", better: 0.02 }, counting)].map(([key, v]) => [key, v.chance]), [["worse", 98]]);
  assert.equal(verdict({ before: { attempts: 9 }, after: { attempts: 2 }, verdict: "NOT_ENOUGH" }, counting)[1].n, 3);
  const abilities = new Map([["3Lz", { success: 0.5 }], ["2A", { success: 0.9 }]]);
  assert.ok(Math.abs(allAsPlanned(["3Lz", "2A", "2A"], abilities) - 0.405) < 1e-9);
  assert.equal(allAsPlanned(["3Lz", "3F"], abilities), 0);
});

test("a link holds the book and its token", () => {
  const book = { book: "k3v5q2c7m4x6b3ta", token: "a+b/c=" };
  assert.deepEqual(read(write("https://rink.example/practice#x", book)), book);
  assert.deepEqual(read("#book=a&token=b"), { book: "a", token: "b" });
  for (const text of ["", "https://rink.example/practice", "#book=a", "#token=b", "nonsense"]) assert.equal(read(text), undefined, text);
});

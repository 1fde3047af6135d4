import test from "node:test";
import assert from "node:assert/strict";
import { aimOf, beyond, countsOf, placeOf, rulesOf, stripOf, valueAt } from "../../assets/strip.mjs";
import { nanometres, typed } from "../../assets/lengths.mjs";

const inch = (n) => Math.round(n * 25400000);
const length = (target, minus, plus, width) => stripOf({ target: inch(target), low: inch(target - minus), high: inch(target + plus), unit: "in", width });

test("stripOf: every mark is a finger's breadth, and both limits are on it with a mark beyond", () => {
  for (const [target, minus, plus] of [[95.5, 1 / 4, 1 / 4], [48.5, 0, 1 / 2], [0.75, 1 / 4, 1 / 4], [4, 1 / 8, 1 / 8], [124.5, 1 / 2, 1 / 2], [12, 0, 0], [54, 1, 2], [95.5, 1 / 4, 1 / 4]]) {
    for (const width of [280, 326, 560, 900]) {
      const s = length(target, minus, plus, width), last = s.first + s.step * (s.count - 1);
      assert.ok(width / s.count >= 24, `${target} on ${width} px: marks of ${width / s.count} px`);
      assert.ok(s.first >= 0 && last > s.high && (s.first < s.low || s.first === 0), `${target} on ${width} px: from ${s.first} to ${last}`);
      assert.equal(valueAt(s, placeOf(s, s.target)), s.target, `${target} on ${width} px: a finger on the target takes it`);
    }
  }
});

test("stripOf: in sixteenths where there is room, coarser where there isn't", () => {
  assert.equal(length(95.5, 1 / 4, 1 / 4, 326).step, inch(1 / 16));
  assert.equal(length(124.5, 1, 1, 326).step, inch(1 / 4));
  assert.equal(length(124.5, 1, 1, 900).step, inch(1 / 8));
});

test("stripOf: millimetres", () => {
  const s = stripOf({ target: 2425e6, low: 2419e6, high: 2431e6, unit: "cm", width: 900 });
  assert.equal(s.step, 1e6);
  assert.equal(typed(valueAt(s, placeOf(s, 2426e6)), "cm", ","), "242,6");
  const off = stripOf({ target: 12.4e6, low: 10e6, high: 15e6, unit: "mm", width: 400 }); // a finger takes the rule's own marks
  assert.equal(valueAt(off, placeOf(off, 12.4e6)), 12e6);
  const exact = stripOf({ target: 12.4e6, low: 12.4e6, high: 12.4e6, unit: "mm", width: 400 }); // unless only the target is right
  assert.equal(valueAt(exact, placeOf(exact, 12.4e6)), 12.4e6);
});

test("aimOf: the target, or the mark of the rule that it is read at", () => {
  for (const [target, minus, plus, want] of [[3.5, 1 / 8, 1 / 8, 3.5], [3 + 1 / 32, 1 / 8, 1 / 8, 3 + 1 / 16], [3 + 1 / 32, 0, 0, 3 + 1 / 32]]) {
    for (const width of [280, 326, 900]) assert.equal(aimOf(length(target, minus, plus, width)), inch(want), `${target} on ${width} px`);
  }
});

test("valueAt: each mark once from end to end, and nothing beyond", () => {
  const s = length(95.5, 1 / 4, 1 / 4, 326), taken = [];
  for (let x = -20; x < 346; x++) { const v = valueAt(s, x / 326); if (taken.at(-1) !== v) taken.push(v); }
  assert.deepEqual(taken, Array.from({ length: s.count }, (_, k) => s.first + k * s.step));
});

test("typed: what a finger took is what the shop reads", () => {
  const s = length(124 + 9 / 16, 1 / 2, 1 / 2, 700);
  for (let k = 0; k < s.count; k++) {
    const v = valueAt(s, (k + 0.5) / s.count), text = typed(v, "in", ".");
    assert.equal(nanometres(text, "in"), v, text);
  }
  for (const [nm, unit, want] of [[inch(95.5), "in", "95 1/2"], [inch(1 / 16), "in", "1/16"], [inch(3 + 1 / 32), "in", "3 1/32"], [inch(1 / 64), "in", "0.015625"], [0, "in", "0"], [242.5e7, "cm", "242,5"], [12e6, "mm", "12"]]) assert.equal(typed(nm, unit, ","), want.replace(".", ","));
});

test("rulesOf: figures stand apart, clear of the ends and of the target", () => {
  for (const width of [280, 326, 560, 900]) {
    const s = length(95.5, 1 / 4, 1 / 4, width), rules = rulesOf(s, 64), x = (at) => placeOf(s, at) * width;
    assert.ok(rules.length >= s.count, "a rule has every mark");
    let before = -Infinity;
    for (const r of rules.filter((r) => r.figure)) {
      assert.ok(x(r.at) - before >= 63 && x(r.at) >= 31 && width - x(r.at) >= 31 && Math.abs(x(r.at) - x(s.target)) >= 51, `${width} px: a figure at ${x(r.at)}`);
      before = x(r.at);
    }
  }
  const whole = rulesOf(length(48.5, 0, 1 / 2, 900), 64).find((r) => r.at === inch(49));
  assert.equal(whole.high, 1);
});

test("beyond: from the limit, not from the target", () => {
  assert.equal(beyond(inch(49.5), inch(48.5), inch(49)), inch(0.5));
  assert.equal(beyond(inch(48), inch(48.5), inch(49)), -inch(0.5));
  assert.equal(beyond(inch(49), inch(48.5), inch(49)), 0);
});

test("countsOf: the target in the middle, never under none", () => {
  assert.deepEqual(countsOf(19), [17, 18, 19, 20, 21]);
  assert.deepEqual(countsOf(1), [0, 1, 2, 3, 4]);
});

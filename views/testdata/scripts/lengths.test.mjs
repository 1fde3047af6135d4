import test from "node:test";
import assert from "node:assert/strict";
import { difference, fraction, nanometres, press, pretty, read } from "../../assets/lengths.mjs";

test("read: what people type", () => {
  for (const [text, unit, want] of [
    ["95 1/2", "in", 95.5], ["95½", "in", 95.5], ["95-1/2", "in", 95.5], ["1/16", "in", 0.0625], ["95.5", "in", 95.5], ["95,5", "cm", 95.5],
    [" 95 ″", "in", 95], ["95 1/2in", "in", 95.5], ["12 cm", "cm", 12], [".5", "in", 0.5], ["0", "in", 0], ["95 1⁄2", "in", 95.5], ["7 3/8\"", "in", 7.375],
  ]) assert.equal(read(text, unit), want, text);
});

test("nanometres: whole, as the shop's reader rounds", () => {
  for (const [text, unit, want] of [["95 1/2", "in", 2425700000], ["1/64", "in", 396875], ["1/3", "in", 8466667], ["95.1", "cm", 951000000], ["0,1", "mm", 100000]]) assert.equal(nanometres(text, unit), want, text);
  assert.ok(Number.isNaN(nanometres("2 m", "in")));
});

test("read: what only the shop's reader knows, or nobody", () => {
  for (const text of ["", " ", "wide", "2 m", "95 17/16", "1/0", "3/2", "1 1/2 1/4", "--1", "1..2"]) assert.ok(Number.isNaN(read(text, "in")), text);
});

test("fraction: the smallest denominator", () => {
  for (const [whole, sixteenths, want] of [[95, 8, "95 1/2"], [0, 2, "1/8"], [0, 0, "0"], [3, 0, "3"], [1, 15, "1 15/16"]]) assert.equal(fraction(whole, sixteenths), want);
});

test("pretty: glyphs where there are any", () => {
  for (const [text, want] of [["95 1/2", "95½"], ["3 1/16", "3¹⁄₁₆"], ["95", "95"], ["7/8", "⅞"]]) assert.equal(pretty(text), want);
});

test("difference: to the nearest mark of a rule, never none", () => {
  const inch = { unit: "in", mark: "." };
  assert.equal(difference(0.5 * 25400000, inch), "1/2 in");
  assert.equal(difference(25400000 / 32, inch), "1/32 in");
  assert.equal(difference(0.01 * 25400000, inch), "1/16 in");
  assert.equal(difference(1.99 * 25400000, inch), "2 in");
  assert.equal(difference(12500000, { metric: true, unit: "cm", mark: "," }), "1,25 cm");
  assert.equal(difference(3000000, { metric: true, unit: "mm", mark: "." }), "3.0 mm");
  assert.equal(difference(2, { count: true }), "2");
});

test("press: the keypad in inches", () => {
  const type = (...keys) => keys.reduce((text, key) => press(text, key, {}) ?? text, "");
  assert.equal(type("9", "5", "e4"), "95 1/2");
  assert.equal(type("9", "5", "e4", "s"), "95 9/16");
  assert.equal(type("e1"), "1/8");
  assert.equal(type("0", "0", "7"), "7");
  assert.equal(type("1", "2", "3", "4", "5"), "1234");
  assert.equal(type("9", "5", "e4", "back"), "95");
  assert.equal(type("9", "back"), "");
  assert.equal(type(..."ssssssssssssssss"), "");
  assert.equal(press("95 1/2", "3", {}), null);
  assert.equal(press("15/16", "s", {}), ""); // a fraction alone has no whole before it
  assert.equal(press("13/16", "back", {}), "");
});

test("press: the keypad of decimals and of counts", () => {
  assert.equal(press("12", "mark", { metric: true, mark: "," }), "12,");
  assert.equal(press("12,5", "mark", { metric: true, mark: "," }), "12,5");
  assert.equal(press("", "mark", { metric: true, mark: "." }), "0.");
  assert.equal(press("1234567", "8", { metric: true, mark: "." }), "1234567");
  assert.equal(press("1", "9", { count: true }), "19");
  assert.equal(press("19", "mark", { count: true, mark: "." }), "19");
  assert.equal(press("19", "back", { count: true }), "1");
});

test("what the keypad types is read as it is meant", () => {
  for (let whole = 0; whole < 130; whole += 7) {
    for (let sixteenths = 0; sixteenths < 16; sixteenths++) {
      const text = fraction(whole, sixteenths);
      assert.equal(read(text, "in"), whole + sixteenths / 16, text);
      assert.equal(read(pretty(text).replace(/[⁰-₉].*/, ""), "in") >= 0 || sixteenths % 2 === 1, true, text);
    }
  }
});

test("decimals of each language: what is typed with its mark is read, what is written has it", () => {
  for (const mark of [".", ","]) {
    const typed = [..."095m25"].reduce((text, key) => press(text, key === "m" ? "mark" : key, { metric: true, mark }), "");
    assert.equal(typed, "095" + mark + "25");
    assert.equal(read(typed, "cm"), 95.25);
    assert.equal(nanometres(typed, "cm"), 952500000);
    assert.equal(difference(952500000, { metric: true, unit: "cm", mark }), "95" + mark + "25 cm");
    assert.equal(read(difference(952500000, { metric: true, unit: "mm", mark }), "mm"), 952.5);
  }
});

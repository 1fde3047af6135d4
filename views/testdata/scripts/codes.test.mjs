import test from "node:test";
import assert from "node:assert/strict";
import { codeOf, isCard, isNextCut, scannedInto } from "../../assets/codes.mjs";

test("codeOf: bare, spaced, in an address, with letters that a code has none of", () => {
  for (const text of ["7K3M9Q2T0", "7k3m9q2t0", "7K3M-9Q2-TO", " 7K3M 9Q2T0 ", "http://shop.test:8080/t/7K3M9Q2T0", "HTTP://SHOP.TEST/T/7K3M9Q2T0/", "https://shop.test/t/7k3m9q2t0"])
    assert.equal(codeOf(text), "7K3M9Q2T0", text);
  assert.equal(codeOf("IL0O7K3M9"), "11007K3M9");
  for (const nothing of ["", null, undefined, "///"]) assert.equal(codeOf(nothing), "");
});

test("isCard: DO and what to do, never nine symbols", () => {
  for (const card of ["DO FINISH", "do hold", "DO-START", "DO KEY 3", "DOCUT"]) assert.ok(isCard(card), card);
  for (const other of ["", "FINISH", "DOABCDEFG", "DO ABCDEFG", "7K3M9Q2T0", "DO", "DO 12", null]) assert.ok(!isCard(other), String(other));
});

test("isNextCut: that card alone", () => {
  for (const card of ["DO CUT", "do-cut", " DOCUT "]) assert.ok(isNextCut(card), card);
  for (const other of ["DO CUTS", "DO FLAW", "CUT", null]) assert.ok(!isNextCut(other), String(other));
});

test("scannedInto: a scanner typed into a measure", () => {
  assert.equal(scannedInto("48 1/2https://shop.test/t/7K3M9Q2T0", false)[0], "https://shop.test/t/7K3M9Q2T0");
  assert.equal(scannedInto("48https://shop.test/B/7K3M9Q2T0", false)[0], "https://shop.test/B/7K3M9Q2T0");
  assert.equal(scannedInto("48DO FINISH", true)[0], "DO FINISH");
  assert.equal(scannedInto("487K3M9Q2T0", true).index, 2);
  assert.equal(scannedInto("48DO FINISH", false), null);
  for (const typed of ["48 1/2", "123456789", "95.5", ""]) assert.equal(scannedInto(typed, true), null, typed);
});

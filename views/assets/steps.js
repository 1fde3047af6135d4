// A step at a bench: its numbers first, then what is measured, counted and looked at, each by one touch. The last thing asked
// finishes it. Without this script all numbers, fields and checks stand under one another. scan.js sends what is done.
import * as acts from "./acts.js";
import * as measures from "./measures.js";
import * as numbers from "./numbers.js";
import * as table from "./table.js";
import { all, hands, one, place, refuse } from "./open.js";
import { press as pressed } from "./lengths.mjs";

const main = () => one(".bar .main-action");
const onward = () => one(".finish-once") || main(); // to where the checks lead
const left = () => measures.entries().find((e) => !measures.has(e)); // the first that is still to be measured

// ---- the end of a step
let sent = ""; // what was sent for the ticket as it lies open, so that it is sent once

// settle sends what was asked once all of it is there: a start where the cloth is measured before, else the finish. What would
// hold the panel is asked about first.
function settle() {
  const button = main();
  if (!/^(start|finish)$/.test(button?.value) || sent === place()) return;
  ask([]);
  if (left() || measures.entries().some((e) => measures.faulty(e)) || !acts.isDone()) return;
  const out = measures.entries().filter(measures.isBeyond);
  if (out.length) { ask(out); if (!hands.touch) offer(button); return; }
  button.form.requestSubmit(button);
}

// ask says which values will hold the panel; the main button then says so too.
function ask(out) {
  const button = main(), told = one(".bar .beyond");
  if (!told || !button?.dataset.beyond) return;
  button.dataset.plain ||= button.textContent;
  button.textContent = out.length ? button.dataset.beyond : button.dataset.plain;
  button.classList.toggle("holds", out.length > 0);
  told.hidden = !out.length;
  told.textContent = out.map((e) => "‖ " + measures.nameOf(e) + ": " + measures.verdict(e)).join(". ");
}

document.addEventListener("submit", (e) => {
  if (e.target.id !== "work" || !/^(start|finish)$/.test(e.submitter?.value)) return;
  if (sent === place()) { e.preventDefault(); e.stopImmediatePropagation(); return; } // pressed again before the answer is there
  const wrong = measures.entries().find((n) => measures.faulty(n));
  const out = measures.entries().filter(measures.isBeyond);
  const asked = !one(".bar .beyond")?.hidden;
  if (!wrong && (!out.length || asked || !one(".bar .beyond"))) { sent = place(); return; }
  e.preventDefault();
  e.stopImmediatePropagation();
  if (wrong) { refuse(measures.faulty(wrong)); measures.turnTo(wrong); }
  else ask(out);
}, true);
document.addEventListener("cloth:answer", () => { sent = ""; });

// goOn leads hands on keys to what is still to be done.
function goOn() {
  if (hands.touch || !hands.keys) return;
  const entry = left(), next = entry ? measures.hold(entry) : acts.acts().find((a) => !a.checked);
  if (next) next.focus();
  else offer(onward());
}

// offer gives the focus to a button once the key that led there is up: held down, or sent once more by a scanner, it would press it.
function offer(button) {
  if (hands.keys) document.addEventListener("keyup", () => { if (button?.isConnected) button.focus(); }, { once: true });
  else button?.focus();
}

document.addEventListener("cloth:found", () => { goOn(); settle(); });

// Arrows go round the choices of a measure; only Enter, Space or a finger goes on from them.
let arrows = false;
document.addEventListener("keydown", (e) => { arrows = e.key.startsWith("Arrow"); }, true);
document.addEventListener("pointerdown", () => { arrows = false; }, true);
document.addEventListener("change", (e) => {
  if (arrows && e.target.matches("[type=radio]") || !e.target.matches("#work [data-entry] input[type=radio], #work [data-all]")) return;
  if (e.target.checked) goOn();
  settle();
});
document.addEventListener("input", (e) => { if (e.target.matches("#work .by-keys input")) ask([]); });

// Enter in a measure goes on, unless a scanner typed there, which scan.js has then taken.
document.addEventListener("cloth:entered", (e) => {
  if (e.target.matches("[data-length]")) { e.preventDefault(); table.nextLength(); return; }
  if (!e.target.closest("[data-entry], [data-act]")) return;
  e.preventDefault();
  if (e.target.matches(".by-keys input")) measures.commit();
  else if (e.target.checked) { goOn(); settle(); }
});

// ---- keys of the keypad, by finger or by card
function press(key) {
  const cut = table.length();
  if (key === "next") { cut ? table.nextLength() : measures.commit(); return; }
  navigator.vibrate?.(12);
  if (!cut && measures.type(key)) return;
  const f = cut || key !== "back" && table.cutLength();
  if (!f) return;
  const { mark, metric } = table.table().dataset;
  const text = pressed(f.value, key, { metric: metric !== undefined, mark });
  if (text === null) { refuse(""); return; }
  f.value = text;
  f.dispatchEvent(new Event("input", { bubbles: true }));
}
document.addEventListener("click", (e) => { const b = e.target.closest("[data-key]"); if (b) press(b.dataset.key); });

// Cards press for those who have no hand free: a scanner types them.
const cards = { ...numbers.cards, DONEXT: () => press("next"), DORUBOUT: () => press("back"), DOMARK: () => press("mark"), DOSIXTEENTH: () => press("s"), DOCHECK: () => acts.acts().find((a) => !a.checked)?.click() };
for (let n = 0; n <= 9; n++) cards["DOKEY" + n] = () => press(String(n));
for (let n = 1; n <= 7; n++) cards["DOEIGHTHS" + n] = () => press("e" + n);
document.addEventListener("cloth:card", (e) => {
  if (table.isOurs(e.detail)) { e.preventDefault(); table.cards[e.detail](); return; }
  const act = cards[e.detail];
  if (!act || !numbers.moves() || !/NUMBER|ALL/.test(e.detail) && !one("#work [data-entry], #work .checks")) return; // the shop says that nothing asks
  e.preventDefault();
  act();
});

// ---- the hold's sheet, over everything; without this script it opens at the foot of the ticket
document.addEventListener("click", (e) => {
  if (e.target.closest("[data-close]")) one("#hold").close();
  if (!e.target.closest(".hold-link")) return;
  e.preventDefault();
  one("#hold").showModal();
  one("#hold .reasons button").focus();
});

// ---- what lies open
document.addEventListener("focusin", (e) => { const entry = e.target.closest?.("#work [data-entry]"); if (entry) numbers.showPlace(entry.dataset.entry); });

// What the shop says is missing is shown.
document.addEventListener("cloth:missing", (e) => {
  const entry = e.target.closest("[data-entry]"), tile = one("[data-all]", e.target.closest("[data-act]") || document.createElement("p"));
  if (!entry && !tile) return;
  e.preventDefault();
  if (entry) measures.turnTo(entry);
  else { tile.closest(".act-tile").scrollIntoView({ block: "nearest" }); tile.focus({ preventScroll: true }); }
});

// The box for scans takes the focus unless something is asked of hands on keys.
document.addEventListener("cloth:ready", (e) => { if (lead()) e.preventDefault(); });

// lead has the focus go to what is asked of hands on keys, and reports whether anything is.
function lead() {
  const entry = left(), next = entry ? measures.hold(entry) : acts.acts().find((a) => !a.checked);
  if (hands.touch || !hands.keys || !next) return false;
  next.focus(); // scrolled to, so that nothing that sticks lies over it
  return true;
}

function setUp() {
  table.point();
  numbers.setUp();
  measures.setUp();
  acts.setUp();
  sent = "";
}
document.addEventListener("cloth:shown", (e) => {
  if (e.detail.region.id !== "open") return;
  setUp();
  regain();
});
document.addEventListener("cloth:fresh", regain);

// regain leads the focus on at once where what had it is another element by now, which live.js gives to the page, or has just been
// hidden: led on later, it would scroll the page under a hand.
function regain() {
  const at = document.activeElement;
  if ((at === document.body || at === one("#main") || !at.checkVisibility()) && !one("dialog[open]")) lead();
}
setUp();

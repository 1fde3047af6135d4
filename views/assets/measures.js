// What a step measures and counts: by one touch on a tape strip or a count, by the keypad behind "Other value", by key cards.
// A field stays empty until a hand has said what it found; without this script the fields alone stand there.
import { difference, nanometres, press as pressed, pretty, read, typed } from "./lengths.mjs";
import { aimOf, beyond, countsOf, fineOf, placeOf, rulesOf, stripOf, valueAt } from "./strip.mjs";
import { all, hands, one, refuse } from "./open.js";

export const asks = () => one("[data-entries]");
export const entries = () => all("#work [data-entry]");
const isChoice = (entry) => entry.dataset.kind === "choice";
const isCount = (entry) => entry.dataset.kind === "count";
const field = (entry) => one("input:not([type=radio], [type=checkbox])", entry);
export const has = (entry) => Boolean(isChoice(entry) ? one("input[type=radio]:checked", entry) : field(entry).value.trim());
const words = () => asks().dataset;
export const nameOf = (entry) => (one("label, legend", entry).firstChild.textContent || "").trim();

// value is a count, or a length in nanometres, as the bounds are; NaN where nothing can be read.
const value = (entry) => isChoice(entry) || !has(entry) ? NaN : isCount(entry) ? read(field(entry).value, "") : nanometres(field(entry).value, words().unit);
const bounds = (entry) => ({ target: Number(entry.dataset.target), low: Number(entry.dataset.low), high: Number(entry.dataset.high), unit: words().unit });

// faulty says why a value can't be, "" where it can: somebody mistyped rather than missewed.
export function faulty(entry) {
  if (isChoice(entry) || !has(entry) || !entry.dataset.target) return "";
  const now = value(entry), text = field(entry).value;
  const say = (why) => words()[why].replace("{value}", text).replace("{target}", (one(".target strong", entry)?.textContent || "").replace("⁄", "/").trim());
  if (Number.isNaN(now)) return /[a-z"'″′]/i.test(text) ? "" : say("unread");
  return now < Number(entry.dataset.least) || now > Number(entry.dataset.most) ? say("absurd") : "";
}

// fromMate is how far a value is from where it is as the mate's, in nanometres; NaN where it is compared with none.
const fromMate = (entry) => { const pair = one("[data-pair]", entry); return pair ? value(entry) - Number(pair.dataset.alike) : NaN; };
const isApart = (entry) => Math.abs(fromMate(entry)) > Number(one("[data-pair]", entry)?.dataset.limit);

// isBeyond reports whether a value lies outside its tolerance, or further from the mate's than the shop allows: the panel would be held.
export const isBeyond = (entry) => isOut(entry) || isApart(entry);
const isOut = (entry) => { const now = value(entry), b = bounds(entry); return Boolean(entry.dataset.target) && !Number.isNaN(now) && beyond(now, b.low, b.high) !== 0; };

// verdict says in words how a value lies.
export function verdict(entry) {
  const now = value(entry), { target, low, high, unit } = bounds(entry), out = beyond(now, low, high), off = now - target;
  if (out === 0 && isApart(entry)) return words().apart.replace("{diff}", fromMateIn(entry));
  const how = off === 0 ? "exact" : isCount(entry) ? (off > 0 ? "many" : "few") : out === 0 ? (off > 0 ? "over" : "under") : out > 0 ? "long" : "short";
  return words()[how].replace("{diff}", difference(Math.abs(out || off), { count: isCount(entry), metric: "metric" in entry.dataset, unit, mark: words().mark }));
}

const fromMateIn = (entry) => difference(Math.abs(fromMate(entry)), { metric: "metric" in entry.dataset, unit: words().unit, mark: words().mark });

// compare draws a value's bar beside its mate's: they end alike at 200 of 300, and the limit is 30.
function compare(entry) {
  const pair = one("[data-pair]", entry), off = fromMate(entry);
  if (!pair) return;
  one(".own", pair).setAttribute("width", Number.isNaN(off) ? 0 : Math.min(296, Math.max(20, 200 + off / Number(pair.dataset.limit) * 30)));
  one(".pair-bar:has(.own)", pair).classList.toggle("is-apart", isApart(entry));
}

// ---- what a finger touches
const strips = new WeakMap(); // entry → its strip as it is laid out

function dress(entry) {
  const box = one(".by-touch", entry);
  if (!box || !entry.dataset.target) return;
  const { target } = bounds(entry), id = field(entry).id;
  box.hidden = false;
  if (isCount(entry)) {
    box.className = "by-touch counts";
    box.setAttribute("role", "group");
    box.setAttribute("aria-labelledby", id + "-name");
    box.replaceChildren(...countsOf(target).map((n) => {
      const b = Object.assign(document.createElement("button"), { type: "button", className: n === target ? "quiet wanted" : "quiet", textContent: n });
      b.dataset.count = n;
      return b;
    }));
  } else {
    const strip = Object.assign(document.createElement("div"), { className: "ruler", tabIndex: 0 });
    for (const [name, value] of Object.entries({ role: "slider", "aria-labelledby": id + "-name", "aria-describedby": id + "-target" })) strip.setAttribute(name, value);
    box.replaceChildren(strip);
    strips.set(entry, stripOf({ ...bounds(entry), width: strip.clientWidth || 300 }));
  }
  const other = one("[data-other]", entry);
  other.hidden = false;
  other.setAttribute("aria-controls", id);
  show(entry, false);
  weigh(entry);
}

// setUp readies what the open ticket measures.
export function setUp() { for (const entry of entries()) dress(entry); }

// weigh shows a value where it lies, and says so.
export function weigh(entry) {
  compare(entry);
  const told = one(".told", entry), now = value(entry), off = Number.isNaN(now) || faulty(entry) !== "";
  if (!told || !entry.dataset.target) return;
  entry.classList.toggle("is-within", !off && !isBeyond(entry));
  entry.classList.toggle("is-beyond", !off && isBeyond(entry));
  if (has(entry)) entry.classList.remove("missing");
  for (const b of all("[data-fine]", entry)) b.hidden = Number.isNaN(now);
  for (const b of all("[data-count]", entry)) b.setAttribute("aria-pressed", Number(b.dataset.count) === now);
  if (strips.has(entry)) draw(entry, now);
  if (off) { if (!one(".lacking", told) || has(entry)) told.textContent = has(entry) || isCount(entry) ? "" : words().touch; return; }
  const figure = Object.assign(document.createElement("strong"), { textContent: pretty(field(entry).value.trim()) });
  told.replaceChildren(isBeyond(entry) ? "▲ " : "✓ ", figure, " " + (isCount(entry) ? "" : words().unit + " ") + "· " + verdict(entry));
}

const HIGH = 88, FIGURES = 62; // px of a strip, and where its figures stand
function draw(entry, now) {
  const s = strips.get(entry), strip = one(".ruler", entry), x = (v) => (placeOf(s, v) * s.width).toFixed(1);
  const cell = s.width / s.count, metric = "metric" in entry.dataset;
  const text = (at, more) => `<text x="${x(at)}" y="${FIGURES}" text-anchor="middle"${more}>${pretty(typed(at, s.unit, words().mark))}</text>`;
  const rules = rulesOf(s, metric ? 72 : 64);
  const [left, right] = [Number(x(s.low)) - cell / 2, Number(x(s.high)) + cell / 2]; // whoever touches inside of it is within
  const found = Number.isNaN(now) ? "" : `<g class="found" transform="translate(${x(now)})"><path d="M0 0v${HIGH - 12}"/>${isBeyond(entry) ? `<path class="end" d="M0 ${HIGH - 22}l11 20h-22z"/>` : `<circle class="end" cy="${HIGH - 12}" r="9"/>`}</g>`;
  strip.innerHTML = `<svg viewBox="0 0 ${s.width} ${HIGH}" aria-hidden="true" focusable="false"><rect class="allowed" x="${left}" width="${right - left}" height="${HIGH}"/>` +
    rules.map((r) => `<path class="rule" d="M${x(r.at)} 0v${(r.high * 34).toFixed(0)}"/>${r.figure ? text(r.at, "") : ""}`).join("") +
    `<path class="wanted" d="M${x(s.target)} 0v40"/>${text(s.target, ' class="target-figure"')}${found}</svg>`;
  const plain = (v) => String(Number((v / nanometres("1", s.unit)).toFixed(6)));
  strip.setAttribute("aria-valuemin", plain(s.first));
  strip.setAttribute("aria-valuemax", plain(s.first + s.step * (s.count - 1)));
  strip.setAttribute("aria-valuenow", plain(Number.isNaN(now) ? s.target : now)); // a slider has to have one; what is read aloud is the text
  strip.setAttribute("aria-valuetext", Number.isNaN(now) ? words().none : field(entry).value + " " + s.unit + ", " + verdict(entry));
}

// put takes a value as if it were typed.
function put(entry, text) {
  field(entry).value = text;
  field(entry).dispatchEvent(new Event("input", { bubbles: true }));
}
const take = (entry, nm) => put(entry, typed(Math.max(0, nm), words().unit, words().mark));
const answered = (entry) => document.dispatchEvent(new CustomEvent("cloth:found", { detail: { entry } }));

// A finger that lands and lifts has measured; one that goes on to scroll hasn't.
let finger = null;
document.addEventListener("pointerdown", (e) => {
  const strip = e.button === 0 && e.target.closest?.("#work .ruler");
  if (!strip) return;
  const entry = strip.closest("[data-entry]");
  finger = { entry, strip, before: field(entry).value };
  strip.setPointerCapture(e.pointerId);
  land(e);
});
document.addEventListener("pointermove", (e) => { if (finger) land(e); });
document.addEventListener("pointercancel", () => { if (finger) put(finger.entry, finger.before); finger = null; });
document.addEventListener("pointerup", (e) => {
  if (!finger) return;
  land(e);
  const { entry } = finger;
  finger = null;
  navigator.vibrate?.(12);
  answered(entry);
});
function land(e) {
  const r = finger.strip.getBoundingClientRect();
  take(finger.entry, valueAt(strips.get(finger.entry), (e.clientX - r.left) / r.width));
}

document.addEventListener("click", (e) => {
  const b = e.target.closest("#work :is([data-count], [data-fine], [data-other])");
  const entry = b?.closest("[data-entry]");
  if (!entry) return;
  if (b.dataset.count) { put(entry, b.dataset.count); answered(entry); }
  else if (b.dataset.fine) { take(entry, value(entry) + Number(b.dataset.fine) * fineOf(words().unit)); answered(entry); }
  else { current = entry.dataset.entry; show(entry, one(".by-keys", entry).hidden); if (!hands.touch) field(entry).focus(); }
});

// On a strip arrows go from mark to mark, first to what is asked; Enter and Space take that, and go on.
document.addEventListener("keydown", (e) => {
  const entry = e.target.matches?.(".ruler") && e.target.closest("[data-entry]");
  if (!entry || e.ctrlKey || e.metaKey || e.altKey) return;
  const s = strips.get(entry), now = value(entry), none = Number.isNaN(now), fine = fineOf(s.unit), aim = aimOf(s);
  if (e.key === "ArrowRight" || e.key === "ArrowUp") take(entry, none ? aim : now + fine);
  else if (e.key === "ArrowLeft" || e.key === "ArrowDown") take(entry, none ? aim : now - fine);
  else if (e.key === "Home") take(entry, s.first);
  else if (e.key === "End") take(entry, s.first + s.step * (s.count - 1));
  else if (e.key === "Enter" || e.key === " ") { if (none) take(entry, aim); answered(entry); }
  else return;
  e.preventDefault();
});

let wide = innerWidth;
addEventListener("resize", () => { if (innerWidth !== wide) { wide = innerWidth; setUp(); } });

// ---- what is typed
let current = ""; // the entry whose field takes the keys
const open = () => entries().find((e) => e.dataset.entry === current && !isChoice(e)) || entries().find((e) => !isChoice(e) && !has(e));

// show brings an entry's field and the keypad, or puts them away.
function show(entry, on) {
  one(".by-keys", entry).hidden = !on;
  one("[data-other]", entry)?.setAttribute("aria-expanded", on);
  const keys = one(".keypad", asks());
  if (!on) { if (entry.contains(keys)) keys.hidden = true; return; }
  for (const e of entries()) if (e !== entry && !isChoice(e) && e.dataset.target) one(".by-keys", e).hidden = true;
  one(".by-keys", entry).append(keys);
  keys.hidden = false;
  keys.classList.toggle("counts", isCount(entry));
}

// type is one key of the keypad, by finger or by card; it reports whether an entry took it.
export function type(key) {
  const entry = open();
  if (!entry) return false;
  if (one(".by-keys", entry).hidden) show(entry, true);
  current = entry.dataset.entry;
  const text = pressed(field(entry).value, key, { count: isCount(entry), metric: "metric" in entry.dataset, mark: words().mark });
  if (text === null) refuse("");
  else put(entry, text);
  return true;
}

// commit takes the value that was typed, unless it can't be.
export function commit() {
  const entry = open();
  if (!entry) return;
  const why = faulty(entry);
  if (why) { refuse(why); if (!hands.touch) field(entry).select(); return; }
  if (!has(entry)) { if (!hands.touch) field(entry).focus(); return; }
  show(entry, false);
  current = "";
  answered(entry);
}

// turnTo shows a value that can't be or is lacking.
export function turnTo(entry) {
  if (faulty(entry)) { current = entry.dataset.entry; show(entry, true); }
  entry.scrollIntoView({ block: "nearest" });
  hold(entry)?.focus({ preventScroll: true });
}

// hold is what of an entry takes the focus.
export const hold = (entry) => isChoice(entry) ? one("input[type=radio]", entry) : one(".by-keys", entry).hidden ? one(".ruler, .wanted", entry) : field(entry);

document.addEventListener("focusin", (e) => { if (e.target.matches("#work .by-keys input")) current = e.target.closest("[data-entry]").dataset.entry; });
document.addEventListener("input", (e) => {
  const entry = e.target.closest?.("#work [data-entry]");
  if (entry) weigh(entry);
});

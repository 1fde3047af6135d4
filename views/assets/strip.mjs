// The tape strip: a ruler round a target, on which a finger lands where the cloth ends. What can be worked out without a page,
// tested by node. Lengths are whole nanometres.

// A mark's breadth under a gloved finger, in px; what is touched is the nearest mark.
const breadth = 24;
// More marks than this are finer than an eye follows, however wide the page.
const most = 27;

const inch = 25400000, millimetre = 1000000;

// What one mark stands for, the finest first: the marks of a rule.
const steps = { metric: [1, 2, 5, 10, 20, 50].map((n) => n * millimetre), inches: [1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2].map((n) => n * inch) };
// How far apart figures may stand on it.
const figures = { metric: [5, 10, 20, 50, 100, 200, 500].map((n) => n * millimetre), inches: [1 / 4, 1 / 2, 1, 2, 4, 8, 16].map((n) => n * inch) };

export const isMetric = (unit) => unit !== "in";
// fineOf is the finest mark of a unit's rule: a sixteenth of an inch, a millimetre.
export const fineOf = (unit) => steps[isMetric(unit) ? "metric" : "inches"][0];

// stripOf lays out a strip that is so many px wide: the marks that a finger takes, from `first` on, `count` of them `step`
// apart. They reach at least one mark beyond what is allowed on both sides, and are as fine as fingers allow. They are the
// rule's own where the target is on one of them, or where another within the tolerance is; else they start from the target.
export function stripOf({ target, low, high, unit, width }) {
  const list = steps[isMetric(unit) ? "metric" : "inches"];
  const room = Math.min(most, Math.max(5, Math.floor(width / breadth)));
  const needs = (s) => Math.ceil((target - low) / s) + Math.ceil((high - target) / s) + 3;
  const step = list.find((s) => needs(s) <= room) ?? list.at(-1);
  const ruled = Math.round(target / list[0]) * list[0];
  const anchor = target === ruled || ruled < low || ruled > high ? target : ruled;
  const under = Math.ceil((anchor - low) / step), over = Math.ceil((high - anchor) / step);
  const spare = Math.max(1, Math.floor((room - under - over - 1) / 2));
  const left = Math.min(under + spare, Math.floor(anchor / step)); // no cloth is shorter than none
  const count = left + over + spare + 1;
  return { first: anchor - left * step, step, count, target, low, high, unit, width };
}

// valueAt is what a finger takes at a place across the strip, x of 0 to 1: the nearest mark.
export function valueAt(s, x) {
  return s.first + s.step * Math.min(s.count - 1, Math.max(0, Math.floor(x * s.count)));
}

// placeOf is where a value stands across the strip, of 0 to 1; never beyond its ends.
export function placeOf(s, value) {
  return Math.min(1, Math.max(0, ((value - s.first) / s.step + 0.5) / s.count));
}

// aimOf is what a finger on the target takes, and a key that says that it is so: where the target lies between two marks of the
// rule, the mark that it is read at.
export function aimOf(s) {
  return valueAt(s, placeOf(s, s.target));
}

// rulesOf are the strip's lines: each mark of the rule with how long it is drawn, 1 a whole unit's, and the figure at some of
// them. Figures stand apart by at least so many px, clear of the ends and of the target's own.
export function rulesOf(s, apart) {
  const metric = isMetric(s.unit), fine = fineOf(s.unit);
  const from = s.first - s.step / 2, to = s.first + s.step * (s.count - 0.5), px = s.width / (to - from);
  const drawn = [fine, fine * (metric ? 5 : 2), fine * (metric ? 10 : 4), fine * (metric ? 50 : 8), fine * (metric ? 100 : 16)].find((d) => d * px >= 6) ?? s.step;
  const every = figures[metric ? "metric" : "inches"].find((f) => f * px >= apart) ?? Infinity;
  const rules = [];
  for (let k = Math.ceil(from / drawn); k * drawn <= to; k++) {
    const at = k * drawn, clear = (at - from) * px >= apart / 2 && (to - at) * px >= apart / 2 && Math.abs(at - s.target) * px >= apart * 0.8;
    rules.push({ at, high: height(at, metric), figure: at % every === 0 && clear });
  }
  return rules;
}

function height(at, metric) {
  const parts = metric ? [[10 * millimetre, 1], [5 * millimetre, 0.7]] : [[inch, 1], [inch / 2, 0.75], [inch / 4, 0.58], [inch / 8, 0.43]];
  return parts.find(([part]) => at % part === 0)?.[1] ?? (metric ? 0.45 : 0.3);
}

// beyond is by how much a value lies outside its limits, 0 within: over them positive, under them negative.
export function beyond(value, low, high) {
  return value > high ? value - high : value < low ? value - low : 0;
}

// countsOf are the counts that a hand may have found instead of a target, itself in the middle.
export function countsOf(target) {
  const first = Math.max(0, target - 2);
  return [0, 1, 2, 3, 4].map((n) => first + n);
}

// Lengths and counts as they are typed at a bench, and the keypad that types them. Tested by node.

const glyphs = { "1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞" };

// read returns a typed value as a number of the unit; NaN for what only the shop's own reader knows, such as another unit.
export function read(text, unit) {
  text = text.trim().replace(new RegExp("\\s*(" + unit + "|″|\")$", "i"), "").replace(",", ".");
  for (const [value, glyph] of Object.entries(glyphs)) text = text.replace(glyph, " " + value);
  const parts = /^(\d+(?:\.\d*)?|\.\d+)?(?:(?:^|[\s-])\s*(\d+)\s*[/⁄]\s*(\d+))?$/.exec(text.trim());
  if (!parts || !text.trim() || parts[2] && Number(parts[2]) >= Number(parts[3])) return NaN; // a fraction is under 1
  return Number(parts[1] || 0) + (parts[2] ? Number(parts[2]) / Number(parts[3]) : 0);
}

const nanometre = { in: 25400000, cm: 10000000, mm: 1000000 };

// nanometres returns a typed length in nanometres, to the whole one, as the shop's reader takes it; NaN as read does.
export function nanometres(text, unit) { return Math.round(read(text, unit) * nanometre[unit]); }

// fraction writes whole inches and sixteenths, or smaller parts, as a person types them: "95 1/2".
export function fraction(whole, num, den = 16) {
  while (num && num % 2 === 0) { num /= 2; den /= 2; }
  return [whole || (num ? "" : "0"), num ? num + "/" + den : ""].filter((p) => p !== "").join(" ");
}

// typed writes a length of nanometres as a person types it in a unit: inches with a fraction where they lie on a rule's mark or
// halfway between two, else decimals. mark is the language's decimal mark.
export function typed(nm, unit, mark) {
  const parts = nm * 32 / nanometre[unit];
  if (unit === "in" && Number.isInteger(parts)) return fraction(Math.floor(parts / 32), parts % 32, 32);
  return String(Number((nm / nanometre[unit]).toFixed(unit === "in" ? 8 : 6))).replace(".", mark);
}

// pretty sets the fraction of a typed value: "95 1/2" as 95½.
export function pretty(text) {
  return text.replace(/\s*(\d+)\/(\d+)$/, (_, num, den) => glyphs[num + "/" + den] ||
    [...num].map((n) => "⁰¹²³⁴⁵⁶⁷⁸⁹"[n]).join("") + "⁄" + [...den].map((n) => "₀₁₂₃₄₅₆₇₈₉"[n]).join(""));
}

// difference writes how far a value is off, in nanometres, to the nearest mark of a rule: a sixteenth, and halfway between two
// marks that, a millimetre's tenth; a count as it is. mark is the language's decimal mark.
export function difference(off, { count, metric, unit, mark }) {
  if (count) return String(Math.round(off));
  off /= nanometre[unit];
  if (metric) return off.toFixed(unit === "mm" ? 1 : 2).replace(".", mark) + " " + unit;
  const den = Number.isInteger(off * 32) ? 32 : 16, num = Math.max(1, Math.round(off * den));
  return fraction(Math.floor(num / den), num % den, den) + " " + unit;
}

// press returns a field's text after a key of the keypad: a digit, "back", "mark" (decimal), "e1" to "e7" (eighths), "s" (a
// sixteenth more); null for a key that can't be meant, such as a digit behind a fraction.
export function press(text, key, { count, metric, mark }) {
  if (metric || count) {
    if (key === "back") return text.slice(0, -1);
    if (key === "mark") return count || text.includes(mark) ? text : (text || "0") + mark;
    return /^\d$/.test(key) && text.length < 7 ? text + key : text;
  }
  const parts = /^(\d+(?=\s|$))?\s*(?:(\d+)\/(2|4|8|16))?$/.exec(text.trim()) || [];
  let whole = parts[1] || "", sixteenths = parts[2] ? Number(parts[2]) * 16 / Number(parts[3]) : 0;
  if (key === "back") { if (sixteenths) sixteenths = 0; else whole = whole.slice(0, -1); }
  else if (key === "s") sixteenths = (sixteenths + 1) % 16;
  else if (/^e\d$/.test(key)) sixteenths = 2 * Number(key[1]);
  else if (sixteenths) return null;
  else if (/^\d$/.test(key) && whole.length < 4) whole = (whole + key).replace(/^0+(?=\d)/, "");
  return whole || sixteenths ? fraction(Number(whole || 0), sixteenths) : "";
}

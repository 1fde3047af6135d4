// The cutting table: the lengths of its forms take the keys of a keypad, by finger or by card, as measures do.
import { all, one, refuse } from "./open.js";

export const table = () => one("#open #table");
const lengths = () => all("details[open] [data-length]", table() || document.createElement("p"));
let into = ""; // the id of the length that the keys go into
export const length = () => lengths().find((f) => f.id === into) || lengths()[0];

// cutLength is where a length goes that is keyed in while nothing asks: the next cut came out otherwise.
export function cutLength() {
  if (!table() || !one("#otherwise", table())) return null;
  openFold(one("#otherwise", table()));
  return length();
}

function openFold(fold) {
  fold.open = true;
  into = one("[data-length]", fold)?.id || "";
  point();
  fold.scrollIntoView({ block: "nearest" });
}

// point shows which length the keys go into, and the keys.
export function point() {
  for (const keys of all(".keypad", table() || document.createElement("p"))) keys.hidden = !keys.closest("details").open;
  for (const f of all("#table [data-length]")) f.classList.toggle("is-asked", f === length());
}

// nextLength goes on to what is still to be keyed in; with all of it the form is sent.
export function nextLength() {
  const list = lengths(), now = length();
  const open = [...list.slice(list.indexOf(now) + 1), ...list].find((f) => !f.value.trim());
  if (!open) { now.form.requestSubmit(one("button[name=action]", now.form)); return; }
  if (open === now) refuse("");
  if (list.includes(document.activeElement)) open.focus();
  into = open.id;
  point();
}

// byCard opens a form of the table; scanned again, the card sends what was keyed in, or closes the form where that is
// nothing.
function byCard(name) {
  const fold = one("#" + name, table());
  if (!fold.open) openFold(fold);
  else if (lengths().some((f) => f.value.trim())) nextLength();
  else fold.open = false;
}
export const cards = { DOFLAW: () => byCard("flaw"), DOREST: () => one("#rest", table()) && byCard("rest"), DOCUT: () => nextLength() };
// isOurs reports whether a card is about a form of the table; else the shop tells the cut.
export const isOurs = (card) => table() && cards[card] && (card !== "DOCUT" || one("#otherwise[open]", table()) && length().value.trim());

document.addEventListener("toggle", (e) => { if (e.target.closest?.("#table")) { if (e.target.open && !lengths().some((f) => f.id === into)) into = lengths()[0]?.id || ""; point(); } }, true);
document.addEventListener("focusin", (e) => { if (e.target.matches("#table [data-length]")) { into = e.target.id; point(); } });


// The ticket that lies open at a bench, for the scripts that work on it.
export const one = (selector, within = document) => within.querySelector(selector);
export const all = (selector, within = document) => [...within.querySelectorAll(selector)];
export const article = () => one("#open article");

// place is what a reload comes back to: the ticket, at which of the bench's stations, and how far it is.
export const place = () => { const { code, station, state } = article()?.dataset ?? {}; return "number " + code + " " + station + " " + state; };

// refuse says why something can't be, by word and sound; by sound alone where there is nothing to say.
export const refuse = (text) => document.dispatchEvent(new CustomEvent("cloth:say", { detail: { how: "refused", text } }));

// hands is how somebody works just now: by finger no field needs the focus, and none brings the system's keys; by keys the focus
// goes ahead of the hand.
export const hands = { touch: false, keys: false };
document.addEventListener("keydown", () => { hands.keys = true; }, true);

// A key that is held down answers once: the focus has gone on, and what is next would be answered unseen.
document.addEventListener("keydown", (e) => {
  if (!e.repeat || !/^(Enter| )$/.test(e.key) || !e.target.closest?.("#work, .bar")) return;
  e.preventDefault();
  e.stopImmediatePropagation();
}, true);
document.addEventListener("pointerdown", (e) => {
  hands.keys = false;
  hands.touch = e.pointerType === "touch";
  for (const f of all("#work [data-entry] input:not([type=radio], [type=checkbox]), #table [data-length]")) f.inputMode = hands.touch ? "none" : "text";
}, true);

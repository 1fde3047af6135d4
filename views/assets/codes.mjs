// What a scanner types: a ticket's code, bare or at the end of an address, or a card's command. Tested by node.

// codeOf returns the nine symbols of a ticket in what was scanned or typed, as the server reads them: O is 0, I and L are 1.
export function codeOf(text) {
  return String(text || "").trim().split(/[/?#]/).filter(Boolean).pop()?.toUpperCase().replace(/[\s-]/g, "").replace(/O/g, "0").replace(/[IL]/g, "1") || "";
}

// isCard reports whether a text is a card's: it says DO and what to do, never in nine symbols as a code has symbols; the
// server knows which there are.
export function isCard(text) {
  const letters = String(text || "").replace(/[\s-]/g, "");
  return /^DO[A-Z]+[0-9]?$/i.test(letters) && letters.length !== 9;
}

// isNextCut reports whether a card says that the next cut is made.
export const isNextCut = (text) => /^\s*DO[\s-]*CUT\s*$/i.test(String(text || ""));

// scannedInto returns what a scanner has typed at the end of a field that was meant for a measure: a ticket's or a bolt's address, or
// where cards are read too a card or a bare code; null where it was a person's typing.
export function scannedInto(text, cards) {
  return /https?:\/\/\S+\/[bt]\/\S+$/i.exec(text) || cards && /(DO [A-Z ]+[0-9]?|(?=[0-9]*[A-Z])[0-9A-Z]{9})$/.exec(text) || null;
}

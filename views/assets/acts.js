// The acts that a hand and an eye confirm: a tile each, whose touch ticks all its checks. Without this script the checks stand there.
import { all, one } from "./open.js";

export const acts = () => all("#work [data-act] [data-all]");
const checks = (act) => all('input[name="check"]', act);

// setUp puts tiles in the place of their checks; those that go with a choice are ticked by it.
export function setUp() {
  for (const act of all("#work [data-act]")) {
    const tile = one(".act-tile", act);
    for (const c of checks(act)) c.closest(".tick").hidden = true;
    if (!tile) continue;
    tile.hidden = false;
    one("[data-all]", tile).checked = checks(act).every((c) => c.checked);
  }
}

// tick ticks an act's checks, or takes that back.
function tick(act, on) {
  for (const c of checks(act)) c.checked = on;
  checks(act)[0].dispatchEvent(new Event("input", { bubbles: true })); // it is kept with what is typed
}

// isDone reports whether everything is ticked.
export const isDone = () => all('#work input[name="check"]').every((c) => c.checked);

document.addEventListener("change", (e) => {
  if (e.target.matches("#work [data-all]")) {
    tick(e.target.closest("[data-act]"), e.target.checked);
    e.target.closest(".act-tile").classList.remove("missing");
  } else if (e.target.matches("#work [data-entry] input[type=radio]")) {
    const act = one("[data-act]", e.target.closest("[data-entry]"));
    if (act) tick(act, true);
  }
});

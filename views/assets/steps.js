// Shows a step's numbers one at a time, in the order of the work, and asks for its measures one at a time, by a keypad
// that refuses what can't be, each held against its tolerance as on a scale. Without this script all numbers, fields
// and checks stand under one another. scan.js sends what is done.
import { difference, nanometres, press as pressed, pretty, read } from "./lengths.mjs";

(() => {
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const article = () => one("#open article");
  const moves = () => one("[data-moves]");
  const entries = () => all("#work [data-entry]");
  const ticks = () => all("#work .checks input");
  const refuse = (text) => document.dispatchEvent(new CustomEvent("cloth:say", { detail: { how: "refused", text } }));

  const onward = () => one(".finish-once") || one(".bar .main-action"); // to where the checks lead

  // ---- numbers
  const place = () => "number " + article()?.dataset.code + " " + article()?.dataset.state; // what a reload comes back to
  const told = () => all(".move:not(.of-entry)", moves());
  let habit = localStorage.getItem("numbers") === "all"; // of this device: all at once, for those who know

  function showNumber(index, say) {
    const list = told();
    if (!list.length) return;
    index = Math.min(Math.max(index, 0), list.length - 1);
    sessionStorage.setItem(place(), index);
    show(list[index], say);
  }

  function show(move, say) {
    const m = moves();
    if (!m || !move) return;
    all(".move", m).forEach((e) => e.classList.toggle("is-current", e === move));
    const list = told();
    const at = list.indexOf(move);
    const words = at < 0 ? "" : m.dataset.of.replace("{now}", at + 1).replace("{of}", list.length);
    one(".move-count", m).textContent = words;
    for (const b of all("[data-step]", m)) b.disabled = at >= 0 && !list[at + Number(b.dataset.step)];
    if (say) one("[data-said]", m).textContent = words + ". " + all(".move-do, .hero-number, .hero-name", move).map((e) => e.textContent).join(" ");
  }

  function step(by) {
    const now = Number(sessionStorage.getItem(place()) || 0);
    const away = !told().some((e) => e.classList.contains("is-current")); // a measure is shown: come back to the number
    showNumber(away ? now : now + by, true);
  }

  function showAll(on) {
    const m = moves();
    if (!m) return;
    habit = on;
    localStorage.setItem("numbers", on ? "all" : "one");
    dress(m);
  }

  function dress(m) {
    m.classList.toggle("one", !habit);
    one("#open").classList.toggle("all-numbers", habit);
    const b = one("[data-all]", m);
    b.dataset.more ||= b.textContent;
    b.setAttribute("aria-pressed", habit);
    b.textContent = habit ? b.dataset.one : b.dataset.more;
  }

  // ---- measures: one is asked at a time
  const asks = () => one("[data-entries]");
  const field = (entry) => one("input:not([type=radio])", entry);
  const has = (entry) => entry.dataset.kind === "choice" ? Boolean(one("input:checked", entry)) : Boolean(field(entry).value.trim());
  const nameOf = (entry) => (one("label, legend", entry).firstChild.textContent || "").trim();
  let asked = ""; // the entry that is shown; "checks" for the checks
  let touched = false; // by finger: no field needs the focus, and none brings the system's keys
  let keyed = false; // by keys: the focus goes ahead of the hand

  function ask(name, focus) {
    const box = asks();
    if (!box) return;
    asked = name;
    for (const e of entries()) e.hidden = e.dataset.entry !== name;
    if (document.activeElement?.closest("[data-entry][hidden]")) document.activeElement.blur();
    const open = entries().find((e) => e.dataset.entry === name);
    const keys = one(".keypad", box);
    keys.hidden = !open || open.dataset.kind === "choice";
    keys.classList.toggle("counts", open?.dataset.kind === "count");
    const checks = one("#work .checks");
    if (checks) checks.hidden = name !== "checks";
    tabs();
    if (open) {
      show(one(`.of-entry[data-move="${CSS.escape(name)}"]`, moves()), false);
      weigh(open);
    } else {
      showNumber(Number(sessionStorage.getItem(place()) || 0), false);
    }
    // On a phone the keys lie over the foot of the page: what they are about moves above them.
    if (open && getComputedStyle(box).position === "fixed") (innerHeight < 700 ? moves() : article()).scrollIntoView({ block: "start" });
    if (focus && !touched) (open ? one("input", open) : ticks().find((t) => !t.checked) || onward())?.focus({ preventScroll: true });
  }

  // next goes to what is still to be measured, and from the last measure to the checks.
  function next(focus) {
    const list = entries();
    const at = list.findIndex((e) => e.dataset.entry === asked);
    const open = [...list.slice(at + 1), ...list.slice(0, at + 1)].find((e) => !has(e));
    if (open) ask(open.dataset.entry, focus);
    else if (ticks().length) ask("checks", focus);
    else { tabs(); if (focus && !touched) onward()?.focus(); }
  }

  // tabs are the measures by their numbers, with what was found, and the checks by how many are left.
  function tabs() {
    const list = one(".entry-tabs", asks());
    const tab = (name, label, face, done) => {
      const li = document.createElement("li");
      const b = Object.assign(document.createElement("button"), { type: "button", textContent: face });
      b.dataset.ask = name;
      b.prepend(Object.assign(document.createElement("span"), { className: "unseen", textContent: label + " " }));
      if (name === asked) b.setAttribute("aria-current", "step");
      b.classList.toggle("done", done);
      li.append(b);
      return li;
    };
    const left = ticks().filter((t) => !t.checked).length;
    const focus = document.activeElement?.dataset?.ask;
    list.replaceChildren(
      ...entries().map((e, i) => tab(e.dataset.entry, nameOf(e) + (isChoice(e) && has(e) ? ": " + found(e) : ""), has(e) ? isChoice(e) ? "✓" : "✓ " + pretty(found(e)) : String(i + 1), has(e))),
      ...(ticks().length ? [tab("checks", one("#work .checks legend").textContent, (left ? "" : "✓ ") + (ticks().length - left) + "/" + ticks().length, !left)] : []));
    list.hidden = false;
    if (focus) one(`[data-ask="${CSS.escape(focus)}"]`, list)?.focus();
  }
  const isChoice = (e) => e.dataset.kind === "choice"; // whose words are too long for a tab
  const found = (e) => isChoice(e) ? one("input:checked + span", e)?.textContent || "" : field(e).value;

  // ---- what is typed
  // value is a count, or a length in nanometres, as the bounds are.
  const value = (entry) => entry.dataset.kind === "count" ? read(field(entry).value, "") : nanometres(field(entry).value, asks()?.dataset.unit);

  // faulty says why a value can't be, "" where it can: somebody mistyped rather than missewed.
  function faulty(entry) {
    const f = field(entry);
    if (!f || !f.value.trim() || !entry.dataset.target) return "";
    const now = value(entry);
    const say = (words) => asks().dataset[words].replace("{value}", f.value).replace("{target}", plain(one(".target strong", entry)));
    if (Number.isNaN(now)) return /[a-z"'″′]/i.test(f.value) ? "" : say("unread");
    return now < Number(entry.dataset.least) || now > Number(entry.dataset.most) ? say("absurd") : "";
  }
  const plain = (e) => (e?.textContent || "").replace("⁄", "/").trim();

  // weigh holds a value against its tolerance: the marker on the scale, and words.
  function weigh(entry) {
    const d = entry.dataset, told = one(".told", entry);
    if (!told || !d.target) return;
    const metric = "metric" in d;
    const now = field(entry).value.trim() ? value(entry) : NaN;
    const [target, low, high] = [d.target, d.low, d.high].map(Number);
    scale(one(".scale", entry), now, target, low, high, metric);
    entry.classList.remove("is-within", "is-beyond");
    told.classList.remove("lacking");
    if (now) entry.classList.remove("missing");
    if (Number.isNaN(now) || faulty(entry)) { told.textContent = ""; return; }
    const off = now - target;
    const within = now >= low && now <= high;
    entry.classList.add(within ? "is-within" : "is-beyond");
    const words = off === 0 ? "exact" : d.kind === "count" ? (off > 0 ? "many" : "few") : within ? (off > 0 ? "over" : "under") : off > 0 ? "long" : "short";
    told.textContent = (within ? "✓ " : "▲ ") + asks().dataset[words].replace("{diff}", difference(Math.abs(off), { count: d.kind === "count", metric, unit: asks().dataset.unit, mark: asks().dataset.mark }));
  }

  function scale(svg, value, target, low, high, metric) {
    if (!svg) return;
    const exact = high === low;
    const span = !exact ? high - low : metric ? 25e6 : 25.4e6; // nanometres: what the middle third of the scale stands for
    const from = exact ? target - span / 2 : low;
    const x = (v) => 100 + (v - from) / span * 100;
    const band = one(".allowed", svg), wanted = one(".wanted", svg), mark = one(".found", svg);
    band.setAttribute("x", exact ? x(target) - 2 : 100);
    band.setAttribute("width", exact ? 4 : 100);
    for (const end of ["x1", "x2"]) wanted.setAttribute(end, x(target));
    mark.setAttribute("visibility", Number.isNaN(value) ? "hidden" : "visible");
    if (!Number.isNaN(value)) mark.setAttribute("transform", "translate(" + Math.min(Math.max(x(value), 8), 292) + ")");
  }

  // press is one key of the keypad, by finger or by card.
  function press(key) {
    const entry = length() ? null : entries().find((e) => e.dataset.entry === asked);
    if (key === "next") { length() ? nextLength() : commit(false); return; }
    const f = entry ? field(entry) : length() || key !== "back" && cutLength();
    if (!f) return;
    const count = entry?.dataset.kind === "count", { mark, metric } = entry ? { mark: asks().dataset.mark, ...entry.dataset } : table().dataset;
    navigator.vibrate?.(12);
    const text = pressed(f.value, key, { count, metric: metric !== undefined, mark });
    if (text === null) { refuse(""); return; }
    f.value = text;
    f.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // commit takes the value that is asked and goes on, unless it can't be.
  function commit(focus) {
    const entry = entries().find((e) => e.dataset.entry === asked);
    if (entry) {
      const why = faulty(entry);
      if (why) { refuse(why); if (focus) field(entry)?.select(); return; }
      if (!has(entry)) { if (focus) field(entry)?.focus(); return; }
    }
    next(focus);
  }

  // ---- the cutting table: the lengths of its forms take the keys as measures do
  const table = () => one("#open #table");
  const lengths = () => all("details[open] [data-length]", table() || document.createElement("p"));
  let into = ""; // the id of the length that the keys go into
  const length = () => lengths().find((f) => f.id === into) || lengths()[0];

  // cutLength is where a length goes that is keyed in while nothing asks: the next cut came out otherwise.
  function cutLength() {
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
  function point() {
    for (const keys of all(".keypad", table() || document.createElement("p"))) keys.hidden = !keys.closest("details").open;
    for (const f of all("#table [data-length]")) f.classList.toggle("is-asked", f === length());
  }

  // nextLength goes on to what is still to be keyed in; with all of it the form is sent.
  function nextLength() {
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
  const atTable = { DOFLAW: () => byCard("flaw"), DOREST: () => one("#rest", table()) && byCard("rest"), DOCUT: () => nextLength() };
  const isOurs = (card) => table() && atTable[card] && (card !== "DOCUT" || one("#otherwise[open]", table()) && length().value.trim()); // else the shop tells the cut

  document.addEventListener("toggle", (e) => { if (e.target.closest?.("#table")) { if (e.target.open && !lengths().some((f) => f.id === into)) into = lengths()[0]?.id || ""; point(); } }, true);
  document.addEventListener("focusin", (e) => { if (e.target.matches("#table [data-length]")) { into = e.target.id; point(); } });

  // ---- cards that press for those who have no hand free: a scanner types them
  const cards = { DONUMBER: () => step(1), DOALL: () => showAll(!habit), DONEXT: () => press("next"), DORUBOUT: () => press("back"), DOMARK: () => press("mark"), DOSIXTEENTH: () => press("s"),
    DOCHECK: () => { const t = ticks().find((c) => !c.checked); if (t) { ask("checks", false); t.click(); } } };
  for (let n = 0; n <= 9; n++) cards["DOKEY" + n] = () => press(String(n));
  for (let n = 1; n <= 7; n++) cards["DOEIGHTHS" + n] = () => press("e" + n);
  document.addEventListener("cloth:card", (e) => {
    if (isOurs(e.detail)) { e.preventDefault(); atTable[e.detail](); return; }
    const act = cards[e.detail];
    if (!act || !moves() || !/NUMBER|ALL/.test(e.detail) && !one("#work [data-entry], #work .checks")) return; // the shop says that nothing asks
    e.preventDefault();
    act();
  });

  // ---- hands
  document.addEventListener("click", (e) => {
    const b = e.target.closest("[data-step], [data-all], [data-key], [data-ask], .hold-link");
    if (!b) return;
    if (b.dataset.step) step(Number(b.dataset.step));
    else if ("all" in b.dataset) showAll(!habit);
    else if (b.dataset.key) press(b.dataset.key);
    else if (b.dataset.ask) ask(b.dataset.ask, true);
    else { const hold = one("#hold"); hold.open = true; one("button", hold).focus(); }
  });
  document.addEventListener("keydown", () => { keyed = true; }, true);
  document.addEventListener("pointerdown", (e) => { keyed = false; touched = e.pointerType === "touch"; all("#work [data-entry] input:not([type=radio]), #table [data-length]").forEach((f) => { f.inputMode = touched ? "none" : "text"; }); }, true);

  let from = null;
  document.addEventListener("touchstart", (e) => { from = e.target.closest("[data-moves]") && e.touches.length === 1 ? e.touches[0] : null; }, { passive: true });
  document.addEventListener("touchend", (e) => {
    if (!from) return;
    const by = [e.changedTouches[0].clientX - from.clientX, e.changedTouches[0].clientY - from.clientY];
    if (Math.abs(by[0]) > 48 && Math.abs(by[0]) > 2 * Math.abs(by[1])) step(by[0] < 0 ? 1 : -1);
    from = null;
  });

  // Arrows go round the choices of a measure; only Enter, Space or a finger goes on from them.
  let arrows = false;
  document.addEventListener("keydown", (e) => { arrows = e.key.startsWith("Arrow"); }, true);
  document.addEventListener("pointerdown", () => { arrows = false; }, true);

  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || !moves()) return;
    const t = e.target;
    if (t.matches("select, textarea, input[type=radio], input[type=file]") || t.matches("input:not([type=checkbox])") && t.value) return;
    if (e.key === "ArrowRight") step(1);
    else if (e.key === "ArrowLeft") step(-1);
    else if (e.key === "ArrowDown" && !habit) showAll(true);
    else if (e.key === "ArrowUp" && habit) showAll(false);
    else return;
    e.preventDefault();
  });

  // Enter in a measure goes on, unless a scanner typed there, which scan.js has then taken.
  document.addEventListener("cloth:entered", (e) => {
    if (e.target.matches("[data-length]")) { e.preventDefault(); nextLength(); return; }
    if (!e.target.closest("[data-entry]")) return;
    e.preventDefault();
    commit(true);
  });

  document.addEventListener("input", (e) => {
    const entry = e.target.closest?.("#work [data-entry]");
    if (entry) { weigh(entry); tabs(); }
  });
  document.addEventListener("change", (e) => {
    if (e.target.matches("#work [data-entry] input[type=radio]")) arrows ? tabs() : next(true);
    if (!e.target.matches("#work .checks input")) return;
    if (asks()) tabs();
    if (e.target.checked && keyed) (ticks().find((t) => !t.checked) || onward())?.focus();
  });

  // Neither a start nor a finish with a value that can't be is sent.
  document.addEventListener("submit", (e) => {
    if (e.target.id !== "work" || !/^(start|finish)$/.test(e.submitter?.value)) return;
    const entry = entries().find((n) => faulty(n));
    if (!entry) return;
    e.preventDefault();
    e.stopImmediatePropagation();
    refuse(faulty(entry));
    ask(entry.dataset.entry, true);
  }, true);

  // What the shop says is missing is shown.
  document.addEventListener("cloth:missing", (e) => {
    const entry = e.target.closest("[data-entry]");
    ask(entry ? entry.dataset.entry : "checks", false);
  });

  // The box for scans takes the focus unless a measure is asked of hands on keys.
  document.addEventListener("cloth:ready", (e) => {
    if (touched || !asks() || !entries().some((n) => !has(n))) return;
    const open = entries().find((n) => n.dataset.entry === asked);
    if (!open) return;
    e.preventDefault();
    one("input", open).focus({ preventScroll: true });
  });

  let last = "";
  function setUp() {
    point();
    const m = moves();
    one("#open")?.classList.remove("all-numbers");
    if (!m) return;
    one(".move-bar", m).hidden = told().length < 2;
    dress(m);
    showNumber(Number(sessionStorage.getItem(place()) || 0), false);
    if (!asks()) return;
    const same = last === place() && (asked === "checks" || entries().some((e) => e.dataset.entry === asked));
    last = place();
    const open = same ? asked : entries().find((e) => !has(e))?.dataset.entry;
    ask(open || (ticks().length ? "checks" : entries()[0].dataset.entry), false);
  }
  document.addEventListener("cloth:shown", (e) => { if (e.detail.region.id === "open") setUp(); });
  setUp();
})();

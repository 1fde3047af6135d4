// Sends what is scanned or done at the bench without leaving the page, says how it ended by word, sound and
// vibration, and shows what is kept while the network is away. Without this script the same forms work by full pages.
import { codeOf, isCard, isNextCut, scannedInto } from "./codes.mjs";
import { newKey, queue } from "./queue.mjs";

(() => {
  const box = document.getElementById("scan");
  const said = document.getElementById("answer");
  const kept = document.getElementById("kept");
  const person = document.getElementById("person");
  if (!said) return;

  // The device remembers who works at it.
  const remember = () => {
    document.cookie = "person=" + encodeURIComponent(person.value.trim()) + "; path=/; max-age=31536000; samesite=lax";
    document.dispatchEvent(new CustomEvent("cloth:refresh")); // the page may be in another language for them
  };
  if (person) {
    person.addEventListener("change", remember);
    person.form.addEventListener("submit", (e) => { e.preventDefault(); remember(); person.blur(); });
  }

  // ---- sending
  let reached = true; // the shop, as far as the page knows
  const waiting = queue(sessionStorage, "waiting " + location.pathname, { // of this tab: it outlives a reload, not the page
    post, answered,
    later(again) { reached = false; setTimeout(again, 3000); },
    away(item, why) { // a network that is away says nothing; a shop whose disk is full says so
      tell("kept", /^(disk_|data_)/.test(why.code || "") ? why.message : said.dataset.kept);
    },
    shown(late) {
      kept.hidden = !late.length;
      document.getElementById("kept-flaw").hidden = !late.some((item) => /(^|&)action=flaw(&|$)/.test(item.body));
      kept.querySelector("ol").replaceChildren(...late.map((item) => Object.assign(document.createElement("li"), { textContent: item.code })));
    },
  });

  function submit(form, button) {
    const data = new FormData(form, button);
    const open = openCode() || "";
    const card = form.dataset.scan === "box" && isCard(data.get("code"));
    if (form.dataset.scan === "box") {
      data.set("open", open);
      if (card || open && codeOf(data.get("code")) === open) {
        // The ticket that lies open was scanned, or a card that is about it: what is filled in goes along.
        const work = document.getElementById("work");
        if (work) for (const [name, value] of new FormData(work)) if (/^(measured\.|check$)/.test(name)) data.append(name, value);
        const at = document.querySelector("#open article")?.dataset.station; // read twice, it doesn't begin the bench's next station
        if (at) data.set("at_station", at);
      }
    }
    if (card && isNextCut(data.get("code"))) { // the cut that is shown, so that one that is read twice is told once; in a run it may be another ticket's
      for (const [name, value] of new FormData(document.getElementById("cut") || undefined)) {
        if (/^(code|cut|bolt|from)$/.test(name)) data.set(name === "code" ? "open" : name, value);
      }
    }
    data.delete("form_token"); // what is kept may be sent after another sign-in: the page's own goes as a header
    if (person) data.set("person", person.value.trim());
    data.set("key", newKey());
    data.set("at", new Date().toISOString());
    waiting.add({
      to: form.getAttribute("action"), body: new URLSearchParams(data).toString(), code: card ? open : codeOf(data.get("code")),
      filled: !card || /finish/i.test(data.get("code")), fold: form.closest("details[id]")?.id,
    });
    if (form.dataset.scan === "box") form.reset();
  }

  // post sends one to the shop; null where the page is loaded anew, to sign in.
  async function post(item) {
    const response = await fetch(item.to, {
      method: "POST", body: item.body, credentials: "same-origin",
      headers: { "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json", "X-Form-Token": document.body.dataset.token || "" },
      signal: AbortSignal.timeout ? AbortSignal.timeout(15000) : undefined,
    });
    if (response.status === 503) throw (await response.json().catch(() => ({})));
    if (response.status === 401) { location.reload(); return null; }
    const answer = await response.json().catch(() => ({}));
    if (response.status === 403 && answer.field === "form_token") { location.reload(); return null; }
    reached = true;
    return answer;
  }

  async function answered(answer, was) {
    if (answer.ok && was.filled !== false && /(^|&)action=(start|finish|scan)(&|$)/.test(was.body)) forget(was.code);
    if (answer.ok && was.fold && document.getElementById(was.fold)) document.getElementById(was.fold).open = false;
    if (answer.person && person) person.value = answer.person;
    const text = answer.message || said.dataset.unknown;
    tell(answer.state || (answer.ok ? "done" : "refused"), was.kept ? was.code + ": " + text : text, answer.word);
    if (answer.go && !was.kept) { location.assign(answer.go); return; } // what waited is done while somebody is at something else
    if (answer.open !== undefined && box) history.replaceState(null, "", answer.open);
    const missing = answer.missing || [], open = document.getElementById("open");
    const told = () => document.dispatchEvent(new CustomEvent("cloth:answer"));
    const here = missing.length && was.code === openCode();
    if (here) mark(missing); // at once: when the page is fetched anew it would scroll under a hand that goes on
    if (!answer.ok) told(); // nothing has changed, and it can be tried again
    await fetched();
    if (answer.ok) told();
    if (!here || document.getElementById("open") !== open) mark(missing);
  }

  // fetched has the page's regions fetched anew and waits for them, but not for ever.
  function fetched() {
    return new Promise((resolve) => {
      const done = () => { clearTimeout(late); document.removeEventListener("cloth:fresh", done); resolve(); };
      const late = setTimeout(done, 1500);
      document.addEventListener("cloth:fresh", done);
      document.dispatchEvent(new CustomEvent("cloth:refresh"));
    });
  }

  function mark(missing) {
    document.querySelectorAll("#work .missing").forEach((e) => e.classList.remove("missing"));
    let first = null;
    for (const name of missing) {
      const field = document.querySelector(`#work [name="measured.${CSS.escape(name)}"], #work [name="check"][value="${CSS.escape(name)}"]`);
      if (!field) continue;
      (field.closest("[data-act]")?.querySelector(".act-tile") || field.closest(".entry, .tick"))?.classList.add("missing");
      first ||= field;
    }
    if (!first) { ready(); return; }
    if (first.dispatchEvent(new CustomEvent("cloth:missing", { bubbles: true, cancelable: true }))) first.focus();
  }

  // What is filled in for a ticket stays with it while the page shows another, and through a reload.
  const draft = (code) => "typed " + code + " " + location.pathname;
  const forget = (code) => sessionStorage.removeItem(draft(code));
  const openCode = () => document.querySelector("#open article")?.dataset.code;
  document.addEventListener("input", (e) => {
    if (e.target.form?.id !== "work") return;
    const fields = [...new FormData(e.target.form)].filter(([name]) => /^(measured\.|check$)/.test(name));
    sessionStorage.setItem(draft(openCode()), JSON.stringify(fields));
  });
  function restore() {
    const fields = JSON.parse(sessionStorage.getItem(draft(openCode())) || "[]");
    for (const [name, value] of fields) {
      for (const f of document.querySelectorAll(`#work [name="${CSS.escape(name)}"]`)) {
        if (f.type === "checkbox" || f.type === "radio") f.checked ||= f.value === value;
        else if (!f.value) f.value = value;
      }
    }
  }

  // ---- saying how it ended: in the band across the top, until the next act
  const shapes = { done: "✓", held: "‖", refused: "✕", kept: "…" };
  function tell(how, text, word) {
    const part = (name, className, words) => Object.assign(document.createElement(name), { className, textContent: words });
    const p = part("p", "said " + how, "");
    const shape = part("span", "shape", shapes[how]);
    shape.ariaHidden = "true";
    p.append(shape, " ", part("strong", "word", word || said.dataset["word" + how[0].toUpperCase() + how.slice(1)]), " ", part("span", "sentence", text));
    said.replaceChildren(p);
    sound(how);
  }

  // Undo stands in the band for as long as the open ticket can be taken back.
  const undo = document.querySelector(".bench-top .undo");
  const undoable = () => { undo.hidden = !document.getElementById("undo"); };
  undo.addEventListener("click", () => document.querySelector("#undo button").click());

  // Each outcome has its own tones: done rises, held falls, refused buzzes, kept knocks twice.
  const tones = { done: [[660, 0, .09], [990, .1, .12]], held: [[587, 0, .16], [392, .18, .26]], refused: [[190, 0, .22], [150, .26, .3]], kept: [[440, 0, .1], [440, .16, .1]] };
  let audio = null;
  function sound(how) {
    navigator.vibrate?.({ done: [60], held: [120, 60, 60], refused: [200, 80, 200], kept: [60, 60, 60] }[how]);
    try {
      audio ||= new AudioContext();
      audio.resume();
      for (const [pitch, at, length] of tones[how]) {
        const tone = audio.createOscillator();
        const loud = audio.createGain();
        tone.type = how === "refused" ? "square" : "sine";
        tone.frequency.value = pitch;
        loud.gain.setValueAtTime(.2, audio.currentTime + at);
        loud.gain.exponentialRampToValueAtTime(.001, audio.currentTime + at + length);
        tone.connect(loud).connect(audio.destination);
        tone.start(audio.currentTime + at);
        tone.stop(audio.currentTime + at + length);
      }
    } catch { /* a page that nobody has touched yet may not sound */ }
  }

  // ---- the scan box, always ready for a scanner that types
  const typing = (e) => e && (e.matches("input, select, textarea, button, a, summary, [role=slider], [contenteditable]"));
  function ready() {
    if (!box || document.activeElement === box && box.value || typing(document.activeElement) && document.activeElement !== box && document.activeElement.isConnected) return;
    if (!document.dispatchEvent(new CustomEvent("cloth:ready", { cancelable: true }))) return;
    box.inputMode = "none"; // a scanner needs no keyboard on the glass; a finger in the box brings it
    box.focus({ preventScroll: true });
  }
  if (box) {
    box.addEventListener("pointerdown", () => { box.inputMode = "text"; });
    document.addEventListener("keydown", (e) => {
      if (e.key.length === 1 && !e.ctrlKey && !e.metaKey && !e.altKey && !document.activeElement.matches("input:not([type=checkbox], [type=radio]), select, textarea")) {
        if (e.key === " " && typing(document.activeElement)) return;
        document.querySelector("dialog:modal")?.close(); // a scanner's Enter would press what has the focus in it
        box.focus({ preventScroll: true }); // before the key is typed, so it lands in the box
      }
    });
    document.addEventListener("click", (e) => { if (!typing(e.target) && !e.target.closest("label, a, button, summary, form")) ready(); });
    addEventListener("focus", ready);
    ready();
  }

  document.addEventListener("submit", (e) => {
    if (!e.target.matches("[data-scan]")) return;
    const photo = e.target.querySelector("input[type=file]");
    if (photo?.files.length) { // one that isn't kept yet goes with its form, which no page could keep
      if (reached && navigator.onLine) return;
      e.preventDefault();
      photo.value = "";
      tell("refused", photo.dataset.away);
      return;
    }
    e.preventDefault();
    if (e.target.dataset.scan === "box" && isCard(e.target.code.value) && pressed(e.target.code.value)) { e.target.reset(); return; }
    submit(e.target, e.submitter && e.submitter.name ? e.submitter : undefined);
    e.target.closest("dialog")?.close();
  });

  // pressed reports whether a card is one that the page acts on itself: a key of a measure, a number, a check.
  const pressed = (text) => !document.dispatchEvent(new CustomEvent("cloth:card", { detail: text.replace(/[\s-]/g, "").toUpperCase(), cancelable: true }));
  document.addEventListener("cloth:say", (e) => { if (e.detail.text) tell(e.detail.how, e.detail.text); else sound(e.detail.how); });

  const entered = '#work input:not([type="hidden"]), #table [data-length]';
  // Enter in an entry goes on to the next; a scanner that typed a ticket's address or a card into an entry meant the box.
  document.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" || !e.target.matches(entered)) return;
    e.preventDefault();
    const scanned = scannedInto(e.target.value, e.target.matches('[name^="measured."], [data-length]'));
    if (scanned && box) {
      e.target.value = e.target.value.slice(0, scanned.index);
      e.target.dispatchEvent(new Event("input", { bubbles: true })); // so that the draft loses it too
      box.value = scanned[0];
      box.form.requestSubmit();
      return;
    }
    if (!e.target.dispatchEvent(new CustomEvent("cloth:entered", { bubbles: true, cancelable: true }))) return;
    const fields = [...document.querySelectorAll('#work input:not([type="hidden"])')];
    const next = fields.slice(fields.indexOf(e.target) + 1)[0] || document.querySelector(".finish-once") || document.querySelector(".bar .main-action");
    next?.focus();
  });

  document.addEventListener("keypress", (e) => { // scanners there are that send it by itself
    if (e.key === "Enter" && e.target.matches(entered)) e.preventDefault();
  });

  document.addEventListener("cloth:network", (e) => { reached = e.detail.reached; if (reached) waiting.send(); });
  document.addEventListener("cloth:shown", () => { restore(); undoable(); ready(); });
  restore();
  undoable();
  waiting.send();
})();

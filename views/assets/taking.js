// The order form: what it comes to follows each key, the file follows the form and the form the file, and hands
// never need a mouse. The form is sent whole; only the last state matters, so one question is under way at a time and
// the next asks for whatever has been typed meanwhile. An answer is never older than the one shown before it.
import { keeper } from "./kept.js";
import * as proposals from "./propose.js";
import { setUp } from "./windows.js";

const form = document.getElementById("taking");
if (form) {
  const sheet = document.getElementById("sheet");
  const results = document.getElementById("results");
  const source = document.getElementById("source");
  const said = document.getElementById("said");
  const told = document.getElementById("told");
  const words = form.dataset;
  let tried = "tried" in words; // then also what is merely missing is told at its field
  let unsaved = tried;
  const visited = new Set(); // fields that somebody has been in
  form.classList.add("live");
  const kept = keeper(form);
  const table = setUp(form, { add, arrange: (group) => group ? arrange(group, true) : arrangeAll(), changed, say, offer, go });
  const propose = proposals.setUp(form, { arrange: (group) => group ? arrange(group, true) : arrangeAll(), changed, onward, say });

  // ---- what it comes to
  let asking = false, again = false;
  let later; // asks once more, where no answer came
  function ask() {
    if (asking) { again = true; return; }
    asking = true;
    again = false;
    const booked = stale();
    send(words.draft).then(({ answer }) => answer && show(answer, booked)).catch(() => { clearTimeout(later); later = setTimeout(ask, 3000); }).finally(() => {
      asking = false;
      if (again) ask();
    });
  }

  async function send(to, what, patience = 5000, data = new FormData(form)) {
    if (what) data.set("do", what);
    if (data.get("truth") === "form") data.delete("source"); else data.delete("base");
    const response = await fetch(to, {
      method: "POST", body: new URLSearchParams(data), credentials: "same-origin",
      headers: { Accept: "application/json" }, signal: AbortSignal.timeout?.(patience),
    });
    if (response.status === 401) { say(words.signedOut); return {}; }
    const answer = await response.json();
    if (!("results" in answer) && !answer.to) { say(answer.message || words.lost); return {}; }
    return { answer };
  }

  const stale = () => sheet.querySelector("[data-conventions]")?.dataset.stale;

  function show(answer, booked) {
    if (again && form.truth.value === "file" && answer.sheet) delete answer.sheet; // the file goes on being typed
    if (form.truth.value === "form") {
      if (source.value !== answer.source) source.value = answer.source;
    } else if (answer.sheet) {
      fill(sheet, answer.sheet);
      table.mark();
      arrangeAll();
    }
    if (booked && booked === stale()) { // asked with what the customer's book has put in, and nothing was put in since
      const own = sheet.querySelector("[data-conventions]");
      delete own.dataset.stale;
      fill(own, answer.own);
    }
    fill(results, answer.results);
    for (const [group, sum] of Object.entries(answer.sums || {})) {
      const place = part(group)?.querySelector("[data-sum]");
      if (place) fill(place, sum);
    }
    for (const place of sheet.querySelectorAll("[data-short]")) {
      const short = (answer.shorts || {})[place.closest("[data-group]").dataset.group] || "";
      fill(place, short);
      place.hidden = !short;
    }
    for (const f of sheet.querySelectorAll("input[id]")) f.placeholder = (answer.defaults || {})[f.name] || "";
    tell(answer.fields || []);
    fill(told, ended ? words.last + " " + answer.told : answer.told);
    form.dataset.errors = answer.errors;
    here();
    document.dispatchEvent(new CustomEvent("cloth:worked"));
  }

  function fill(place, html) {
    if (place.asServed === html) return;
    place.asServed = html;
    place.replaceChildren(...new DOMParser().parseFromString("<body>" + html, "text/html").body.childNodes);
  }

  // tell puts problems beside their fields; what is only not typed yet is told once it was passed by.
  const lacking = ["missing_key", "customer_missing"];
  let last = [];
  function tell(problems) {
    last = problems;
    const byField = problems.reduce((m, p) => m.set(p.field, [...(m.get(p.field) || []), p]), new Map());
    for (const field of sheet.querySelectorAll(".ask [name]")) {
      const about = (byField.get(field.name) || []).filter((p) => !lacking.includes(p.code) || tried || visited.has(field.name));
      const mark = about.map((p) => p.severity + p.text).join("\n");
      if (field.told === mark) continue;
      field.told = mark;
      const box = field.closest(".ask");
      const wrong = about.some((p) => p.severity === "error");
      box.querySelector(".beside")?.remove();
      box.classList.toggle("wrong", wrong);
      if (wrong) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
      const unit = field.closest(".field") ? "of-units" : "";
      if (unit) field.setAttribute("aria-describedby", unit); else field.removeAttribute("aria-describedby");
      if (!about.length) continue;
      const p = Object.assign(document.createElement("p"), { className: "beside", id: field.id + "-told" });
      p.append(...about.map((one) => Object.assign(document.createElement("span"), { className: one.severity, textContent: one.text })));
      p.append(...about.flatMap((one) => one.offers ?? []).map(({ value, text }) => {
        const button = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: text });
        button.addEventListener("click", () => { field.value = value; ownUnit(field); changed(); onward(field); });
        return button;
      }));
      box.append(p);
      field.setAttribute("aria-describedby", (p.id + " " + unit).trim());
      if (wrong && box.closest("details")) {
        box.closest("details").setAttribute("open", "");
        box.closest(".group.treatments")?.classList.add("unfolded");
      }
    }
  }

  function say(text, how = "refused") {
    said.replaceChildren(Object.assign(document.createElement("p"), { className: "said " + how, textContent: text }));
  }

  // here marks the window that is typed among the numbers.
  function here() {
    for (const n of results.querySelectorAll("[data-window]")) n.classList.toggle("here", n.dataset.window === form.shown.value);
  }

  // ---- parts: fabrics, bolts, tapes, windows, pieces
  const part = (name) => sheet.querySelector(`[data-group="${CSS.escape(name)}"]`);
  const seen = (f) => f.checkVisibility ? f.checkVisibility() : f.offsetParent && !f.closest("details:not([open])"); // not folded away
  const fieldsOf = (within) => [...within.querySelectorAll("input:not([type=hidden]), select, textarea")].filter((f) => f.name !== "base" && !f.disabled && seen(f));
  let newest = 1000; // numbers of new parts: none that the page has

  function rename(node, from, to) {
    const swap = (text) => text === from || text.startsWith(from + ".") ? to + text.slice(from.length) : text;
    for (const e of [node, ...node.querySelectorAll("*")]) {
      for (const name of ["name", "data-group"]) if (e.hasAttribute(name)) e.setAttribute(name, swap(e.getAttribute(name)));
      if (e.value && e.tagName === "BUTTON") e.value = e.value.replace(from, to);
      if (e.id) e.id = e.id.replace("f-" + from + ".", "f-" + to + ".");
      if (e.hasAttribute("aria-describedby")) e.setAttribute("aria-describedby", e.getAttribute("aria-describedby").replace("f-" + from + ".", "f-" + to + "."));
      if (e.htmlFor) e.htmlFor = e.htmlFor.replace("f-" + from + ".", "f-" + to + ".");
    }
    return node;
  }

  function put(node, before, lead, enter = true) {
    before ? before.before(node) : lead.append(node);
    arrangeAll();
    if (!enter) return node;
    const first = fieldsOf(node)[0];
    first?.focus();
    first?.select?.();
    changed();
    return node;
  }

  function add(list, within, enter) {
    const blank = document.querySelector(`template[data-new="${list}"]`).content.firstElementChild.cloneNode(true);
    const outer = { bolts: "fabrics.N.", flaws: "fabrics.N.bolts.N.", piece_fabrics: "pieces.N.", route: "pieces.N.", bands: "treatments.N." }[list] ?? "";
    const inside = outer ? within.closest("[data-group]").dataset.group + "." : "";
    const named = list === "piece_fabrics" ? "fabrics" : list; // as the file calls it
    const node = rename(blank, outer + named + ".N", inside + named + "." + newest++);
    if (list === "treatments") {
      const before = [...sheet.querySelectorAll(".group.treatments")].pop();
      for (const key of ["heading", "face", "lining", "tape", "draw", "length_by"]) { // as the window before it, mostly
        const was = before?.querySelector(`[name$=".${key}"]`), is = node.querySelector(`[name$=".${key}"]`);
        if (!was) continue;
        is.replaceChildren(...[...was.options].map((o) => o.cloneNode(true)));
        is.value = was.value;
        if ("touched" in was.dataset || before.querySelector('[name$=".was"]').value !== "-1") is.dataset.touched = "";
      }
    }
    if (list === "treatments") propose.dress(node);
    if (list === "fabrics") node.querySelector('[name$=".use"]').value = ["face", "lining"][sheet.querySelectorAll(".group.fabrics").length] ?? "interlining";
    return put(node, within.querySelector(":scope > .add"), within, enter);
  }

  function copy(group) {
    const node = group.cloneNode(true);
    const was = [...group.querySelectorAll("[name]")];
    [...node.querySelectorAll("[name]")].forEach((f, i) => { if (was[i].tagName !== "BUTTON") { f.value = was[i].value; f.told = was[i].told; } });
    put(rename(node, group.dataset.group, group.dataset.group.replace(/\d+$/, newest++)), group.nextSibling, group.parentNode);
  }

  function remove(group) {
    const next = group.nextElementSibling, within = group.parentNode;
    group.remove();
    offer(words.removed, () => put(group, next, within)).focus();
    arrangeAll();
    changed();
  }

  // offer says what was done and returns the button that takes it back.
  function offer(text, back, label = words.putBack) {
    const p = Object.assign(document.createElement("p"), { className: "said held", textContent: text + " " });
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: label });
    button.addEventListener("click", () => { said.replaceChildren(); back(); });
    p.append(button);
    said.replaceChildren(p);
    return button;
  }

  // ---- which fields a part shows, by what is chosen in it
  function arrange(group, chosen) {
    const value = (key) => group.querySelector(`:scope > * > .ask > [name$=".${key}"], :scope > * > * > .ask > [name$=".${key}"]`)?.value ?? "";
    const heading = group.querySelector('select[name$=".heading"]');
    const traits = (heading?.selectedOptions[0]?.dataset.traits ?? "").split(" ");
    const own = value("draw").startsWith("stationary"), kind = value("kind");
    const rules = {
      ...Object.fromEntries(traits.map((t) => [t, true])), face: !own, own, floor: value("length_by") === "hang", [kind]: true,
      below: traits.includes("rod") && value("length_by") === "hang",
      pleated: !["pencil", "wave"].includes(kind), corded: kind !== "wave", pole: !["track", "flat"].includes(kind), straight: value("length_by") !== "hang", pattern: !/^0*$/.test(value("vertical_repeat").trim()),
      motifs: !/^0*$/.test(value("horizontal_repeat").trim()), front: value("use") === "face", mirrored: value("motif") === "mirrored",
      sized: ["cushion", "valance"].includes(value("piece")), cushion: value("piece") === "cushion", valance: value("piece") === "valance",
    };
    for (const box of group.querySelectorAll(".ask[data-when]")) {
      const field = box.querySelector("[name]");
      // What a file has stays in sight until a choice says that it goes.
      box.hidden = !rules[box.dataset.when] && (!!chosen || !field.value || field.value === "false");
      field.disabled = box.hidden;
    }
    const sum = group.querySelector("[data-sum]");
    if (sum) sum.hidden = !rules.floor;
  }

  function arrangeAll() {
    for (const g of sheet.querySelectorAll(".group")) arrange(g);
    refer();
    measure();
  }

  // measure puts the order's unit beside each length that doesn't say its own.
  function measure() {
    const chosen = sheet.querySelector('[name="units"]')?.selectedOptions[0];
    if (!chosen) return;
    const word = document.querySelector("#of-units span");
    if (word.textContent !== chosen.text) word.textContent = chosen.text;
    for (const u of sheet.querySelectorAll(".field .unit")) {
      if (u.textContent !== chosen.value) u.textContent = chosen.value;
      ownUnit(u.previousElementSibling);
    }
  }

  function ownUnit(field) {
    field.parentNode.classList.toggle("own-unit", /[\p{L}'"′″’”]/u.test(field.value));
  }

  // refer offers the form's fabrics, tapes and rods where they are chosen.
  function refer() {
    const ids = (list, use) => [...sheet.querySelectorAll(`.group.${list}`)].filter((g) => !use || g.querySelector('[name$=".use"]').value === use)
      .map((g) => g.querySelector('[name$=".id"]').value.trim()).filter(Boolean);
    for (const s of document.querySelectorAll("#sheet select[data-refers]")) {
      const offered = ids(s.dataset.refers, s.dataset.use), chosen = s.value;
      const wanted = ["", ...new Set(offered.concat(chosen && !offered.includes(chosen) ? chosen : []))];
      if (wanted.join("\n") !== [...s.options].map((o) => o.value).join("\n")) {
        s.replaceChildren(s.options[0], ...wanted.slice(1).map((id) => new Option(id, id)));
        s.value = chosen;
      }
      // The one face is every window's, and the one lining a new window's until somebody says otherwise.
      const takes = /\.face$/.test(s.name) || /\.lining$/.test(s.name) && !("touched" in s.dataset) && s.closest(".group")?.querySelector('[name$=".was"]').value === "-1";
      if (!s.value && offered.length === 1 && takes) s.value = offered[0];
    }
  }

  // A fabric, tape or rod that gets another name keeps its windows.
  function renamed(field) {
    const list = field.closest("[data-list]").dataset.list;
    const was = field.before ?? field.defaultValue.trim();
    field.before = field.value.trim();
    if (!was) return;
    for (const s of sheet.querySelectorAll(`select[data-refers="${list}"]`)) {
      if (s.value !== was || !field.before) continue;
      s.append(new Option(field.before, field.before));
      s.value = field.before;
    }
  }

  // ---- typing
  let keeping; // not at each key of a long order
  function keepSoon() {
    clearTimeout(keeping);
    keeping = setTimeout(kept.keep, 300);
  }
  addEventListener("pagehide", () => { if (unsaved) kept.keep(); });

  function changed(event) {
    unsaved = true;
    keepSoon();
    form.truth.value = event?.target === source ? "file" : "form";
    ask();
  }
  form.addEventListener("input", (e) => {
    if (e.target !== source) {
      const group = e.target.closest(".group");
      if (/\.id$/.test(e.target.name) && !e.target.closest(".bolts")) renamed(e.target);
      if (group) arrange(group, e.target.tagName === "SELECT");
      e.target.dataset.touched = "";
      const stop = e.target.closest(".group.route"); // behind the last station is room for one more
      if (stop && e.target.value && !stop.nextElementSibling) add("route", stop.parentNode, false);
      if (/\.(id|use)$/.test(e.target.name)) refer();
      if (e.target.name === "units") measure();
      else if (e.target.closest(".field")) ownUnit(e.target);
    }
    changed(e);
  });
  sheet.addEventListener("focusout", (e) => {
    if (!e.target.name || !e.target.closest(".ask")) return;
    visited.add(e.target.name);
    tell(last);
  });
  sheet.addEventListener("focusin", (e) => {
    const window = e.target.closest(".group.treatments")?.dataset.group;
    if (!window || form.shown.value === window) return;
    form.shown.value = window;
    here();
    ask();
  });

  // leave lets the page go: nothing on it is unsaved any more.
  function leave() {
    unsaved = false;
    clearTimeout(keeping);
    kept.forget();
  }

  // bringBack puts what was typed here and never saved into the form again.
  async function bringBack() {
    const was = await kept.find();
    if (!was || tried || unsaved) return;
    const data = new FormData();
    for (const [name, value] of new URLSearchParams(was.fields)) data.append(name, value);
    data.set("form_token", form.elements.form_token?.value ?? "");
    data.set("sheet", "yes");
    const { answer } = await send(words.draft, "", 25000, data);
    if (!answer || unsaved) return;
    kept.adopt(was);
    form.truth.value = data.get("truth");
    if (answer.source) source.value = answer.source;
    if (answer.sheet) { fill(sheet, answer.sheet); table.mark(); arrangeAll(); }
    show(answer);
    unsaved = true;
    offer(words.kept.replace("[at]", new Date(was.at).toLocaleString(document.documentElement.lang, { weekday: "long", hour: "numeric", minute: "2-digit" })),
      () => { leave(); location.reload(); }, words.startOver);
    fieldsOf(sheet).find((f) => f.matches('[aria-invalid="true"]') || !f.value)?.focus();
  }

  // ---- buttons and keys
  async function save() {
    for (const f of sheet.querySelectorAll('input[type="date"]')) {
      if (f.validity.badInput) { say(words.halfDate); f.focus(); return; }
    }
    if (form.dataset.review) { // what it changes on the floor is shown on a page of its own
      leave();
      form.action = form.dataset.review;
      form.submit();
      return;
    }
    tried = true;
    try {
      const { answer } = await send(form.action, "save", 25000);
      if (!answer) return;
      if (answer.to) { leave(); location.assign(answer.to); return; }
      said.replaceChildren();
      if (answer.refused) say(answer.refused);
      show(answer);
      const wrong = sheet.querySelector("[aria-invalid]");
      (wrong || results.querySelector(".problem.error") || form).scrollIntoView({ block: "center" });
      wrong?.focus();
    } catch {
      say(words.lost);
    }
  }

  form.addEventListener("submit", (e) => {
    e.preventDefault();
    const [what, name] = (e.submitter?.value || "save").split(":");
    const group = e.submitter?.closest("[data-group]");
    if (what === "add") add(e.submitter.closest("[data-list]").dataset.list, e.submitter.closest("[data-list]"));
    else if (what === "copy") copy(group);
    else if (what === "remove") remove(group);
    else if (what === "ways") showWays(group);
    else if (what === "set") take(group, new URLSearchParams(e.submitter.value.split(":")[2]));
    else if (what === "save") save();
  });

  // showWays puts the ways to make a window under its fields; asked again, it folds them away.
  async function showWays(group) {
    const place = group.querySelector("[data-ways]");
    if (place.firstElementChild) { fill(place, ""); return; }
    try {
      const { answer } = await send(words.draft, "ways:" + group.dataset.group, 15000);
      if (!answer) return;
      group.classList.add("unfolded");
      fill(place, answer.ways);
      place.querySelector("button")?.focus({ preventScroll: true });
      place.scrollIntoView({ block: "nearest" });
    } catch {
      say(words.lost);
    }
  }

  // take sets a window's fields as a way says, tells what was before, and offers it back.
  function take(group, set) {
    const back = table.before(), told = [];
    for (const [key, value] of set) {
      const field = group.querySelector(`[name="${CSS.escape(group.dataset.group + "." + key)}"]`);
      const shown = () => (field.selectedOptions ? field.selectedOptions[0]?.text : field.value || field.placeholder) || "–";
      const was = shown();
      table.set(field, value);
      told.push(field.closest(".ask").querySelector("label").textContent + " " + was + " → " + shown());
    }
    fill(group.querySelector("[data-ways]"), "");
    arrange(group, true);
    changed();
    offer(told.join(" · "), () => { back(); arrange(group, true); }).focus();
  }

  function go(field) {
    if (!field) return;
    field.focus();
    field.select?.();
  }

  let ended = false; // Enter has come past the last field, and nothing was typed since
  document.addEventListener("input", () => { ended = false; });

  // onward goes to the next field, and past a bolt or tape that is left empty. After the last it says which keys go on:
  // Enter itself presses no button.
  function onward(field) {
    const stops = fieldsOf(sheet);
    const list = field.closest(".group.bolts, .group.tapes, .group.piece_fabrics") || field.closest(".group.fabrics ~ .group.fabrics");
    const own = list ? fieldsOf(list) : [];
    const chosen = (f) => f.tagName === "SELECT" && !list.matches(".piece_fabrics"); // a choice that stands at its first
    const past = own[0] === field && own.every((f) => !f.value.trim() || chosen(f)) ? own.at(-1) : field;
    const next = stops.slice(stops.indexOf(past) + 1).find((f) => (!f.closest("[data-pass]") || !f.value && f.tagName !== "SELECT") && !f.closest("[data-booked]"));
    if (next) { go(next); return; }
    ended = true;
    told.asServed = "";
    told.textContent = words.last;
  }

  // The press of an Enter that has gone on isn't the next field's: it would open a choice or press a button.
  let gone = false;
  document.addEventListener("keypress", (e) => { if (e.key === "Enter" && gone) e.preventDefault(); });
  document.addEventListener("keydown", (e) => {
    gone = false;
    const field = document.activeElement;
    const piece = field?.closest?.(".group.pieces");
    const group = piece || field?.closest?.(".group.treatments");
    const windows = [...sheet.querySelectorAll(piece ? ".group.pieces" : ".group.treatments")]; // or pieces
    const plain = !e.ctrlKey && !e.metaKey && !e.altKey && !e.shiftKey;
    if ((e.ctrlKey || e.metaKey) && (e.key === "Enter" || e.key.toLowerCase() === "s")) {
      e.preventDefault();
      save();
    } else if (e.key === "F2" && plain && windows.length) {
      e.preventDefault();
      copy(group || windows.at(-1));
    } else if (e.key === "F8" && plain && windows.length && !piece) {
      e.preventDefault();
      showWays(group || windows.at(-1));
    } else if ((e.key === "F4" || e.key === "F9") && plain) {
      e.preventDefault();
      const list = e.key === "F4" ? "treatments" : "pieces";
      add(list, sheet.querySelector(`[data-list="${list}"]`));
    } else if ((e.key === "PageDown" || e.key === "PageUp") && plain && group && field.name) {
      e.preventDefault();
      const other = windows[windows.indexOf(group) + (e.key === "PageDown" ? 1 : -1)];
      go(other?.querySelector(`[name="${CSS.escape(other.dataset.group + field.name.slice(group.dataset.group.length))}"]`));
    } else if (e.key === "Enter" && plain && field?.matches("#sheet input, #sheet select")) {
      e.preventDefault();
      gone = true;
      onward(field);
    }
  });

  told.addEventListener("click", (e) => {
    const first = document.getElementById(e.target.closest("a")?.hash.slice(1));
    if (!first) return;
    e.preventDefault();
    first.closest("details")?.setAttribute("open", "");
    go(first);
  });

  addEventListener("beforeunload", (e) => { if (unsaved) e.preventDefault(); });

  table.mark();
  arrangeAll();
  const asked = document.getElementById(location.hash.slice(1)); // by the page's address
  (sheet.contains(asked) ? asked : fieldsOf(sheet).find((f) => f.matches('[aria-invalid="true"]') || !f.value))?.focus();
  ask();
  bringBack().catch(() => say(words.lost));
}

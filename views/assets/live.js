// Keeps a page as the floor is. Every change that the server tells has the page fetched again, and of its live
// regions ([data-live] with an id) those are replaced whose HTML changed. A region that somebody types in
// (data-live="form") waits until nothing is typed. After a lost connection the page is fetched too, so that it
// ends up as a fresh one would be.
"use strict";
(() => {
  const address = document.body.dataset.stream;
  const lost = document.getElementById("lost");
  const regions = () => document.querySelectorAll("[data-live][id]");
  const asServed = new Map(); // id → HTML as the server last gave it
  for (const r of regions()) (isList(r) ? [...r.children] : [r]).forEach((e) => asServed.set(e.id, e.outerHTML));
  if (!address) return;

  let seq = document.body.dataset.seq;
  const epoch = document.body.dataset.epoch;
  let source = null;
  let fetching = false;
  let again = false;
  let forced = false;
  let timer = 0;
  let broken = 0; // a timer while the stream is broken: it comes back by itself, mostly before anybody need know
  let down = false;

  // A page that nobody sees keeps no stream: a browser has six connections to one host, and a seventh page that
  // kept one would never load.
  function connect() {
    source?.close();
    if (document.hidden) return;
    source = new EventSource(address + "?after=" + encodeURIComponent(seq) + "&epoch=" + encodeURIComponent(epoch));
    source.addEventListener("open", () => { const was = broken; clearTimeout(broken); broken = 0; network(true); if (was) soon(); });
    source.addEventListener("restart", () => location.reload()); // the ledger was restored: what the page has seen is gone
    source.addEventListener("change", (e) => { if (e.lastEventId) seq = e.lastEventId; soon(); });
    source.addEventListener("error", () => { if (source.readyState === EventSource.CLOSED) soon(); }); // refused: perhaps shut out
    source.addEventListener("error", () => { broken ||= setTimeout(() => network(false), 4000); });
  }

  function disconnect() {
    clearTimeout(broken);
    broken = 0;
    source?.close();
  }

  // network notes whether the server can be reached, and tells the page's other scripts when that changes.
  function network(reached) {
    if (down !== reached) return;
    down = !reached;
    lost.hidden = reached;
    if (down) lost.querySelector("[data-since]").textContent = new Date().toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    document.dispatchEvent(new CustomEvent("cloth:network", { detail: { reached } }));
  }
  function soon() {
    clearTimeout(timer);
    timer = setTimeout(refresh, 120);
  }

  async function refresh() {
    if (fetching) { again = true; return; }
    const force = forced;
    fetching = true;
    again = forced = false;
    try {
      const list = document.querySelector("[data-live=list]");
      const answer = await fetch(location.href, { headers: { Accept: "text/html", ...(list && { "X-Seen": list.dataset.seen }) }, cache: "no-store", credentials: "same-origin", signal: timeout(10000) });
      if (answer.redirected && new URL(answer.url).pathname !== location.pathname) { location.assign(answer.url); return; }
      if (answer.ok) {
        show(new DOMParser().parseFromString(await answer.text(), "text/html"), force);
      } else if (answer.status === 401) {
        location.reload();
      } else if (answer.status >= 500) {
        throw new Error(answer.status); // a shop that can't say how things stand is as good as away
      }
    } catch {
      forced ||= force;
      broken ||= setTimeout(() => network(false), 4000);
      again = !down;
    } finally {
      fetching = false;
      if (!again) document.dispatchEvent(new CustomEvent("cloth:fresh"));
      if (again) setTimeout(refresh, 400);
    }
  }

  function show(fresh, force) {
    if (fresh.documentElement.lang !== document.documentElement.lang) { location.reload(); return; } // somebody of another language works here now
    for (const old of regions()) {
      const next = fresh.getElementById(old.id);
      if (!next) continue;
      if (isList(old)) { merge(old, next); continue; }
      if (next.outerHTML === asServed.get(old.id)) continue;
      if (!force && old.dataset.live === "form" && typedIn(old)) continue;
      swap(old, next);
    }
    document.title = fresh.title;
    const back = '[type="hidden"][name="next"]'; // where the page's forms come back to
    const here = fresh.querySelector(back);
    if (here) document.querySelectorAll(back).forEach((f) => { f.value = here.value; });
    const token = fresh.body.dataset.token; // another where somebody signed in anew
    if (token && token !== document.body.dataset.token) {
      document.body.dataset.token = token;
      document.querySelectorAll('input[name="form_token"]').forEach((f) => { f.value = token; });
    }
    const newest = Number(fresh.body.dataset.seq);
    if (newest > Number(seq)) seq = String(newest);
  }

  function swap(old, next) {
    asServed.set(old.id, next.outerHTML);
    for (const d of old.querySelectorAll("details[open]")) {
      const same = sameFold(d, old, next);
      if (same) same.open = true;
    }
    const sheets = [...old.querySelectorAll("dialog[id]:modal")].map((d) => next.querySelector("#" + CSS.escape(d.id))).filter(Boolean);
    const held = old.contains(document.activeElement) ? document.activeElement : null;
    const instead = held && standIn(held, old, next);
    old.replaceWith(document.adoptNode(next));
    for (const sheet of sheets) sheet.showModal();
    if (held) (instead || document.getElementById("main"))?.focus({ preventScroll: true });
    document.dispatchEvent(new CustomEvent("cloth:shown", { detail: { region: next } }));
  }

  // sameFold finds a fold of the old region in the new one: by its id, else by what it is called, and where that has
  // changed, as a count does, by its place.
  function sameFold(fold, old, next) {
    if (fold.id) return next.querySelector("#" + CSS.escape(fold.id));
    const folds = (region) => [...region.querySelectorAll("details:not([id])")];
    const name = (f) => f.querySelector("summary")?.textContent.trim();
    const called = (region) => folds(region).filter((f) => name(f) === name(fold));
    const same = called(next)[called(old).indexOf(fold)];
    if (same) return same;
    const there = folds(next)[folds(old).indexOf(fold)];
    return there?.className === fold.className && !folds(old).some((f) => name(f) === name(there)) ? there : null;
  }

  // standIn finds what in the new region is what had the focus in the old: by its id, fold or address, else by its
  // place in the row that leads to the same ticket or order. What a ticket's own buttons do changes with each step, so nothing
  // stands in for them.
  function standIn(held, old, next) {
    if (held.id) return next.querySelector("#" + CSS.escape(held.id));
    if (held.matches("summary")) return sameFold(held.parentElement, old, next)?.querySelector("summary");
    const address = held.getAttribute("href");
    if (address) return next.querySelector(`[href="${CSS.escape(address)}"]`);
    const row = held.closest("li, tr");
    const leads = old.contains(row) && row.querySelector("a[href]")?.getAttribute("href");
    if (!leads) return null;
    const touched = "a[href], button, input, select, textarea, summary";
    const same = next.querySelector(`[href="${CSS.escape(leads)}"]`)?.closest("li, tr");
    return same?.querySelectorAll(touched)[[...row.querySelectorAll(touched)].indexOf(held)];
  }

  function isList(region) { return region.dataset.live === "list"; }

  // merge brings a list up to date child by child. It told the server what it shows (data-seen), and the server sends
  // the children that haven't changed since as bare names (data-same).
  function merge(old, next) {
    const had = new Map([...old.children].map((child) => [child.id, child]));
    let at = old.firstElementChild;
    for (const child of [...next.children]) {
      let stays = had.get(child.id);
      had.delete(child.id);
      const same = child.hasAttribute("data-same");
      if (same && !stays) { next.dataset.seen = ""; again = true; continue; } // it isn't here after all: ask for the whole
      if (!stays) {
        asServed.set(child.id, child.outerHTML);
        old.insertBefore(document.adoptNode(child), at);
        continue;
      }
      if (stays === at) at = at.nextElementSibling;
      else old.insertBefore(stays, at);
      if (!same && child.outerHTML !== asServed.get(child.id)) swap(stays, child);
    }
    for (const [id, child] of had) { child.remove(); asServed.delete(id); }
    old.className = next.className;
    old.dataset.seen = next.dataset.seen;
  }

  // typedIn reports whether a region holds anything that a fresh one would lose.
  function typedIn(region) {
    return [...region.querySelectorAll("input, textarea, select")].some((f) =>
      f.type === "checkbox" || f.type === "radio" ? f.checked !== f.defaultChecked :
      f.tagName === "SELECT" ? f.selectedIndex > 0 :
      f.type !== "hidden" && f.value !== f.defaultValue);
  }

  // A half-dead network keeps a stream open that says nothing, so the page asks now and then by itself. A page on
  // the wall also has to see a new day.
  let beats = 0;
  setInterval(async () => {
    if (document.hidden) return;
    try {
      const answer = await fetch("/healthz", { cache: "no-store", signal: timeout(5000) });
      if (!answer.ok) throw new Error(answer.status);
      if (down || source.readyState === EventSource.CLOSED) { broken ||= setTimeout(() => network(false), 4000); connect(); }
      if (++beats % 15 === 0) soon();
    } catch {
      network(false);
    }
  }, 20000);

  function timeout(ms) {
    return AbortSignal.timeout ? AbortSignal.timeout(ms) : undefined;
  }

  addEventListener("online", connect);
  addEventListener("offline", () => network(false));
  addEventListener("pagehide", disconnect);
  addEventListener("pageshow", (e) => { if (e.persisted) { connect(); soon(); } });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) { disconnect(); return; }
    connect();
    soon();
  });
  document.addEventListener("cloth:refresh", () => { forced = true; refresh(); });
  connect();
})();

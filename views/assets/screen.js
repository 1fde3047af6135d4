// The shop screen on the wall, which runs for weeks and is touched by nobody. The server sends the whole day as one
// long page; where there is room for columns, this lays it out as pages and turns them. A station always hangs at the
// same place of the same page. What is too long for its column goes on at the next turn, while its neighbours stay.
// Nothing is made anew here but what the page shows already: one timer, one observer, no element.
"use strict";
(() => {
  const COLUMN = 10.4; // least width of a station's column, in letters' heights (em)
  const wall = document.getElementById("wall");
  const clock = document.getElementById("wall-clock");
  const pause = document.getElementById("wall-pause");
  const lost = document.getElementById("lost");
  const wide = matchMedia("(min-width: 62rem) and (min-height: 30rem)");
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const files = document.getElementById("screen").dataset.files;

  let pages = []; // { group, part }: a group of stations and how far its queues have been turned
  let at = 0;
  let shown = 0; // seconds that the page has been shown
  let groups = [];

  // layOut divides the stations among pages as even as they go, and each station's queue among as many parts as its
  // column needs. It keeps the page that is shown.
  function layOut() {
    const here = pages[at];
    const lanes = [...wall.querySelectorAll(".lane")];
    document.body.classList.toggle("paged", wide.matches);
    for (const e of wall.querySelectorAll("[hidden]")) e.hidden = false;
    for (const e of wall.querySelectorAll(".tight")) e.classList.remove("tight");
    groups = [];
    pages = [];
    if (!wide.matches) {
      for (const lane of lanes) lane.querySelector(".part").hidden = true;
    } else if (lanes.length) {
      const most = Math.max(1, Math.floor(wall.clientWidth / (COLUMN * parseFloat(getComputedStyle(wall).fontSize))));
      const across = Math.ceil(lanes.length / Math.ceil(lanes.length / most));
      for (let i = 0; i < lanes.length; i += across) groups.push(lanes.slice(i, i + across).map((lane) => ({ lane, parts: [] })));
      groups.forEach((group, g) => {
        hang(g);
        for (const column of group) column.parts = divide(column.lane);
        const turns = Math.max(...group.map((column) => column.parts.length));
        for (let part = 0; part < turns; part++) pages.push({ group: g, part });
      });
      // The first part of each queue, what is at work and wanted soonest, comes at each station before any second part.
      pages.sort((a, b) => a.part - b.part || a.group - b.group);
    }
    at = Math.max(0, pages.findLastIndex((p) => p.group === here?.group && p.part <= here.part));
    show();
  }

  // hang shows the stations of one group alone.
  function hang(g) {
    groups.forEach((group, i) => { for (const column of group) column.lane.hidden = i !== g; });
  }

  // divide says which items of a station's list fit in its column together. The words over a rank of the queue (late,
  // due soon, the rest) are repeated where the rank goes on.
  function divide(lane) {
    const list = lane.querySelector(".cloth");
    const mark = lane.querySelector(".part");
    mark.textContent = "88/88"; // its room is taken while the rest is measured
    const high = (item) => item.getBoundingClientRect().height;
    const parts = [];
    let rank = null;
    let room = 0;
    for (const item of list.children) {
      if (item.matches(".rank")) { rank = item; continue; }
      if (high(item) + (rank ? high(rank) : 0) > list.clientHeight) item.classList.add("tight"); // no name is cut
      if (!parts.length || high(item) + (!rank || parts.at(-1).includes(rank) ? 0 : high(rank)) > room) {
        parts.push([]);
        room = list.clientHeight;
      }
      for (const next of [rank, item]) {
        if (!next || parts.at(-1).includes(next)) continue;
        parts.at(-1).push(next);
        room -= high(next);
      }
    }
    mark.hidden = parts.length < 2;
    return parts;
  }

  // show shows the page that it is the turn of.
  function show() {
    const page = pages[at];
    if (page) {
      hang(page.group);
      for (const { lane, parts } of groups[page.group]) {
        const part = page.part % parts.length;
        for (const item of lane.querySelector(".cloth").children) item.hidden = !parts[part].includes(item);
        lane.querySelector(".part").textContent = `${part + 1}/${parts.length}`;
      }
    }
    pause.hidden = pages.length < 2;
    mark();
  }

  // mark tells on the selvedge which stations are on the page.
  function mark() {
    const page = pages[at];
    const first = page ? groups.slice(0, page.group).reduce((n, group) => n + group.length, 0) : 0;
    [...document.querySelectorAll("#selvedge li")].forEach((li, i) => {
      const on = page && groups.length > 1 && i >= first && i < first + groups[page.group].length;
      if (on) li.setAttribute("aria-current", "true"); else li.removeAttribute("aria-current");
    });
  }

  // turn goes on by so many pages, or back.
  function turn(by) {
    shown = 0;
    if (pages.length < 2) return;
    const group = pages[at].group;
    at = (at + by + pages.length) % pages.length;
    show();
    if (still.matches) return;
    const moving = pages[at].group === group ? "cloth" : "lane";
    for (const { lane } of groups[pages[at].group]) {
      const e = moving === "lane" ? lane : lane.querySelector(".cloth");
      e.animate([{ opacity: 0, transform: "translateX(3vw)" }, { opacity: 1, transform: "none" }], { duration: 700, easing: "ease-out" });
    }
  }

  // The clock is the shop's, and goes on when the connection is lost. A new day is asked for.
  const zone = clock.dataset.zone || undefined;
  const hand = new Intl.DateTimeFormat(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: zone });
  const calendar = new Intl.DateTimeFormat("sv", { timeZone: zone }); // YYYY-MM-DD
  let day = calendar.format(new Date());
  function beat() {
    const now = new Date();
    const time = hand.format(now);
    if (clock.textContent !== time) clock.textContent = time;
    if (time !== "00:00" && day !== calendar.format(now)) { // at a minute past: the server's clock may be slower
      day = calendar.format(now);
      document.dispatchEvent(new CustomEvent("cloth:refresh"));
    }
    if (pause.getAttribute("aria-pressed") !== "true" && ++shown >= Number(wall.dataset.turn)) turn(1);
  }

  document.addEventListener("cloth:network", (e) => {
    if (!e.detail.reached) lost.querySelector("[data-since]").textContent = hand.format(new Date());
  });
  document.addEventListener("cloth:shown", (e) => {
    const region = e.detail.region;
    if (region.id === "selvedge") mark();
    if (region.id !== "screen") return;
    if (region.dataset.files !== files) location.reload(); // the program is a newer one now
    else layOut();
  });
  pause.addEventListener("click", () => pause.setAttribute("aria-pressed", String(pause.getAttribute("aria-pressed") !== "true")));
  addEventListener("keydown", (e) => {
    if (e.key === "ArrowRight") turn(1);
    if (e.key === "ArrowLeft") turn(-1);
  });
  beat();
  layOut();
  wide.addEventListener("change", layOut);
  new ResizeObserver(layOut).observe(wall); // also when word of a lost connection takes its room, or gives it back
  setInterval(beat, 1000);
})();

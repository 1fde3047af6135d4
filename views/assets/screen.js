// The shop screen on the wall, which runs for weeks and is touched by nobody. Its picture of the floor is always there. Of the lists
// under it, one that is longer than its room is shown part by part, by turns; a station's line is always in the same part.
// Nothing is made anew here but what the page shows already: one timer, one observer, no element.
"use strict";
(() => {
  const wall = document.getElementById("wall");
  const clock = document.getElementById("wall-clock");
  const pause = document.getElementById("wall-pause");
  const lost = document.getElementById("lost");
  const wide = matchMedia("(min-width: 62rem) and (min-height: 30rem)");
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const files = document.getElementById("screen").dataset.files;

  let lists = []; // { list, mark, parts }
  let at = 0; // turns so far
  let shown = 0; // seconds since the last

  // layOut divides each list into as many parts as its room needs.
  function layOut() {
    document.body.classList.toggle("turning", wide.matches);
    lists = [...wall.querySelectorAll(".saying")].filter((s) => s.querySelector("ul")).map((saying) => {
      const list = saying.querySelector("ul");
      const mark = saying.querySelector(".part");
      for (const item of list.children) { item.hidden = false; item.classList.remove("tight"); }
      return { list, mark, parts: wide.matches ? divide(list) : [[...list.children]] };
    });
    show();
  }

  // divide says which lines of a list are shown together.
  function divide(list) {
    const high = (item) => item.getBoundingClientRect().height;
    const parts = [];
    let room = 0;
    for (const item of list.children) {
      if (high(item) > list.clientHeight) item.classList.add("tight"); // no name is cut
      if (!parts.length || high(item) > room) {
        parts.push([]);
        room = list.clientHeight + 1;
      }
      parts.at(-1).push(item);
      room -= high(item);
    }
    return parts;
  }

  // show shows the parts that it is the turn of.
  function show() {
    for (const { list, mark, parts } of lists) {
      const part = at % Math.max(1, parts.length);
      for (const item of list.children) item.hidden = !parts[part].includes(item);
      mark.hidden = parts.length < 2;
      mark.textContent = `${part + 1}/${parts.length}`;
    }
    pause.hidden = lists.every(({ parts }) => parts.length < 2);
  }

  // turn goes on by so many parts, or back.
  function turn(by) {
    shown = 0;
    const moving = lists.filter(({ parts }) => parts.length > 1);
    if (!moving.length) return;
    const round = moving.reduce((n, { parts }) => n * parts.length, 1);
    at = (at + by + round) % round;
    show();
    if (still.matches) return;
    for (const { list } of moving) list.animate([{ opacity: 0, transform: "translateY(.5em)" }, { opacity: 1, transform: "none" }], { duration: 700, easing: "ease-out" });
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
    if (region.id === "screen" && region.dataset.files !== files) location.reload(); // the program is a newer one now
    else if (region.matches(".saying, #screen, #screen-counts")) layOut(); // also where it takes more room than it did
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

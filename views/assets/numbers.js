// A step's numbers one at a time, in the order of the work, or all at once for those who know them.
import { all, one, place } from "./open.js";

export const moves = () => one("[data-moves]");
const told = () => all(".move:not(.of-entry)", moves());
let habit = localStorage.getItem("numbers") === "all"; // of this device

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
  for (const e of all(".move", m)) e.classList.toggle("is-current", e === move);
  const list = told();
  const at = list.indexOf(move);
  const words = at < 0 ? "" : m.dataset.of.replace("{now}", at + 1).replace("{of}", list.length);
  one(".move-count", m).textContent = words;
  for (const b of all("[data-step]", m)) b.disabled = at >= 0 && !list[at + Number(b.dataset.step)];
  if (say) one("[data-said]", m).textContent = words + ". " + all(".move-do, .hero-number, .hero-name", move).map((e) => e.textContent).join(" ");
}

// showPlace shows where on the cloth something is measured, where the drawing stands beside what measures it.
export function showPlace(entry) {
  if (matchMedia("(min-width: 44rem)").matches) show(one(`.of-entry[data-move="${CSS.escape(entry)}"]`, moves() || document), false);
}

function step(by) {
  const now = Number(sessionStorage.getItem(place()) || 0);
  const away = !told().some((e) => e.classList.contains("is-current")); // a measure's place is shown: come back to the number
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
  const b = one("[data-all-numbers]", m);
  b.dataset.more ||= b.textContent;
  b.setAttribute("aria-pressed", habit);
  b.textContent = habit ? b.dataset.one : b.dataset.more;
}

// setUp shows the number that was looked at last.
export function setUp() {
  const m = moves();
  one("#open")?.classList.remove("all-numbers");
  if (!m) return;
  one(".move-bar", m).hidden = told().length < 2;
  dress(m);
  showNumber(Number(sessionStorage.getItem(place()) || 0), false);
}

export const cards = { DONUMBER: () => step(1), DOALL: () => showAll(!habit) };

document.addEventListener("click", (e) => {
  const b = e.target.closest("[data-step], [data-all-numbers]");
  if (b?.dataset.step) step(Number(b.dataset.step));
  else if (b) showAll(!habit);
});

let from = null;
document.addEventListener("touchstart", (e) => { from = e.target.closest("[data-moves]") && e.touches.length === 1 ? e.touches[0] : null; }, { passive: true });
document.addEventListener("touchend", (e) => {
  if (!from) return;
  const by = [e.changedTouches[0].clientX - from.clientX, e.changedTouches[0].clientY - from.clientY];
  if (Math.abs(by[0]) > 48 && Math.abs(by[0]) > 2 * Math.abs(by[1])) step(by[0] < 0 ? 1 : -1);
  from = null;
});

document.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.metaKey || e.altKey || !moves()) return;
  const t = e.target;
  if (t.matches("select, textarea, input[type=radio], input[type=file], [role=slider]") || t.matches("input:not([type=checkbox])") && t.value) return;
  if (e.key === "ArrowRight") step(1);
  else if (e.key === "ArrowLeft") step(-1);
  else if (e.key === "ArrowDown" && !habit) showAll(true);
  else if (e.key === "ArrowUp" && habit) showAll(false);
  else return;
  e.preventDefault();
});

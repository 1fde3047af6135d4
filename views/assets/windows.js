// The windows as a table: a row each, of the form's own fields laid out otherwise, so nothing is kept twice. Keys are those of a
// spreadsheet, and what is copied in one is pasted here.
import { choose, read } from "./paste.mjs";

// setUp takes the form and what of it the table works with: add a window, arrange the fields after a change, work it out (changed),
// say what is wrong, offer a way back, go to a field.
export function setUp(form, { add, arrange, changed, say, offer, go }) {
  const sheet = form.querySelector("#sheet"), words = form.dataset;
  const windows = () => [...sheet.querySelectorAll(".group.treatments")];
  const columns = () => [...sheet.querySelectorAll("[data-column]")].map((c) =>
    ({ key: c.dataset.column, or: c.dataset.or, names: [c.dataset.column, c.textContent, ...c.dataset.names.split(",")] }));
  const boxes = (group) => [...group.querySelectorAll(":scope > .fields > .ask:not([hidden])")];
  const columnOf = (field) => { const key = field.closest(".ask")?.dataset.key; return columns().find((c) => key && (c.key === key || c.or === key)); };
  // cell is the field of a window that stands in a column now.
  const cell = (group, column) => boxes(group).find((b) => [column.key, column.or].includes(b.dataset.key))?.querySelector("[name]");
  const cells = (group) => columns().map((c) => cell(group, c)).filter(Boolean);
  const tabled = () => form.classList.contains("tabled");
  let began = ""; // the column in which somebody began to type along a row
  let held; // the field that had the focus last

  function lay(as) {
    form.classList.toggle("tabled", as);
    mark();
  }
  function mark() {
    sheet.querySelector("[data-table]")?.setAttribute("aria-pressed", tabled());
  }

  // set puts a text into a field as a person would; a choice that isn't offered stands there, to be told as wrong.
  function set(field, text) {
    if (field.tagName === "SELECT") {
      text = choose(text, [...field.options].filter((o) => o.value || !text).map((o) => ({ value: o.value, label: o.text })));
      if (![...field.options].some((o) => o.value === text)) field.append(new Option(text, text));
    }
    field.value = text;
    field.dataset.touched = "";
  }

  // before remembers the windows as they are, and returns the way back to that.
  function before() {
    const was = windows().map((group) => [group, [...group.querySelectorAll("[name]:not(button)")].map((f) => [f, f.value])]);
    return () => {
      for (const group of windows()) if (!was.some(([g]) => g === group)) group.remove();
      for (const [, fields] of was) for (const [field, value] of fields) field.value = value;
      arrange();
      changed();
    };
  }

  // paste takes all rows or none; what is wrong within a cell is told at it.
  function paste(text, field) {
    const all = columns(), from = Math.max(0, all.indexOf(columnOf(field)));
    const { rows, wrong } = read(text, all, from);
    if (wrong.length) {
      say([words.unpasted, ...wrong.map((w) => (w.most ? words.pasteCells : words.pasteColumn)
        .replace("[line]", w.line).replace("[cell]", w.cell).replace("[cells]", w.cells).replace("[most]", w.most))].join(" "));
      return;
    }
    const back = before();
    let group = field.closest(".group.treatments");
    rows.forEach((row, i) => {
      if (i) group = windows()[windows().indexOf(group) + 1] ?? add("treatments", sheet.querySelector('[data-list="treatments"]'), false);
      for (const deciding of [true, false]) { // what decides which fields there are goes first
        for (const column of all) {
          const at = column.key in row && cell(group, column);
          if (!at || (column.key === "heading" || column.key === "draw") !== deciding) continue;
          if (row[column.key] || at.tagName !== "SELECT") set(at, row[column.key]);
        }
        arrange(group);
      }
    });
    if (rows.length > 1) lay(true);
    arrange();
    changed();
    offer(words.pasted.replace("[rows]", rows.length), back);
    go(cell(field.closest(".group"), all[from]) ?? field);
  }
  sheet.addEventListener("paste", (e) => {
    const text = e.clipboardData?.getData("text/plain") ?? "";
    if (!/[\t\n]/.test(text.trim()) || !e.target.matches(".group.treatments > .fields [name]:not(textarea)")) return;
    e.preventDefault();
    paste(text, e.target);
  });

  // fillDown puts a cell's value into all rows under it.
  function fillDown(field) {
    const column = field && columnOf(field), below = windows().slice(windows().indexOf(field?.closest(".group.treatments")) + 1);
    if (!column || !below.length) return;
    const back = before();
    for (const group of below) { const at = cell(group, column); if (at) set(at, field.value); }
    arrange();
    changed();
    offer(words.filled.replace("[rows]", below.length), back);
    go(field);
  }

  sheet.addEventListener("click", (e) => {
    if (e.target.closest("[data-table]")) lay(!tabled());
    else if (e.target.closest("[data-fill-down]")) fillDown(held);
    const unfold = e.target.closest("[data-unfold]");
    if (unfold) unfold.setAttribute("aria-expanded", unfold.closest(".group").classList.toggle("unfolded"));
  });
  sheet.addEventListener("focusin", (e) => {
    if (!e.target.closest(".group.treatments")) return;
    const along = held?.closest(".group") === e.target.closest(".group");
    if (!along) began = columnOf(e.target)?.key ?? "";
    if (e.target.name && columnOf(e.target)) held = e.target;
  });

  // within reports whether an arrow moves in a field's own text.
  function within(field, key) {
    if (field.tagName === "SELECT" || field.type === "date" || key === "ArrowUp" || key === "ArrowDown") return false;
    const { selectionStart: start, selectionEnd: end, value } = field;
    if (start === 0 && end === value.length) return false;
    return key === "ArrowLeft" ? end > 0 : start < value.length;
  }

  // goTo goes to a column of a row, or of the last before it that has such a field.
  const goTo = (group, column) => { const at = group && column && cell(group, column); if (at) go(at); return Boolean(at); };

  document.addEventListener("keydown", (e) => {
    const field = e.target, group = field.closest?.(".group.treatments");
    const column = tabled() && group && columnOf(field);
    if (!column) return;
    const row = (by) => windows()[windows().indexOf(group) + by];
    const plain = !e.ctrlKey && !e.metaKey && !e.altKey && !e.shiftKey;
    let did = false;
    if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "d") { fillDown(field); did = true; }
    else if (!plain || within(field, e.key)) return;
    else if (e.key === "ArrowUp" || e.key === "ArrowDown") { goTo(row(e.key === "ArrowUp" ? -1 : 1), column); did = true; }
    else if (e.key === "ArrowLeft" || e.key === "ArrowRight") {
      const beside = cells(group)[cells(group).indexOf(field) + (e.key === "ArrowLeft" ? -1 : 1)];
      if (beside) go(beside);
      did = true;
    } else if (e.key === "Enter") {
      const first = columns().find((c) => c.key === began) ?? column;
      did = goTo(row(1), first);
    }
    if (!did) return;
    e.preventDefault();
    e.stopImmediatePropagation();
  });
  document.addEventListener("keypress", (e) => { if (e.key === "Enter" && tabled() && columnOf(e.target)) e.preventDefault(); });

  return { mark, before, set };
}

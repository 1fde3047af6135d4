// What was typed once is offered again: two letters in the field of a customer, a fabric, a tape or a rod propose entries of that book,
// arrows and Enter choose one, and it fills the fields beside it. The order keeps its own copy. Without this script they are plain fields.
import { nanometres, typed } from "./lengths.mjs";

// books are the fields that go by one, by the part of the form they stand in: which key of an entry they take, and which field is
// filled by which of its keys, the first that it has.
const books = {
  order: { book: "customers", key: "name" },
  fabrics: {
    book: "cloths", key: "cloth", fills: {
      use: ["use"], usable_width: ["measured.usable_width", "usable_width"], vertical_repeat: ["measured.vertical_repeat", "vertical_repeat"],
      match: ["match"], match_width: ["match_width"], bolt_length: ["bolt_length"], one_way: ["one_way"], thickness: ["thickness"],
      ...Object.fromEntries(["horizontal_repeat", "pile", "sheer", "railroads", "shrink_width", "mass"].map((key) => [key, [key]])), shrink: ["measured.shrink", "shrink"],
    },
  },
  tapes: {
    book: "tapes", key: "id", fills: Object.fromEntries(["kind", "ends", "fingers", "tightest", "pocket_pitch", "pockets", "period", "space", "height", "cords", "top_drop", "end_margin.nominal", "end_margin.min", "end_margin.max",
      "trim_beyond", "insert_length", "pleat_base", "heading_fold", "ease_per_pleat"].map((key) => [key, [key]])),
  },
  rods: {
    book: "rods", key: "id", fills: Object.fromEntries(["kind", "diameter", "circumference", "carrier_pitch", "projection", "ring_inner", "ring_drop", "span",
      "supports", "limit"].map((key) => [key, [key]])),
  },
};
const most = 8; // proposals at once

// setUp takes the form and what of it proposals work with, as the table of windows does.
export function setUp(form, { arrange, changed, onward, say }) {
  const sheet = form.querySelector("#sheet"), words = form.dataset;
  let open = null; // {field, list, rows, at}: what is proposed, and which of it is chosen, -1 none
  let asked = 0; // the newest question: an older answer is of what was typed before

  const bookOf = (field) => field.name === "customer" ? books.order
    : /\.id$/.test(field.name) && !field.closest(".bolts") && books[field.closest("[data-list]")?.dataset.list];
  const at = (row, path) => path.split(".").reduce((value, key) => value?.[key], row);
  const named = (group, key) => group.querySelector(`[name="${CSS.escape(group.dataset.group + "." + key)}"]`);

  // figure writes a book's value as a person types it into the order: a length in its unit without it, with the marks of a rule.
  function figure(value) {
    const unit = form.querySelector('[name="units"]')?.value || "in";
    const length = /^([\d.]+)(in|cm|mm|m|yd)$/.exec(value);
    return length && length[2] === unit ? typed(nanometres(length[1], unit), unit, ".") : String(value);
  }

  function close() {
    if (!open) return;
    open.list.remove();
    open.field.setAttribute("aria-expanded", "false");
    open.field.removeAttribute("aria-activedescendant");
    open = null;
  }

  async function find(book, text) {
    const response = await fetch("/api/" + book + "?limit=" + most + "&find=" + encodeURIComponent(text), { credentials: "same-origin", headers: { Accept: "application/json" } });
    return response.ok ? (await response.json())[book] : [];
  }

  async function propose(field) {
    const book = bookOf(field), text = field.value.trim(), question = ++asked;
    const rows = await find(book.book, text).catch(() => []);
    if (question !== asked || document.activeElement !== field) return;
    close();
    if (!rows.length || rows.length === 1 && rows[0][book.key] === text) return;
    const list = Object.assign(document.createElement("ul"), { id: field.id + "-proposals", className: "proposals" });
    list.setAttribute("role", "listbox");
    list.setAttribute("aria-label", field.closest(".ask").querySelector("label").textContent);
    rows.forEach((row, i) => {
      const option = Object.assign(document.createElement("li"), { id: list.id + i, textContent: row.name });
      option.setAttribute("role", "option");
      option.setAttribute("aria-selected", "false");
      const more = [row.cloth ?? row.phone ?? (row.id !== row.name && book.fills ? row.id : ""), row.usable_width, row.supplier].filter((t) => t && t !== row.name).join(" · ");
      if (more) option.append(" ", Object.assign(document.createElement("span"), { className: "soft", textContent: more }));
      option.addEventListener("pointerdown", (e) => { e.preventDefault(); choose(i); });
      list.append(option);
    });
    field.closest(".ask").append(list);
    field.setAttribute("aria-expanded", "true");
    field.setAttribute("aria-controls", list.id);
    open = { field, list, rows, at: -1 };
  }

  function move(by) {
    open.at = Math.max(-1, Math.min(open.rows.length - 1, open.at + by));
    [...open.list.children].forEach((option, i) => option.setAttribute("aria-selected", i === open.at));
    open.list.children[open.at]?.scrollIntoView({ block: "nearest" });
    if (open.at < 0) open.field.removeAttribute("aria-activedescendant");
    else open.field.setAttribute("aria-activedescendant", open.list.id + open.at);
  }

  async function choose(i) {
    const { field, rows } = open, book = bookOf(field);
    close();
    asked++;
    field.value = rows[i][book.key];
    field.dispatchEvent(new Event("input", { bubbles: true }));
    asked++; // that asks for nothing more
    if (book.fills) fill(field.closest(".group"), book, rows[i]);
    else await usual(rows[i]);
    arrange();
    changed();
    onward(field);
  }

  // fill puts what an entry says into a part's fields, which Enter then goes past.
  function fill(group, book, row) {
    for (const [key, keys] of Object.entries(book.fills)) {
      const value = keys.map((k) => at(row, k)).find((v) => v !== undefined && v !== ""), field = named(group, key);
      if (value === undefined || !field) continue;
      field.value = figure(value);
      if (field.selectedIndex < 0) field.selectedIndex = 0; // what the first of its choices says anyway
    }
    group.dataset.booked = "";
  }

  // usual has new windows made as the customer usually has them, and the order named as that one's are.
  let custom = {};
  function dress(group) {
    if (named(group, "was").value !== "-1") return;
    for (const [key, value] of Object.entries(custom)) {
      const field = named(group, key);
      if (value && field && !("touched" in field.dataset)) field.value = figure(value);
    }
  }
  let booked = {}, bookings = 0; // the conventions that the book has put in, by the fields' names, and how often it did
  async function usual(row) {
    convene(row.conventions ?? {});
    custom = { heading: row.heading, fullness: row.fullness, side_hem: row.hems?.side, bottom_hem: row.hems?.bottom };
    for (const group of sheet.querySelectorAll(".group.treatments")) {
      dress(group);
      arrange(group);
    }
    const order = form.querySelector('[name="order"]');
    const [next, linings] = await Promise.all([
      order.readOnly || "touched" in order.dataset ? null
        : fetch("/api/orders/next?customer=" + encodeURIComponent(row.name), { credentials: "same-origin" }).then((r) => r.ok ? r.json() : null).catch(() => null),
      row.lining ? find("cloths", row.lining).catch(() => []) : [],
    ]);
    if (next) order.value = next.order;
    const lining = linings.find((c) => [c.cloth, c.name].includes(row.lining));
    const free = [...sheet.querySelectorAll(".group.fabrics")].find((g) => named(g, "use").value === "lining" && !named(g, "id").value);
    if (lining && free) {
      named(free, "id").value = lining.cloth;
      fill(free, books.fabrics, { ...lining, use: "lining" });
    }
  }

  // convene has the order made by the customer's own conventions. What somebody has typed stays, and what the book put in for another
  // customer goes. The answer to the draft shows them as fields.
  function convene(own) {
    const place = sheet.querySelector("[data-conventions]"), field = (name) => place.querySelector(`[name="${CSS.escape(name)}"]`);
    for (const [name, value] of Object.entries(booked)) {
      if (field(name)?.value === value) field(name).value = "";
    }
    booked = {};
    for (const [key, value] of Object.entries(own)) {
      const name = "conventions." + key, there = field(name);
      if (there?.value || there && "touched" in there.dataset) continue;
      if (there) there.remove();
      place.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
      booked[name] = value;
    }
    place.dataset.stale = ++bookings;
  }

  // keep puts what is typed of a fabric or a tape into its book.
  async function keep(group) {
    const book = books[group.closest("[data-list]").dataset.list], id = named(group, "id").value.trim();
    if (!id) { named(group, "id").focus(); return; }
    const path = "/api/" + book.book + "/" + encodeURIComponent(id), unit = form.querySelector('[name="units"]')?.value || "in";
    const entry = book === books.tapes ? { name: id, kind: "cartridge" } : { name: id };
    for (const key of Object.keys(book.fills)) {
      const field = named(group, key), value = field?.value.trim();
      if (!value || field.disabled) continue;
      const length = field.closest(".ask").classList.contains("length");
      const put = key === "cords" ? Number(value) : ["one_way", "sheer", "railroads"].includes(key) ? value === "true" : length && !/[\p{L}'"′″’”]/u.test(value) ? value + " " + unit : value;
      const [outer, inner] = key.split(".");
      if (inner) (entry[outer] ??= {})[inner] = put; else entry[outer] = put;
    }
    const headers = { Accept: "application/json", "Content-Type": "application/json", "X-Form-Token": document.body.dataset.token || "" };
    try {
      if ((await fetch(path, { credentials: "same-origin", headers })).ok) { say(words.inBooks.replace("[name]", id)); return; }
      const answer = await fetch(path, { method: "PUT", credentials: "same-origin", headers, body: JSON.stringify(entry) });
      if (answer.ok) { say(words.keptInBooks.replace("[name]", id), "done"); return; }
      const told = await answer.json();
      say(told.problems?.map((p) => p.message).join(" ") || told.message || words.lost);
    } catch {
      say(words.lost);
    }
  }

  sheet.addEventListener("focusin", (e) => {
    if (open && e.target !== open.field) close();
    if (!e.target.matches("input") || !bookOf(e.target)) return;
    e.target.setAttribute("role", "combobox");
    e.target.setAttribute("aria-autocomplete", "list");
    if (!e.target.hasAttribute("aria-expanded")) e.target.setAttribute("aria-expanded", "false");
  });
  sheet.addEventListener("focusout", close);
  sheet.addEventListener("input", (e) => {
    if (!e.target.matches("input") || !bookOf(e.target)) return;
    const group = e.target.closest(".group");
    if (group) delete group.dataset.booked;
    if (e.target.value.trim().length >= 2) propose(e.target);
    else { asked++; close(); }
  });
  sheet.addEventListener("click", (e) => {
    const button = e.target.closest("[data-keep-entry]");
    if (button) keep(button.closest(".group"));
  });
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.shiftKey || !e.target.matches?.("#sheet input") || !bookOf(e.target)) return;
    if (e.key === "ArrowDown" && !open) propose(e.target);
    else if (!open) return;
    else if (e.key === "ArrowDown") move(1);
    else if (e.key === "ArrowUp") move(-1);
    else if (e.key === "Escape") close();
    else if (e.key === "Enter" && open.at >= 0) choose(open.at);
    else return;
    e.preventDefault();
    e.stopImmediatePropagation();
  });
  return { dress };
}

// What a spreadsheet copies, read as rows of a table. Tested by node.

// rows splits a copied text: tabs between cells, a line a row. A cell with a tab, a line end or a quote in it stands in quotes.
export function rows(text) {
  text = text.replace(/\r\n?/g, "\n").replace(/\n+$/, "");
  return split(text, true) ?? split(text, false);
}

// split reads quotes as such, or as letters; nothing where one stays open.
function split(text, quotes) {
  const all = [[]];
  let cell = "", open = false;
  const end = () => { all.at(-1).push(cell.trim()); cell = ""; };
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (open && c === '"' && text[i + 1] === '"') { cell += c; i++; }
    else if (open && c === '"') open = false;
    else if (open) cell += c;
    else if (quotes && c === '"' && !cell) open = true;
    else if (c === "\t") end();
    else if (c === "\n") { end(); all.push([]); }
    else cell += c;
  }
  end();
  return open ? null : all;
}

const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, " ").trim();

// read takes a copied text for a table of columns {key, names}, from the column at which it is pasted on. A head row, at least
// half of whose cells are names of columns, says which is which; without one they go by their order. It returns a row each,
// {key: text}, and everything that has no place: {line, cell} of a head row's unknown column, {line, cells, most} of a row too long.
export function read(text, columns, from = 0) {
  const lines = rows(text), wrong = [];
  const named = (cell) => columns.find((c) => c.names.some((n) => plain(n) === plain(cell)));
  const filled = lines[0].filter(Boolean);
  let keys = columns.slice(from).map((c) => c.key);
  const headed = filled.length > 0 && 2 * filled.filter(named).length >= filled.length;
  if (headed) {
    keys = lines[0].map((cell) => cell && named(cell)?.key);
    lines[0].forEach((cell, i) => { if (cell && !keys[i]) wrong.push({ line: 1, cell }); });
  }
  const taken = [];
  lines.forEach((cells, i) => {
    if (headed && i === 0 || !cells.some(Boolean)) return;
    const row = {};
    cells.forEach((cell, n) => { if (keys[n]) row[keys[n]] = cell; });
    const last = cells.findLastIndex(Boolean);
    if (!headed && last >= keys.length) wrong.push({ line: i + 1, cells: last + 1, most: keys.length });
    else if (headed) cells.forEach((cell, n) => { if (cell && !lines[0][n]) wrong.push({ line: i + 1, cell }); });
    taken.push(row);
  });
  return { rows: taken, wrong };
}

// choose returns the value of the option that a text names by value, by label or by a beginning that only one label has; else the
// text, which is then wrong where it stands.
export function choose(text, options) {
  const wanted = plain(text);
  const same = options.find((o) => o.value === text) ?? options.find((o) => plain(o.label) === wanted || plain(o.value) === wanted);
  if (same) return same.value;
  const begins = options.filter((o) => plain(o.label).startsWith(wanted));
  return begins.length === 1 ? begins[0].value : text;
}

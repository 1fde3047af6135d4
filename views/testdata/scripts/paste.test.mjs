import test from "node:test";
import assert from "node:assert/strict";
import { choose, read, rows } from "../../assets/paste.mjs";

const columns = [
  { key: "window", names: ["Window", "Opening"] }, { key: "room", names: ["Room"] }, { key: "face_width", names: ["Rod face width", "width"] },
];

test("rows are parted by lines and cells by tabs", () => {
  assert.deepEqual(rows("Bay\t14\t84\r\nDen\t\t60\r\n"), [["Bay", "14", "84"], ["Den", "", "60"]]);
  assert.deepEqual(rows('"Bay\tleft"\t"84"""'), [["Bay\tleft", '84"']]);
  assert.deepEqual(rows('84"\t"loose'), [['84"', '"loose']]); // a quote that never closes is a letter
});

test("without a head row, cells go by the order of the columns", () => {
  assert.deepEqual(read("Bay\t14\t84\n\nDen\t\t60", columns), { rows: [{ window: "Bay", room: "14", face_width: "84" }, { window: "Den", room: "", face_width: "60" }], wrong: [] });
  assert.deepEqual(read("14\t84", columns, 1).rows, [{ room: "14", face_width: "84" }]);
});

test("a head row says which column is which", () => {
  assert.deepEqual(read("WIDTH\tOpening\n84\tBay", columns), { rows: [{ face_width: "84", window: "Bay" }], wrong: [] });
});

test("everything without a place is told, by its line", () => {
  assert.deepEqual(read("Window\tRoom\tColour\nBay\t14\tred", columns).wrong, [{ line: 1, cell: "Colour" }]);
  assert.deepEqual(read("Window\tRoom\nBay\t14\tred", columns).wrong, [{ line: 2, cell: "red" }]);
  assert.deepEqual(read("a\tb\tc\td\ne\tf\tg\th", columns).wrong, [{ line: 1, cells: 4, most: 3 }, { line: 2, cells: 4, most: 3 }]);
});

test("a choice goes by its value, its label, or the beginning of one label", () => {
  const options = [{ value: "pinch-2", label: "Pinch pleat, 2 fingers" }, { value: "pinch-3", label: "Pinch pleat, 3 fingers" }, { value: "cartridge-tape", label: "Cartridge tape" }];
  assert.equal(choose("pinch-3", options), "pinch-3");
  assert.equal(choose("pinch 3", options), "pinch-3");
  assert.equal(choose("cartridge TAPE", options), "cartridge-tape");
  assert.equal(choose("cart", options), "cartridge-tape");
  assert.equal(choose("Pinch", options), "Pinch");
});

import test from "node:test";
import assert from "node:assert/strict";
import { newKey, queue } from "../../assets/queue.mjs";

// bench is a queue with a storage, a shop that answers by turns as it is told (an error is thrown), and what came of it.
function bench(answers, stored) {
  const b = { stored: new Map(stored ? [["waiting", stored]] : []), posted: [], away: [], answered: [], shown: [], later: [] };
  const storage = { getItem: (name) => b.stored.get(name) ?? null, setItem: (name, text) => b.stored.set(name, text) };
  b.queue = queue(storage, "waiting", {
    async post(item) {
      b.posted.push(item.code);
      const answer = answers.shift();
      if (answer instanceof Error) throw answer;
      return answer;
    },
    away: (item, why) => b.away.push(item.code + " " + why.message),
    answered: async (answer, item) => {
      if (answer.unshown) throw new Error("can't be shown");
      b.answered.push(item.code + (item.kept ? " kept" : ""));
    },
    shown: (items) => b.shown.push(items.map((item) => item.code).join(" ")),
    later: (again) => b.later.push(again),
  });
  b.waits = () => JSON.parse(b.stored.get("waiting")).map((item) => item.code);
  return b;
}
const ok = () => ({ ok: true });
const gone = () => new Error("away");

test("each is sent once and in order, one after another", async () => {
  const b = bench([ok(), ok(), ok()]);
  await Promise.all(["A", "B", "C"].map((code) => b.queue.add({ code })));
  while (b.answered.length < 3) await new Promise(setImmediate);
  assert.deepEqual(b.posted, ["A", "B", "C"]);
  assert.deepEqual(b.answered, ["A", "B", "C"]);
  assert.deepEqual(b.waits(), []);
  assert.ok(b.shown.every((codes) => codes === ""), "nothing is shown as kept while the shop answers");
});

test("what the shop doesn't get is kept, told once, and sent again in order", async () => {
  const b = bench([gone(), gone(), ok(), ok()]);
  await b.queue.add({ code: "A" });
  await b.queue.add({ code: "B" });
  assert.deepEqual(b.away, ["A away", "B away"]);
  assert.equal(b.shown.at(-1), "A B");
  assert.deepEqual(b.waits(), ["A", "B"]);
  await b.later.at(-1)();
  assert.deepEqual(b.posted, ["A", "A", "A", "B"]);
  assert.deepEqual(b.answered, ["A kept", "B kept"]);
  assert.equal(b.shown.at(-1), "");
  assert.equal(b.away.length, 2);
});

test("a refusal is an answer: the next is sent", async () => {
  const b = bench([{ ok: false, message: "no" }, ok()]);
  b.queue.add({ code: "A" });
  await b.queue.add({ code: "B" });
  while (b.answered.length < 2) await new Promise(setImmediate);
  assert.deepEqual(b.posted, ["A", "B"]);
});

test("an answer that the page can't show keeps nothing back", async (t) => {
  t.mock.method(console, "error", () => {});
  const b = bench([{ unshown: true }, ok(), ok()]);
  b.queue.add({ code: "A" });
  await b.queue.add({ code: "B" });
  while (b.answered.length < 1) await new Promise(setImmediate);
  await b.queue.add({ code: "C" });
  assert.deepEqual(b.posted, ["A", "B", "C"]);
  assert.equal(console.error.mock.callCount(), 1);
});

test("where somebody has to sign in it waits, and isn't told as kept", async () => {
  const b = bench([null, ok()]);
  await b.queue.add({ code: "A" });
  assert.deepEqual([b.waits(), b.away, b.later, b.answered], [["A"], [], [], []]);
  await b.queue.send();
  assert.deepEqual(b.answered, ["A"]);
});

test("it outlives a reload, with its bodies and keys", async () => {
  const before = bench([gone()]);
  await before.queue.add({ code: "A", body: "key=1" });
  const b = bench([ok()], before.stored.get("waiting"));
  assert.equal(b.shown.at(-1), "A");
  await b.queue.send();
  assert.deepEqual(b.answered, ["A kept"]);
  assert.deepEqual(b.waits(), []);
});

test("sending twice at once sends once", async () => {
  const b = bench([ok()]);
  const first = b.queue.add({ code: "A" });
  await Promise.all([first, b.queue.send(), b.queue.send()]);
  assert.deepEqual(b.posted, ["A"]);
});

test("newKey: 24 hexadecimal digits, never the same", () => {
  const keys = new Set(Array.from({ length: 100 }, newKey));
  assert.equal(keys.size, 100);
  for (const key of keys) assert.match(key, /^[0-9a-f]{24}$/);
});

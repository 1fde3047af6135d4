// What is sent from the bench: one at a time and in order, and kept while the network or the shop is away, through a reload of
// the page too. Each has its own key, so that one sent twice is still one. Tested by node.

// newKey returns a key that nothing else has.
export const newKey = () => [...crypto.getRandomValues(new Uint8Array(12))].map((b) => b.toString(16).padStart(2, "0")).join("");

// queue returns what waits under a name in a storage, as sessionStorage is. post sends one and returns the shop's answer, null
// where the device has to sign in again, which leaves it waiting; it throws why while the shop is away. Then away is called with
// each that waits and was not kept before, and later with what tries again. answered is called with each answer, and awaited;
// shown with those that are kept, whenever they change.
export function queue(storage, name, { post, away, answered, shown, later }) {
  const waiting = JSON.parse(storage.getItem(name) || "[]");
  let sending = false;

  function keep() {
    storage.setItem(name, JSON.stringify(waiting));
    shown(waiting.filter((item) => item.kept));
  }

  function hold(why) {
    for (const item of waiting) {
      if (!item.kept) away(item, why);
      item.kept = true;
    }
    keep();
    later(send);
  }

  async function send() {
    if (sending) return;
    sending = true;
    while (waiting.length) {
      let answer;
      try { answer = await post(waiting[0]); } catch (why) { hold(why); break; }
      if (!answer) break;
      const item = waiting.shift();
      keep();
      try { await answered(answer, item); } catch (why) { console.error(why); } // one that the page can't show keeps nothing back
    }
    sending = false;
  }

  function add(item) {
    waiting.push({ ...item, kept: false });
    keep();
    return send();
  }

  keep();
  return { add, send };
}

// An order in typing outlives a closed browser and a stopped server: what is typed is kept on this device until it is saved.

// keeper keeps a form's fields under the page's address.
export function keeper(form) {
  const name = "taking:" + location.pathname;
  const ask = (work) => { try { return work(localStorage) ?? null; } catch { return null; } }; // a browser that keeps nothing
  return {
    keep() {
      const fields = new URLSearchParams(new FormData(form));
      fields.delete(form.truth.value === "form" ? "source" : "base");
      fields.delete("form_token"); // of a sign-in that may have ended by then
      ask((s) => s.setItem(name, JSON.stringify({ at: Date.now(), fields: fields.toString() })));
    },
    kept() {
      const text = ask((s) => s.getItem(name));
      return text && JSON.parse(text);
    },
    forget() { ask((s) => s.removeItem(name)); },
  };
}

// Sends a photograph as soon as it is taken. One of a ticket leads to that ticket, by the form that it stands in. One
// for a hold is kept first, so that the hold can wait in the queue like any other scan; should keeping it fail, it
// goes along with the hold's own form. Without this script each form sends its photograph by its button.
"use strict";
(() => {
  document.addEventListener("change", (e) => {
    const input = e.target;
    if (!input.matches("input[type=file][data-photo]") || !input.files.length) return;
    if (input.dataset.photo === "send") input.form.requestSubmit();
    else keep(input);
  });

  // A photograph takes a few seconds on its way: the button says so, and sends it once.
  document.addEventListener("submit", (e) => {
    const input = e.target.querySelector("input[type=file][data-photo=send]");
    const button = e.target.querySelector("button");
    if (!input || !button) return;
    button.textContent = input.dataset.busy;
    button.disabled = true;
  });
  addEventListener("pageshow", (e) => { if (e.persisted) location.reload(); });

  async function keep(input) {
    const note = document.createElement("p");
    note.className = "soft";
    note.textContent = input.dataset.busy;
    input.form.querySelector(".kept-photo")?.remove();
    input.after(note);
    try {
      const photo = input.files[0];
      const answer = await fetch("/api/pictures", {
        method: "POST", body: photo, credentials: "same-origin",
        headers: { "Content-Type": photo.type || "application/octet-stream", Accept: "application/json" },
      });
      const said = await answer.json();
      if (!answer.ok) throw new Error(said.message);
      input.after(ticked(input, said.picture));
      input.value = "";
      note.remove();
    } catch (problem) {
      note.textContent = problem instanceof TypeError ? "" : problem.message;
    }
  }

  // ticked shows a kept photograph with a tick that takes it along.
  function ticked(input, id) {
    const label = document.createElement("label");
    label.className = "tick kept-photo";
    const box = Object.assign(document.createElement("input"), { type: "checkbox", name: "picture", value: id, checked: true });
    const img = Object.assign(document.createElement("img"), { src: "/api/pictures/" + id, alt: "", className: "hold-thumb" });
    const text = document.createElement("span");
    text.textContent = input.dataset.kept;
    label.append(box, text, img);
    return label;
  }
})();

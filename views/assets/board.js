// Sifts the board as somebody types: the address says what is asked for, so that it can be kept, sent and gone back to,
// and the page is fetched as it is for a change on the floor (live.js).
"use strict";
(() => {
  const form = document.querySelector("form[data-sift]");
  if (!form) return;
  let timer = 0;

  function sift() {
    clearTimeout(timer);
    const asked = new URLSearchParams([...new FormData(form)].filter(([, value]) => value.trim()));
    const address = asked.size ? location.pathname + "?" + asked : location.pathname;
    if (address === location.pathname + location.search) return;
    history.replaceState(null, "", address);
    document.querySelector('.tongues [name="next"]')?.setAttribute("value", address); // another language asks for the same
    document.dispatchEvent(new CustomEvent("cloth:refresh"));
  }

  form.addEventListener("input", (e) => {
    clearTimeout(timer);
    timer = setTimeout(sift, e.target.tagName === "SELECT" ? 0 : 200);
  });
  form.addEventListener("submit", (e) => { e.preventDefault(); sift(); });
})();

// A passphrase carried in the address's fragment never reaches a server's log: it is filled in here and sent as
// the form would send it, and taken out of the address.
"use strict";
(() => {
  const form = document.querySelector("[data-signin]");
  const secret = decodeURIComponent(location.hash.slice(1));
  if (!form || !secret) return;
  history.replaceState(null, "", location.pathname + location.search);
  form.elements.passphrase.value = secret;
  form.requestSubmit();
})();

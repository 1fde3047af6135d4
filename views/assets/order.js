// An order's page by keys: F2 asks for the new order like this one, as it copies a window in the order form.
"use strict";
(() => {
  const like = document.querySelector('details.like:has([name="due"])');
  if (!like) return;
  document.addEventListener("keydown", (e) => {
    if (e.key !== "F2" || e.ctrlKey || e.metaKey || e.altKey || e.shiftKey) return;
    e.preventDefault();
    like.open = true;
    like.querySelector('[name="due"]').focus();
  });
})();

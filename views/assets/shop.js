// What only the browser knows: its time zone for the form, its clock for the look at the shop's.
"use strict";
(() => {
  const zone = document.querySelector("[data-zone]");
  if (zone) {
    const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
    if (!zone.value && here) zone.value = here;
    for (const name of Intl.supportedValuesOf ? Intl.supportedValuesOf("timeZone") : []) zone.list.append(new Option(name, name));
  }
  const other = document.querySelector('input[name="address_other"]');
  other?.addEventListener("input", () => { document.querySelector('input[name="address"][value="other"]').checked = true; });
  const clock = document.querySelector("[data-clock-at]");
  if (clock) {
    // The page was on its way for a moment, so a difference below a minute says nothing.
    const apart = Date.now() - Number(clock.dataset.clockAt) - performance.now();
    const minutes = Math.round(Math.abs(apart) / 60000);
    clock.textContent = minutes < 1 ? clock.dataset.same : (apart > 0 ? clock.dataset.behind : clock.dataset.ahead).replace("#", minutes);
    clock.className = minutes < 1 ? "said done" : "said refused";
  }
})();

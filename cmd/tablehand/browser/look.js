// Looks at a page as it is laid out, and returns what somebody who reads or touches it would stumble over.
"use strict";
window.look = (() => {
  const HAIR = 2; // px by which things may touch

  const shown = (e) => e.checkVisibility({ opacityProperty: true, visibilityProperty: true, contentVisibilityAuto: true });
  const unseen = (e) => {
    for (let a = e; a && a !== document.body; a = a.parentElement) {
      const s = getComputedStyle(a);
      if (s.clipPath === "inset(50%)" || s.overflow !== "visible" && a.offsetWidth <= 1 && a.offsetHeight <= 1) return true; // for the ear alone
      if (a.matches(".skip") && !a.matches(":focus")) return true;
    }
    return false;
  };
  const named = (e) => {
    const own = e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + [...e.classList].map((c) => "." + c).join("");
    const above = e.parentElement?.closest("[id], [class]");
    return (above && above !== document.body ? above.tagName.toLowerCase() + (above.id ? "#" + above.id : "." + above.classList[0]) + " " : "") + own;
  };
  const short = (text) => { const s = text.replace(/\s+/g, " ").trim(); return s.length > 40 ? s.slice(0, 39) + "…" : s; };
  // What lies under an open dialog is out of reach.
  const root = () => document.querySelector("dialog:modal") ?? document.body;

  // Every piece of text that is seen, with the rectangles of its letters: of a line's height, what is above capitals
  // and below the baseline is let go, since lines set close share it.
  function texts() {
    const all = [];
    const walk = document.createTreeWalker(root(), NodeFilter.SHOW_TEXT);
    for (let n; (n = walk.nextNode());) {
      const e = n.parentElement;
      if (!n.data.trim() || e.closest("script, style, template, noscript, option, textarea, title, desc, defs") || !shown(e) || unseen(e)) continue;
      const range = document.createRange();
      range.selectNodeContents(n);
      const rects = [...range.getClientRects()].filter((r) => r.width > 0 && r.height > 0);
      if (rects.length) all.push({ e, text: n.data, rects });
    }
    return all;
  }
  const letters = (r) => ({ left: r.left, right: r.right, top: r.top + r.height * .2, bottom: r.bottom - r.height * .2 });

  // The boxes that cut off what reaches out of them, from the inside; one that scrolls is the last.
  function cutters(e) {
    const boxes = [];
    for (let a = e; a && a !== document.documentElement; a = a.parentElement) {
      const s = getComputedStyle(a);
      if (s.position === "fixed") break;
      if (s.overflowX === "visible" && s.overflowY === "visible" || s.display === "inline" || s.display === "contents") continue;
      const r = a.getBoundingClientRect();
      const box = { e: a, left: r.left + a.clientLeft, top: r.top + a.clientTop };
      box.right = box.left + (a.clientWidth || r.width);
      box.bottom = box.top + (a.clientHeight || r.height);
      box.x = s.overflowX === "hidden" || s.overflowX === "clip";
      box.y = s.overflowY === "hidden" || s.overflowY === "clip";
      boxes.push(box);
      if (!box.x || !box.y) break;
    }
    return boxes;
  }

  function sideways() {
    const wide = document.documentElement.scrollWidth;
    if (wide <= innerWidth) return [];
    const right = (e) => e.getBoundingClientRect().right;
    const far = [...document.body.querySelectorAll("*")].filter((e) => shown(e) && !unseen(e) && !e.closest("svg") && right(e) > innerWidth).sort((a, b) => right(b) - right(a))[0];
    return [`sideways: ${wide} px wide on ${innerWidth}, by ${far ? named(far) : "something unseen"}`];
  }

  const HOLDS = "button, .button, .flag, td, th, summary, legend";
  function clipped(all) {
    const faults = [];
    for (const t of all) {
      const svg = t.e.closest("svg");
      for (const line of t.rects) {
        const r = letters(line);
        if (r.right < HAIR || r.left < -HAIR) faults.push(`clipped: “${short(t.text)}” begins left of the page, in ${named(t.e)}`);
        for (const box of cutters(svg ?? t.e)) {
          const over = Math.max(box.x ? r.right - box.right : 0, box.x ? box.left - r.left : 0, box.y ? r.bottom - box.bottom : 0, box.y ? box.top - r.top : 0);
          if (over > HAIR) faults.push(`clipped: “${short(t.text)}” is cut off by ${Math.round(over)} px at ${named(box.e)}`);
        }
        const holder = t.e.closest(HOLDS);
        if (holder && !svg) {
          const h = holder.getBoundingClientRect();
          if (r.right - h.right > HAIR || h.left - r.left > HAIR) faults.push(`clipped: “${short(t.text)}” reaches out of ${named(holder)}`);
        }
      }
      const s = getComputedStyle(t.e);
      if (s.overflowX !== "visible" && s.textOverflow === "ellipsis" && t.e.scrollWidth > t.e.clientWidth + 1) faults.push(`clipped: “${short(t.text)}” ends in dots, in ${named(t.e)}`);
    }
    for (const e of root().querySelectorAll("input, select")) {
      if (!shown(e) || unseen(e) || e.matches("[type=checkbox], [type=radio], [type=file], [type=hidden]")) continue;
      const s = getComputedStyle(e);
      const room = e.clientWidth - parseFloat(s.paddingLeft) - parseFloat(s.paddingRight) - (e.matches("select") ? 16 : 0);
      const text = e.matches("select") ? e.selectedOptions[0]?.text ?? "" : e.value ? "" : e.placeholder;
      const pen = document.createElement("canvas").getContext("2d");
      pen.font = `${s.fontWeight} ${s.fontSize} ${s.fontFamily}`;
      if (text && pen.measureText(text).width > room + HAIR) faults.push(`clipped: “${short(text)}” is longer than ${named(e)}`);
    }
    return faults;
  }

  // The letters of a drawing are as large as they are drawn: 16 px at least, and wholly within it.
  function drawn() {
    const faults = [];
    for (const t of document.querySelectorAll("svg text")) {
      if (!root().contains(t) || !shown(t) || unseen(t) || background(t)) continue;
      let svg = t.ownerSVGElement;
      while (svg.ownerSVGElement) svg = svg.ownerSVGElement;
      const m = t.getScreenCTM(), high = parseFloat(getComputedStyle(t).fontSize) * Math.hypot(m.b, m.d);
      if (high < 15.9) faults.push(`small letters: “${short(t.textContent)}” of ${Math.round(high * 10) / 10} px in ${named(svg)}`);
      const r = letters(t.getBoundingClientRect()), box = svg.getBoundingClientRect();
      const over = Math.max(r.right - box.right, box.left - r.left, r.bottom - box.bottom, box.top - r.top);
      if (over > HAIR) faults.push(`cut: “${short(t.textContent)}” reaches ${Math.round(over)} px out of ${named(svg)}`);
    }
    return faults;
  }

  // A word that is broken within itself, since its place is too narrow.
  function broken(all) {
    const faults = [];
    for (const t of all) {
      if (t.rects.length < 2 || t.e.closest("code, pre, svg, .source, [translate=no]")) continue;
      const node = [...t.e.childNodes].find((n) => n.nodeType === Node.TEXT_NODE && n.data === t.text);
      for (const word of t.text.matchAll(/[\p{L}\p{N}]{3,}/gu)) {
        const range = document.createRange();
        range.setStart(node, word.index);
        range.setEnd(node, word.index + word[0].length);
        const lines = new Set([...range.getClientRects()].map((r) => Math.round(r.top)));
        if (lines.size > 1) faults.push(`broken: “${word[0]}” of “${short(t.text)}” in ${named(t.e)}`);
      }
    }
    return faults;
  }

  // Words whose blanks are narrowed, as between a number and its fraction, are read as one.
  function together(all) {
    return all.filter((t) => /\p{L}{2,} \p{L}{2,}/u.test(t.text) && parseFloat(getComputedStyle(t.e).wordSpacing) < 0)
      .map((t) => `run together: “${short(t.text)}” in ${named(t.e)}`);
  }

  const pinned = (e) => {
    for (let a = e; a; a = a.parentElement) if (["fixed", "sticky"].includes(getComputedStyle(a).position)) return a;
    return null;
  };
  const background = (e) => { // a letter drawn faintly under a drawing's numbers
    const s = getComputedStyle(e);
    return Number(s.fillOpacity) < .5 || Number(s.opacity) < .5;
  };
  function overlapping(all) {
    const faults = [];
    const pieces = [];
    for (const t of all) {
      const svg = t.e.closest("svg");
      if (svg ? background(t.e) : t.e.closest("[aria-hidden=true]")) continue;
      const boxes = cutters(svg ?? t.e);
      for (const line of t.rects) {
        const r = letters(line);
        for (const b of boxes) {
          r.left = Math.max(r.left, b.left); r.right = Math.min(r.right, b.right);
          r.top = Math.max(r.top, b.top); r.bottom = Math.min(r.bottom, b.bottom);
        }
        if (r.right > r.left && r.bottom > r.top) pieces.push({ ...r, e: t.e, text: t.text, pin: pinned(t.e), fraction: t.e.closest(".fraction, sup, sub, tspan") });
      }
    }
    pieces.sort((a, b) => a.top - b.top);
    for (let i = 0; i < pieces.length; i++) {
      const a = pieces[i];
      for (let j = i + 1; j < pieces.length && pieces[j].top < a.bottom - HAIR; j++) {
        const b = pieces[j];
        if (a.e === b.e || a.pin !== b.pin || a.fraction || b.fraction) continue;
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - b.top;
        if (across > HAIR && down > HAIR) faults.push(`overlapping: “${short(a.text)}” in ${named(a.e)} and “${short(b.text)}” in ${named(b.e)}`);
      }
    }
    return faults;
  }

  // A link in running text is as high as its line; everything else that is touched is 48 px both ways.
  const TOUCHED = "a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [role=tab], [tabindex='0']";
  const running = (e) => e.matches("a") && getComputedStyle(e).display === "inline" &&
    [...e.parentElement.childNodes].some((n) => n !== e && n.nodeType === Node.TEXT_NODE && /\p{L}{2}/u.test(n.data));
  function small() {
    const faults = [];
    for (const e of root().querySelectorAll(TOUCHED)) {
      if (!shown(e) || running(e)) continue;
      const boxes = [e, ...(e.labels ?? [])].filter((b) => shown(b) && !unseen(b)).map((b) => b.getBoundingClientRect());
      if (!boxes.length || e.matches("[type=checkbox], [type=radio]") === false && unseen(e) && !e.labels?.length) continue;
      const hit = e.matches("[type=checkbox], [type=radio]") || unseen(e) ? boxes : [e.getBoundingClientRect()];
      if (!hit.some((r) => r.width >= 47.5 && r.height >= 47.5)) {
        const r = hit.at(-1);
        faults.push(`small: ${named(e)} “${short(e.textContent || e.name || "")}” is ${Math.round(r.width)} × ${Math.round(r.height)} px`);
      }
    }
    return faults;
  }

  // What a page says, seen or heard, but for what people have typed.
  const SPEAKS = ["aria-label", "title", "placeholder", "alt", "data-done", "data-kept", "data-unknown", "data-busy", "data-label", "data-same", "data-behind", "data-ahead"];
  function words() {
    const own = document.documentElement.lang;
    const foreign = (e) => e.closest("script, style, textarea, datalist, code, pre, .source, [translate=no]") || e.closest("[lang]").lang !== own;
    const all = new Set([document.title]);
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
    for (let n; (n = walk.nextNode());) {
      if (foreign(n.nodeType === Node.TEXT_NODE ? n.parentElement : n)) continue;
      if (n.nodeType === Node.TEXT_NODE) all.add(n.data.replace(/\s+/g, " ").trim());
      else for (const name of SPEAKS) if (n.hasAttribute(name)) all.add(n.getAttribute(name).trim());
    }
    all.delete("");
    return [...all];
  }

  return {
    // A screen on the wall is touched by nobody.
    faults: () => {
      const all = texts();
      return [...new Set([...sideways(), ...clipped(all), ...broken(all), ...together(all), ...drawn(), ...overlapping(all), ...(document.body.matches(".screen") ? [] : small())])];
    },
    words,
  };
})();

// An order in typing outlives a closed browser and a stopped server: what is typed is kept on this device until it is saved. Each tab
// keeps its own, so that two orders can be typed side by side; one whose tab was closed is taken up by the next that opens the page.

const wait = 200; // milliseconds in which the other tabs say what they have

// keeper keeps a form's fields under the page's address and a number of this tab's.
export function keeper(form) {
  const page = "taking:" + location.pathname;
  const ask = (work) => { try { return work(localStorage, sessionStorage) ?? null; } catch { return null; } }; // a browser that keeps nothing
  const me = String(Math.random()).slice(2);
  let id = me; // of what is kept here
  const nameOf = (id) => id ? page + " " + id : page; // without: kept by an earlier version

  // The tabs at this address tell each other what they have. Of several that look at once each takes another one.
  const open = new Set(), looking = new Set();
  let looks = false;
  const tabs = "BroadcastChannel" in window ? new BroadcastChannel(page) : null;
  tabs?.addEventListener("message", ({ data }) => {
    if ("asks" in data) tabs.postMessage(looks ? { looks: me } : { has: id });
    if ("has" in data) open.add(data.has);
    else looking.add(data.asks ?? data.looks);
  });

  function drafts() {
    return ask((local) => Object.keys(local).filter((name) => name === page || name.startsWith(page + " "))
      .map((name) => ({ ...JSON.parse(local.getItem(name)), id: name.slice(page.length + 1) }))) ?? [];
  }

  return {
    keep() {
      const fields = new URLSearchParams(new FormData(form));
      fields.delete(form.truth.value === "form" ? "source" : "base");
      fields.delete("form_token"); // of a sign-in that may have ended by then
      ask((local, tab) => {
        local.setItem(nameOf(id), JSON.stringify({ at: Date.now(), fields: fields.toString() }));
        tab.setItem(page, id);
      });
    },
    // find returns what was kept and no open tab has: what this one had, or else the newest; undefined for none.
    async find() {
      if (!drafts().length) return undefined;
      looks = true;
      tabs?.postMessage({ asks: me });
      if (tabs) await new Promise((done) => setTimeout(done, wait));
      looks = false;
      const mine = ask((_, tab) => tab.getItem(page));
      const left = drafts().filter((d) => !open.has(d.id)).sort((a, b) => (b.id === mine) - (a.id === mine) || b.at - a.at);
      return left[[...looking].filter((other) => other < me).length];
    },
    // adopt has this tab go on with what find returned.
    adopt(draft) {
      id = draft.id;
      ask((_, tab) => tab.setItem(page, id));
    },
    forget() {
      ask((local) => local.removeItem(nameOf(id)));
      id = me;
    },
  };
}

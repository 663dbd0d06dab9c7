"use strict";
// What is entered is kept in this phone's browser first and sent as soon as the desk answers; with the link
// lost it waits, and catches up. What other phones entered comes back with each answer.
//
// Sync(name, url, { apply, groups, refused, link }): `name` is of the job; `groups()` are those in which this
// phone has something; `apply(group, phones)` gets what each phone has in one, [{ id, name, is_own, fields: { field: [value, milliseconds] } }]; `link(state)` is called with
// "sent", "waiting" (the desk does not answer), "closed" (this phone is no longer let in) or "changed" (the
// job changed since the page was opened).

class Sync {
  constructor(name, url, handlers) {
    this.shelf = JSON.stringify(["tagmaker unsent", url, ...name]);
    this.url = url;
    this.handlers = handlers;
    this.unsent = new Map();
    this.isKept = true;
    this.fresh();
    this.epoch = "";
    this.version = 0;
    this.plan = "";
    this.timer = 0;
    this.busy = false;
    this.again = false;
    this.me = "";
    addEventListener("online", () => this.soon(0));
    addEventListener("storage", (event) => { if (event.key === this.shelf) this.fresh(); });
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.soon(0); });
  }

  fresh() { // what all tabs of this phone wait to send, by group and field: the value, its time, what it was printed for
    if (!this.isKept) return;
    try { this.unsent = new Map(JSON.parse(localStorage.getItem(this.shelf)) || []); } catch (reason) { /* this page's own then */ }
  }

  keep() { // where nothing can be kept, it waits in this page alone
    try {
      if (this.unsent.size) localStorage.setItem(this.shelf, JSON.stringify([...this.unsent]));
      else localStorage.removeItem(this.shelf);
      this.isKept = true;
    } catch (reason) { this.isKept = false; /* the page itself reports a full storage */ }
  }

  put(group, field, value, printedFor = "") { // value null: it was never there
    this.fresh();
    this.unsent.set(JSON.stringify([group, field]), { group, field, value, at: Date.now(), for_: printedFor });
    this.keep();
    this.soon(250);
  }

  has(group, field) { return this.unsent.has(JSON.stringify([group, field])); }

  soon(milliseconds) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), milliseconds);
  }

  async send() {
    if (this.busy) { this.again = true; return; }
    this.busy = true;
    this.fresh();
    const sent = [...this.unsent].slice(0, 300);
    let next = document.hidden ? 15000 : 2000;
    try {
      const answer = await fetch(this.url, {
        method: "POST", signal: AbortSignal.timeout ? AbortSignal.timeout(15000) : undefined,
        headers: { "Content-Type": "application/json", "Accept": "application/json" },
        body: JSON.stringify({ changes: sent.map(([, change]) => change), epoch: this.epoch, version: this.version }),
      });
      if (answer.ok) next = this.taken(sent, await answer.json()) || next;
      else this.handlers.link(answer.status === 403 ? "closed" : "waiting", this.unsent.size);
    } catch (reason) {
      this.handlers.link("waiting", this.unsent.size);
    }
    this.busy = false;
    this.soon(this.again ? 0 : next);
    this.again = false;
  }

  taken(sent, { plan, name, synced }) {
    this.fresh();
    for (const [key, change] of sent) { // but for what was entered again meanwhile
      if (JSON.stringify(this.unsent.get(key)) === JSON.stringify(change)) this.unsent.delete(key);
    }
    this.keep();
    this.me = name;
    this.plan ||= plan;
    const isKnown = this.epoch === synced.epoch;
    const isChanged = this.plan !== plan;
    [this.epoch, this.version] = [synced.epoch, synced.version];
    if (!isChanged && !isKnown) { // what this phone has and the desk has nothing of
      for (const group of this.handlers.groups()) if (!(group in synced.groups)) this.handlers.apply(group, []);
    }
    if (!isChanged) for (const [group, phones] of Object.entries(synced.groups)) this.handlers.apply(group, phones);
    const refused = Object.entries(synced.refused);
    if (refused.length) this.handlers.refused(refused);
    this.handlers.link(isChanged ? "changed" : "sent", this.unsent.size);
    this.handlers.synced?.();
    return this.unsent.size ? 50 : 0;
  }
}

/** What phones have of one field, blanks left out: [{ name, is_own, value, at }]. */
function entriesOf(phones, field) {
  return phones.filter((each) => field in each.fields)
    .map(({ id, name, is_own, fields: { [field]: [value, at] } }) => ({ id, name, is_own, value, at }));
}

/** A time of day as a person reads it. */
function clock(milliseconds) {
  const time = new Date(milliseconds);
  return String(time.getHours()).padStart(2, "0") + ":" + String(time.getMinutes()).padStart(2, "0");
}

const LINK = {
  sent: () => "Sent to the desk.",
  waiting: (count) => `The desk does not answer. ${count} ${count === 1 ? "entry waits" : "entries wait"} here; go on.`,
  closed: (count) => `This phone is no longer let in. ${count ? "Entries that were not sent are kept here. " : ""}Scan the code that the desk shows, or save a file and hand it in.`,
  changed: () => "The job changed since this page was opened: reload it.",
};

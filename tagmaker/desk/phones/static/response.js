"use strict";
// The response test, round by round. A reading is this phone's own; what others read is shown beside it.

const byId = (id) => document.getElementById(id);
const READINGS = ["H", "C", "0", "?"];
const SAID = { H: "heats", C: "cools", 0: "no change", "?": "unclear" };
const others = new Map(); // test → what each phone has
let tests = [];
let own = {}; // test → field → reading
let shelf = "";
let sync = null;
let updates = []; // what shows the lines of the page again
let shown = "";

const node = (tag, properties, ...children) => {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...children);
  return made;
};
const test = () => tests[byId("system").selectedIndex];
const round = () => byId("round").selectedIndex + 1;

function keep() {
  try { localStorage.setItem(shelf, JSON.stringify(own)); } catch (reason) {
    byId("link").textContent = "This browser keeps nothing: do not close the page before all is sent.";
  }
}

function takeIn() {
  try { own = JSON.parse(localStorage.getItem(shelf)) || own; } catch (reason) { /* this page's own then */ }
}

function put(field, value) {
  const readings = own[test().plan] ||= {};
  if (readings[field] === value) { readings[field] = ""; } else { readings[field] = value; }
  keep();
  sync.put(test().plan, field, readings[field]);
  show();
}

/** A line with its four keys; it is shown again in place, so that nothing moves under a finger. */
function linePart(each, at) {
  const field = each.field + at;
  const what = each.unit ? `Unit ${each.unit}` : `Line at ${each.box} ${each.port}`;
  const keys = READINGS.map((reading) => {
    const key = node("button", { type: "button", textContent: reading });
    key.dataset.field = field;
    key.dataset.reading = reading;
    key.setAttribute("aria-label", `${what}: ${reading}, ${SAID[reading]}`);
    key.addEventListener("click", () => put(field, reading));
    return key;
  });
  const by = node("span", { className: "by" });
  updates.push(() => {
    const now = own[test().plan]?.[field] || "";
    for (const key of keys) key.setAttribute("aria-pressed", String(now === key.dataset.reading));
    const found = entriesOf(others.get(test().plan) || [], field).filter((one) => !one.is_own && one.value);
    by.textContent = found.map((one) => ` ${one.name} ${clock(one.at)}: ${one.value}`).join(" ·");
  });
  const group = node("div", { className: "keys" }, ...keys);
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", what);
  return node("div", { className: "line" }, node("p", {}, node("b", { textContent: what }), each.unit ? ` at ${each.box} ${each.port}` : "", by), group);
}

function clashes() { // readings of one place and round that differ
  return tests.flatMap((each) => each.lines.flatMap((one) => Array.from({ length: each.rounds }, (_, at) => {
    const field = one.field + (at + 1);
    const mine = own[each.plan]?.[field];
    const found = entriesOf(others.get(each.plan) || [], field).filter((entry) => !entry.is_own && entry.value);
    const all = [...(mine ? [{ name: "this phone", value: mine, at: 0 }] : []), ...found];
    if (new Set(all.map((entry) => entry.value)).size < 2) return null;
    const named = all.map((entry) => `${entry.name}${entry.at ? " " + clock(entry.at) : ""}: ${entry.value}`).join(" · ");
    return `${one.unit || one.box + " " + one.port}, round ${at + 1}: ${named}`;
  })).filter((text) => text));
}

function show() {
  if (!tests.length) return;
  const lines = test().lines;
  const found = clashes();
  const text = found.join("\n");
  if (byId("clash").dataset.shown !== text) byId("clash").replaceChildren(...(found.length ? [node("div", { className: "clash" },
    node("p", {}, node("b", { textContent: "Read differently: read again. Until then it counts as not seen." })),
    ...found.map((each) => node("p", { textContent: each })))] : []));
  byId("clash").dataset.shown = text;
  const key = JSON.stringify([test().plan, round()]);
  if (key !== shown) {
    shown = key;
    updates = [];
    const at = round();
    byId("lines").replaceChildren(...lines.map((each) => linePart(each, at)));
  }
  updates.forEach((update) => update());
  const done = lines.filter((each) => own[test().plan]?.[each.field + round()]).length;
  byId("count").textContent = `Round ${round()}: ${done} of ${lines.length} read by this phone`;
  byId("more").hidden = round() >= test().rounds;
}

function rounds() {
  byId("round").replaceChildren(...Array.from({ length: test().rounds }, (_, at) => node("option", { textContent: `Round ${at + 1}` })));
  show();
}

function save() { // the table as it is handed in
  const quoted = (cell) => (/[",\n\r]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
  const most = Math.max(...tests.map((each) => each.rounds));
  const head = ["plan", "system", "box", "port", "unit", ...Array.from({ length: most }, (_, at) => `round ${at + 1}`)];
  const rows = tests.flatMap((each) => each.lines.map((one) => [each.plan, each.system, one.box, one.port, one.unit,
    ...Array.from({ length: most }, (_, at) => own[each.plan]?.[one.field + (at + 1)] || "")]));
  const text = [head, ...rows].map((row) => row.map(quoted).join(",") + "\n").join("");
  const link = node("a", { href: URL.createObjectURL(new Blob([text], { type: "text/csv" })), download: "response.csv" });
  document.body.append(link);
  link.click();
  link.remove();
}

function apply(group, phones) {
  others.set(group, phones);
  const mine = phones.find((each) => each.is_own)?.fields || {};
  for (const [field, [value]] of Object.entries(mine)) { // kept by the desk, lost by this browser
    if (!sync.has(group, field) && own[group]?.[field] === undefined) (own[group] ||= {})[field] = value;
  }
  for (const [field, value] of Object.entries(own[group] || {})) { // the other way round
    if (value && !sync.has(group, field) && mine[field]?.[0] !== value) sync.put(group, field, value);
  }
  keep();
  show();
}

async function start() {
  const found = await (await fetch("/response/tests", { headers: { "Accept": "application/json" } })).json();
  tests = found.tests || [];
  if (!tests.length) {
    byId("link").textContent = found.said || "This job has no unit that is called.";
    for (const id of ["more", "save"]) byId(id).hidden = true;
    return;
  }
  shelf = JSON.stringify(["tagmaker response", found.number, found.job]);
  takeIn();
  addEventListener("storage", (event) => { if (event.key === shelf) { takeIn(); show(); } }); // another tab
  addEventListener("pageshow", (event) => { if (event.persisted) { takeIn(); show(); } }); // by the back button
  byId("system").replaceChildren(...tests.map((each) => node("option", { textContent: each.system || "–" })));
  const refused = (those) => { byId("link").textContent = `Not taken: ${those.map(([field, why]) => `${field}: ${why}`).join("; ")}`; };
  const link = (state, count) => {
    const text = LINK[state](count);
    if (byId("link").textContent !== text) byId("link").textContent = text;
  };
  sync = new Sync([found.number, found.job], "/response", { apply, groups: () => Object.keys(own), refused, link });
  byId("system").addEventListener("change", rounds);
  byId("round").addEventListener("change", show);
  byId("more").addEventListener("click", () => { byId("round").selectedIndex += 1; show(); scrollTo(0, 0); });
  byId("save").addEventListener("click", save);
  rounds();
  sync.soon(0);
}

start();

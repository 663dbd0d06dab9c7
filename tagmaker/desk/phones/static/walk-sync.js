"use strict";
// The walk's page on a phone that a desk let in: entries are sent as they go, and others' marks are shown.
// It shares the page's own names: found, others, clashes, hooks, put, show, refresh, say, lineOf, make.

const phonesOf = new Map(); // box → what each phone has there
const isBlankValue = (value) => value === false || value === "" || value === null || value === undefined;
const isRemark = (field) => /\/(note|proved)$/.test(field) && !/\/(pipe|cable)\/proved$/.test(field);

/** All phones of a box, this one with what it shows now. */
function everybody(name) {
  const own = Object.entries(found.get(name)).map(([field, value]) => [field, [value, 0]]);
  const rest = (phonesOf.get(name) || []).filter((each) => !each.is_own);
  return [{ name: signer || "this phone", is_own: true, fields: Object.fromEntries(own) }, ...rest];
}

const textOf = (name, field, value) => (isBlankValue(value)
  ? "taken back: " + lineOf(name, field, { [field]: true })
  : lineOf(name, field, { [field]: value }));

/** A switch as one phone has it: "on", "off", or "". */
function stateOn(phone, each, board, bank, number) {
  const name = switchName(each, board, bank, number);
  const has = (field) => phone.fields[field]?.[0] === true;
  return has(name) ? "on" : has(name + "/off") || has(seenName(each, board)) ? "off" : "";
}

function switchClashes(each, phones) { // [switch's field, what is said of it]
  return each.boards.flatMap((board) => board.banks.flatMap((bank) => switchesOf(bank).flatMap((number) => {
    const states = phones.map((phone) => [phone, stateOn(phone, each, board, bank, number)]).filter(([, state]) => state);
    if (new Set(states.map(([, state]) => state)).size < 2) return [];
    const field = switchName(each, board, bank, number);
    const said = states.map(([phone, state]) => {
      const own = state === "on" ? field : phone.fields[field + "/off"] ? field + "/off" : seenName(each, board);
      return saying(phone, phone.fields[own]?.[1], lineOf(each.box, state === "on" ? field : field + "/off", {}));
    });
    return [[field, said]];
  })));
}

const saying = (phone, at, text) => `${phone.name}${at ? " " + clock(at) : ""}: ${text}`;

function fieldClashes(each, phones) { // the same of ticks and texts; remarks are kept side by side
  const fields = new Set(phones.flatMap((phone) => Object.keys(phone.fields)));
  const isSwitch = (field) => /^[^/]+\/[^/]+\/\d+\/\d+(\/off)?$/.test(field);
  return [...fields].filter((field) => !isSwitch(field) && !isRemark(field)).flatMap((field) => {
    const said = phones.filter((phone) => field in phone.fields).map((phone) => [phone, ...phone.fields[field]]);
    const values = new Set(said.map(([, value]) => (isBlankValue(value) ? "" : String(value).toUpperCase())));
    if (values.size < 2) return [];
    return [[field, said.map(([phone, value, at]) => saying(phone, at, textOf(each.box, field, value)))]];
  });
}

function lineClashes(each, phones) { // right for one, another unit's for another: two fields, one contradiction
  return each.ports.flatMap((port) => ["pipe", "cable"].flatMap((what) => {
    const [right, other] = ["/ok", "/found"].map((end) => portName(each, port, what + end));
    const ok = phones.filter((phone) => phone.fields[right]?.[0] === true);
    const wrong = phones.filter((phone) => phone.fields[other]?.[0] && !isRight(phone.fields[other][0], port[what]));
    if (!ok.length || !wrong.length) return [];
    return [[other, [...ok.map((phone) => saying(phone, phone.fields[right][1], textOf(each.box, right, true))),
      ...wrong.map((phone) => saying(phone, phone.fields[other][1], textOf(each.box, other, phone.fields[other][0])))]]];
  }));
}

const clashesOf = (each) => {
  const phones = everybody(each.box);
  return [...switchClashes(each, phones), ...fieldClashes(each, phones), ...lineClashes(each, phones)];
};

/** What others have that this phone can show as it is: fields on which they do not disagree. */
function overlay(each) {
  const phones = (phonesOf.get(each.box) || []).filter((phone) => !phone.is_own);
  const merged = {};
  for (const field of new Set(phones.flatMap((phone) => Object.keys(phone.fields)))) {
    const values = phones.filter((phone) => field in phone.fields).map((phone) => phone.fields[field][0]);
    const given = new Map(values.filter((value) => !isBlankValue(value)).map((value) => [String(value).toUpperCase(), value]));
    if (isRemark(field) && given.size) merged[field] = [...given.values()].join(" / ");
    else if (given.size === 1 && !values.some(isBlankValue)) merged[field] = [...given.values()][0];
  }
  if (phones.length) others.set(each.box, merged); else others.delete(each.box);
  const split = switchClashes(each, everybody(each.box)).map(([field]) => field);
  if (split.length) clashes.set(each.box, new Set(split)); else clashes.delete(each.box);
}

function apply(name, phones) {
  const each = boxOf(name);
  if (!each) return;
  phonesOf.set(name, phones);
  const mine = phones.find((phone) => phone.is_own)?.fields || {};
  const fields = found.get(name);
  for (const [field, [value]] of Object.entries(mine)) { // the desk has it, this browser lost it
    if (sync.has(name, field) || field in fields) continue;
    fields[field] = value;
    keep(name, placeOf(name, field));
  }
  for (const [field, value] of Object.entries(fields)) { // the other way round
    if (!sync.has(name, field) && mine[field]?.[0] !== value) sync.put(name, field, value, each.printed_for);
  }
  overlay(each);
  byId("choose").options[sheets.indexOf(each)].textContent = optionText(each, progress(each));
  if (each === box) refresh();
}

hooks.put = (each, values) => {
  for (const field of Object.keys(values)) {
    const fields = found.get(each.box);
    const kept = (phonesOf.get(each.box) || []).find((phone) => phone.is_own)?.fields || {};
    if (!(field in fields) && !(field in kept) && !sync.has(each.box, field)) continue; // it was never there
    sync.put(each.box, field, field in fields ? fields[field] : null, each.printed_for);
  }
  overlay(each);
};

const putPlain = put;
put = (values) => { // who ticks a board as seen stands for the switches as the page shows them
  const more = {};
  for (const [field, value] of Object.entries(values)) {
    const board = value === true && box.boards.find((each) => seenName(box, each) === field);
    for (const bank of board ? board.banks : []) {
      for (const name of switchesOf(bank).map((number) => switchName(box, board, bank, number))) {
        for (const end of [name, name + "/off"]) if (others.get(box.box)?.[end] === true && !(end in found.get(box.box))) more[end] = true;
      }
    }
  }
  putPlain({ ...values, ...more });
};

hooks.shown = () => {
  const clash = make("div", { className: "lost", id: "clash", aria: { role: "group", "aria-label": "Found differently" } });
  const who = make("p", { id: "who" });
  byId("name").after(clash, who);
  const each = box;
  if (each.sections) followHold(each);
  let shown = "";
  updates.push(() => {
    const said = clashesOf(each);
    const rest = (phonesOf.get(each.box) || []).filter((phone) => !phone.is_own).map((phone) => {
      const marks = Object.values(phone.fields).filter(([value]) => !isBlankValue(value));
      const last = Math.max(0, ...marks.map(([, at]) => at));
      return marks.length ? `${phone.name}: ${marks.length} ${marks.length === 1 ? "entry" : "entries"} here, last ${clock(last)}` : "";
    }).filter((text) => text);
    const key = JSON.stringify([said, rest]);
    if (key === shown) return;
    shown = key;
    clash.hidden = !said.length;
    clash.replaceChildren(make("p", {}, make("b", { textContent: "Found differently: check again. Until then it counts as not seen." })),
      ...said.map(([field, texts]) => make("p", {}, ...whole(`${placeName(placeOf(each.box, field), each.box)} · ${texts.join(" · ")}`))));
    who.hidden = !rest.length;
    who.replaceChildren(...whole(`Also on this box: ${rest.join("; ")}.`));
  });
};

// --- the verdict of a hold: the desk computes it -------------------------------------------------------------

const SOON = 600; // milliseconds after the last sign that was typed
let holdTimer = 0;

function followHold(each) {
  let asked = "";
  updates.push(() => {
    const isReading = ([name]) => /^(hold\/(start|end)\/|instrument\/)/.test(name.slice(each.box.length + 1));
    const fields = Object.fromEntries(Object.entries(seenIn(each.box)).filter(isReading));
    const key = JSON.stringify(fields);
    if (key === asked || key === "{}") return;
    asked = key;
    clearTimeout(holdTimer);
    holdTimer = setTimeout(() => showHold(each, fields).catch(() => { asked = ""; }), SOON); // asked again with the next entry
  });
}

async function showHold(each, fields) {
  const answer = await fetch("/walk/hold", {
    method: "POST", headers: { "Content-Type": "application/json", "Accept": "application/json" },
    body: JSON.stringify({ sheet: each.box, fields }),
  });
  const said = byId("verdict");
  if (!answer.ok || each !== box || !said) return;
  const { verdict, text } = await answer.json();
  said.textContent = text;
  said.dataset.verdict = verdict || "";
}

const link = make("p", { id: "link", className: "caution", aria: { role: "status" } });
const home = make("p", {}, make("a", { href: "/", textContent: "‹ All" }));
home.firstChild.style.cssText = "display: inline-flex; align-items: center; min-height: 48px; padding-right: 24px";
document.querySelector(".intro").prepend(home);
byId("bar").after(link);

const sync = new Sync([data.job.number, data.job.name], "/walk", {
  apply,
  groups: () => sheets.map((each) => each.box).filter((name) => Object.keys(found.get(name)).length),
  refused: (those) => { link.textContent = `Not taken by the desk: ${those.map(([field, why]) => `${field}: ${why}`).join("; ")}`; },
  link: (state, count) => {
    const text = LINK[state](count);
    if (link.textContent !== text) link.textContent = text;
    link.className = state === "sent" ? "intro" : "caution";
    link.dataset.state = state;
  },
  synced: () => {
    if (signer || !sync.me || document.activeElement?.matches("input, textarea")) return;
    signer = sync.me;
    show();
  },
});
show();
sync.soon(0);

// The schedule's page: forms are sent without leaving it, and it follows the files on disk.

import { fresh, listen, say, upload } from "./common.js";

const PARTS = ["job-name", "state", "questions", "problems", "sheet", "units", "boxes", "facts"];
const OWN_MS = 1500; // within this time after a save, a changed file is most likely the saved one
const refused = document.getElementById("refused");
const shown = new Map(PARTS.map((id) => [id, plain(document.getElementById(id))])); // as the desk sent them
const kept = new Map(); // by id, what is not saved yet; also while its question is gone, as in a half-written sheet
let sending = 0;
let saved = -OWN_MS;
let last = Promise.resolve();

/** A part as the desk sent it, but for the state of the files, which every form carries. */
function plain(part) {
  return part?.outerHTML.replaceAll(/(name="seen" value=")[^"]*/g, "$1");
}

/** Whether a field's present state was sent: a form's fields, or those of one cell. */
function isIn(sent, field) {
  const values = sent?.getAll(field.name) ?? [];
  if (field.type === "radio" || field.type === "checkbox") return values.includes(field.value) === field.checked;
  return values.includes(field.value);
}

/** What the row of a field is about: rows move, and a typed text must not go to another one. */
function rowOf(field) {
  return field.closest("tr")?.dataset.tag;
}

/** Note the fields of a part as a person left them: what is chosen or typed, and neither shown before nor sent. */
function keep(part, sent) {
  for (const each of part.querySelectorAll("input[id], select[id], textarea[id]")) {
    kept.delete(each.id);
    if (isIn(sent, each)) continue;
    if (each.type === "radio" || each.type === "checkbox") {
      if (each.checked !== each.defaultChecked) kept.set(each.id, { of: rowOf(each), state: { checked: each.checked } });
    } else if (each.matches("select")) {
      const first = [...each.options].find((option) => option.defaultSelected) ?? each.options[0];
      if (each.value !== first?.value) kept.set(each.id, { of: rowOf(each), state: { value: each.value } });
    } else if (each.value !== each.defaultValue) {
      kept.set(each.id, { of: rowOf(each), state: { value: each.value } });
    }
  }
}

/** Put the present version of each part that changed in place; scroll, focus and what is not saved yet stay. */
async function follow(sent = null) {
  const page = await fresh();
  if (!page) return;
  const at = { x: scrollX, y: scrollY };
  for (const id of PARTS) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (!old || !now) { location.reload(); return; }
    const text = plain(now);
    if (shown.get(id) !== text) replace(old, document.adoptNode(now), sent);
    shown.set(id, text);
  }
  const seen = page.querySelector("[name=seen]")?.value;
  for (const each of document.querySelectorAll("[name=seen]")) each.value = seen ?? each.value;
  scrollTo(at.x, at.y);
}

function replace(old, now, sent) {
  const held = old.contains(document.activeElement) ? document.activeElement.id : "";
  keep(old, sent);
  const wide = [...old.querySelectorAll(".wide[id]")].map((each) => [each.id, each.scrollLeft, each.scrollTop]);
  const open = [...old.querySelectorAll("details[open][id]")].map((each) => each.id);
  const preview = [...(old.querySelector("#paste-preview")?.childNodes ?? [])];
  old.replaceWith(now);
  now.querySelector("#paste-preview")?.replaceChildren(...preview);
  for (const [name, left, top] of wide) document.getElementById(name)?.scrollTo(left, top);
  for (const name of open) document.getElementById(name)?.setAttribute("open", "");
  for (const [name, { of, state }] of kept) {
    const field = document.getElementById(name);
    if (field && rowOf(field) === of) Object.assign(field, state);
  }
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
}

/** Send a form after what is being sent already; `fields(form)` is asked then, of the form as it is then. */
function save(form, fields) {
  const { action, id } = form;
  last = last.then(() => saveNow(action, id, fields));
}

async function saveNow(action, id, fields) {
  const form = document.getElementById(id);
  const sent = form && fields(form);
  if (!sent) return;
  sending += 1;
  const answer = await upload(action, sent);
  if (answer) {
    refused.innerHTML = answer.refused;
    if (answer.is_saved && id === "paste-form") empty();
    if (!answer.is_saved) refused.scrollIntoView({ block: "nearest" });
    await follow(answer.is_saved ? sent : null);
  }
  saved = performance.now();
  sending -= 1;
}

function empty() {
  document.getElementById("paste-preview").replaceChildren();
  document.getElementById("paste-block").value = "";
  document.getElementById("paste-keys").value = "";
}

/** All fields of a form, with the button that sent it. */
function formFields(form, submitter) {
  const fields = new FormData(form);
  if (submitter?.name) fields.append(submitter.name, submitter.value);
  return fields;
}

/** The fields of one cell: its own, and those by which its row is known. */
function cellFields(form, name) {
  const cell = form.elements[name];
  if (!cell) return null;
  const fields = new FormData();
  fields.append("seen", form.elements.seen.value);
  for (const each of cell.closest("tr").querySelectorAll("input[type=hidden]")) fields.append(each.name, each.value);
  fields.append(name, cell.value);
  return fields;
}

/** Whether a table has something that leaving a cell does not save: a new row. */
function hasNew(form) {
  return [...form.querySelectorAll("[data-whole-row]")].some((each) => each.value.trim());
}

async function preview(form) {
  const answer = await upload(form.action, new FormData(form));
  if (!answer) return;
  const place = document.getElementById("paste-preview");
  place.innerHTML = answer.part;
  place.focus({ preventScroll: true });
  place.scrollIntoView({ block: "nearest" });
}

document.addEventListener("submit", (event) => {
  const { target: form, submitter } = event;
  if (form.matches("[data-preview]")) {
    event.preventDefault();
    preview(form);
  } else if (form.matches("[data-send]")) {
    event.preventDefault();
    if (!form.matches("[data-cells]") || hasNew(form)) save(form, (now) => formFields(now, submitter));
    else say("Each cell is saved when you leave it.");
  }
});

document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-cells]");
  const { name } = event.target;
  if (form && !event.target.matches("[data-whole-row]")) save(form, (now) => cellFields(now, name));
});

// a block pasted onto a cell: its lines are the boxes from that one on, its cells the columns from that one on
document.addEventListener("paste", (event) => {
  const cell = event.target.closest?.("form[data-paste] input[data-key]");
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!cell || !/[\t\n]/.test(text.trimEnd())) return;
  event.preventDefault();
  const lines = text.replaceAll("\r\n", "\n").replace(/\n+$/, "").split("\n");
  const keys = [...cell.closest("tr").querySelectorAll("[data-key]")].map((each) => each.dataset.key);
  const from = cell.dataset.key;
  const own = keys.slice(keys.indexOf(from));
  const tags = [];
  for (let line = cell.closest("tr"); line; line = line.nextElementSibling) tags.push(line.dataset.tag);
  const block = from === "tag" ? lines : lines.map((line, at) => `${tags[at] ?? ""}\t${line}`);
  document.getElementById("paste-keys").value = (from === "tag" ? own : ["tag", ...own]).join(",");
  document.getElementById("paste-block").value = block.join("\n");
  document.getElementById("paste-part").open = true;
  preview(document.getElementById("preview-form"));
});

document.addEventListener("input", (event) => {
  if (event.target.id === "paste-block") document.getElementById("paste-keys").value = "";
});

listen("changed", async (names) => {
  if (sending) return;
  const isOwn = performance.now() - saved < OWN_MS;
  await follow();
  const state = document.querySelector("#state .badges")?.textContent.replace(/\s+/g, " ").trim();
  if (state && !isOwn) say(`${names.join(", ")}: read again. ${state}`);
});

// The schedule's page: forms are sent without leaving it, and it follows the files on disk.

import { fresh, listen, say, upload } from "./common.js";

const PARTS = ["state", "questions", "problems", "sheet", "units", "boxes", "facts"];
const refused = document.getElementById("refused");
let sending = 0;

/** The fields of a part as a person left them: what is chosen or typed and not saved yet. */
function unsaved(part) {
  const kept = new Map();
  for (const each of part.querySelectorAll("input[id], select[id], textarea[id]")) {
    if (each.type === "radio" || each.type === "checkbox") {
      if (each.checked !== each.defaultChecked) kept.set(each.id, { checked: each.checked });
    } else if (each.matches("select")) {
      const first = [...each.options].find((option) => option.defaultSelected) ?? each.options[0];
      if (each.value !== first?.value) kept.set(each.id, { value: each.value });
    } else if (each.type !== "hidden" && each.value !== each.defaultValue) {
      kept.set(each.id, { value: each.value });
    }
  }
  return kept;
}

/** Put the present version of each part in place; scroll, focus and what is not saved yet stay. */
async function follow(forget = null) {
  const page = await fresh();
  const at = { x: scrollX, y: scrollY };
  const held = document.activeElement?.id;
  for (const id of PARTS) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (!old || !now) { location.reload(); return null; }
    if (old.outerHTML === now.outerHTML) continue;
    const kept = old.contains(forget) ? new Map() : unsaved(old);
    const wide = [...old.querySelectorAll(".wide[id]")].map((each) => [each.id, each.scrollLeft, each.scrollTop]);
    const open = [...old.querySelectorAll("details[open][id]")].map((each) => each.id);
    const shown = old.querySelector("#paste-preview")?.childNodes ?? [];
    const next = document.adoptNode(now);
    next.querySelector("#paste-preview")?.replaceChildren(...shown);
    old.replaceWith(next);
    for (const [name, left, top] of wide) document.getElementById(name)?.scrollTo(left, top);
    for (const name of open) document.getElementById(name)?.setAttribute("open", "");
    for (const [name, state] of kept) Object.assign(document.getElementById(name) ?? {}, state);
  }
  scrollTo(at.x, at.y);
  if (held && document.activeElement?.id !== held) document.getElementById(held)?.focus({ preventScroll: true });
  return page;
}

/** Send a form's fields; the page is then as the job is on disk. */
async function save(form, fields) {
  sending += 1;
  const answer = await upload(form.action, fields);
  sending -= 1;
  if (!answer) return;
  refused.innerHTML = answer.refused;
  if (answer.is_saved) {
    if (form.id === "paste-form" || form.closest("#paste-preview")) empty();
    await follow(form.closest("section"));
  } else {
    refused.scrollIntoView({ block: "nearest" });
    await follow();
  }
}

function empty() {
  document.getElementById("paste-preview").replaceChildren();
  document.getElementById("paste-block").value = "";
}

/** The fields of one row of a table of cells, with the hidden fields of its form. */
function row(form, line) {
  const fields = new FormData();
  fields.append("seen", form.elements.seen.value);
  for (const each of line.querySelectorAll("input[name]")) fields.append(each.name, each.value);
  return fields;
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
  const form = event.target;
  if (form.matches("[data-preview]")) {
    event.preventDefault();
    preview(form);
  } else if (form.matches("[data-send]")) {
    event.preventDefault();
    save(form, new FormData(form, event.submitter));
  }
});

document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-cells]");
  const line = event.target.closest("tr");
  if (form && line && !event.target.matches("[data-whole-row]")) save(form, row(form, line));
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
  preview(document.querySelector("form[data-preview]"));
});

document.addEventListener("input", (event) => {
  if (event.target.id === "paste-block") document.getElementById("paste-keys").value = "";
});

listen("changed", async (names) => {
  if (sending) return;
  const page = await follow();
  const state = page?.querySelector("#state .badges")?.textContent.replace(/\s+/g, " ").trim();
  if (state) say(`${names.join(", ")}: read again. ${state}`);
});

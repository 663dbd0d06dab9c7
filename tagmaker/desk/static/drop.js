// Files that are dropped anywhere on a page, or chosen, are sent and kept with what came back.

import { complain, say, upload } from "./common.js";

const form = document.getElementById("drop");
const SYSTEM = new Set(["thumbs.db", "desktop.ini"]); // files that systems put into every folder
const AT_ONCE = 300e6; // bytes of one request; the desk takes 400 MB

const isMeant = (file) => !file.name.startsWith(".") && !SYSTEM.has(file.name.toLowerCase());

/** The files of a dropped folder, folders in it searched. */
async function filesOf(entry) {
  if (entry.isFile) return [await new Promise((done, failed) => entry.file(done, failed))];
  const reader = entry.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((done, failed) => reader.readEntries(done, failed));
    if (!some.length) break;
    for (const each of some) found.push(...await filesOf(each));
  }
  return found;
}

async function keep(files) {
  const meant = files.filter(isMeant);
  if (!meant.length) { complain("No file was chosen."); return; }
  while (meant.length) {
    const fields = new FormData();
    let bytes = 0;
    let count = 0;
    while (meant.length && count < 200 && (!count || bytes + meant[0].size < AT_ONCE)) {
      const file = meant.shift();
      bytes += file.size;
      count += 1;
      fields.append("files", file, file.name);
    }
    say(`Sending ${count} file${count === 1 ? "" : "s"} …`, 60);
    if (!await upload(form.action, fields)) return;
  }
  form.reset();
  document.dispatchEvent(new CustomEvent("kept"));
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  keep([...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]));
});
form.addEventListener("change", () => form.requestSubmit());
document.getElementById("drop-send").hidden = true; // choosing is enough

document.addEventListener("dragover", (event) => { event.preventDefault(); form.classList.add("over"); });
document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) form.classList.remove("over"); });
document.addEventListener("drop", async (event) => {
  event.preventDefault();
  form.classList.remove("over");
  const entries = [...event.dataTransfer?.items ?? []].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  const plain = [...event.dataTransfer?.files ?? []];
  const found = [];
  for (const entry of entries) found.push(...await filesOf(entry));
  keep(entries.length ? found : plain);
});

// The first page: states of large jobs, a dropped schedule, new jobs.

import { get, upload } from "./common.js";

const refused = document.getElementById("refused");

async function states() {
  for (const place of document.querySelectorAll("[data-state]")) {
    const answer = await get(place.dataset.state);
    if (!answer) continue;
    const row = document.createElement("tbody");
    row.innerHTML = `<tr>${answer.part}</tr>`;
    place.replaceWith(...row.firstElementChild.children);
  }
}

async function begin(form, submitter) {
  submitter?.setAttribute("aria-disabled", "true");
  const answer = await upload(form.action, new FormData(form));
  submitter?.removeAttribute("aria-disabled");
  if (answer?.go) {
    location.assign(answer.go);
  } else if (answer) {
    refused.innerHTML = answer.refused;
    refused.scrollIntoView({ block: "nearest" });
  }
}

document.addEventListener("submit", (event) => {
  if (!event.target.matches("[data-new]")) return;
  event.preventDefault();
  if (event.submitter?.getAttribute("aria-disabled") !== "true") begin(event.target, event.submitter);
});

// a file dropped anywhere on the page is the new schedule
const form = document.querySelector("[data-drop]");
const field = document.getElementById("new-file");
const zone = form.querySelector(".drop");

document.addEventListener("dragover", (event) => { event.preventDefault(); zone.classList.add("over"); });
document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) zone.classList.remove("over"); });
document.addEventListener("drop", (event) => {
  event.preventDefault();
  zone.classList.remove("over");
  if (!event.dataTransfer?.files.length) return;
  field.files = event.dataTransfer.files;
  field.dispatchEvent(new Event("change"));
});

field.addEventListener("change", () => {
  const name = document.getElementById("new-name");
  const stem = (field.files[0]?.name ?? "").replace(/\.[^.]*$/, "");
  if (!name.value) name.value = stem.slice(0, 60);
  document.getElementById("new-family").focus();
});

states();

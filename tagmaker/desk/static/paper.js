// Paper: pages are turned in place, works show their progress, a change on disk shows at once.

import { complain, listen, refresh as renew, say } from "/static/common.js";

const PARTS = ["stocks", "pages", "make", "choice", "making"];

/** Put the fresh version of these parts in place; a folder that was typed stays. */
async function refresh(...ids) {
  const before = document.querySelector('#make [name="out"]');
  const typed = before && before.value !== before.defaultValue ? before.value : null;
  await renew(...ids);
  const now = document.querySelector('#make [name="out"]');
  if (now && typed !== null) now.value = typed;
}

/** Show a work's progress; once it is over, what it made. */
listen("work", async (work) => {
  const panel = document.querySelector(`[data-work="${work.number}"]`);
  if (!panel) return;
  const told = panel.querySelector("[data-told]");
  if (work.state === "stopped" && panel.parentElement.id !== "making") {
    if (told) told.textContent = "Stopped: another window asked for other pages. Reload this one to begin again.";
    return;
  }
  if (work.state !== "running") {
    await refresh(...PARTS);
    const made = document.querySelector("#making p")?.textContent.trim().replace(/\s+/g, " ");
    if (work.state === "failed") complain("That failed. The page shows what to do.");
    else say(work.state === "done" ? made ?? "Done." : "Stopped.");
    return;
  }
  const bar = panel.querySelector("progress");
  if (!bar || !told) return;
  [bar.max, bar.value] = [work.of || 1, work.done];
  const isDrawn = panel.parentElement.id === "making" && work.done === work.of;
  told.textContent = isDrawn ? "Drawing the files and reading the codes back" : `${work.done} of ${work.of}`;
});

/** A file of the job changed on disk. */
listen("changed", async () => {
  if (document.getElementById("making")) return;
  await refresh(...PARTS);
  say("The job changed on disk: the pages are shown as they are now.");
});

/** Turn to another page, document or first label without losing the place on the screen. */
document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[data-turn]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  event.preventDefault();
  history.pushState(null, "", link.getAttribute("href"));
  await turned(link.getAttribute("aria-label"));
});
window.addEventListener("popstate", () => turned());

async function turned(chosen = null) {
  await refresh("pages", "make");
  const skip = document.querySelector('#what [name="skip"]');
  if (skip) skip.value = new URLSearchParams(location.search).get("skip") ?? "0";
  const where = document.querySelector("#pages .turn > span");
  if (document.activeElement === document.body) document.querySelector("#pages .turn a")?.focus({ preventScroll: true });
  if (where) say(chosen ?? where.textContent);
}

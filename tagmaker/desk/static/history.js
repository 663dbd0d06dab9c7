// Undo and redo, in the head of each page of a job and in its history.

import { listen, say, send } from "./common.js";

const job = document.body.dataset.job;
const KEPT = "desk-history";
const FOLLOWS = /\/schedule$/; // follows the files by itself, and keeps what is typed and not saved

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form.go");
  if (!form) return;
  event.preventDefault();
  const held = document.activeElement?.id;
  const answer = await send(form.action, Object.fromEntries(new FormData(form)));
  if (!answer) return freshBar();
  if (FOLLOWS.test(location.pathname)) return freshBar();
  sessionStorage.setItem(KEPT, JSON.stringify({ said: answer.said, held }));
  location.reload();
});

const kept = sessionStorage.getItem(KEPT);
if (kept) {
  sessionStorage.removeItem(KEPT);
  const { said, held } = JSON.parse(kept);
  const button = held && document.getElementById(held);
  if (button) (button.disabled ? document.getElementById("main") : button).focus({ preventScroll: true });
  say(said);
}

/** The bar as it is now; the focus stays. */
async function freshBar() {
  const answer = await fetch(`/job/${job}/history/bar`);
  if (!answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const [old, now] = [document.getElementById("history-bar"), page.getElementById("history-bar")];
  if (!old || !now || old.innerHTML === now.innerHTML) return;
  const held = document.activeElement?.id;
  old.replaceWith(document.adoptNode(now));
  if (held && document.activeElement?.id !== held) document.getElementById(held)?.focus({ preventScroll: true });
}

listen("changed", freshBar);

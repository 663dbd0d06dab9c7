// A hand scanner that types: each code is sent at once, in order, and its answer shown in large letters.
// What a code is, and whether it agrees, is the desk's to say.

import { say, send } from "./common.js";
import "./drop.js";

const at = `/job/${document.body.dataset.job}/site/scan`;
const form = document.getElementById("scan");
const field = document.getElementById("code");
const answer = document.getElementById("answer");
const log = document.getElementById("log");
const own = form.dataset.window;
const FAST = 80; // milliseconds between two keys of a scanner; a person who types is slower
const KEPT = 200; // lines of the list
const queue = [];
let isSending = false;
let lastKey = 0;
const anywhere = document.getElementById("anywhere");

function show(state) {
  document.getElementById("head").innerHTML = state.head;
}

function showBox(box, markup) {
  const list = document.getElementById("list");
  const old = list.querySelector(`[data-box="${CSS.escape(box)}"]`);
  const made = document.createElement("template");
  made.innerHTML = markup;
  if (old) old.replaceWith(made.content);
  else open(); // a box that is new in the list gets its place in walking order
}

function showAnswer(markup) {
  const last = answer.querySelector(".large");
  if (last) {
    const line = document.createElement("li");
    line.textContent = `${last.querySelector(".word").textContent.trim().replace(/\s+/g, " ")}: ${last.dataset.line}`;
    log.prepend(line);
    while (log.children.length > KEPT) log.lastElementChild.remove();
  }
  answer.innerHTML = markup;
}

async function sendAll() {
  if (isSending) return;
  isSending = true;
  while (queue.length) {
    const found = await send(at, { window: own, text: queue[0] });
    if (!found) { // nothing was kept: what is waiting must not be lost, and is scanned again
      const lost = queue.splice(0);
      field.value = "";
      showAnswer('<div class="large error" data-state="lost" data-line="scan again"><p class="word">NOT KEPT</p><p class="ends"></p><p class="line">Scan again.</p></div>');
      answer.querySelector(".ends").textContent = lost.join(" · ");
      break;
    }
    queue.shift();
    for (const each of found.answers) showAnswer(each);
    for (const [box, markup] of Object.entries(found.boxes)) showBox(box, markup);
    show(found);
  }
  isSending = false;
}

function take() {
  const text = field.value;
  field.value = "";
  if (!text.trim()) return;
  queue.push(text);
  sendAll();
}

async function open(path = "open") {
  const found = await send(`${at}/${path}`, { window: own });
  if (!found) return;
  document.getElementById("list").innerHTML = found.list;
  show(found);
}

form.addEventListener("submit", (event) => { event.preventDefault(); take(); });
field.addEventListener("keydown", (event) => {
  // a scanner may end a code with a tab; a person who moves on with Tab is slower
  if (event.key === "Tab" && field.value && event.timeStamp - lastKey < FAST && !event.shiftKey) {
    event.preventDefault();
    take();
  }
  lastKey = event.timeStamp;
});
document.addEventListener("keydown", (event) => {
  const isTyped = event.key.length === 1 && !event.ctrlKey && !event.altKey && !event.metaKey && event.key !== " ";
  if (anywhere.checked && isTyped && !event.target.closest("input, textarea, select, [contenteditable]")) field.focus();
});
document.getElementById("new-session").addEventListener("click", async () => {
  await open("new");
  field.focus();
  say("A new session: scan a terminal first.");
});
document.addEventListener("kept", () => say("Kept. What the photos show is under “What came back”."));
addEventListener("pagehide", () => {
  fetch(`${at}/leave`, { method: "POST", keepalive: true, headers: { "Content-Type": "application/json" }, body: JSON.stringify({ window: own }) });
});
addEventListener("pageshow", (event) => { if (event.persisted) open(); });
open().then(() => field.focus());

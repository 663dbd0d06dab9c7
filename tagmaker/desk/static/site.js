// The site's page follows what came back: it is read again when a file changes, and shown when that is done.

import { fresh, listen, say } from "./common.js";
import "./drop.js";

const SOON = 250; // milliseconds: several files that change together are one change
const LATER = 3000; // while somebody scans line by line
const SESSION = /^returned\/scans-[^/]*\.txt$/;
let waiting = 0;

/** Whether somebody types beside pictures: what is not kept yet must not be replaced. */
function isTyping() {
  return [...document.querySelectorAll(".typing [name^=now]")].some((each) => {
    const was = each.closest("li").querySelector("[name^=was]").value;
    return each.value !== was;
  });
}

/** Put the present state in place; opened parts stay open, focus and scroll stay. */
async function follow() {
  if (isTyping()) {
    say("More came back. It is shown once what you typed is kept.");
    return;
  }
  const page = await fresh();
  if (!page) return;
  const at = { x: scrollX, y: scrollY };
  const held = document.activeElement?.id;
  const open = [...document.querySelectorAll("details[open][id]")].map((each) => each.id);
  const before = document.getElementById("reading").dataset.state;
  for (const id of ["reading", "result"]) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (old.outerHTML !== now.outerHTML) old.replaceWith(document.adoptNode(now));
  }
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  scrollTo(at.x, at.y);
  if (held && document.activeElement?.id !== held) document.getElementById(held)?.focus({ preventScroll: true });
  const state = document.getElementById("reading").dataset.state;
  const parts = [...(document.getElementById("sum")?.children ?? [])].map((each) => each.innerText);
  const whole = parts.pop();
  if (before === "running" && state === "done" && whole) say(`Read: ${parts.join(", ")} ${whole}`);
}

function soon(milliseconds) {
  clearTimeout(waiting);
  waiting = setTimeout(follow, milliseconds);
}

listen("changed", (names) => soon(names.every((name) => SESSION.test(name)) ? LATER : SOON));
listen("work", (work) => {
  if (work.kind !== "readback") return;
  const bar = document.querySelector("#reading progress");
  if (work.state === "running" && bar && work.of) Object.assign(bar, { max: work.of, value: work.done });
  if (work.state !== "running") soon(0);
});
document.addEventListener("kept", () => soon(0));
// the part that something was just typed in
const { hash } = location;
if (/^#[\w-]+$/.test(hash)) document.getElementById(hash.slice(1))?.setAttribute("open", "");
// a reading that ended before this page listened
if (document.getElementById("reading").dataset.state === "running") soon(1500);

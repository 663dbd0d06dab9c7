// Units dragged to another port by hand: mouse, pen or finger.

import { element } from "./picture.js";

const PULL = 6; // pixels before a press becomes a drag
let held = null; // the unit that is pressed or dragged
let isDropped = false;

/** Whether the click that a browser reports now is the end of a drag. */
export function justDragged() {
  return isDropped;
}

/** Let units be dragged; `move` is called with a unit's tag and the box and port where it is dropped. */
export function dragging(move) {
  document.addEventListener("pointerdown", (event) => {
    const button = event.target.closest?.("button.unit");
    if (!button || event.button) return;
    held = { button, x: event.clientX, y: event.clientY, ghost: null, over: null, pointer: event.pointerId };
  });

  document.addEventListener("pointermove", (event) => {
    if (!held || event.pointerId !== held.pointer) return;
    const isPulled = Math.hypot(event.clientX - held.x, event.clientY - held.y) > PULL;
    if (!held.ghost && isPulled) lift();
    if (held.ghost) carry(event);
  });

  document.addEventListener("pointerup", (event) => {
    if (!held || event.pointerId !== held.pointer) return;
    const { button, ghost, over } = held;
    letGo();
    if (!ghost) return;
    isDropped = true;
    setTimeout(() => { isDropped = false; });
    if (over && !(over.dataset.box === button.dataset.box && over.dataset.port === button.dataset.port)) {
      move(button.dataset.tag, over.dataset.box, over.dataset.port);
    }
  });

  document.addEventListener("pointercancel", letGo);
  document.addEventListener("keydown", (event) => { if (event.key === "Escape" && held) letGo(); });
}

function lift() {
  held.ghost = element("div", "ghost", { "aria-hidden": "true" });
  held.ghost.textContent = held.button.dataset.tag;
  document.body.append(held.ghost);
  document.body.classList.add("dragging");
  held.scrolling = setInterval(scrollAtEdge, 30);
}

function carry(event) {
  held.ghost.style.left = `${event.clientX + 12}px`;
  held.ghost.style.top = `${event.clientY + 12}px`;
  held.clientY = event.clientY;
  const below = document.elementsFromPoint(event.clientX, event.clientY);
  const over = below.find((each) => each.classList.contains("port")) ?? null;
  if (over === held.over) return;
  held.over?.classList.remove("target");
  over?.classList.add("target");
  held.over = over;
}

function scrollAtEdge() {
  const edge = 60;
  if (held?.clientY < edge) window.scrollBy(0, -14);
  else if (held?.clientY > window.innerHeight - edge) window.scrollBy(0, 14);
}

function letGo() {
  if (!held) return;
  clearInterval(held.scrolling);
  held.ghost?.remove();
  held.over?.classList.remove("target");
  document.body.classList.remove("dragging");
  held = null;
}

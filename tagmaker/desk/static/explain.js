// Switches as found, tapped on the picture: each is a button that is pressed where the switch is ON.

import { send } from "./common.js";
import { element, lay } from "./picture.js";

const boards = document.getElementById("boards");
const form = document.getElementById("asked");
const on = new Set((boards?.dataset.on ?? "").split(" ").filter(Boolean));
let asked = 0;

async function ask(held = "") {
  const number = ++asked;
  const { of = "other", box = "", family, ports, wish } = Object.fromEntries(new FormData(form));
  const which = of === "job" ? { box } : { family, ports };
  const found = await send(`${location.pathname}/try`, { ...which, wish, on: [...on] });
  if (!found || number !== asked) return;
  document.getElementById("explained").innerHTML = found.answer;
  boards.hidden = !found.picture;
  const chosen = which.box && form.elements.box.selectedOptions[0].dataset.tag;
  document.getElementById("boards-title").textContent = `Switches as found${chosen ? `: ${chosen}` : ""}`;
  if (found.picture) draw(found.picture, held);
}

function draw(picture, held) {
  const sheet = element("div", "sheet");
  sheet.innerHTML = picture.svg; // drawn by the desk, every text of it escaped
  for (const each of picture.switches) {
    const name = `${each.board}/${each.bank}/${each.switch}`;
    const label = `${each.board} board, ${each.bank_name}, switch ${each.switch} ON`;
    const button = element("button", "switch", { type: "button", "aria-pressed": each.is_on, "aria-label": label });
    button.dataset.switch = name;
    sheet.append(lay(button, each.frame, picture));
  }
  boards.querySelector(".picture").replaceChildren(sheet);
  if (held) sheet.querySelector(`[data-switch="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
}

boards?.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.id === "all-off") {
    on.clear();
    ask();
  } else if (button?.dataset.switch) {
    const name = button.dataset.switch;
    if (!on.delete(name)) on.add(name);
    ask(name);
  }
});

// another box begins with all switches OFF
form.addEventListener("change", (event) => {
  if (!boards || event.target.name !== "box") return;
  on.clear();
  form.elements.found.value = "";
  ask();
});

if (boards && !boards.hidden) ask(); // hidden: what was typed is not understood, and the page says why

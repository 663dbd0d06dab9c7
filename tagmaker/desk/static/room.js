// The places for one more unit, shown on the pictures of the boxes.

import { get, listen, say, send } from "./common.js";
import { drawn, element } from "./picture.js";

const offered = document.getElementById("offered");

async function show() {
  const places = JSON.parse(offered.dataset.places);
  const found = await send(location.pathname.replace(/room$/, "boxes/pictures"), { boxes: Object.keys(places) });
  if (!found) return;
  for (const key of Object.keys(places)) {
    const picture = found.boxes[key]?.picture;
    if (!picture) continue;
    const card = element("section", "card", { "aria-label": key });
    const title = element("h3", "");
    title.textContent = key;
    const place = element("div", "picture", { tabindex: "0", role: "region", "aria-label": `Picture of ${key}` });
    const sheet = drawn(picture);
    place.dataset.drawn = "yes";
    place.append(sheet);
    for (const port of places[key]) mark(sheet, port);
    card.append(title, place);
    offered.querySelector(".boxes").append(card);
  }
}

/** Mark the rows of a port, or of both ports of a free pair. */
function mark(sheet, port) {
  const letters = port.split("+");
  for (const row of sheet.querySelectorAll(".port")) {
    if (!row.dataset.port.split("+").every((each) => letters.includes(each)) || row.classList.contains("offered")) continue;
    row.classList.add("offered");
    const label = element("span", "fits");
    label.textContent = "fits";
    row.append(label);
  }
}

// the answer is a new page; with hundreds of boxes it takes seconds
document.getElementById("asked").addEventListener("submit", () => {
  say("Each port is being planned and checked with the unit on it …", 60);
});

const waiting = document.querySelector("#waiting progress");

/** Follow the search; its end brings the answer in place of this. */
function follow(work) {
  if (work.state !== "running") location.reload();
  else if (work.of) Object.assign(waiting, { max: work.of, value: work.done });
}

if (waiting) {
  const number = Number(document.getElementById("waiting").dataset.work);
  listen("work", (work) => { if (work.number === number) follow(work); });
  setTimeout(async () => { // a search that ended before this page listened
    const work = await get(`/work/${number}`);
    if (work) follow(work);
  }, 1500);
}

if (offered) show();

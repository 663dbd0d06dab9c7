// The boxes: pictures as they come into view, units moved by hand or by keyboard, and what that changes.
// What follows from a move is asked of the desk; nothing is decided here.

import { listen, refresh, say, send } from "./common.js";
import { dragging, justDragged } from "./drag.js";
import { drawn, element } from "./picture.js";

const job = document.body.dataset.job;
const at = `/job/${job}/boxes`;
const shelf = `moves of ${job}`;
const [draft, answer, mover] = ["draft", "answer", "mover"].map((id) => document.getElementById(id));
const moves = new Map(); // by unit in capitals: the unit, its new box and port
const FAR = 4000; // pixels from the window beyond which a picture is put away: memory stays small
const NEAR = 600;
const AT_ONCE = 12; // pictures of one request
let asked = 0;

// --- the draft ---------------------------------------------------------------------------------------------

function recalled() {
  try {
    for (const each of JSON.parse(sessionStorage.getItem(shelf) ?? "[]")) moves.set(each.unit.toUpperCase(), each);
  } catch {
    sessionStorage.removeItem(shelf);
  }
}

function remember() {
  sessionStorage.setItem(shelf, JSON.stringify([...moves.values()]));
}

/** Ask what all moves together change, and show it; answers that are overtaken by a later one are dropped. */
async function tried(touched = []) {
  const number = ++asked;
  const found = await send(`${at}/try`, { moves: [...moves.values()], boxes: [...touched] });
  if (!found || number !== asked) return false;
  for (const key of moves.keys()) if (!found.units.includes(key)) moves.delete(key); // it is there already
  remember();
  if (!moves.size) answer.hidden = true;
  const wasOpen = document.getElementById("draft-details")?.open;
  draft.innerHTML = found.draft;
  if (wasOpen) document.getElementById("draft-details")?.setAttribute("open", "");
  listProblems(found.problems);
  show(found.boxes);
  for (const key of new Set([...found.touched, ...touched])) if (!found.boxes[key]) drawAgain(key);
  differing = new Set(found.touched);
  draft.dataset.tried = number;
  if (moves.size) laidOut(number);
  return true;
}

/** The list of problems: closed where a person closed it, until a move makes a new one. */
function listProblems(markup) {
  const wasOpen = document.getElementById("problems-details")?.open;
  document.getElementById("problems").innerHTML = markup;
  const now = document.getElementById("problems-details");
  if (now) now.open = (wasOpen ?? now.open) || Boolean(now.querySelector(".badge"));
}

/** Whether the paper of these moves fits takes longer to find out: it follows. */
async function laidOut(number) {
  const found = await send(`${at}/paper`, { moves: [...moves.values()] });
  const place = document.getElementById("on-paper");
  if (found && place && number === asked) place.innerHTML = found.paper;
}

let differing = new Set(); // boxes that the moves changed, to be drawn again when these are taken back

async function move(unit, box, port) {
  const key = unit.toUpperCase();
  const before = moves.get(key);
  moves.set(key, { unit, box, port });
  if (await tried(differing)) {
    focusOn(key);
    return;
  }
  if (before) moves.set(key, before); else moves.delete(key);
  fetchWanted();
}

async function takeBack(key) {
  moves.delete(key);
  remember();
  if (await tried(differing)) {
    say(moves.size ? `${key} is back where the job has it.` : "No move is left.");
    focusOn(key);
  }
}

async function discard() {
  moves.clear();
  remember();
  answer.hidden = true;
  if (await tried(differing)) say("The moves are discarded. Nothing was changed.");
  document.getElementById("boxes").querySelector(".box")?.focus({ preventScroll: true });
}

async function keep(asCsv = false) {
  const seen = JSON.parse(document.getElementById("boxes").dataset.seen);
  const found = await send(`${at}/keep`, { moves: [...moves.values()], seen, as_csv: asCsv });
  if (!found) return;
  answer.innerHTML = found.answer;
  answer.hidden = found.kept;
  if (!found.kept) {
    answer.focus();
    return;
  }
  const held = [...moves.keys()].at(-1);
  moves.clear();
  remember();
  await renewed(differing);
  focusOn(held);
}

let renewing = Promise.resolve();

/** Show the files as they are now, pictures and moves too; one after the other: a kept move is a changed file, too. */
function renewed(touched = []) {
  renewing = renewing.then(() => renew(touched));
  return renewing;
}

/** The focus stays on its unit, and every place keeps its height meanwhile. */
async function renew(touched) {
  const { unit, box } = document.activeElement?.dataset ?? {};
  const heights = new Map([...document.querySelectorAll(".picture")].map((each) => [each.dataset.box, each.offsetHeight]));
  await refresh("boxes");
  for (const place of document.querySelectorAll(".picture")) place.style.minHeight = `${heights.get(place.dataset.box) ?? 0}px`;
  watchAll();
  await tried(unit ? [...touched, box] : touched);
  if (unit && document.activeElement === document.body) focusOn(unit);
}

draft.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.id === "keep") keep();
  else if (button.id === "discard") discard();
  else if (button.dataset.back) takeBack(button.dataset.back);
});

answer.addEventListener("click", (event) => {
  if (event.target.id === "as-csv") keep(true);
  if (event.target.id === "answer-close") {
    answer.hidden = true;
    document.getElementById("keep")?.focus();
  }
});

function focusOn(key) {
  const chip = document.querySelector(`button.unit[data-unit="${CSS.escape(key)}"]`);
  (chip ?? document.getElementById("keep"))?.focus({ preventScroll: true });
}

// --- pictures ----------------------------------------------------------------------------------------------

const wanted = new Set();
let timer = 0;

const near = new IntersectionObserver((seen) => {
  for (const each of seen) {
    if (each.isIntersecting && !each.target.dataset.drawn) wanted.add(each.target.dataset.box);
  }
  clearTimeout(timer);
  timer = setTimeout(fetchWanted, 20);
}, { rootMargin: `${NEAR}px 0px` });

const far = new IntersectionObserver((seen) => {
  for (const each of seen) {
    if (!each.isIntersecting && each.target.dataset.drawn) putAway(each.target);
  }
}, { rootMargin: `${FAR}px 0px` });

/** Fetch the pictures that are wanted; one that a move overtakes on its way is fetched again. */
async function fetchWanted() {
  while (wanted.size) {
    const number = asked;
    const boxes = [...wanted].slice(0, AT_ONCE);
    boxes.forEach((key) => wanted.delete(key));
    const found = await send(`${at}/pictures`, { moves: [...moves.values()], boxes });
    if (found && number === asked) show(found.boxes);
    else boxes.forEach((key) => wanted.add(key));
    if (!found) return;
  }
}

function watchAll() {
  for (const place of document.querySelectorAll(".picture")) {
    near.observe(place);
    far.observe(place);
  }
}

/** A picture that is far from the window leaves memory; its place keeps its height. */
function putAway(place) {
  if (place.contains(document.activeElement)) return;
  place.style.minHeight = `${place.offsetHeight}px`;
  place.replaceChildren();
  delete place.dataset.drawn;
}

/** Have a picture fetched again when it is near the window. */
function drawAgain(key) {
  const place = document.querySelector(`.picture[data-box="${CSS.escape(key)}"]`);
  if (!place?.dataset.drawn) return;
  putAway(place);
  near.unobserve(place);
  near.observe(place);
}

function show(boxes) {
  for (const [key, { picture, problems }] of Object.entries(boxes)) {
    const box = document.getElementById(`box-${key}`);
    if (!box) continue;
    box.querySelector(".box-problems").innerHTML = problems;
    const place = box.querySelector(".picture");
    if (place && picture) draw(place, picture);
  }
}

function draw(place, picture) {
  const held = place.contains(document.activeElement) ? document.activeElement.dataset.unit : "";
  place.replaceChildren(drawn(picture, chip));
  if (picture.off_ports.length) {
    const off = element("p", "off-ports");
    off.append("On no port of this box: ");
    for (const unit of picture.off_ports) off.append(chip(unit, picture.key, unit.port), " ");
    place.append(off);
  }
  place.style.minHeight = "";
  place.dataset.drawn = "yes";
  if (held) place.querySelector(`button.unit[data-unit="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
}

function chip(unit, box, port) {
  const made = element("button", "unit", { type: "button", "aria-label": `Move ${unit.unit}, now on ${box} ${port}` });
  Object.assign(made.dataset, { unit: unit.unit.toUpperCase(), tag: unit.unit, box, port });
  if (moves.has(unit.unit.toUpperCase())) made.classList.add("moved");
  if (!unit.is_drawn) made.textContent = unit.unit;
  made.title = [unit.unit, unit.capacity, unit.room].filter(Boolean).join(", ");
  return made;
}

// --- by keyboard, or a click: a list of ports --------------------------------------------------------------

dragging(move);
const [moverBox, moverPort] = ["mover-box", "mover-port"].map((id) => document.getElementById(id));

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("button.unit");
  if (!button || justDragged()) return;
  mover.dataset.unit = button.dataset.tag;
  document.getElementById("mover-title").textContent = `Move ${button.dataset.tag}`;
  document.getElementById("mover-now").textContent = `Now on ${button.dataset.box} ${button.dataset.port}. ${button.title}`;
  moverBox.value = button.dataset.box;
  mover.returnValue = "";
  mover.showModal();
  listPorts().then(() => moverPort.focus());
});

moverBox.addEventListener("change", listPorts);

async function listPorts() {
  const [unit, box] = [mover.dataset.unit, moverBox.value];
  const found = await send(`${at}/choices`, { unit, box, moves: [...moves.values()] });
  if (!found || box !== moverBox.value) return;
  const options = found.choices.map((each) => new Option(choiceText(each), each.port, false, each.is_present));
  moverPort.replaceChildren(...options);
  moverPort.dataset.box = box;
}

function choiceText(each) {
  const there = each.units.length ? each.units.join(", ") : "free";
  const load = each.load ? `${each.load} of ${each.limit}` : each.limit;
  const fit = each.fits === false ? "too much" : each.left && `${each.left} left`;
  return [each.port, there, load, fit, each.is_present && "now here"].filter(Boolean).join(" · ");
}

mover.addEventListener("close", () => {
  if (mover.returnValue === "move" && moverPort.value) move(mover.dataset.unit, moverBox.value, moverPort.value);
});
moverPort.addEventListener("dblclick", () => { if (moverPort.value) mover.close("move"); });
moverPort.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !moverPort.value) return;
  event.preventDefault();
  mover.close("move");
});

// --- links to a box and port -------------------------------------------------------------------------------

/** Go to the place that the address names, once its picture is there. */
async function goTo() {
  const name = decodeURIComponent(location.hash.slice(1));
  if (!name) return;
  const key = name.startsWith("box-") ? name.slice(4) : name.slice(0, name.lastIndexOf("-"));
  const box = document.getElementById(`box-${key}`);
  if (!box) {
    say(`${key} is not among the boxes that are shown: show all boxes first.`);
    return;
  }
  const place = box.querySelector(".picture");
  if (place && !place.dataset.drawn) {
    wanted.add(key);
    await fetchWanted();
  }
  const target = document.getElementById(name) ?? box;
  box.scrollIntoView({ block: "start" });
  target.scrollIntoView({ block: "nearest" });
  target.focus({ preventScroll: true });
}

window.addEventListener("hashchange", goTo);

// --- files that changed on disk ----------------------------------------------------------------------------

listen("changed", async () => {
  await renewed();
  if (moves.size) say("The job's files changed on disk. Your moves are kept here, and tried with the files as they are now.");
});

recalled();
watchAll();
tried().then(goTo);

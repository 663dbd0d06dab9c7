// Pictures of a terminal are sent one after the other; the desk reads and answers each.

import { taken } from "./taken.js";

const PIXELS_AT_MOST = 16e6; // of a canvas on some phones; a larger photo is sent as it is
const QUALITY = 0.6; // a quarter of a photo's bytes; codes of 3.6 pixels a module or more are read as before
const SENT_WHOLE = ["no code", "no terminal", "incomplete"]; // what is missing may be in the camera's own picture
const WORDS = {
  agrees: "AGREES", incomplete: "NOT COMPLETE", crossed: "CROSSED", "no terminal": "NO TERMINAL",
  "several terminals": "SEVERAL TERMINALS", "no code": "NO CODE", "old picture": "OLD PICTURE", "not compared": "NOT COMPARED", unknown: "UNKNOWN",
};
const LOOKS = { agrees: "agrees", incomplete: "incomplete", crossed: "crossed", unknown: "unknown", "not compared": "unknown" };
const byId = (id) => document.getElementById(id);
let codes = []; // of this terminal's pictures so far
let since = Infinity; // when the oldest of them was taken
let work = Promise.resolve(); // one picture after the other: each adds to what was seen before

function line(text, name = "") {
  return Object.assign(document.createElement("p"), { textContent: text, className: name });
}

function show(answer) {
  const place = answer.place ? ` ${answer.place}` : "";
  const first = answer.first ? `: ${answer.first}` : "";
  byId("answer").className = `answer ${LOOKS[answer.state] || "none"}`;
  byId("answer").replaceChildren(
    line((WORDS[answer.state] || answer.state) + place, "word"),
    line(answer.message + (answer.state === "crossed" ? first : ""), answer.state === "crossed" ? "first" : ""),
    ...(answer.state !== "crossed" && answer.first ? [line(answer.first, "first")] : []),
    ...answer.lines.map((each) => line(each)),
  );
}

/** A photo as a smaller JPEG of as many pixels, turned upright; as it is where that is not possible. */
async function smaller(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    if (picture.width * picture.height > PIXELS_AT_MOST) return file;
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [picture.width, picture.height];
    canvas.getContext("2d").drawImage(picture, 0, 0);
    picture.close();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    return blob && blob.size < file.size ? blob : file;
  } catch (reason) {
    return file;
  }
}

/** What follows is of a visit of its own. */
function beginAgain() {
  codes = [];
  since = Infinity;
}

/** The desk's answer to a picture that was taken at a time; its codes are added to this terminal's. */
async function ask(picture, at) {
  const oldest = Math.min(since, at);
  const ago = Math.max(0, Math.ceil((Date.now() - oldest) / 1000));
  const answer = await fetch("/check/upload", {
    method: "POST", body: picture,
    headers: { "Accept": "application/json", "Content-Type": "application/octet-stream", "X-Codes": codes.join(" "), "X-Taken-Ago": ago },
  });
  if (answer.status === 403) throw new Error("This phone is no longer let in. Scan the code that the desk shows.");
  const found = await answer.json();
  if (!answer.ok) throw new Error(found.said);
  if (found.ends) beginAgain();
  else if (found.codes.length) [codes, since] = [found.codes, oldest];
  return found;
}

async function send(file) {
  byId("state").textContent = "Reading …";
  try {
    const [at, picture] = [await taken(file), await smaller(file)];
    const found = await ask(picture, at);
    show(found);
    if (picture !== file && SENT_WHOLE.includes(found.state)) show(await ask(file, at).catch(() => found));
    byId("state").textContent = "";
  } catch (reason) {
    const text = reason instanceof TypeError ? "The desk does not answer. Take the picture again when it does." : reason.message;
    byId("state").textContent = `This picture does not count. ${text}`;
  }
  await last();
}

async function last() {
  try {
    const found = await (await fetch("/check/last", { headers: { "Accept": "application/json" } })).json();
    byId("last").replaceChildren(...found.map((each) => {
      const item = document.createElement("li");
      item.className = LOOKS[each.state] || "none";
      item.textContent = `${each.place}: ${WORDS[each.state]} · ${each.who}, ${each.at}`;
      return item;
    }));
    if (!found.length) byId("last").append(Object.assign(document.createElement("li"), { textContent: "None yet." }));
  } catch (reason) { /* the list stays as it was */ }
}

for (const id of ["camera", "pictures"]) {
  byId(id).addEventListener("change", () => {
    for (const file of byId(id).files) work = work.then(() => send(file));
    work = work.then(() => { byId(id).value = ""; });
  });
}
byId("next").addEventListener("click", () => {
  work = work.then(() => {
    beginAgain();
    byId("answer").className = "answer";
    byId("answer").replaceChildren(line("No picture yet."));
    byId("now").focus();
  });
});
last();
setInterval(() => { if (!document.hidden) last(); }, 5000);

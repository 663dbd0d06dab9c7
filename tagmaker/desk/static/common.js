// What every page shares: messages, requests to the desk, and its events.

const said = document.getElementById("said");
const close = document.getElementById("said-close");
const SECONDS_AT_LEAST = 8;
const SECONDS_A_SIGN = 0.12; // a slow reader takes some 100 words a minute
let quiet = 0;

/** Show a message, and have it read aloud; it leaves the screen by itself once there was time to read it. */
export function say(text, seconds = 0) {
  show(text, false);
  quiet = setTimeout(hush, Math.max(seconds, SECONDS_AT_LEAST, text.length * SECONDS_A_SIGN) * 1000);
}

/** Show what went wrong: it stays until it is dismissed, or another message comes. */
export function complain(text) {
  show(text, true);
}

function show(text, isWrong) {
  clearTimeout(quiet);
  said.textContent = text;
  said.parentElement.classList.toggle("wrong", isWrong);
  close.hidden = !text;
}

function hush() {
  const hadFocus = document.activeElement === close;
  show("", false);
  if (hadFocus) document.getElementById("main").focus({ preventScroll: true });
}

close.addEventListener("click", hush);
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && said.textContent && !document.querySelector("dialog[open]")) hush();
});

const NO_ANSWER = "The desk does not answer. Is its terminal window still open?";

/** POST an object as JSON; gives the answer's object, or null where the desk refused (the reason is shown). */
export async function send(url, body = {}) {
  let answer;
  try {
    answer = await fetch(url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "Accept": "application/json" },
      body: JSON.stringify(body),
    });
  } catch {
    complain(NO_ANSWER);
    return null;
  }
  return read(answer);
}

/** GET an object; null as with send. */
export async function get(url) {
  try {
    return read(await fetch(url, { headers: { "Accept": "application/json" } }));
  } catch {
    complain(NO_ANSWER);
    return null;
  }
}

/** Send a form's files and fields; null as with send. */
export async function upload(url, form) {
  try {
    return read(await fetch(url, { method: "POST", headers: { "Accept": "application/json" }, body: form }));
  } catch {
    complain("The files could not be sent. Is the desk's terminal window still open?");
    return null;
  }
}

async function read(answer) {
  let content = null;
  try {
    content = await answer.json();
  } catch {
    complain(`The desk refused this (${answer.status}).`);
    return null;
  }
  if (content.said) (answer.ok && !content.is_wrong ? say : complain)(content.said);
  return answer.ok ? content : null;
}

const job = document.body.dataset.job;
let source = null;

/** Call `fn(data)` for each event of that name of this page's job. */
export function listen(name, fn) {
  if (!source) {
    source = new EventSource(job ? `/job/${job}/events` : "/events");
    source.addEventListener("error", () => setTimeout(lost, 3000));
  }
  source.addEventListener(name, (event) => fn(JSON.parse(event.data)));
}

function lost() {
  if (source.readyState !== EventSource.OPEN) complain(NO_ANSWER);
}

/** The page as it is now, as an element tree to take parts of; null where there is none, which is shown. */
export async function fresh(url = location.href) {
  let answer = null;
  try {
    answer = await fetch(url);
    if (answer.ok) return new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    complain(NO_ANSWER);
    return null;
  }
  if (answer.status === 404) location.reload(); // the job is gone: the page says so
  else complain(`The desk could not show this page again (${answer.status}). What you see may be old.`);
  return null;
}

/** Put the fresh version of the elements with these ids in place; focus stays where it was, by id. */
export async function refresh(...ids) {
  const page = await fresh();
  if (!page) return;
  const held = document.activeElement?.id;
  for (const id of ids) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (old && now && old.innerHTML !== now.innerHTML) old.replaceWith(document.adoptNode(now));
  }
  if (held && document.activeElement?.id !== held) document.getElementById(held)?.focus({ preventScroll: true });
}

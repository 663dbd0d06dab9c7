// What every page shares: messages, requests to the desk, and its events.

const said = document.getElementById("said");
let quiet = 0;

/** Show a message, and have it read aloud; it leaves the screen by itself, errors later. */
export function say(text, seconds = 6) {
  said.textContent = text;
  clearTimeout(quiet);
  quiet = setTimeout(() => { said.textContent = ""; }, seconds * 1000);
}

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
    say("The desk does not answer. Is its terminal window still open?", 30);
    return null;
  }
  return read(answer);
}

/** GET an object; null as with send. */
export async function get(url) {
  try {
    return read(await fetch(url, { headers: { "Accept": "application/json" } }));
  } catch {
    say("The desk does not answer. Is its terminal window still open?", 30);
    return null;
  }
}

/** Send a form's files and fields; null as with send. */
export async function upload(url, form) {
  try {
    return read(await fetch(url, { method: "POST", headers: { "Accept": "application/json" }, body: form }));
  } catch {
    say("The files could not be sent. Is the desk's terminal window still open?", 30);
    return null;
  }
}

async function read(answer) {
  let content = null;
  try {
    content = await answer.json();
  } catch {
    say(`The desk refused this (${answer.status}).`, 30);
    return null;
  }
  if (content.said) say(content.said, answer.ok ? 6 : 30);
  return answer.ok ? content : null;
}

const job = document.body.dataset.job;
let source = null;

/** Call `fn(data)` for each event of that name of this page's job. */
export function listen(name, fn) {
  if (!source) source = new EventSource(job ? `/job/${job}/events` : "/events");
  source.addEventListener(name, (event) => fn(JSON.parse(event.data)));
}

/** The text of another version of this page, as an element tree, to take parts of. */
export async function fresh(url = location.href) {
  const answer = await fetch(url);
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

/** Put the fresh version of the elements with these ids in place; focus stays where it was, by id. */
export async function refresh(...ids) {
  const page = await fresh();
  const held = document.activeElement?.id;
  for (const id of ids) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (old && now && old.innerHTML !== now.innerHTML) old.replaceWith(document.adoptNode(now));
  }
  if (held && document.activeElement?.id !== held) document.getElementById(held)?.focus({ preventScroll: true });
}

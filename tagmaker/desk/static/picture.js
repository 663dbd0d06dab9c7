// Pictures of boxes with controls laid over them: what the pages of boxes, room and switches share.

const STATES = { spare: "spare", within: "within its limit", over: "over its limit", unknown: "load not known" };

/** An element with a class and attributes. */
export function element(name, className, attributes = {}) {
  const made = document.createElement(name);
  made.className = className;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

/** Lay an element over a frame, which is in millimetres of its picture. */
export function lay(made, frame, picture) {
  made.style.left = `${(100 * frame.x) / picture.width}%`;
  made.style.top = `${(100 * frame.y) / picture.height}%`;
  made.style.width = `${(100 * frame.width) / picture.width}%`;
  made.style.height = `${(100 * frame.height) / picture.height}%`;
  return made;
}

/** A box's picture with a row over each port, and what `chip(unit, box, port)` makes over each unit. */
export function drawn(picture, chip = () => null) {
  const sheet = element("div", "sheet");
  sheet.innerHTML = picture.svg; // drawn by the desk, every text of it escaped
  for (const port of picture.ports) {
    const named = [`Port ${port.port}`, STATES[port.state], port.left && `${port.left} left`];
    const row = element("div", `port load-${port.state}`, {
      id: `${picture.key}-${port.letter}`, role: "group", "aria-label": named.filter(Boolean).join(", "), tabindex: "-1",
    });
    row.dataset.port = port.port;
    row.dataset.box = picture.key;
    sheet.append(lay(row, port.row, picture));
    for (const unit of port.units) {
      const made = chip(unit, picture.key, port.port);
      if (made) sheet.append(lay(made, unit.frame, picture));
    }
  }
  return sheet;
}

// Systems' sheets beside the walk, on the same page: filled in, kept and handed in as a box is. A system has
// sections in place of boards and letters; its key, "system/TAG", is how the names of its fields begin.

const systems = data.systems.map((each) => ({ ...each, boards: [], ports: [], items: [], roles: [] }));
const askedOf = (each) => each.sections.flatMap((section) => section.parts).flatMap((part) => part.asked);
const nowText = () => new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 16).replace("T", " ");

function systemPlans(each) { // by place: what is asked there, beside which figures, of which boxes
  const asked = new Map();
  for (const section of each.sections) {
    const tables = section.parts.filter((part) => part.kind === "table");
    for (const place of section.places) {
      const isHere = ({ name }) => placeOf(each.box, name) === place;
      const rows = section.parts.filter((part) => part.asked.some(isHere))
        .map((part) => [part.text, part.facts, part.asked.filter(isHere)]);
      asked.set(place, [...(asked.get(place) || []), place.includes("/") ? rows : [section.title, rows, tables]]);
    }
  }
  const own = new Map([...asked].map(([place, parts]) => [place, digest([each.hardware, parts])]));
  own.set("gate", digest([...own])); // who signs that a gate is passed, signs for all before it
  return own;
}

const sectionOf = (each, place) => each.sections.find(({ places }) => places.includes(place)); // the first: a box is in two

function systemPlace(each, place) {
  const section = sectionOf(each, place);
  const row = section?.parts.find((part) => part.asked.some(({ name }) => placeOf(each.box, name) === place));
  return (place.includes("/") ? row?.text : section?.title) || place;
}

function systemLine(each, field, said) {
  const asked = askedOf(each).find(({ name }) => name === field);
  const text = asked ? asked.spoken : field.slice(each.box.length + 1);
  return said === true ? text : say("found_as", { what: text, text: said });
}

// --- how far it is ------------------------------------------------------------------------------------------

function isRowDone(each, part) { // one of its ticks, all of its texts
  const written = ({ name }) => seenIn(each.box)[name];
  const ticks = part.asked.filter(({ kind }) => kind === "tick");
  return (!ticks.length || ticks.some(written))
    && part.asked.filter(({ kind }) => kind === "text").every((asked) => isStated(written(asked)));
}

function systemProgress(each) {
  return Object.fromEntries(each.sections.map((section) => {
    const rows = section.parts.filter((part) => part.asked.length);
    return [section.key, { open: rows.filter((part) => !isRowDone(each, part)), all: rows.length }];
  }));
}

function systemOpen(each, far) {
  const open = Object.entries(far).filter(([, part]) => part.open.length)
    .map(([key, part]) => say("system_open_part", { part: say("system_part_" + key), count: part.open.length }));
  return open.length ? say("system_open", { open: open.join("; ") }) : say("system_done", { system: each.shown });
}

function systemOption(each, far) {
  const all = Object.values(far).reduce((sum, part) => sum + part.all, 0);
  const open = Object.values(far).reduce((sum, part) => sum + part.open.length, 0);
  return say(open ? "system_option" : "system_option_done", { system: each.shown, done: all - open, all });
}

// --- parts to fill in ---------------------------------------------------------------------------------------

function rowField(part, { name, kind, text, unit }) {
  const before = part.text && part.text + ":";
  if (kind === "tick") return tick(name, text, { before });
  const label = write(name, unit ? text + " (" + unit + ")" : text, { before, maxLength: 1000 });
  if (!/\/(time|on)$/.test(name)) return label;
  const now = make("button", { type: "button" }, told(before + " " + text), say("system_now"));
  now.addEventListener("click", () => put({ [name]: nowText() }));
  return make("div", { className: "moment" }, label, now);
}

function rowPart(part) {
  const [first] = part.asked;
  if (part.asked.length === 1 && first.kind === "tick") return rowField(part, first);
  if (!part.asked.length) return make("p", { className: "fact" }, ...whole(part.text));
  const facts = part.facts.length ? [make("p", { className: "facts-line" }, ...whole(part.facts.join(" · ")))] : [];
  const legend = part.text ? [make("legend", {}, ...whole(part.text))] : [];
  return make("fieldset", { className: "row" }, ...legend, ...facts, ...part.asked.map((asked) => rowField(part, asked)));
}

function tablePart(part) {
  const cell = (text, isHead, scope) => make(isHead ? "th" : "td", isHead ? { scope, textContent: text } : { textContent: text });
  const rows = part.rows.map((row, at) => make("tr", {}, ...row.map((text, column) => cell(text, at === 0 || column === 0, at === 0 ? "col" : "row"))));
  const table = make("table", { aria: { "aria-label": part.text } }, make("tbody", {}, ...rows));
  return make("div", { className: "expected", tabIndex: 0, aria: { role: "group", "aria-label": part.text } }, table);
}

function systemPart(part) {
  if (part.kind === "row") return [rowPart(part)];
  if (part.kind === "table") return [make("p", { className: "fact" }, ...whole(part.text)), tablePart(part), make("p", { id: "verdict", aria: { role: "status" }, textContent: say("system_verdict") })];
  return [make("p", { className: part.kind === "caution" ? "caution" : "", textContent: part.text })];
}

function systemContent(each, at) {
  return [
    make("h2", { className: "name", id: "name", tabIndex: -1 }, make("b", {}, ...whole(each.shown)), make("span", { textContent: say("system_at", { at: at + 1, all: systems.length }) })),
    ...each.facts.map((text) => make("p", {}, ...whole(text))),
    lostPart(), summaryOfNotes(each),
    ...each.sections.flatMap((section) => [
      title(section.key, section.title),
      notes(each, (place) => sectionOf(each, place) === section, "part-" + section.key),
      ...section.parts.flatMap(systemPart),
    ]),
  ];
}

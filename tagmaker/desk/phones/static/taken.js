// When a picture was taken, by the phone's clock: from the camera's notes in a JPEG, else the file's own time.
// Exif 2.32 (CIPA DC-008-2019): DateTimeOriginal is "2026:06:03 14:30:00", OffsetTimeOriginal "+02:00".

const HEAD_BYTES = 1 << 18; // the notes are in one of a JPEG's first segments, of 65,535 bytes at most
const EXIF_PART = 0x8769, DATE_TIME_ORIGINAL = 0x9003, OFFSET_TIME_ORIGINAL = 0x9011;
const ASCII = 2, LONG = 4;
const MINUTE = 60_000;

/** The TIFF block of a JPEG's Exif segment (APP1); null where there is none. */
function notes(view) {
  if (view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; view.getUint8(at) === 0xff && view.getUint8(at + 1) !== 0xda; at += 2 + view.getUint16(at + 2)) {
    const isExif = view.getUint8(at + 1) === 0xe1 && view.getUint32(at + 4) === 0x45786966 && view.getUint16(at + 8) === 0;
    if (isExif) return new DataView(view.buffer, at + 10, view.getUint16(at + 2) - 8);
  }
  return null;
}

/** The entries of a directory of a TIFF block by their tags, each with its kind, its count and where its value is. */
function entries(tiff, at, little) {
  const found = new Map();
  for (let entry = at + 2, left = tiff.getUint16(at, little); left > 0; entry += 12, left -= 1) {
    found.set(tiff.getUint16(entry, little), {
      kind: tiff.getUint16(entry + 2, little), count: tiff.getUint32(entry + 4, little), at: entry + 8,
    });
  }
  return found;
}

/** A text of an entry, without what ends it; "" where it is none. */
function text(tiff, entry, little) {
  if (!entry || entry.kind !== ASCII || entry.count > 32) return "";
  const from = entry.count > 4 ? tiff.getUint32(entry.at, little) : entry.at;
  const codes = Array.from({ length: entry.count }, (_, at) => tiff.getUint8(from + at));
  return String.fromCharCode(...codes).replace(/[\0 ]*$/, "");
}

/** The two texts of a picture's notes: its date with time, and its zone; each "" where it is not given. */
function noted(bytes) {
  try {
    const tiff = notes(new DataView(bytes));
    const little = tiff?.getUint16(0) === 0x4949;
    const part = tiff && entries(tiff, tiff.getUint32(4, little), little).get(EXIF_PART);
    if (part?.kind !== LONG) return ["", ""];
    const own = entries(tiff, tiff.getUint32(part.at, little), little);
    return [DATE_TIME_ORIGINAL, OFFSET_TIME_ORIGINAL].map((tag) => text(tiff, own.get(tag), little));
  } catch (reason) {
    if (reason instanceof RangeError) return ["", ""]; // it ends before what it announces
    throw reason;
  }
}

/** The moment of a date and a zone as notes have them, in ms; without a zone the phone's. NaN for no date. */
function moment(date, zone) {
  const parts = /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)$/.exec(date);
  if (!parts) return NaN;
  const [, year, month, day, time] = parts;
  return Date.parse(`${year}-${month}-${day}T${time}${/^[+-]\d\d:\d\d$/.test(zone) ? zone : ""}`);
}

/** When a picture was taken, in ms since 1970; 0, long ago, where that is not known or not yet. */
export async function taken(file, now = Date.now()) {
  const head = await file.slice(0, HEAD_BYTES).arrayBuffer();
  const [date, zone] = noted(head);
  const found = /^[0: ]*$/.test(date) ? file.lastModified : moment(date, zone); // noughts or blanks: not known
  return found <= now + MINUTE ? Math.max(found, 0) : 0;
}

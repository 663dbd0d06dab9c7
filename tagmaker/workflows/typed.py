"""What is typed on the desk beside pictures cut from paper: kept in the folder of what came back.

Takes values by picture and field; keeps them in one file, `typed.json`, which `readback` takes as it takes
all that came back. A value that is typed again takes the place of the one before; an empty one takes it back.
"""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec

from tagmaker.files.plain import is_there
from tagmaker.files.refused import cannot_write
from tagmaker.files.write import make_folder, write_whole
from tagmaker.problems import Problem, Where, error
from tagmaker.site.paper.typed import (
    TYPED_FORMAT,
    VALUE_AT_MOST,
    WHO_AT_MOST,
    TypedEntry,
    TypedFile,
    fits,
    read_typed,
)
from tagmaker.tags.fields import FieldKind, read_field
from tagmaker.tags.first_days import DayReading, read_day_field
from tagmaker.tags.response import read_response_field
from tagmaker.tags.sheet_names import is_of_system
from tagmaker.tags.system import read_system_field
from tagmaker.workflows.returned import returned_folder

__all__ = ["TYPED_FILE", "Place", "keep_typed", "one_line", "place_name", "typed_at"]

TYPED_FILE = "typed.json"
UNSHOWN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ud800-\udfff]")
Place = tuple[str, str]
"""A picture's digest and the field that it is cut from."""
DAY_WORDS: Mapping[DayReading, str] = {
    "mode": "mode", "set": "set point", "in": "air in", "out": "air out",
}  # fmt: skip
LINES = {"found": "unit that was found", "ok": "correct", "proved": "proved"}


def one_line(text: str, at_most: int) -> str:
    """A text as it is kept: one line, no characters that show as nothing, no longer than it may be."""
    return " ".join(UNSHOWN.sub(" ", text).split())[:at_most].strip()


def typed_at(job: Path) -> dict[Place, TypedEntry]:
    """What is kept for a job by picture and field; nothing where there is no file that can be read."""
    found = _kept(job)
    return {} if isinstance(found, Problem) else found


def _kept(job: Path) -> dict[Place, TypedEntry] | Problem:
    folder = returned_folder(job)
    if isinstance(folder, Problem):
        return folder
    if not is_there(folder / TYPED_FILE):
        return {}
    entries = read_typed(folder / TYPED_FILE)
    return entries if isinstance(entries, Problem) else {(each.picture, each.field): each for each in entries}


def keep_typed(job: Path, by: str, values: Mapping[Place, str], now: dt.datetime) -> Problem | None:
    """Keep values that one person typed; a problem, and nothing kept, where any of them cannot be.

    One at a time: each looks at what is there.
    """
    who = one_line(by, WHO_AT_MOST)
    if not who:
        return _refused("your name is missing", "others see who read the pictures")
    kept, folder = _kept(job), returned_folder(job)
    if isinstance(kept, Problem) or isinstance(folder, Problem):
        return kept if isinstance(kept, Problem) else folder if isinstance(folder, Problem) else None
    at = now.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    for (picture, field), given in values.items():
        value = " ".join(UNSHOWN.sub(" ", given).split())
        kept.pop((picture, field), None)
        if value and not fits(field, value):
            return _refused(f"{place_name(field)}: {value[:40]!r} cannot be kept")
        if value:
            kept[picture, field] = TypedEntry(picture, field, value, who, at)
    return _written(folder, TypedFile(TYPED_FORMAT, tuple(kept.values())))


def _refused(message: str, hint: str = "") -> Problem:
    return error("edit-refused", message, Where(TYPED_FILE), hint)


def _written(folder: Path, file: TypedFile) -> Problem | None:
    """Write the file whole; what a reader would refuse is not written."""
    content = msgspec.json.format(msgspec.json.encode(file), indent=1)
    try:
        msgspec.json.decode(content, type=TypedFile)
        make_folder(folder)
        write_whole(folder / TYPED_FILE, content)
    except msgspec.ValidationError as reason:
        return _refused(f"it cannot be kept: {reason}", f"a value has at most {VALUE_AT_MOST} characters")
    except OSError as reason:
        return cannot_write(folder / TYPED_FILE, reason)
    return None


def place_name(field: str) -> str:
    """Where on its sheet a field is, in words, as far as they differ from its name; its box is left out."""
    if reading := read_response_field(field):
        box, port, unit, number = reading
        return f"{unit or f'{box} port {port}, stub'}, round {number}"
    if day := read_day_field(field):
        _, unit, number, what = day
        return f"{unit}, day {number}: {DAY_WORDS[what]}"
    if is_of_system(field):
        known = read_system_field(field)
        return " ".join(known.parts).replace("-", " ").replace("_", " ") if known else field
    walk = read_field(field)
    return _of_walk(walk.kind, field.split("/")[1:]) if walk else field


def _of_walk(kind: FieldKind, parts: Sequence[str]) -> str:
    if parts[0] in {"sign", "date"}:
        return f"{'signature' if parts[0] == 'sign' else 'date'} of the {parts[1]}"
    if parts[0] == "port":
        return f"port {parts[1]}: {_of_port(parts[2:])}"
    if kind in {"switch", "switch_off"}:
        state = "OFF" if kind == "switch_off" else "ON"
        return f"{parts[0]} board, bank {parts[1]} switch {parts[2]}: {state}"
    return " ".join(parts).replace("-", " ")


def _of_port(parts: Sequence[str]) -> str:
    if parts == ["proved"]:
        return "proved how, by whom"
    first = parts[0]
    return f"{first} {LINES.get(parts[1], parts[1])}" if len(parts) > 1 else first

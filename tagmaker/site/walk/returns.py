"""What came back from a walk: filled-in PDF forms and the phone's JSON, as values by field name.

Files come from other people's programs: anything that cannot be read is a problem that names the file, never
an exception. Only plain files of a limited size are opened.
"""

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Literal

from msgspec import Struct

from tagmaker.files.plain import (
    files_below,
    is_folder,
    is_link,
    is_plain_file,
    plain_size,
    read_plain,
    unread_below,
    why_not_plain,
)
from tagmaker.problems import Problem, Where, error
from tagmaker.site.walk.forms import HAND_IN_HINT, MERGED_HINT, BadForm, Value, read_form
from tagmaker.tags.fields import box_of
from tagmaker.tags.sheet_names import is_hidden, is_tick, sheet_kind, sheet_of_field
from tagmaker.tags.system import system_sheet
from tagmaker.tags.walk import WALK_FORMAT, JobIdentity, PrintedFor, read_printed_for

__all__ = ["NO_JOB", "Return", "Sheet", "Value", "left_out", "read_returns", "sheets_of"]

FILE_BYTES_AT_MOST = 50_000_000
NAME_HINT = "name the files that came back, or a folder of them"
COPY_HINT = "copy the files that it leads to into the folder, or remove it"
JSON_BYTES_AT_MOST = 20_000_000
NO_JOB = JobIdentity("", "")


class Return(Struct, frozen=True):
    """One file: its ticks and texts by field name, and by box what the box's sheet was printed for.

    `job` is the job that the file's own head names, which phones' files have. `unclear` are the ticks that
    were read as neither marked nor blank: they are not in `values`. `is_form` is set where `values` have
    every field of a sheet, the blank ones too. `taken_back` are ticks and texts that a phone has as taken
    back: another phone, or an earlier file, had set them, and this one's person found it otherwise.
    `confirmed` is what a person found doubtful ticks of paper to show: planned, differs or not seen, of a
    system's sheet ticked, blank or not seen.
    """

    source: str
    values: dict[str, Value]
    printed: dict[str, str]
    job: JobIdentity = NO_JOB
    unclear: tuple[str, ...] = ()
    is_form: bool = False
    taken_back: tuple[str, ...] = ()
    confirmed: Mapping[str, str] = {}


class Sheet(Struct, frozen=True):
    """What one file has of one box (in capitals): the values by field name, and what it was printed for.

    `printed` is None where the sheet no longer shows that. `jobs` are the jobs that it names: one as a rule.
    `unclear` are its ticks that were read as neither marked nor blank. `is_form`, `taken_back` and
    `confirmed` as of its file.
    """

    source: str
    box: str
    values: Mapping[str, Value]
    printed: PrintedFor | None
    jobs: tuple[JobIdentity, ...]
    unclear: tuple[str, ...] = ()
    is_form: bool = False
    taken_back: tuple[str, ...] = ()
    confirmed: Mapping[str, str] = {}

    @property
    def ticked(self) -> list[str]:
        """The names of its ticks that were read as marked."""
        return [name for name, value in self.values.items() if value is True]


def sheets_of(one: Return) -> list[Sheet]:
    """A file's sheets, a box each; every value is looked at once."""
    values: dict[str, dict[str, Value]] = {}
    for name, value in one.values.items():
        values.setdefault(box_of(name), {})[name] = value
    if len(values) == 1:  # most files have one box: hundreds of them keep no second table of its fields
        values = dict.fromkeys(values, one.values)
    unclear: dict[str, list[str]] = {}
    for name in (*one.unclear, *one.confirmed):
        values.setdefault(box_of(name), {})
    for name in one.unclear:
        unclear.setdefault(box_of(name), []).append(name)
    return [_sheet(one, box, own, unclear.get(box, ())) for box, own in values.items()]


def _sheet(one: Return, box: str, values: Mapping[str, Value], unclear: Iterable[str]) -> Sheet:
    printed = read_printed_for(one.printed.get(box, ""))
    if printed and printed.facts.box.upper() != box:  # another sheet's: its digests say nothing of this one
        printed = None
    named = (printed.job if printed else NO_JOB, one.job)
    jobs = tuple(dict.fromkeys(each for each in named if each != NO_JOB))
    back = tuple(name for name in one.taken_back if name in values)
    confirmed = {name: value for name, value in one.confirmed.items() if box_of(name) == box}
    return Sheet(one.source, box, values, printed, jobs, tuple(unclear), one.is_form, back, confirmed)


def read_returns(paths: list[Path]) -> Iterator[Return | Problem]:
    """Read each file; folders are searched recursively, hidden files and folders skipped."""
    for path in paths:
        for file in files_below(path) if is_folder(path) else [path]:
            found = _read(file)
            yield from found if isinstance(found, list) else [found]


def left_out(paths: Iterable[Path]) -> Iterator[Problem]:
    """An error for whatever in these folders is no file: something that came back may be behind it."""
    for path in (each for folder in paths if is_folder(folder) for each in unread_below(folder)):
        why = "is a link, which is not followed" if is_link(path) else "is locked, or no file"
        yield error("return-unreadable", f"{path.name} {why}", Where(path.as_posix()), COPY_HINT)


def _read(path: Path) -> list[Return] | Return | Problem:
    where = Where(path.as_posix())
    try:
        if not is_plain_file(path):
            return error("return-unreadable", f"{path.name} {why_not_plain(path)}", where, NAME_HINT)
        if plain_size(path) > FILE_BYTES_AT_MOST:
            return error("return-unreadable", f"{path.name} is over 50 MB", where, NAME_HINT)
        if path.suffix.lower() == ".pdf":
            return _read_pdf(path, where)
        return _read_json(path, where)
    except OSError as reason:
        return error("return-unreadable", f"{path.name} cannot be read: {reason.strerror or reason}", where)


def _read_pdf(path: Path, where: Where) -> Return | Problem:
    values = read_form(read_plain(path, FILE_BYTES_AT_MOST))
    if isinstance(values, BadForm):
        return error(values.code, f"{path.name} {values.message}", where, values.hint)
    return _split(path.as_posix(), values)


def _read_json(path: Path, where: Where) -> list[Return] | Problem:
    """A phone's file: a return of its boxes, and one of its systems where any has a finding."""
    try:
        content = json.loads(
            read_plain(path, JSON_BYTES_AT_MOST).decode("utf-8-sig"), object_pairs_hook=_once
        )
        is_ours = content["format"] == WALK_FORMAT
        boxes = [_read_box(box) for box in content["boxes"]] if is_ours else None
        systems = [_read_system(each) for each in content.get("systems", ())] if is_ours else []
        job = _head(content.get("job"))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        boxes, systems = None, []
    if boxes is None:
        message = f"{path.name} is not a phone export"
        return error("return-unreadable", message, where, HAND_IN_HINT)
    twice = [sheet for sheet, count in Counter(each[0] for each in (*boxes, *systems)).items() if count > 1]
    if twice:
        message = f"{path.name} holds two sheets of {', '.join(twice)}"
        return error("return-merged", message, where, MERGED_HINT)
    walked, filled_in = _of_phone(path, boxes, job), _of_phone(path, systems, job)
    if not filled_in.values:
        return [walked]
    return [walked, filled_in] if walked.values else [filled_in]


PhoneSheet = tuple[str, str, dict[str, Value]]
"""How names of a sheet's fields begin, what it was printed for, and its fields."""


def _of_phone(path: Path, sheets: Iterable[PhoneSheet], job: JobIdentity) -> Return:
    sheets = list(sheets)
    values = {name: value for _, _, fields in sheets for name, value in fields.items()}
    back = tuple(name for name, value in values.items() if value in {False, ""})
    printed = {sheet: of for sheet, of, _ in sheets}
    return Return(path.as_posix(), values, printed, job, taken_back=back)


def _once(pairs: Iterable[tuple[str, object]]) -> dict[str, object]:
    """A JSON object; one with a key twice says two things, and is no export."""
    pairs = list(pairs)
    content = dict(pairs)
    if len(content) < len(pairs):
        raise ValueError("a key is given twice")
    return content


def _read_box(box: Any) -> PhoneSheet:
    """A box of a phone's file: its tag in capitals, what it was printed for, and its own fields alone."""
    return _read_sheet(str(box["box"]).upper(), box, "walk")


def _read_system(system: Any) -> PhoneSheet:
    """A system of a phone's file, in the same way."""
    return _read_sheet(system_sheet(str(system["system"])), system, "system")


def _read_sheet(sheet: str, content: Any, kind: Literal["walk", "system"]) -> PhoneSheet:
    fields = content["fields"]
    values = {name: value.strip() if isinstance(value, str) else value for name, value in fields.items()}
    own = all(sheet_of_field(name) == sheet and sheet_kind(name) == kind for name in values)
    if not own or not all(_is_finding(name, value) for name, value in values.items()):
        raise ValueError("a field of another sheet, or none that a phone fills in")
    return sheet, str(content["printed_for"]), values


def _is_finding(name: str, value: object) -> bool:
    """Whether a field of a sheet is filled in so: a mark is true or false, all else is a text."""
    return not is_hidden(name) and isinstance(value, bool if is_tick(name) else str)


def _head(job: object) -> JobIdentity:
    """The job that the head of a phone's file names."""
    texts = job if isinstance(job, dict) else {}
    number, name = (texts.get(key) for key in ("number", "name"))
    return JobIdentity(number if isinstance(number, str) else "", name if isinstance(name, str) else "")


def _split(source: str, values: dict[str, Value]) -> Return:
    """A form's ticks and texts, and apart from them the hidden texts for which its sheets were printed."""
    hidden = {name: sheet_of_field(name) for name in values if is_hidden(name)}
    printed = {
        sheet: _lines(str(values[name])) for name, sheet in hidden.items() if name == f"{sheet}/printed-for"
    }
    own = {name: value for name, value in values.items() if name not in hidden}
    return Return(source, own, printed, is_form=True)


def _lines(text: str) -> str:
    """What a sheet was printed for, as kept in a form whose viewers may change the ends of its lines."""
    return "".join(f"{line}\n" for line in text.replace("\r\n", "\n").replace("\r", "\n").splitlines())

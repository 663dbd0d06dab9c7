"""What a person typed beside pictures cut from paper: texts of handwriting, and what doubtful marks show.

Takes files of entries and the cuts of pages; gives the entries that belong to a cut, as returns beside the
paper's own. An entry names its picture by a digest of the picture's dots and the field that it is cut from:
it never counts for another photo, another page or another place. It is a person's reading of a picture, never
what a form said: its source names the person and the paper.
"""

import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import starmap
from pathlib import Path
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

from tagmaker.files.plain import files_below, is_folder, is_plain_file, read_head, read_plain
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.walk.returns import Return
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.first_days import fits_day
from tagmaker.tags.response import READINGS, FilledRow, rows_of_form
from tagmaker.tags.response_code import ResponsePage
from tagmaker.tags.sheet_names import is_reading, is_tick, read_sheet_code, sheet_kind

__all__ = [
    "ENTRIES_AT_MOST",
    "TYPED_BYTES_AT_MOST",
    "TYPED_FORMAT",
    "VALUE_AT_MOST",
    "WHO_AT_MOST",
    "Cut",
    "TypedCut",
    "TypedEntry",
    "TypedFile",
    "divided_typed",
    "findings_of",
    "fits",
    "matched",
    "picture_digest",
    "read_typed",
    "typed_days",
    "typed_returns",
    "typed_rows",
]

TYPED_FORMAT: Literal["tagmaker typed 1"] = "tagmaker typed 1"
TYPED_BYTES_AT_MOST = 10_000_000
ENTRIES_AT_MOST = 20_000
VALUE_AT_MOST = 300
"""Characters of what is typed for one place: a line of handwriting is far below."""
WHO_AT_MOST = 40
NOT_SEEN = "not seen"
CONFIRMED = ("planned", "differs", NOT_SEEN)
"""What a doubtful mark may be found to show: as planned, otherwise, or that the picture does not show it."""
MARKS = ("ticked", "blank", NOT_SEEN)
"""The same of a system's box: nothing is planned of it that it could be compared with."""
HEAD_BYTES = 200
BROKEN_HINT = "hand in the file as the desk wrote it"
UNUSED_HINT = "it counts for nothing: look at the pictures in the desk, and type it again"


class TypedEntry(Struct, frozen=True):
    """A value for a field, read off a picture: by whom, and when (UTC, ISO 8601).

    For a tick that is unclear the value is a finding, one of `findings_of` its field.
    """

    picture: Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
    field: Annotated[str, Meta(min_length=1, max_length=300)]
    value: Annotated[str, Meta(min_length=1, max_length=VALUE_AT_MOST)]
    by: Annotated[str, Meta(min_length=1, max_length=WHO_AT_MOST)]
    at: Annotated[str, Meta(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")]


class TypedFile(Struct, frozen=True):
    """The file of a job's entries, one a picture and field; its format is first, where it is looked for."""

    format: Literal["tagmaker typed 1"]
    entries: Annotated[tuple[TypedEntry, ...], Meta(max_length=ENTRIES_AT_MOST)] = ()


class Cut(Struct, frozen=True):
    """A picture cut from paper: its digest, its field, the code of its sheet's first page, its source."""

    picture: str
    field: str
    sheet: str
    source: str


class TypedCut(Struct, frozen=True):
    """An entry with the cut that it belongs to."""

    entry: TypedEntry
    cut: Cut

    @property
    def source(self) -> str:
        """How the entry's source is named beside forms and paper."""
        return f"typed by {self.entry.by} from paper ({self.cut.source})"

    @property
    def is_confirmation(self) -> bool:
        """Whether it is about a tick: a finding, never a tick."""
        return is_tick(self.cut.field) is True

    @property
    def is_known(self) -> bool:
        """Whether it says anything: of a tick, that the picture shows it at all."""
        return not (self.is_confirmation and self.entry.value == NOT_SEEN)


def picture_digest(png: bytes) -> str:
    """A picture's digest: that of its size and dots, so that it is the same however it is packed."""
    from PIL import Image  # noqa: PLC0415 — heavy, needed for paper only

    with Image.open(io.BytesIO(png)) as picture:
        grey = picture.convert("L")
    return hashlib.sha256(f"{grey.width} {grey.height} ".encode() + grey.tobytes()).hexdigest()


# --- files --------------------------------------------------------------------------------------------------


def divided_typed(files: Iterable[Path]) -> tuple[dict[TypedEntry, str], list[Path], list[Problem]]:
    """Entries, each with its file, the other files, and the problems of broken ones; folders are searched."""
    entries: dict[TypedEntry, str] = {}
    rest: list[Path] = []
    problems: list[Problem] = []
    for file in (each for path in files for each in (files_below(path) if is_folder(path) else [path])):
        if not _is_typed(file):
            rest.append(file)
            continue
        found = read_typed(file)
        if isinstance(found, Problem):
            problems.append(found)
        else:
            entries |= dict.fromkeys(found, file.as_posix())
    return entries, rest, problems


def _is_typed(file: Path) -> bool:
    try:
        head = read_head(file, HEAD_BYTES) if file.suffix.lower() == ".json" and is_plain_file(file) else b""
    except OSError:
        return False
    return TYPED_FORMAT.encode() in head


def read_typed(file: Path) -> tuple[TypedEntry, ...] | Problem:
    """The entries of a file; a problem where it cannot be read whole."""
    where = Where(file.as_posix())
    try:
        content = read_plain(file, TYPED_BYTES_AT_MOST)
        return msgspec.json.decode(content, type=TypedFile).entries
    except OSError as reason:
        return error("return-unreadable", f"{file.name} cannot be read: {reason.strerror or reason}", where)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as reason:
        return error("return-unreadable", f"{file.name} is broken: {reason}", where, BROKEN_HINT)


# --- entries and cuts ---------------------------------------------------------------------------------------


def matched(
    entries: Mapping[TypedEntry, str], cuts: Iterable[Cut], unclear: Mapping[str, Iterable[str]]
) -> tuple[list[TypedCut], list[Problem]]:
    """The entries that belong to a cut and fit its field, and what is to be reported of the rest.

    `unclear` are the doubtful ticks by sheet: a finding about a tick that other paper shows is left out.
    """
    known = {(cut.picture, cut.field): cut for cut in cuts}
    doubtful = {sheet: set(names) for sheet, names in unclear.items()}
    found: list[TypedCut] = []
    unused: dict[str, list[str]] = {}
    for entry, file in entries.items():
        cut = known.get((entry.picture, entry.field))
        if cut is None or not fits(entry.field, entry.value):
            unused.setdefault(file, []).append(entry.field)
        elif not is_tick(entry.field) or entry.field in doubtful.get(cut.sheet, ()):
            found.append(TypedCut(entry, cut))
    return found, list(starmap(_unused, unused.items()))


def _unused(file: str, fields: Sequence[str]) -> Problem:
    """A warning for entries of a file that belong to no picture."""
    more = f" and {len(fields) - 1} more" if len(fields) > 1 else ""
    message = f"typed for {fields[0]}{more}: it belongs to no picture of the paper that came back"
    return warning("paper-typed", message, Where(file), UNUSED_HINT)


def fits(field: str, value: str) -> bool:
    """Whether a value can be of a field: a finding for a tick, a reading for a cell, any text for a line."""
    if sheet_kind(field) in {None, "days"}:
        return fits_day(field, value)
    if is_tick(field):
        return value in findings_of(field)
    return READINGS.get(value.strip().upper(), "") != "" if is_reading(field) else bool(value.strip())


def findings_of(field: str) -> tuple[str, ...]:
    """What a doubtful tick may be found to show; none for a field that is no tick of a walk or a system."""
    kinds = {"walk": CONFIRMED, "system": MARKS}
    return kinds.get(sheet_kind(field) or "", ()) if is_tick(field) else ()


def typed_returns(typed: Sequence[TypedCut], kept: Mapping[str, str]) -> Iterator[Return]:
    """A return for each source of entries of a sheet; `kept` is what sheets were printed for, by code."""
    for (sheet, source), those in _by_source(typed).items():
        page = read_sheet_code(sheet)
        if page is None or isinstance(page, ResponsePage | DaysPage):
            continue
        values = {each.cut.field: each.entry.value for each in those if not each.is_confirmation}
        confirmed = {each.cut.field: each.entry.value for each in those if each.is_confirmation}
        printed = {page.sheet: kept.get(sheet, "")}
        yield Return(source, dict(values), printed, confirmed=confirmed)


def typed_rows(typed: Iterable[TypedCut]) -> Iterator[tuple[str, FilledRow]]:
    """The readings of response tests that were typed, a row a line of each source."""
    for (sheet, source), those in _by_source(typed).items():
        page = read_sheet_code(sheet)
        if isinstance(page, ResponsePage):
            readings = [
                (each.cut.field, READINGS.get(each.entry.value.strip().upper(), "")) for each in those
            ]
            yield from ((source, row) for row in rows_of_form(readings, page.plan, page.system))


def typed_days(typed: Iterable[TypedCut]) -> Iterator[tuple[str, DaysPage, dict[str, str]]]:
    """What was typed of each page of first days, with its source."""
    for (sheet, source), those in _by_source(typed).items():
        page = read_sheet_code(sheet)
        if isinstance(page, DaysPage):
            yield source, page, {each.cut.field: each.entry.value for each in those}


def _by_source(typed: Iterable[TypedCut]) -> dict[tuple[str, str], list[TypedCut]]:
    """Entries by sheet and source; what its person typed otherwise, as a copy of a file has it, apart."""
    groups: dict[tuple[str, str], dict[str, TypedCut]] = {}
    for each in typed:
        field, key = each.cut.field, (each.cut.sheet, each.source)
        known = groups.get(key, {}).get(field)
        if known and known.entry.value != each.entry.value:
            key = each.cut.sheet, f"{each.source}, {each.entry.at}"
        groups.setdefault(key, {})[field] = each
    return {key: list(those.values()) for key, those in groups.items()}

"""The walk on a phone that the desk let in: its page, and the files of what it enters.

The page is walk.html with the script that sends added to it. A phone's file is the one that its page exports,
with the name of the phone and the time of each entry beside it.
"""

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from tagmaker.catalog.words import load_words
from tagmaker.files.plain import files_in, read_plain
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import Plan
from tagmaker.sheets.system import system_screen
from tagmaker.tags.sheet_names import is_hidden, is_of_system, is_tick, sheet_kind, sheet_of_field
from tagmaker.tags.system import read_system_printed, system_sheet
from tagmaker.tags.walk import WALK_FORMAT, printed_for
from tagmaker.workflows.phone_marks import Change, Entered, Entry, MarksFile, Phone, time_of, time_text

__all__ = ["WalkPage", "page_in_phone", "walk_marks"]

META = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>\n')
INLINE = re.compile(r"<(?P<tag>script|style)>(?P<text>.*?)</(?P=tag)>", re.DOTALL)
FILE = re.compile(r"walk-phone-([0-9a-f]{8})(?:-\d{1,3})?\.json", re.ASCII)
BYTES_AT_MOST = 20_000_000
BOXES_A_FILE = 50
"""A file is written whole with each entry: a large job's are divided."""


# --- the page -----------------------------------------------------------------------------------------------


class WalkPage(Struct, frozen=True):
    """The page as bytes, and the digests of its own scripts and styles as a content policy names them."""

    page: bytes
    scripts: tuple[str, ...]
    styles: tuple[str, ...]


def page_in_phone(plan: Plan, added: Sequence[str]) -> WalkPage:
    """The walk's page with scripts added by their addresses; the door's policy takes the place of its own."""
    page = META.sub("", walk_html(plan, load_words()).decode(), count=1)
    head, _, _ = page.rpartition("</body>")
    modules = "".join(f'<script src="{each}"></script>\n' for each in added)
    page = f"{head}{modules}</body>\n</html>\n"
    parts = [(match["tag"], _digest(match["text"])) for match in INLINE.finditer(page)]
    return WalkPage(
        page.encode(),
        tuple(digest for tag, digest in parts if tag == "script"),
        tuple(digest for tag, digest in parts if tag == "style"),
    )


def _digest(text: str) -> str:
    """A script's or style's digest (CSP level 3, 2.3.1)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


# --- its entries --------------------------------------------------------------------------------------------


class _FileBox(Struct, frozen=True):
    """A box of a phone's file, with the times of its fields."""

    box: str
    printed_for: str
    fields: dict[str, bool | str]
    times: dict[str, str] = {}


class _FileSystem(Struct, frozen=True):
    """A system of a phone's file, with the times of its fields."""

    system: str
    printed_for: str
    fields: dict[str, bool | str]
    times: dict[str, str] = {}


class _File(Struct, frozen=True, omit_defaults=True):
    """A phone's file; `job` is its head as the page has it."""

    format: str
    device: Phone
    job: Any
    boxes: list[_FileBox]
    systems: list[_FileSystem] = []


def walk_marks(plan: Plan) -> MarksFile:
    """How the entries of walks and of systems' sheets of a job are kept."""
    today = {box.row.key: printed_for(plan.job, box) for box in plan.boxes}
    screens = (system_screen(plan.job, each, load_words()) for each in plan.systems)
    today |= {screen.sheet: screen.printed_for for screen in screens}
    job = {"name": plan.job.name, "number": plan.job.number, "revision": plan.job.revision}

    def fault(change: Change) -> str:
        is_asked = sheet_kind(change.field) in {"walk", "system"} and not is_hidden(change.field)
        if not is_asked or sheet_of_field(change.field) != change.group:
            return "no walk has such a field"
        if change.group not in today:
            return f"the job has no {'sheet' if is_of_system(change.field) else 'box'} {change.group}"
        if change.value is not None and isinstance(change.value, bool) is not is_tick(change.field):
            return "it is filled in otherwise"
        is_shown = _system_of(change) if is_of_system(change.field) else change.for_
        return "" if is_shown else "it does not show what it was printed for"

    def write(phone: Phone, own: Sequence[tuple[str, Entered]]) -> Mapping[str, bytes]:
        return {name: _written(phone, job, part) for name, part in _divided(phone, own)}

    def is_today(group: str, for_: str) -> bool:
        return for_ == today.get(group)

    return MarksFile(
        "walk", _read, lambda name, content: _file_of(name, content) is not None, write, fault, is_today
    )


def _system_of(change: Change) -> str:
    """The system that a sheet was printed for; "" where that is not the one of the change."""
    printed = read_system_printed(change.for_)
    return printed.system if printed and system_sheet(printed.system) == change.group else ""


def _divided(phone: Phone, own: Sequence[tuple[str, Entered]]) -> Iterator[tuple[str, Mapping[str, Entered]]]:
    """A phone's boxes by the file that each is in, in the order in which they were begun.

    A file has a box once: what was entered for another revision is in a file of its own.
    """
    files: list[dict[str, Entered]] = []
    for group, entered in own:
        free = (each for each in files if group not in each and len(each) < BOXES_A_FILE)
        file = next(free, None)
        if file is None:
            files.append(file := {})
        file[group] = entered
    for number, each in enumerate(files, start=1):
        more = f"-{number}" if number > 1 else ""
        yield f"walk-phone-{phone.id}{more}.json", each


def _written(phone: Phone, job: Mapping[str, str], own: Mapping[str, Entered]) -> bytes:
    sheets = {
        group: (
            entered.for_,
            {name: entry.value for name, entry in entered.fields.items() if entry.value is not None},
            {name: time_text(entry.at) for name, entry in entered.fields.items()},
        )
        for group, entered in own.items()
    }
    printed = {group: read_system_printed(for_) for group, (for_, _, _) in sheets.items()}
    systems = [_FileSystem(of.system, *sheets[group]) for group, of in printed.items() if of]
    boxes = [_FileBox(group, *sheet) for group, sheet in sheets.items() if printed[group] is None]
    file = _File(WALK_FORMAT, phone, job, boxes, systems)
    return msgspec.json.format(msgspec.json.encode(file), indent=1)


def _read(folder: Path) -> list[tuple[str, str, Entered]]:
    """What the phones' files in a folder have; another file is none of these."""
    found: list[tuple[str, str, Entered]] = []
    for path in sorted(files_in(folder, "walk-phone-*.json"), key=lambda path: (len(path.name), path.name)):
        try:
            file = _file_of(path.name, read_plain(path, BYTES_AT_MOST))
        except OSError:
            continue
        if file:
            sheets: list[tuple[str, _FileBox | _FileSystem]] = [(box.box, box) for box in file.boxes]
            sheets += [(system_sheet(each.system), each) for each in file.systems]
            found += [(path.name, group, _entered(file.device, sheet)) for group, sheet in sheets]
    return found


def _file_of(name: str, content: bytes) -> _File | None:
    """A phone's file; None for one that is damaged, or of another phone than its name has."""
    try:
        file = msgspec.json.decode(content, type=_File)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None
    match = FILE.fullmatch(name)
    return file if match and file.device.id == match[1] else None


def _entered(phone: Phone, sheet: _FileBox | _FileSystem) -> Entered:
    fields = {name: Entry(value, time_of(sheet.times.get(name, ""))) for name, value in sheet.fields.items()}
    return Entered(phone, sheet.printed_for, fields)

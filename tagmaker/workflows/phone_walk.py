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
from tagmaker.tags.fields import box_of, read_field
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


class _File(Struct, frozen=True):
    """A phone's file; `job` is its head as the page has it."""

    format: str
    device: Phone
    job: Any
    boxes: list[_FileBox]


def walk_marks(plan: Plan) -> MarksFile:
    """How the entries of walks of a job are kept."""
    today = {box.row.key: printed_for(plan.job, box) for box in plan.boxes}
    job = {"name": plan.job.name, "number": plan.job.number, "revision": plan.job.revision}

    def fault(change: Change) -> str:
        field = read_field(change.field)
        if field is None or field.kind in {"printed_for", "response"} or box_of(change.field) != change.group:
            return "no walk has such a field"
        if change.group not in today:
            return f"the job has no box {change.group}"
        is_mark = field.kind in {"switch", "switch_off", "tick"}
        if change.value is not None and isinstance(change.value, bool) is not is_mark:
            return "it is filled in otherwise"
        return "" if change.for_ else "it does not show what it was printed for"

    def write(phone: Phone, own: Sequence[tuple[str, Entered]]) -> Mapping[str, bytes]:
        return {name: _written(phone, job, part) for name, part in _divided(phone, own)}

    def is_today(group: str, for_: str) -> bool:
        return for_ == today.get(group)

    return MarksFile("walk", _read, write, fault, is_today)


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
    boxes = [
        _FileBox(
            group,
            entered.for_,
            {name: entry.value for name, entry in entered.fields.items() if entry.value is not None},
            {name: time_text(entry.at) for name, entry in entered.fields.items()},
        )
        for group, entered in own.items()
    ]
    return msgspec.json.format(msgspec.json.encode(_File(WALK_FORMAT, phone, job, boxes)), indent=1)


def _read(folder: Path) -> list[tuple[str, Entered]]:
    """What the phones' files in a folder have; another file is none of these."""
    found: list[tuple[str, Entered]] = []
    for path in sorted(files_in(folder, "walk-phone-*.json"), key=lambda path: (len(path.name), path.name)):
        try:
            file = msgspec.json.decode(read_plain(path, BYTES_AT_MOST), type=_File)
        except (OSError, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            continue
        name = FILE.fullmatch(path.name)
        if name and file.device.id == name[1]:
            found += [(box.box, _entered(file.device, box)) for box in file.boxes]
    return found


def _entered(phone: Phone, box: _FileBox) -> Entered:
    fields = {name: Entry(value, time_of(box.times.get(name, ""))) for name, value in box.fields.items()}
    return Entered(phone, box.printed_for, fields)

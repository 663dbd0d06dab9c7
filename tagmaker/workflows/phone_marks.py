"""What phones enter on a walk or a response test: kept as it comes, shown to the other phones of the job.

Each phone has files of its own in the folder of what came back, in the form in which it would hand them in:
its entries are what its person found, and no phone's entry replaces another's. `readback` takes these files,
so that what two people found differently is a contradiction there as it is on their phones.
"""

import datetime as dt
import hashlib
import secrets
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from itertools import count
from pathlib import Path
from typing import Literal, NamedTuple

from msgspec import Struct

from tagmaker.files.plain import files_in, is_there, read_plain
from tagmaker.files.refused import cannot_write
from tagmaker.files.write import make_folder, write_whole
from tagmaker.problems import Problem
from tagmaker.workflows.returned import returned_folder

__all__ = [
    "CHANGES_AT_MOST",
    "Change",
    "Entered",
    "Entry",
    "Marks",
    "MarksFile",
    "Phone",
    "Synced",
    "Value",
]

Value = bool | str | None
"""A tick, a text; False or "" for one that was taken back; None for one that was never there."""
CHANGES_AT_MOST = 500
TEXT_AT_MOST = 1_000
NAME_AT_MOST = 200
FIELDS_AT_MOST = 4_000
"""Fields of one group of one phone: a box of 16 ports has some 300."""
FOR_AT_MOST = 20_000
BYTES_AT_MOST = 20_000_000
PHONES_FILES = "*-phone-*"


class Phone(Struct, frozen=True):
    """A phone as files name it: its id, and the name that its person gave."""

    id: str
    name: str


class Entry(Struct, frozen=True):
    """A value, and when it was entered by the phone's clock: milliseconds since 1970."""

    value: Value
    at: int


class Change(Struct, frozen=True):
    """A field that was entered or taken back: its group (a box, or a test), its name, what it was for."""

    group: str
    field: str
    value: Value
    at: int
    for_: str = ""


class Entered(Struct, frozen=True):
    """All that a phone has in a group, and what its paper was printed for."""

    phone: Phone
    for_: str
    fields: dict[str, Entry]


class OfPhone(Struct, frozen=True):
    """What a phone entered, as another phone is sent it: values and times by field."""

    id: str
    name: str
    is_own: bool
    fields: dict[str, tuple[Value, int]]


class Synced(Struct, frozen=True):
    """The answer to a phone: how far it is up to date, groups that changed since, and what was not taken.

    `refused` has a reason by field's name: it stays on the phone.
    """

    epoch: str
    version: int
    groups: dict[str, list[OfPhone]]
    refused: dict[str, str]


class MarksFile(Struct, frozen=True):
    """How entries are read from and written to files.

    `read` gives what the files in a folder have, each group with its file's name, a phone's first file first;
    `is_read` is whether it takes a file of that name and content, and a table never;
    `write` gives the contents of a phone's files by name;
    `fault` is why a field cannot be taken, "" where it can. `is_today` is whether what a group's paper was
    printed for is what is planned now: other phones are not shown anything else.
    """

    kind: Literal["walk", "response"]
    read: Callable[[Path], list[tuple[str, str, Entered]]]
    is_read: Callable[[str, bytes], bool]
    write: Callable[[Phone, Sequence[tuple[str, Entered]]], Mapping[str, bytes]]
    fault: Callable[[Change], str]
    is_today: Callable[[str, str], bool]


class Marks:
    """The entries of all phones of a job, of one kind; kept on disk before they are answered."""

    def __init__(self, job: Path, files: MarksFile) -> None:
        self.job, self.files = job, files
        self.epoch = secrets.token_hex(4)
        self.version = 1
        self._lock = threading.Lock()
        self._entered: dict[_Key, Entered] = {}
        self._changed: dict[str, int] = {}
        self._written: dict[str, bytes] = {}
        folder = returned_folder(job)
        if isinstance(folder, Path):
            self._take_up(folder)

    def _take_up(self, folder: Path) -> None:
        """Take what the phones' files have; a second file of the same is a copy of some other day.

        The files are looked at before they are read: what another desk writes meanwhile is not this one's.
        """
        there = {path.name: _readable(path) for path in files_in(folder, PHONES_FILES)}
        copies: set[str] = set()
        for name, group, entered in self.files.read(folder):
            key = _Key(group, entered.phone.id, entered.for_)
            if key in self._entered:
                copies.add(name)
            else:
                self._entered[key] = entered
                self._changed[group] = self.version
        own = {name for name, content in there.items() if self.files.is_read(name, content)} - copies
        self._written = {name: _digest(there[name]) for name in own}
        phones = {entered.phone.id: entered.phone for entered in self._entered.values()}
        for phone in phones.values():  # a table is not taken up: it is this desk's where it has these entries
            written = self.files.write(phone, self._of(phone))
            self._written |= {name: _digest(text) for name, text in written.items() if name not in own}

    def _of(self, phone: Phone) -> list[tuple[str, Entered]]:
        """What a phone has, with its groups."""
        return [(key.group, each) for key, each in self._entered.items() if key.phone == phone.id]

    def sync(self, phone: Phone, changes: Sequence[Change], epoch: str, version: int) -> Synced | Problem:
        """Take what a phone entered; what others entered since it asked last. A problem if it is not kept."""
        with self._lock:
            refused: dict[str, str] = {}
            taken: dict[_Key, Entered] = {}
            for each in changes[:CHANGES_AT_MOST]:
                fault = _fault(each) or self.files.fault(each) or self._take(phone, each, taken)
                if fault:
                    refused[each.field[:NAME_AT_MOST]] = fault
            if taken and (problem := self._keep(phone, taken)):
                return problem
            known = version if epoch == self.epoch else 0
            changed = {group for group, at in self._changed.items() if at > known}
            groups: dict[str, list[OfPhone]] = {group: [] for group in changed}
            for key, own in self._entered.items():
                if key.group in changed and self.files.is_today(key.group, key.for_):
                    sent = OfPhone(own.phone.id, own.phone.name, key.phone == phone.id, _sent(own.fields))
                    groups[key.group].append(sent)
            return Synced(self.epoch, self.version, groups, refused)

    def _take(self, phone: Phone, change: Change, taken: "dict[_Key, Entered]") -> str:
        """Put a change among those taken; "" or why it cannot be."""
        key = _Key(change.group, phone.id, change.for_)
        before = taken.get(key) or self._entered.get(key)
        fields = dict(before.fields) if before else {}
        if change.value is None:
            fields.pop(change.field, None)
        elif change.field not in fields and len(fields) >= FIELDS_AT_MOST:
            return "there are too many entries"
        else:
            fields[change.field] = Entry(change.value, min(change.at, _now()))
        taken[key] = Entered(phone, change.for_, fields)
        return ""

    def _keep(self, phone: Phone, taken: "Mapping[_Key, Entered]") -> Problem | None:
        """Write the phone's files, then count its entries; a problem where they cannot be written."""
        kept = {key: each for key, each in self._entered.items() if key.phone == phone.id} | dict(taken)
        folder = returned_folder(self.job)
        if isinstance(folder, Problem):
            return folder
        try:
            make_folder(folder)
            own = [(key.group, each) for key, each in kept.items()]
            for name, content in self.files.write(phone, own).items():
                self._put(folder / name, content)
        except OSError as reason:
            return cannot_write(folder, reason, "make room on the disk: the phone keeps what it has")
        self.version += 1
        self._entered |= taken
        self._changed |= {key.group: self.version for key in taken}
        return None

    def _put(self, path: Path, content: bytes) -> None:
        """Write a phone's file; what somebody else put there, or what was damaged, is kept beside it.

        A file as this desk wrote it, or took it up when it began, has nothing that the new one lacks.
        """
        there = _content(path)
        if there == content:
            return
        if there and _digest(there) != self._written.get(path.name):
            write_whole(_beside(path), there)
        write_whole(path, content)
        self._written[path.name] = _digest(content)


class _Key(NamedTuple):
    """Whose entries, of which group, and what it was printed for: a tick counts for nothing else."""

    group: str
    phone: str
    for_: str


def _content(path: Path) -> bytes | None:
    """What a file holds; None where there is none."""
    try:
        return read_plain(path, BYTES_AT_MOST)
    except FileNotFoundError:
        return None


def _readable(path: Path) -> bytes:
    """The same, and nothing of what is locked or no file."""
    try:
        return _content(path) or b""
    except OSError:
        return b""


def _digest(content: bytes) -> bytes:
    return hashlib.sha256(content).digest()


def _beside(path: Path) -> Path:
    """A name beside a file that is free, and that no phone's file has."""
    names = (path.with_name(f"{path.stem}-kept-{number}{path.suffix}") for number in count(1))
    return next(name for name in names if not is_there(name))


def _fault(change: Change) -> str:
    """Why nothing of that shape is taken."""
    if len(change.field) > NAME_AT_MOST or len(change.group) > NAME_AT_MOST:
        return "its name is too long"
    if len(change.for_) > FOR_AT_MOST or not 0 <= change.at < 1 << 52:
        return "it was not entered on a page of this program"
    if isinstance(change.value, str) and len(change.value) > TEXT_AT_MOST:
        return f"it has more than {TEXT_AT_MOST} characters"
    return ""


def _sent(fields: Mapping[str, Entry]) -> dict[str, tuple[Value, int]]:
    return {name: (entry.value, entry.at) for name, entry in fields.items()}


def _now() -> int:
    return int(time.time() * 1000)


def time_text(milliseconds: int) -> str:
    """A time as files have it: UTC, ISO 8601."""
    return dt.datetime.fromtimestamp(milliseconds / 1000, dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def time_of(text: str) -> int:
    """Milliseconds since 1970 of a text of `time_text`; 0 where it is none."""
    try:
        return int(dt.datetime.fromisoformat(text).timestamp() * 1000)
    except ValueError:
        return 0

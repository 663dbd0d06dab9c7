"""What a handover record holds: what is open, then what was planned, found, tested and signed, in words.

Made by `workflows` of what came back, printed by `sheets`, and given to other programs as JSON: the fields
are the keys. A record is complete only where nothing is open.
"""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

__all__ = [
    "BankFound",
    "BoardRecord",
    "BoxRecord",
    "DaysRecord",
    "Fact",
    "FileRecord",
    "Handover",
    "ItemRecord",
    "JobRecord",
    "LineRecord",
    "OpenKind",
    "OpenPoint",
    "PortRecord",
    "ResponseRecord",
    "SignatureRecord",
    "SystemRecord",
]

OpenKind = Literal[
    "job", "set", "file", "differs", "not seen", "not proved", "not signed", "handwriting", "scan",
    "response", "system",
]  # fmt: skip
"""What an open point is about."""
Result = Literal["as planned", "differs", "not seen"]


class OpenPoint(Struct, frozen=True):
    """One thing that is open: numbered from 1; `where` is a box, a system, a file, or "" for the job."""

    number: int
    kind: OpenKind
    where: str
    place: str
    what: str
    to_do: str
    expect: tuple[str, ...] = ()


class JobRecord(Struct, frozen=True):
    """Which job, as its pages name it; `date` is ISO 8601, empty where the job has none."""

    name: str
    number: str
    revision: str
    date: str
    site: str
    prepared_by: str


class BankFound(Struct, frozen=True):
    """A bank of switches: what must be ON, what was found ON, found OFF, and not seen; `left` is not set."""

    name: str
    planned_on: tuple[int, ...]
    left: tuple[int, ...]
    found_on: tuple[int, ...]
    found_off: tuple[int, ...]
    not_seen: tuple[int, ...]


class BoardRecord(Struct, frozen=True):
    """A circuit board by its place."""

    place: str
    result: Result
    banks: tuple[BankFound, ...]


class LineRecord(Struct, frozen=True):
    """The pipe or the cable of a letter: whose is planned there (none where empty), and what was found.

    `found` is what a person wrote to be there instead; `is_proved` is None where nothing is planned.
    """

    planned: tuple[str, ...]
    result: Result
    found: str
    is_proved: bool | None


class PortRecord(Struct, frozen=True):
    """A letter with the port or pair that it belongs to; `proof` is how and by whom it was proved."""

    letter: str
    port: str
    use: str
    units: tuple[str, ...]
    pipe: LineRecord
    cable: LineRecord
    tags: Result
    proof: str
    note: str


class ItemRecord(Struct, frozen=True):
    """A thing to tick: `seen` and `not_seen` are letters, "" for the box itself."""

    key: str
    text: str
    role: str
    seen: tuple[str, ...]
    not_seen: tuple[str, ...]


class SignatureRecord(Struct, frozen=True):
    """Who signed for what; empty where it was not signed, or not by a text."""

    role: str
    name: str
    date: str


class BoxRecord(Struct, frozen=True):
    """A box: its walk against the plan."""

    box: str
    place: str
    power: str
    system: str
    result: Result
    boards: tuple[BoardRecord, ...]
    ports: tuple[PortRecord, ...]
    items: tuple[ItemRecord, ...]
    signatures: tuple[SignatureRecord, ...]
    files: tuple[str, ...]
    pictures: tuple[str, ...]


class Fact(Struct, frozen=True):
    """One figure of a system: what it is, as planned, as it came back; either may be empty.

    `is_asked` is set where it must come back.
    """

    name: str
    planned: str
    found: str
    is_asked: bool = True


class SystemRecord(Struct, frozen=True):
    """A system: its boxes, what was planned and what came back of test, vacuum, charge and start."""

    system: str
    outdoor: str
    boxes: tuple[str, ...]
    units: int
    result: Literal["complete", "differs", "open", "not seen"]
    facts: tuple[Fact, ...]
    pictures: tuple[str, ...]


class ResponseRecord(Struct, frozen=True):
    """A response test: how many ports answer as called, how many units get what their port calls for."""

    system: str
    plan: str
    ports_right: int
    ports: int
    units_right: int
    units: int
    notes: tuple[str, ...]


class DaysRecord(Struct, frozen=True):
    """The first days of a system: on which days, and how many readings of units are whole."""

    system: str
    days: tuple[int, ...]
    read: int
    of: int


class FileRecord(Struct, frozen=True):
    """A file with SHA-256 of its bytes in hexadecimal digits; empty where it could not be read."""

    name: str
    sha256: str


class Handover(Struct, frozen=True, kw_only=True):
    """The whole record.

    `digest` is SHA-256 of the list of all files read and attached, as `read.sha256` in the PDF has it.
    `plan_from` is whether register and plan are those of the printed set, or were made of the job.
    `not_covered` and `remarks` are sentences. `pictures` are names of pictures cut from paper.
    """

    job: JobRecord
    complete: bool
    digest: str
    plan_from: Literal["set", "job"]
    open: tuple[OpenPoint, ...]
    remarks: tuple[str, ...]
    not_covered: tuple[str, ...]
    counts: Mapping[str, int]
    boxes: tuple[BoxRecord, ...]
    systems: tuple[SystemRecord, ...]
    response: tuple[ResponseRecord, ...]
    first_days: tuple[DaysRecord, ...]
    files: tuple[FileRecord, ...]
    attached: tuple[FileRecord, ...]
    pictures: tuple[str, ...]

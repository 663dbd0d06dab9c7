"""plan.json: the whole plan of a set, for other programs and for the next revision.

Written by `make` (`plan_pieces.py`) and read back by `make --since`, `changes` and `scan`. The file may have
been edited or damaged by then, so that reading checks types, kinds, dates, loads and names before anything is
compared with it.
"""

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Literal, get_args

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.changed import Manifest
from tagmaker.files.plain import is_folder, is_plain_file, read_plain
from tagmaker.files.sealed import is_sealed
from tagmaker.plan.outline import BoxOutline, Btuh, SystemOutline
from tagmaker.problems import Problem, ProblemOutline, Where, error, warning
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.issued import Issued, IssuedJob, IssuedPlacard, IssuedTag, IssuedUnit
from tagmaker.tags.model import BoxKind, End, Kit, PortKind, Stage, TagKind, UnitKind
from tagmaker.tags.walk import JobIdentity, relation
from tagmaker.units import CAPACITY_UNITS

__all__ = [
    "BYTES_AT_MOST",
    "PLAN_FILE",
    "FormSet",
    "PartRecord",
    "PlanFile",
    "SetHead",
    "find_plan_file",
    "foreign",
    "read_form_pages",
    "read_manifest",
    "read_plan_file",
    "read_set",
    "read_whole_set",
    "unproved",
]

PLAN_FILE = "plan.json"
LATER_KEY = "refrigerant"
"""A key of [job] that came after the digests: a file that has it and no digests lost them."""
KIND_ENDS: frozenset[tuple[TagKind, End]] = frozenset(
    [(kind, end) for kind in get_args(PortKind) for end in get_args(End)]
    + [(kind, "box") for kind in get_args(BoxKind)]
    + [(kind, "unit") for kind in get_args(UnitKind)]
)
"""The kinds of tags with the ends at which they can be."""
BTUH_AT_MOST = 10**20
BYTES_AT_MOST = 200_000_000
HINT = "name the plan.json of a whole set that `tagmaker make` wrote"


class PartRecord(Struct, frozen=True):
    """What a set is limited to; `ports` has codes of single tags too.

    `since` is the revision of the earlier set of which it is the update.
    """

    boxes: tuple[str, ...]
    ports: tuple[str, ...]
    stage: Literal[Stage, ""]
    kit: Literal[Kit, ""]
    since: str

    @property
    def is_all(self) -> bool:
        """Whether its plan.json covers the whole job: an update's does, though it prints what changed."""
        return not (self.boxes or self.ports or self.stage or self.kit)


class PlanFile(Struct, frozen=True, kw_only=True):
    """The whole file; the fields are its keys.

    `digests` has SHA-256 of each file by name. plan.json's own is that of its bytes with zeros in its place.
    `form_pages` has the places of the fields on each page of a form. A set of an earlier version has neither.
    """

    program: str
    job: IssuedJob
    digest: str
    proof: bool
    partial: bool
    part: PartRecord
    files: tuple[str, ...]
    digests: dict[str, str] = {}
    boxes: tuple[BoxOutline, ...]
    units: tuple[IssuedUnit, ...]
    placards: tuple[IssuedPlacard, ...]
    tags: tuple[IssuedTag, ...]
    form_pages: list[FormPage] = []
    systems: list[SystemOutline] = []
    problems: tuple[ProblemOutline, ...]


class _Head(Struct, frozen=True):
    """The keys of [job], whatever they are."""

    job: dict[str, object]


class _Listed(Struct, frozen=True):
    """Which files a set of any version consists of; all else is passed over, as it takes much memory."""

    files: list[object]
    partial: object
    digests: dict[str, str] | None = None
    job: dict[str, object] = {}


class SetHead(Struct, frozen=True):
    """What a set is: its job, what it is limited to, its files in print order, their digests.

    `digest` is that of what it says of its boxes.
    """

    job: IssuedJob
    partial: bool
    part: PartRecord
    files: tuple[str, ...]
    digests: dict[str, str]
    proof: bool
    digest: str = ""


def find_plan_file(path: Path) -> Path:
    """The file itself, of a set's folder too."""
    return path / PLAN_FILE if is_folder(path) else path


def read_manifest(out: Path) -> Manifest:
    """What the set in a folder consists of, by its plan.json; an empty manifest where there is no set.

    Unlike `read_plan_file` it takes a manifest of any version: an old set must be replaceable.
    """
    try:
        content = read_plain(out / PLAN_FILE, BYTES_AT_MOST)
        plan = msgspec.json.decode(content, type=_Listed)
        names, digests = frozenset(map(str, plan.files)), plan.digests
        if digests is None:
            return Manifest(names, not plan.partial, PLAN_FILE, is_intact=LATER_KEY not in plan.job)
        is_intact = is_sealed(content, PLAN_FILE, digests[PLAN_FILE])
    except (OSError, msgspec.MsgspecError, ValueError, KeyError, RecursionError):
        return Manifest()
    return Manifest(names, not plan.partial, PLAN_FILE, digests, is_intact)


def read_manifest_for_part(out: Path) -> Manifest:
    """The same for a set of a part of a job: an update counts as whole, since the next one starts from it."""
    manifest, head = read_manifest(out), read_set(out)
    return replace(manifest, is_whole=True) if head and head.part.is_all else manifest


def read_set(out: Path) -> SetHead | None:
    """What the set in a folder is, by its plan.json; None where there is no sound one.

    Quicker than `read_plan_file`, and of a part of a job too: boxes and tags are passed over.
    """
    try:
        content = read_plain(out / PLAN_FILE, BYTES_AT_MOST)
        head = msgspec.json.decode(content, type=SetHead)
    except (OSError, msgspec.MsgspecError, ValueError, RecursionError):
        return None
    return head if is_sealed(content, PLAN_FILE, head.digests.get(PLAN_FILE, "")) else None


def read_plan_file(path: Path) -> Issued | Problem:
    """An earlier set; the problem where the file is none, or is only of a part of a job."""
    path, where = find_plan_file(path), Where(path.name)
    found = _decoded(path, where)
    if isinstance(found, Problem):
        return found
    if not found.part.is_all:
        return error(
            "plan-partial", f"{path} covers only part of a job: the rest cannot be compared", where, HINT
        )
    parts = found.boxes, found.units, found.tags, found.placards
    systems = tuple(found.systems)
    return Issued(found.job, found.digest, *parts, is_proved=bool(found.digests), systems=systems)


def read_whole_set(out: Path) -> SetHead | Issued | Problem:
    """What the whole set in a folder is, if possible without its boxes; the problem where it is none."""
    head = read_set(out)
    return head if head and head.part.is_all else read_plan_file(out)


class FormSet(Struct, frozen=True):
    """The pages of forms of a set, and SHA-256 of each of its files by name."""

    pages: tuple[FormPage, ...]
    digests: Mapping[str, str]


def read_form_pages(path: Path) -> FormSet | Problem:
    """The forms of a set, whole or of a part of a job; the problem where the file is none."""
    path = find_plan_file(path)
    found = _decoded(path, Where(path.as_posix()))
    return found if isinstance(found, Problem) else FormSet(tuple(found.form_pages), found.digests)


def _decoded(path: Path, where: Where) -> PlanFile | Problem:
    """A plan.json whose content was checked; the problem where it is none."""
    try:
        if not is_plain_file(path):
            return error("plan-unreadable", f"{path} does not exist, or is not a plan.json", where, HINT)
        content = read_plain(path, BYTES_AT_MOST)
        found = msgspec.json.decode(content, type=PlanFile)
        _check(found)
        _check_digest(found, content)
    except OSError as reason:
        return error("plan-unreadable", f"{path} cannot be read: {reason.strerror}", where, HINT)
    except (msgspec.MsgspecError, ValueError, RecursionError) as reason:
        message = f"{path} is not a plan.json of this program: {_why(reason)}"
        return error("plan-unreadable", message, where, HINT)
    return found


def unproved(earlier: Issued, path: Path) -> list[Problem]:
    """A warning where an earlier set has no digests, so that nobody can know whether its file was changed."""
    if earlier.is_proved:
        return []
    message = f"{find_plan_file(path)} is of an earlier version without digests: it may have been changed"
    hint = "compare it with the register of the set, or make that set again"
    return [warning("plan-unproved", message, Where(find_plan_file(path).name), hint)]


def foreign(was: IssuedJob, now: JobIdentity, where: Where) -> list[Problem]:
    """A warning where the earlier of two sets is of another job, or may be: their tags may be the same."""
    earlier = JobIdentity(was.number, was.name)
    related = relation(earlier, now)
    if related not in {"another", "renamed"}:
        return []
    message = f"it is of another job: {earlier}, not {now}"
    if related == "renamed":
        message = f"it has the job's number {now.number} and another name: {earlier.name}, not {now.name}"
    hint = "both are compared as one job: name two states of one job, unless it was renamed"
    return [warning("plan-foreign", message, where, hint)]


def _check_digest(found: PlanFile, content: bytes) -> None:
    """Raise ValueError where the file's bytes are not those that were written, as far as that is known."""
    if not found.digests and LATER_KEY in msgspec.json.decode(content, type=_Head).job:
        raise ValueError("its digests were removed")
    if found.digests and not is_sealed(content, PLAN_FILE, found.digests.get(PLAN_FILE, "")):
        raise ValueError("it was changed after it was written")


def _why(reason: Exception) -> str:
    """Why a file is none of this program's, without the words of the library that reads it."""
    text = str(reason)
    if not isinstance(reason, msgspec.MsgspecError):
        return text if isinstance(reason, ValueError) else "it is nested too deeply"
    if not isinstance(reason, msgspec.ValidationError):
        return "it is not JSON text, or not the whole of it"
    if found := re.search(r"missing required field `(.+?)`", text):
        return f"it has no {found[1]!r}"
    place = re.search(r"at `\$\.?(.*)`$", text)
    return f"{place[1]!r} has another form" if place and place[1] else "it has another form"


def _check(found: PlanFile) -> None:
    """Raise ValueError where a value of the right type is none that this program writes."""
    for text in filter(None, (found.job.date, *(each.date for each in found.placards))):
        dt.date.fromisoformat(text)
    if found.job.capacity_unit not in CAPACITY_UNITS:
        raise ValueError(f"{found.job.capacity_unit!r} is not a capacity unit")
    if not all(load is None or 0 <= load <= BTUH_AT_MOST for load in _loads(found)):
        raise ValueError("a load is not a capacity")
    if not {(tag.kind, tag.end) for tag in found.tags} <= KIND_ENDS:
        raise ValueError("a tag is of a kind that does not exist")
    _check_names(found)


def _loads(found: PlanFile) -> Iterator[Btuh]:
    yield from (unit.capacity_btuh for unit in found.units)
    for box in found.boxes:
        yield from (load for port in box.ports for load in (port.load_btuh, port.limit_btuh))


def _check_names(found: PlanFile) -> None:
    """Raise ValueError where a thing is named twice, or is of a box that is not there."""
    boxes = [box.tag.upper() for box in found.boxes]
    placards = [each.box.upper() for each in found.placards]
    units = [unit.unit.upper() for unit in found.units]
    codes = [tag.code for tag in found.tags]
    for what, names in (("box", boxes), ("placard", placards), ("unit", units), ("tag", codes)):
        if len(set(names)) < len(names):
            raise ValueError(f"it has a {what} twice")
    of_boxes = {*(unit.box.upper() for unit in found.units), *(tag.box.upper() for tag in found.tags)}
    if set(boxes) != set(placards) or not of_boxes <= set(boxes):
        raise ValueError("its boxes, placards, units and tags do not agree")

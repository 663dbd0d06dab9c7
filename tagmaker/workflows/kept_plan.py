"""A job read and planned once, and kept for as long as its files stay the same.

Takes a job's path; gives its plan, box by box, with every problem. It is kept by the digests of all files
that the job is read from, so that an answer is always what the files say now. A job whose units are moved in
memory plans the boxes of these units alone. An earlier set is kept by the digest of its plan.json.
"""

from collections import OrderedDict
from collections.abc import Hashable, Iterable, Mapping
from functools import cached_property, lru_cache
from pathlib import Path
from threading import Lock
from typing import Generic, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.files.jobs_below import file_marks, marks_of
from tagmaker.files.plain import files_in, lies_within, plain_digest, read_plain
from tagmaker.files.toml import TOML_BYTES_AT_MOST, parsed_toml
from tagmaker.job.choices import job_file
from tagmaker.job.model import Job, UnitRow
from tagmaker.job.read import read_job
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import PlannedBox, plan_boxes, plan_job
from tagmaker.plan.systems import SystemPlan, plan_systems
from tagmaker.problems import Problem
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import Issued, IssuedBox
from tagmaker.revisions.issuing import issued, issued_box
from tagmaker.revisions.plan_file import find_plan_file, read_plan_file
from tagmaker.tags.kits import box_tags
from tagmaker.workflows.planning import in_order

__all__ = ["KeptPlan", "job_digests", "job_marks", "kept_plan", "kept_set"]

Thing = TypeVar("Thing")  # Python 3.11 has no other way to write it
Digests = Mapping[str, str]
KEPT = 3  # jobs, and sets: of 500 boxes each takes some 60 MB
UNREADABLE = "-"  # in place of a digest
CATALOG = ("families", "stocks")  # a job's own folders of TOML files
TRIES = 3  # at reading files that somebody writes meanwhile


class KeptPlan(Struct, frozen=True, dict=True):
    """A job with its plan; what follows from it is made on first use and kept (in the `dict`).

    `read` are the problems of reading. `boxes` has every box by its key, in the job's order. `digests` has
    the digest of each file that the job was read from, by its name below the job's folder. `before` is the
    job as read, where units were moved.
    """

    job: Job
    read: tuple[Problem, ...]
    boxes: Mapping[str, PlannedBox]
    digests: Digests
    before: "KeptPlan | None" = None

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """Every problem, in the order of the job's files."""
        return in_order((*self.read, *plan_job(self.job, self.boxes)[1]))

    @property
    def plan(self) -> Plan:
        """The plan of all boxes that can be planned."""
        return Plan(self.job, tuple(each.plan for each in self.boxes.values() if each.plan), self.systems)

    @cached_property
    def systems(self) -> tuple[SystemPlan, ...]:
        """The systems, as units and boxes are now."""
        return plan_systems(self.job)

    def box(self, key: str) -> BoxPlan | None:
        """A box by its tag in capitals; None where there is none, or it cannot be planned."""
        planned = self.boxes.get(key)
        return planned.plan if planned else None

    @property
    def touched(self) -> tuple[str, ...]:
        """The keys of the boxes that differ from the job as read, in the job's order."""
        return tuple(key for key in self.boxes if not self._is_as_read(key)) if self.before else ()

    def with_units(self, units: Iterable[UnitRow]) -> "KeptPlan":
        """The same job with other units: boxes whose units are the same are not planned again."""
        job = replace(self.job, units=tuple(units))
        return KeptPlan(job, self.read, plan_boxes(job, self.boxes), self.digests, self.before or self)

    def issued_box(self, key: str) -> IssuedBox | None:
        """What a box would issue, by its tag in capitals; None where it cannot be planned."""
        box = self.box(key)
        if self.before and self._is_as_read(key):
            return self.before.issued_box(key)
        if key not in self._issued and box:
            self._issued[key] = issued_box(self.job, box, box_tags(self.job, box, load_words()))
        return self._issued.get(key)

    @cached_property
    def _issued(self) -> dict[str, IssuedBox]:
        return {}

    def issued_of(self, keys: Iterable[str]) -> Issued:
        """What a set of these boxes would issue, as far as they can be planned."""
        own = set(keys)
        boxes = [box for key in self.boxes if key in own and (box := self.issued_box(key))]
        is_whole = own >= self.boxes.keys()
        return issued(self.job, boxes, [each for each in self.systems if is_whole or each.has_any(own)])

    @property
    def issued(self) -> Issued:
        """What a set of the whole job would issue."""
        return self.issued_of(self.boxes)

    def _is_as_read(self, key: str) -> bool:
        return self.before is not None and self.before.boxes[key] is self.boxes[key]


class _Shelf(Generic[Thing]):
    """The things last asked for, each with what it was made of."""

    def __init__(self) -> None:
        self._things: OrderedDict[Path, tuple[Hashable, Thing]] = OrderedDict()
        self._lock = Lock()

    def get(self, path: Path, state: Hashable) -> Thing | None:
        """What is kept for a path, where it was made of this state."""
        with self._lock:
            found = self._things.get(path)
            if found is None or found[0] != state:
                return None
            self._things.move_to_end(path)
            return found[1]

    def put(self, path: Path, state: Hashable, thing: Thing) -> None:
        """Keep a thing; the one not asked for the longest goes."""
        with self._lock:
            self._things[path] = (state, thing)
            self._things.move_to_end(path)
            while len(self._things) > KEPT:
                self._things.popitem(last=False)


_JOBS: _Shelf[KeptPlan] = _Shelf()
_SETS: _Shelf[Baseline | Problem] = _Shelf()


def kept_plan(path: Path) -> KeptPlan | tuple[Problem, ...]:
    """The job in a folder (or of a TOML file) as it is now; its problems where it cannot be planned."""
    path = path.resolve()
    for _ in range(TRIES):
        digests = job_digests(path)
        state = tuple(digests.items())
        if found := _JOBS.get(path, state):
            return found
        job, problems = read_job(path)
        if job is None:
            return in_order(problems)
        planned = KeptPlan(job, problems, plan_boxes(job), digests)
        if job_digests(path) == digests:  # else somebody wrote between the digests and the reading
            _JOBS.put(path, state, planned)
            return planned
    return planned


def kept_set(path: Path) -> Baseline | Problem:
    """An earlier set, by its folder or its plan.json; the problem where it cannot be read."""
    file = find_plan_file(path.resolve())
    state = _digest(file)
    found = _SETS.get(file, state)
    if found is None:
        earlier = read_plan_file(file)
        found = earlier if isinstance(earlier, Problem) else Baseline(earlier)
        _SETS.put(file, state, found)
    return found


def job_digests(path: Path) -> Digests:
    """SHA-256 of each file that a job is read from, by its name below the job's folder."""
    folder = job_file(path).parent
    return {_name(each, folder): _digest(each) for each in _read_from(path)}


def job_marks(path: Path) -> dict[str, tuple[int, int, int]]:
    """What shows a change of a job's files: those of its folder, and all that it is read from.

    As `file_marks` gives them: a schedule may be in a folder that is deeper, or behind many other files.
    """
    folder = job_file(path).parent
    named = {each.as_posix(): _name(each, folder) for each in _read_from(path)}
    return file_marks(folder) | {named[file]: mark for file, mark in marks_of(map(Path, named)).items()}


def _read_from(path: Path) -> list[Path]:
    """The files that a job is read from: its own, the schedules that it names, its families and stocks."""
    file = job_file(path)
    folder = file.parent
    own = [each for kind in CATALOG for each in sorted(files_in(folder / kind, "*.toml"))]
    named = [folder / name for name in _schedules(file)]
    return list(dict.fromkeys([file, *(each for each in named if lies_within(each, folder)), *own]))


def _name(file: Path, folder: Path) -> str:
    return file.relative_to(folder).as_posix() if file.is_relative_to(folder) else file.as_posix()


def _schedules(file: Path) -> tuple[str, ...]:
    """The names of the schedules that a job file names, in whatever form."""
    try:
        return _schedules_in(read_plain(file, TOML_BYTES_AT_MOST))
    except OSError:
        return ()


@lru_cache(maxsize=2 * KEPT)
def _schedules_in(content: bytes) -> tuple[str, ...]:
    """The same of the file's bytes, which a large job does not parse for every request."""
    text = content.decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n")
    file = parsed_toml(text, "job.toml")
    head = {} if isinstance(file, Problem) else file.content.get("job", {})
    names = head.get("schedule", []) if isinstance(head, dict) else []
    return tuple(each for each in (names if isinstance(names, list) else [names]) if isinstance(each, str))


def _digest(file: Path) -> str:
    try:
        return plain_digest(file)
    except (OSError, ValueError):  # ValueError: a name that no file can have
        return UNREADABLE

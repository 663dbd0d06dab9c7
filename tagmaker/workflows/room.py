"""The stages of `room`: plan the job → leave out boxes with errors → try every port → list what each needs.

Takes a job and the capacity of one more unit; gives the ports and pairs that would carry it, nearest first,
with the switches to move and the tags to print. Every place is planned and checked with the unit on it, so
that what is offered obeys the same rules as a job.
"""

from collections.abc import Callable
from pathlib import Path

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words, load_words
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.plan.headroom import (
    Candidate,
    Headroom,
    Move,
    candidates,
    largest_headroom,
    moves,
    nearest_first,
    over_with_one_more,
)
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.outline import Btuh, btuh
from tagmaker.problems import Problem, ProblemOutline, Severity, Where, error
from tagmaker.revisions.issuing import tag_digest
from tagmaker.revisions.selection import Selection
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.units import Capacity
from tagmaker.workflows.planning import plan

__all__ = ["PlacesFound", "PlacesOutline", "RoomFor", "new_tags", "room"]


class RoomFor(Struct, frozen=True):
    """The unit's capacity, the boxes to look at (none = all) and the one to begin at; tags in capitals.

    `system` limits the boxes to those of one system; without it, that of the box `near` does.
    """

    capacity: Capacity
    boxes: tuple[str, ...] = ()
    near: str = ""
    system: str = ""


class MoveOutline(Struct, frozen=True):
    """A switch to move for a place: its states before and after are on, off or leave."""

    board: str
    bank: str
    switch: int
    before: str = msgspec.field(name="from")
    after: str = msgspec.field(name="to")


class PlaceOutline(Struct, frozen=True):
    """A place as `room --json` has it; load and headroom with the unit on it.

    `placard` is whether the placard is printed again: always, for its loads differ. `tags` are the codes of
    the tags to print, `questions` the warnings that the unit would raise.
    """

    box: str
    system: str
    level: str
    place: str
    port: str
    limit_btuh: Btuh
    load_btuh: Btuh
    headroom_btuh: Btuh
    box_headroom_btuh: Btuh
    switches: tuple[MoveOutline, ...]
    placard: bool
    tags: tuple[str, ...]
    questions: tuple[str, ...]


class NotJudgedOutline(Struct, frozen=True):
    """A box that is not judged, and its first error."""

    box: str
    why: ProblemOutline


class HeadroomOutline(Struct, frozen=True):
    """The most that a kind of port could carry, and where."""

    box: str
    port: str
    shared: bool
    btuh: Btuh


class PlacesOutline(Struct, frozen=True):
    """What `room --json` prints beside the problems; `left_out` are the boxes of other systems."""

    capacity_btuh: Btuh
    free: tuple[PlaceOutline, ...]
    shared: tuple[PlaceOutline, ...]
    not_judged: tuple[NotJudgedOutline, ...]
    left_out: tuple[str, ...]
    most: tuple[HeadroomOutline, ...]


class PlacesFound(Struct, frozen=True):
    """Where the unit can go, nearest first: on free ports and pairs, and on ports that are used already.

    `judged` counts the boxes that were tried; `not_judged` has the tag and first error of each other one.
    `most` is the most that a free port, a free pair and a used port could carry. `job` is None where the job
    cannot be read. `system` is the only one that was looked at, "" for all; `left_out` are the boxes of
    others.
    """

    asked: RoomFor
    problems: tuple[Problem, ...]
    job: Job | None = None
    free: tuple[Candidate, ...] = ()
    shared: tuple[Candidate, ...] = ()
    judged: int = 0
    not_judged: tuple[tuple[str, Problem], ...] = ()
    most: tuple[Headroom, ...] = ()
    system: str = ""
    left_out: tuple[str, ...] = ()

    @property
    def is_found(self) -> bool:
        """Whether there is a place at all."""
        return bool(self.free or self.shared)

    @property
    def outline(self) -> PlacesOutline:
        """The same as a record of the JSON keys, capacities in Btu/h."""
        words, job = load_words(), self.job
        return PlacesOutline(
            capacity_btuh=btuh(self.asked.capacity),
            free=tuple(_place(job, each, words) for each in self.free if job),
            shared=tuple(_place(job, each, words) for each in self.shared if job),
            not_judged=tuple(NotJudgedOutline(tag, problem.outline) for tag, problem in self.not_judged),
            left_out=self.left_out,
            most=tuple(map(_most, self.most)),
        )


def room(
    path: Path, asked: RoomFor, *, progress: Callable[[int, int], None] = lambda _done, _of: None
) -> PlacesFound:
    """Every place that would carry the unit, nearest first.

    A unit belongs to the refrigerant circuit of its system, so boxes of another system are left out where one
    is asked for, or the box to begin at is of one. A box with an error is not judged; an error that names no
    box leaves none judged, since a row with a mistyped box may belong on any port that looks free. Nor are
    boxes judged whose system cannot have the unit.
    """
    checked = plan(path, Selection(asked.boxes))
    if checked.plan is None:
        return PlacesFound(asked, checked.problems)
    job = checked.plan.job
    unknown = (*_near_unknown(asked.near, job), *_system_unknown(asked.system, job))
    system = asked.system or next((row.system.upper() for row in job.boxes if row.key == asked.near), "")
    rows = [row for row in job.boxes if system in {"", row.system.upper()}]
    own = {row.key for row in rows}
    left_out = tuple(box.row.tag for box in checked.plan.boxes if box.row.key not in own)
    found = PlacesFound(asked, (*checked.problems, *unknown), job, system=system, left_out=left_out)
    errors = [problem for problem in found.problems if problem.severity is Severity.ERROR]
    if any(not problem.boxes for problem in errors):
        return found
    wrong = {key: problem for problem in reversed(errors) for key in problem.boxes}  # the first error of each
    for system_plan in checked.plan.systems:
        if full := next(over_with_one_more(job, system_plan, asked.capacity), None):
            for key in full.boxes:
                wrong.setdefault(key, full)
    good = [box for box in checked.plan.boxes if box.row.key in own - wrong.keys()]
    walk = nearest_first(good, job, asked.near)
    every: list[Candidate] = []
    for number, box in enumerate(walk):
        progress(number, len(walk))
        every += candidates(job, box, asked.capacity)
    return replace(
        found,
        free=tuple(place for place in every if not place.is_shared),
        shared=tuple(place for place in every if place.is_shared),
        judged=len(good),
        not_judged=tuple((row.tag, wrong[row.key]) for row in rows if row.key in wrong),
        most=largest_headroom(walk),
    )


def _near_unknown(near: str, job: Job) -> tuple[Problem, ...]:
    """An error where the box to begin at is not one of the job's."""
    if not near or near in {row.key for row in job.boxes}:
        return ()
    hint = did_you_mean(near, [row.tag for row in job.boxes])
    return (error("box-unknown", f"the job has no box {near!r}", Where("--near"), hint),)


def _system_unknown(system: str, job: Job) -> tuple[Problem, ...]:
    """An error where no box of the job is of the system that was named."""
    systems = dict.fromkeys(row.system for row in job.boxes if row.system)
    if not system or system in {each.upper() for each in systems}:
        return ()
    message = f"the job has no box of system {system!r}"
    return (error("value-wrong", message, Where("--system"), did_you_mean(system, systems)),)


def new_tags(job: Job, place: Candidate, words: Words) -> tuple[str, ...]:
    """The codes of the tags that are new, or print something else, with the unit there; in print order."""
    letters = set(place.port.letters)
    before = {(tag.code, tag_digest(tag)) for tag in _tags(job, place.before, letters, words)}
    after = _tags(job, place.after, letters, words)
    return tuple(tag.code for tag in after if (tag.code, tag_digest(tag)) not in before)


def _tags(job: Job, box: BoxPlan, letters: set[str], words: Words) -> tuple[Tag, ...]:
    """The tags of these letters alone: a unit changes no other port's."""
    ports = tuple(port for port in box.ports if letters.intersection(port.letters))
    return box_tags(job, replace(box, ports=ports), words)


def _place(job: Job, place: Candidate, words: Words) -> PlaceOutline:
    return PlaceOutline(
        box=place.after.row.tag,
        system=place.after.row.system,
        level=place.after.row.level,
        place=place.after.row.place,
        port=place.port.name,
        limit_btuh=btuh(place.port.limit),
        load_btuh=btuh(place.port.load),
        headroom_btuh=btuh(place.headroom),
        box_headroom_btuh=btuh(place.box_headroom),
        switches=tuple(map(_move, moves(place.before, place.after))),
        placard=True,
        tags=new_tags(job, place, words),
        questions=tuple(problem.message for problem in place.questions),
    )


def _move(move: Move) -> MoveOutline:
    return MoveOutline(move.board, move.bank, move.switch, move.before, move.after)


def _most(most: Headroom) -> HeadroomOutline:
    return HeadroomOutline(most.box.tag, most.name, shared=most.is_shared, btuh=btuh(most.capacity))

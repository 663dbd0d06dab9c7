"""The stages of `room`: a job as planned → the places that would carry one more unit → what each asks for."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words, load_words
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.plan.headroom import Headroom, Place, moves, places, roomiest, walked_from
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.outline import btuh
from tagmaker.problems import Problem, Severity, Where, error
from tagmaker.revisions.issued import says_of
from tagmaker.revisions.selection import Selection
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.units import Capacity, CapacityUnit
from tagmaker.workflows.planning import plan

__all__ = ["PlacesFound", "RoomFor", "find_room", "room_lines"]

Json = dict[str, object]


class RoomFor(Struct, frozen=True):
    """The unit's capacity, the boxes to look at (none = all) and the one to begin at; tags in capitals."""

    capacity: Capacity
    boxes: tuple[str, ...] = ()
    near: str = ""


@dataclass
class PlacesFound:
    """Where the unit can go; `judged` counts boxes, `not_judged` are the others' tags and first errors."""

    asked: RoomFor
    job: Job | None = None
    free: list[Place] = field(default_factory=list)
    shared: list[Place] = field(default_factory=list)
    judged: int = 0
    not_judged: list[tuple[str, Problem]] = field(default_factory=list)
    most: tuple[Headroom, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def is_found(self) -> bool:
        """Whether there is a place at all."""
        return bool(self.free or self.shared)

    def as_json(self) -> Json:
        """Everything found, capacities in Btu/h."""
        words = load_words()
        return {
            "capacity_btuh": btuh(self.asked.capacity),
            "free": [_place_json(self.job, each, words) for each in self.free if self.job],
            "shared": [_place_json(self.job, each, words) for each in self.shared if self.job],
            "not_judged": [{"box": tag, "why": problem.as_json()} for tag, problem in self.not_judged],
            "most": [
                {
                    "box": room.box.tag,
                    "port": room.name,
                    "shared": room.is_shared,
                    "btuh": btuh(room.capacity),
                }
                for room in self.most
            ],
        }


def find_room(path: Path, asked: RoomFor) -> PlacesFound:
    """Every place, nearest first; a box with an error is not judged, and an error of the job judges none."""
    checked = plan(path, Selection(asked.boxes))
    found = PlacesFound(asked, problems=checked.problems)
    if checked.plan is None:
        return found
    found.job = job = checked.plan.job
    if asked.near and asked.near not in {row.key for row in job.boxes}:
        found.problems += (_near_unknown(asked.near, job),)
    errors = [problem for problem in found.problems if problem.severity is Severity.ERROR]
    if any(not problem.boxes for problem in errors):
        return found
    wrong = {key: problem for problem in reversed(errors) for key in problem.boxes}
    found.not_judged = [(row.tag, wrong[row.key]) for row in job.boxes if row.key in wrong]
    good = [box for box in checked.plan.boxes if box.row.key not in wrong]
    found.judged = len(good)
    walk = walked_from(good, job, asked.near)
    every = [place for box in walk for place in places(job, box, asked.capacity)]
    found.free = [place for place in every if not place.is_shared]
    found.shared = [place for place in every if place.is_shared]
    found.most = roomiest(walk)
    return found


def _near_unknown(near: str, job: Job) -> Problem:
    hint = did_you_mean(near, [row.tag for row in job.boxes])
    return error("box-unknown", f"the job has no box {near!r}", Where("--near"), hint)


def _new_tags(job: Job, place: Place, words: Words) -> list[str]:
    """The codes of the tags that are new or say something else with the unit there."""
    letters = set(place.port.letters)
    before = {(tag.code, says_of(tag)) for tag in _tags(job, place.before, letters, words)}
    after = _tags(job, place.after, letters, words)
    return [tag.code for tag in after if (tag.code, says_of(tag)) not in before]


def _tags(job: Job, box: BoxPlan, letters: set[str], words: Words) -> tuple[Tag, ...]:
    """The tags of these letters alone: a unit changes no other port's."""
    ports = tuple(port for port in box.ports if letters.intersection(port.letters))
    return box_tags(job, replace(box, ports=ports), words)


def _place_json(job: Job, place: Place, words: Words) -> Json:
    left_in_box = place.box_headroom
    return {
        "box": place.after.row.tag,
        "place": place.after.row.place,
        "port": place.port.name,
        "limit_btuh": btuh(place.port.limit),
        "load_btuh": btuh(place.port.load),
        "headroom_btuh": btuh(place.headroom),
        "box_headroom_btuh": btuh(left_in_box),
        "switches": [
            {"board": m.board, "bank": m.bank, "switch": m.switch, "from": m.before, "to": m.after}
            for m in moves(place.before, place.after)
        ],
        "placard": True,  # its loads differ
        "tags": _new_tags(job, place, words),
        "questions": [problem.message for problem in place.questions],
    }


def room_lines(found: PlacesFound) -> list[str]:
    """What a person reads: free places, then shared ones, each with what to set and print; or why none."""
    if found.job is None:
        return []
    words, unit = load_words(), found.job.capacity_unit
    asked = found.asked.capacity.text(unit)
    lines: list[str] = []
    for key, group in (("free", found.free), ("shared", found.shared)):
        if group:
            lines += [words(f"room.{key}", capacity=asked), *_group_lines(found.job, group, words), ""]
    if found.judged and not found.is_found:
        lines += _none_lines(found, words, unit)
    if not found.judged and not found.not_judged:
        lines.append(words("room.job_wrong"))
    lines += [
        words("room.not_judged", box=tag, where=problem.where, why=problem.message)
        for tag, problem in found.not_judged
    ]
    if any(moves(each.before, each.after) for each in found.free):
        lines.append(words("explain.caution"))
    return lines


def _none_lines(found: PlacesFound, words: Words, unit: CapacityUnit) -> list[str]:
    lines = [words("room.none", capacity=found.asked.capacity.text(unit))]
    for room in found.most:
        kind = "most_shared" if room.is_shared else "most_pair" if "+" in room.name else "most_free"
        most = room.capacity.text(unit)
        lines.append("    " + words(f"room.{kind}", box=room.box.shown, port=room.name, capacity=most))
    return lines if found.most else [*lines, "    " + words("room.most_none")]


def _group_lines(job: Job, group: Iterable[Place], words: Words) -> list[str]:
    """A line a box, below it its places."""
    lines: list[str] = []
    for _, each in groupby(group, key=lambda place: place.after.row.key):
        own = list(each)
        lines.append(_box_line(own[0], job.capacity_unit, words))
        lines += [line for place in own for line in _place_lines(job, place, words)]
    return lines


def _box_line(place: Place, unit: CapacityUnit, words: Words) -> str:
    row, left_in_box = place.after.row, place.box_headroom
    told = [text for text in (row.shown, row.place) if text]
    if row.family.box_limit:
        left = _left(left_in_box, unit, words) if left_in_box else words("placard.unknown_load")
        told.append(words("room.box", left=left))
    return "  ".join(told)


def _place_lines(job: Job, place: Place, words: Words) -> list[str]:
    unit, port = job.capacity_unit, place.port
    load = port.load.number(unit) if port.load else words("placard.unknown_load")
    left = _left(place.headroom, unit, words)
    said = [_moves_line(place, words), _print_line(job, place, words)]
    said += [words("room.question", question=problem.message) for problem in place.questions]
    first = words("room.place", port=f"{port.name:<4}", load=f"{load}/{port.limit.text(unit)}", left=left)
    return [f"  {first}", *(f"       {line}" for line in said)]


def _left(headroom: Capacity, unit: CapacityUnit, words: Words) -> str:
    key = "over" if headroom.btuh < 0 else "left"
    return words(f"room.{key}", capacity=Capacity(abs(headroom.btuh)).text(unit))


def _moves_line(place: Place, words: Words) -> str:
    told = [
        words(
            "room.move",
            board=words("placard.board", place=move.board),
            bank=move.bank,
            switch=move.switch,
            before=words(f"state.{move.before}"),
            after=words(f"state.{move.after}"),
        )
        for move in moves(place.before, place.after)
    ]
    return words("room.set", moves="; ".join(told)) if told else words("room.set_none")


def _print_line(job: Job, place: Place, words: Words) -> str:
    """How many tags, and their codes under the port that they share."""
    codes = _new_tags(job, place, words)
    whats: dict[str, list[str]] = {}
    for code in codes:
        box, letter, what = code.split("/", 2)
        whats.setdefault(f"{box}/{letter}", []).append(what)
    told = "; ".join(f"{port}/ {' '.join(each)}" for port, each in whats.items())
    return words("room.print", count=len(codes), codes=told)

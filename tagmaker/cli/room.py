"""The command `room`: where one more unit can go.

Prints free places, then places on ports that are used already, each with load, headroom, switches to move and
tags to print; where there is none, the most that could be carried. Exit code 1 where there is no place:
errors of the job are printed and do not count, since the other boxes are judged all the same.
"""

from itertools import groupby
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, Boxes, JobPath, end, job_path, upper

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tagmaker.catalog.words import Words
    from tagmaker.job.model import Job
    from tagmaker.plan.headroom import Candidate
    from tagmaker.units import Capacity, CapacityUnit
    from tagmaker.workflows.room import PlacesFound

NAMED = 8
"""Boxes of other systems that are named; of more there is the count."""
__all__ = ["room", "room_lines"]


def room(
    capacity: Annotated[
        str, typer.Option("--capacity", metavar="TEXT", help='The unit\'s capacity: "36 kBtu/h".')
    ],
    job: JobPath = None,
    near: Annotated[
        str, typer.Option("--near", metavar="TAG", help="Nearest first, in walking order from this box.")
    ] = "",
    box: Boxes = None,
    system: Annotated[
        str,
        typer.Option("--system", metavar="TAG", help="Only boxes of this system; default: that of --near."),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Find ports for one more unit, and what to set and print there."""
    from tagmaker.workflows import room as workflow

    asked = workflow.RoomFor(_capacity(capacity), upper(box), near.upper(), system.upper())
    found = workflow.room(job_path(job), asked)
    lines, is_none = room_lines(found), not found.is_found
    end(found.problems, found.outline, lines, as_json=as_json, is_wrong=is_none, errors_count=False)


def _capacity(text: str) -> "Capacity":
    """The capacity of the option's text; exits with 2, and the way to write one, where it is none."""
    from tagmaker.units import Unreadable, read_capacity

    read = read_capacity(text)
    if isinstance(read, Unreadable):
        raise typer.BadParameter(f"{read.message}; {read.hint}", param_hint="--capacity")
    return read


def room_lines(found: "PlacesFound") -> list[str]:
    """Free places, then shared ones, each with what to set and print; or why there is none."""
    from tagmaker.catalog.words import load_words
    from tagmaker.plan.headroom import moves

    if found.job is None:
        return []
    words, job = load_words(), found.job
    asked = found.asked.capacity.text(job.capacity_unit)
    lines: list[str] = []
    for key, group in (("free", found.free), ("shared", found.shared)):
        if group:
            lines += [words(f"room.{key}", capacity=asked), *_group_lines(job, group, words), ""]
    if found.judged and not found.is_found:
        lines += _none_lines(found, words, job.capacity_unit)
    if not found.judged and not found.not_judged:
        lines.append(words("room.job_wrong"))
    lines += _left_out_lines(found, words)
    for tag, problem in found.not_judged:
        lines.append(words("room.not_judged", box=tag, where=problem.where, why=problem.message))
    if any(moves(each.before, each.after) for each in found.free):
        lines.append(words("explain.caution"))
    return lines


def _left_out_lines(found: "PlacesFound", words: "Words") -> list[str]:
    """That boxes of other systems were left out, and which."""
    count = len(found.left_out)
    if not count:
        return []
    boxes = ", ".join((*found.left_out[:NAMED], *["…"] * (count > NAMED)))
    return [words("room.left_out", system=found.system, count=count, boxes=boxes)]


def _none_lines(found: "PlacesFound", words: "Words", unit: "CapacityUnit") -> list[str]:
    """That there is no place, and the most that a free port, a free pair and a used port could carry."""
    lines = [words("room.none", capacity=found.asked.capacity.text(unit))]
    for most in found.most:
        kind = "most_shared" if most.is_shared else "most_pair" if "+" in most.name else "most_free"
        capacity = most.capacity.text(unit)
        lines.append("    " + words(f"room.{kind}", box=most.box.shown, port=most.name, capacity=capacity))
    return lines if found.most else [*lines, "    " + words("room.most_none")]


def _group_lines(job: "Job", group: "Iterable[Candidate]", words: "Words") -> list[str]:
    """A line a box, below it its places."""
    lines: list[str] = []
    for _, each in groupby(group, key=lambda place: place.after.row.key):
        own = list(each)
        lines.append(_box_line(own[0], job.capacity_unit, words))
        lines += [line for place in own for line in _place_lines(job, place, words)]
    return lines


def _box_line(place: "Candidate", unit: "CapacityUnit", words: "Words") -> str:
    """The box, its system and level, where it is, and what its own limit leaves, where its family has one."""
    row, left_in_box = place.after.row, place.box_headroom
    system = words("room.system", text=row.system) if row.system else ""
    level = words("room.level", text=row.level) if row.level else ""
    parts = [text for text in (row.shown, system, level, row.place) if text]
    if row.family.box_limit:
        left = _left(left_in_box, unit, words) if left_in_box else words("placard.unknown_load")
        parts.append(words("room.box", left=left))
    return "  ".join(parts)


def _place_lines(job: "Job", place: "Candidate", words: "Words") -> list[str]:
    """A port with its load and headroom; below it the moves, the tags, and the questions that it raises."""
    unit, port = job.capacity_unit, place.port
    load = port.load.number(unit) if port.load else words("placard.unknown_load")
    left = _left(place.headroom, unit, words)
    first = words("room.place", port=f"{port.name:<4}", load=f"{load}/{port.limit.text(unit)}", left=left)
    lines = [_moves_line(place, words), _print_line(job, place, words)]
    lines += [words("room.question", question=problem.message) for problem in place.questions]
    return [f"  {first}", *(f"       {line}" for line in lines)]


def _left(headroom: "Capacity", unit: "CapacityUnit", words: "Words") -> str:
    """A headroom in words: how much is left, or by how much it is over."""
    from tagmaker.units import Capacity

    key = "over" if headroom.btuh < 0 else "left"
    return words(f"room.{key}", capacity=Capacity(abs(headroom.btuh)).text(unit))


def _moves_line(place: "Candidate", words: "Words") -> str:
    """The switches to move, on one line."""
    from tagmaker.plan.headroom import moves

    lines = [
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
    return words("room.set", moves="; ".join(lines)) if lines else words("room.set_none")


def _print_line(job: "Job", place: "Candidate", words: "Words") -> str:
    """How many tags to print, and their codes under the port that they share."""
    from tagmaker.workflows.room import new_tags

    codes = new_tags(job, place, words)
    by_port: dict[str, list[str]] = {}
    for code in codes:
        box, letter, what = code.split("/", 2)
        by_port.setdefault(f"{box}/{letter}", []).append(what)
    listed = "; ".join(f"{port}/ {' '.join(whats)}" for port, whats in by_port.items())
    return words("room.print", count=len(codes), codes=listed)

"""Where one more unit can go, as a page shows it: a record that is small, made in a process of its own.

Takes a job and what is asked; gives the first places of each kind with their texts, and what was left out.
"""

import json
from collections.abc import Callable, Iterable
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.words import Words, load_words
from tagmaker.job.model import Job
from tagmaker.plan.headroom import Candidate, Move, moves
from tagmaker.problems import Problem
from tagmaker.workflows.room import PlacesFound, RoomFor, new_tags, room

__all__ = ["PlaceShown", "RoomShown", "room_shown"]

PICTURES = 6  # boxes that are drawn
LISTED = 60  # places of a kind


class PlaceShown(Struct, frozen=True):
    """A row of the list; loads are with the unit on the port."""

    key: str
    box: str
    where: str
    port: str
    letter: str
    load: str
    limit: str
    left: str
    switches: tuple[Move, ...]
    tags: tuple[str, ...]
    questions: tuple[str, ...]


class RoomShown(Struct, frozen=True):
    """What was found. `places` has as JSON the ports of the first boxes, for their pictures.

    `most` is the most that a kind of port could carry: box, port and capacity. `left_out` counts the boxes of
    other systems.
    """

    problems: tuple[Problem, ...]
    is_found: bool
    judged: int
    free: tuple[PlaceShown, ...] = ()
    shared: tuple[PlaceShown, ...] = ()
    places: str = "{}"
    most: tuple[tuple[str, str, str], ...] = ()
    not_judged: tuple[tuple[str, Problem], ...] = ()
    system: str = ""
    left_out: int = 0
    caution: str = ""


def room_shown(
    path: Path, asked: RoomFor, *, progress: Callable[[int, int], None] = lambda _done, _of: None
) -> RoomShown:
    """The places of `room`, as a page shows them."""
    found = room(path, asked, progress=progress)
    if found.job is None:
        return RoomShown(found.problems, is_found=False, judged=0)
    words, job = load_words(), found.job
    free, shared = _listed(job, found.free, words), _listed(job, found.shared, words)
    return RoomShown(
        found.problems,
        found.is_found,
        found.judged,
        free,
        shared,
        json.dumps(_by_box((*free, *shared))),
        _most(found, job),
        found.not_judged,
        found.system,
        len(found.left_out),
        words("explain.caution"),
    )


def _listed(job: Job, places: Iterable[Candidate], words: Words) -> tuple[PlaceShown, ...]:
    return tuple(_place(job, each, words) for each in tuple(places)[:LISTED])


def _most(found: PlacesFound, job: Job) -> tuple[tuple[str, str, str], ...]:
    return tuple((each.box.tag, each.name, each.capacity.text(job.capacity_unit)) for each in found.most)


def _place(job: Job, place: Candidate, words: Words) -> PlaceShown:
    row, port, unit = place.after.row, place.port, job.capacity_unit
    return PlaceShown(
        key=row.key,
        box=row.tag,
        where=row.place,
        port=port.name,
        letter=port.letters[0],
        load=port.load.text(unit) if port.load else "?",
        limit=port.limit.text(unit),
        left=place.headroom.text(unit),
        switches=moves(place.before, place.after),
        tags=new_tags(job, place, words),
        questions=tuple(each.message for each in place.questions),
    )


def _by_box(places: Iterable[PlaceShown]) -> dict[str, list[str]]:
    """The ports of the first boxes, for their pictures."""
    found: dict[str, list[str]] = {}
    for each in places:
        if each.key in found or len(found) < PICTURES:
            found.setdefault(each.key, []).append(each.port)
    return found

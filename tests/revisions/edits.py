"""Pairs of jobs: a random legal job, and what a few random edits make of it, or another job altogether."""

import datetime as dt
from collections.abc import Callable

from hypothesis import assume
from hypothesis import strategies as st

from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import has_errors
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, boxes, capacities, shipped_family, sketches

__all__ = ["EDITS", "pairs"]

Edit = Callable[[st.DrawFn, JobSketch], JobSketch]
SIZES = (4, 6, 8)
LIMIT = 54_000


def units_of(job: JobSketch) -> list[tuple[int, int]]:
    """Every unit by its box's and its own number."""
    return [(b, u) for b, box in enumerate(job.boxes) for u in range(len(box.units))]


def drawn_unit(draw: st.DrawFn, job: JobSketch) -> tuple[int, int]:
    """Any unit."""
    return draw(st.sampled_from(units_of(job)))


def drawn_box(draw: st.DrawFn, job: JobSketch) -> int:
    """Any box."""
    return draw(st.integers(0, len(job.boxes) - 1))


def with_box(job: JobSketch, number: int, box: BoxSketch) -> JobSketch:
    """The job with another box in that one's place."""
    return replace(job, boxes=(*job.boxes[:number], box, *job.boxes[number + 1 :]))


def with_unit(job: JobSketch, at: tuple[int, int], unit: UnitSketch) -> JobSketch:
    """The job with another row in that one's place."""
    box = job.boxes[at[0]]
    units = (*box.units[: at[1]], unit, *box.units[at[1] + 1 :])
    return with_box(job, at[0], replace(box, units=units))


def edited_unit(draw: st.DrawFn, job: JobSketch, **changes: str) -> JobSketch:
    """Any unit with these changed."""
    at = drawn_unit(draw, job)
    return with_unit(job, at, replace(job.boxes[at[0]].units[at[1]], **changes))


def letters_in_pairs(box: BoxSketch) -> set[str]:
    """Letters that belong to a joined pair."""
    return {letter for unit in box.units if "+" in unit.port for letter in unit.port.split("+")}


def free_letter(draw: st.DrawFn, box: BoxSketch) -> str:
    """A letter of no pair, used or not."""
    letters = [
        letter
        for letter in shipped_family().port_names[: box.ports]
        if letter not in letters_in_pairs(box) and letter not in box.tag
    ]
    assume(letters)
    return draw(st.sampled_from(letters or ["A"]))


def new_tag(draw: st.DrawFn, head: str) -> str:
    """A tag that no sketch has."""
    return f"{head}-{draw(st.integers(900, 999))}"


def move_unit(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A unit goes to another port, of its own box or of another."""
    at, to = drawn_unit(draw, job), drawn_box(draw, job)
    unit = replace(job.boxes[at[0]].units[at[1]], port=free_letter(draw, job.boxes[to]))
    job = remove(job, at)
    return with_box(job, to, replace(job.boxes[to], units=(*job.boxes[to].units, unit)))


def remove(job: JobSketch, at: tuple[int, int]) -> JobSketch:
    """The job without that row."""
    box = job.boxes[at[0]]
    return with_box(job, at[0], replace(box, units=box.units[: at[1]] + box.units[at[1] + 1 :]))


def remove_unit(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A unit is removed from the job."""
    return remove(job, drawn_unit(draw, job))


def add_unit(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A unit comes."""
    to = drawn_box(draw, job)
    unit = UnitSketch(new_tag(draw, "NEW"), free_letter(draw, job.boxes[to]), draw(capacities(20_000)))
    return with_box(job, to, replace(job.boxes[to], units=(*job.boxes[to].units, unit)))


def rename_unit(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A unit gets another tag, or its own in small letters."""
    at = drawn_unit(draw, job)
    unit = job.boxes[at[0]].units[at[1]]
    tag = draw(st.sampled_from((new_tag(draw, "UNIT"), unit.tag.lower())))
    return with_unit(job, at, replace(unit, tag=tag))


def rename_box(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A box gets another tag, or its own in small letters."""
    at = drawn_box(draw, job)
    tag = draw(st.sampled_from((new_tag(draw, "BOX"), job.boxes[at].tag.lower())))
    return with_box(job, at, replace(job.boxes[at], tag=tag))


def change_capacity(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A unit is another machine."""
    return edited_unit(draw, job, capacity=draw(capacities(20_000)))


def change_room(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A room is called otherwise."""
    return edited_unit(draw, job, room=draw(st.sampled_from(("Lab 2", "", "Kitchen"))))


def change_box(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A box's place, power or shown name."""
    at = drawn_box(draw, job)
    key = draw(st.sampled_from(("place", "power", "shown")))
    return with_box(job, at, replace(job.boxes[at], **{key: "Level 9"}))


def change_head(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """The job's own facts."""
    edits: tuple[JobSketch, ...] = (
        replace(job, name="Hill Street Clinic"),
        replace(job, number="HS-9"),
        replace(job, is_draft=not job.is_draft),
        replace(job, capacity_unit="ton"),
        replace(job, date=dt.date(2026, 6, 9)),
    )
    return draw(st.sampled_from(edits))


def join(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """All units of two ports hang on the pair of them."""
    at = drawn_box(draw, job)
    box = job.boxes[at]
    letters = shipped_family().port_names[: box.ports]
    first = draw(st.sampled_from(letters[::2]))
    pair = (first, letters[letters.index(first) + 1])
    units = tuple(replace(unit, port="+".join(pair)) if unit.port in pair else unit for unit in box.units)
    return with_box(job, at, replace(box, units=units))


def split(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A pair's units hang on one of its letters, made small enough for it."""
    at = drawn_box(draw, job)
    box = job.boxes[at]
    units = tuple(
        replace(unit, port=draw(st.sampled_from(unit.port.split("+"))), capacity="6 kBtu/h")
        if "+" in unit.port
        else unit
        for unit in box.units
    )
    return with_box(job, at, replace(box, units=units))


def add_box(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A box comes, anywhere in walking order."""
    at = draw(st.integers(0, len(job.boxes)))
    box = draw(boxes(SIZES, most_units=1))
    units = tuple(replace(unit, tag=f"ADDED-{number}") for number, unit in enumerate(box.units))
    new = replace(box, tag=new_tag(draw, "ADDED"), units=units)
    return replace(job, boxes=(*job.boxes[:at], new, *job.boxes[at:]))


def remove_box(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """A box goes with all that hangs on it."""
    at = drawn_box(draw, job)
    return replace(job, boxes=job.boxes[:at] + job.boxes[at + 1 :])


def change_size(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """Another box, larger or smaller, hangs in its place."""
    at = drawn_box(draw, job)
    ports = draw(st.sampled_from((4, 6, 8, 10, 12)))
    return with_box(job, at, replace(job.boxes[at], ports=ports))


def reorder(draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """The rows of a box, or the boxes, stand in another order."""
    at = drawn_box(draw, job)
    units = tuple(draw(st.permutations(job.boxes[at].units)))
    job = with_box(job, at, replace(job.boxes[at], units=units))
    return replace(job, boxes=tuple(draw(st.permutations(job.boxes))))


def swap_boxes(_draw: st.DrawFn, job: JobSketch) -> JobSketch:
    """Two boxes have each other's tag."""
    assume(len(job.boxes) > 1)
    first, second, *rest = job.boxes
    return replace(job, boxes=(replace(first, tag=second.tag), replace(second, tag=first.tag), *rest))


EDITS: tuple[Edit, ...] = (
    move_unit, remove_unit, add_unit, rename_unit, rename_box, change_capacity, change_room, change_box,
    change_head, join, split, add_box, remove_box, change_size, reorder, swap_boxes,
)  # fmt: skip


def is_legal(job: JobSketch) -> bool:
    """Whether `changes` would take it."""
    return bool(job.boxes) and not has_errors(plan_job(job.record())[1])


@st.composite
def pairs(draw: st.DrawFn) -> tuple[JobSketch, JobSketch]:
    """Two legal jobs: the second is the first after up to four edits, or has nothing to do with it."""
    old = draw(sketches(SIZES, most_units=2, room=6))
    if draw(st.integers(0, 9)) == 0:
        return old, draw(sketches(SIZES, most_units=2, room=6))
    new = old
    for edit in draw(st.lists(st.sampled_from(EDITS), min_size=1, max_size=4)):
        edited = edit(draw, new) if new.boxes and units_of(new) else new
        new = edited if is_legal(edited) else new
    return old, replace(new, revision=draw(st.sampled_from((old.revision, "7"))))

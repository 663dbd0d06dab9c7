"""Units moved to other ports in memory: what that makes of boxes, problems, paper, and the work on site.

Takes a job and moves; nothing on disk changes. The moved job is planned and checked by the same functions as
a job that is read, only boxes with other units again. What must be printed is compared with the set that was
issued last, and the work on site is that of `changes` from this set; without a set, with the job as it is.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.rows import port_text
from tagmaker.plan.headroom import Move as SwitchMoved
from tagmaker.plan.headroom import moves as switch_moves
from tagmaker.problems import Problem, Severity, Where, error
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import Issued
from tagmaker.workflows.changes import Compared, StepOutline
from tagmaker.workflows.edit_kinds import Move
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan, kept_set

__all__ = ["BoxPrinted", "BoxSwitches", "SwitchMoved", "Tried", "UnitMoved", "Work", "try_moves"]


class UnitMoved(Struct, frozen=True):
    """A unit that is put somewhere else: where the job has it, and its new box and port."""

    unit: str
    from_box: str
    from_port: str
    box: str
    port: str


class BoxSwitches(Struct, frozen=True):
    """The switches of a box that are set otherwise, by its key."""

    box: str
    switches: tuple[SwitchMoved, ...]

    @property
    def count(self) -> int:
        """How many they are."""
        return len(self.switches)


class BoxPrinted(Struct, frozen=True):
    """What of a box must be printed, by its key: codes of tags, placard, walk sheet, bands.

    `gone` are the codes of tags that must be taken off, those that are replaced by new ones too.
    """

    box: str
    tags: tuple[str, ...]
    gone: tuple[str, ...]
    placard: bool
    walk: bool
    bands: bool


class Work(Struct, frozen=True):
    """The work on site for the boxes of the moves, since the set of a revision.

    `withheld` is why none is listed: what is wrong in these boxes is mended first. `others` are the keys of
    boxes that differ from the set without these moves.
    """

    revision: str
    steps: tuple[StepOutline, ...]
    withheld: tuple[Problem, ...]
    others: tuple[str, ...]


class Tried(Struct, frozen=True):
    """The moves tried; where `wrong` is not empty, nothing is moved.

    `moves` are those that change anything, `boxes` the keys of all boxes that differ; problems are those that
    the moves add, remove and leave. `work` is None for a job of which no set was issued. `after` is the job
    with the moves, for pictures.
    """

    wrong: tuple[Problem, ...]
    moves: tuple[UnitMoved, ...] = ()
    boxes: tuple[str, ...] = ()
    new: tuple[Problem, ...] = ()
    gone: tuple[Problem, ...] = ()
    remaining: tuple[Problem, ...] = ()
    switches: tuple[BoxSwitches, ...] = ()
    printed: tuple[BoxPrinted, ...] = ()
    work: Work | None = None
    after: KeptPlan | None = None

    @property
    def tags(self) -> int:
        """How many tags are to be printed."""
        return sum(len(each.tags) for each in self.printed)


def try_moves(path: Path, moves: Iterable[Move], since: Path | None = None) -> Tried:
    """What moves make of a job; `since` is the set that was issued last, by its folder or plan.json.

    Later moves of one unit replace earlier ones. A unit, or a box, that the job does not have is a problem,
    and so is a set that cannot be read; a port that the box does not have is found by planning.
    """
    before = kept_plan(path)
    if not isinstance(before, KeptPlan):
        return Tried(before)
    moved, wrong = _moved(before, moves)
    earlier = kept_set(since) if since else None
    if isinstance(earlier, Problem):
        wrong.append(earlier)
    if wrong or isinstance(earlier, Problem):
        return Tried(tuple(wrong))
    after = before.with_units(moved)
    was, now = dict.fromkeys(before.problems), dict.fromkeys(after.problems)
    return Tried(
        wrong=(),
        moves=tuple(_moves(before, after)),
        boxes=after.touched,
        new=tuple(problem for problem in now if problem not in was),
        gone=tuple(problem for problem in was if problem not in now),
        remaining=tuple(problem for problem in now if problem in was),
        switches=tuple(_switches(before, after)),
        printed=tuple(_printed(after, earlier or Baseline(before.issued_of(after.touched)))),
        work=_work(after, earlier.issued) if earlier else None,
        after=after,
    )


def _moved(before: KeptPlan, moves: Iterable[Move]) -> tuple[list[UnitRow], list[Problem]]:
    """The job's rows with the moves, in their order; and what is wrong with the moves."""
    job = before.job
    boxes = {row.key: row.tag for row in job.boxes}
    rows: dict[str, list[UnitRow]] = {}
    for row in job.units:
        rows.setdefault(row.key, []).append(row)
    wrong: list[Problem] = []
    places: dict[tuple[str, Where], Move] = {}
    for move in moves:
        own = [row for row in rows.get(move.unit.upper(), ()) if move.where in {None, row.where}]
        found = list(_wrong(move, own, rows, boxes))
        wrong += found
        if not found:
            places[own[0].key, own[0].where] = move
    return [_put(row, places.get((row.key, row.where)), boxes) for row in job.units], wrong


def _put(row: UnitRow, move: Move | None, boxes: Mapping[str, str]) -> UnitRow:
    """A row where a move puts it; a row that stays there is the same record."""
    if move is None:
        return row
    box, port = boxes[move.box.upper()], port_text(move.port.strip())
    is_there = (row.box.upper(), row.port) == (box.upper(), port)
    return row if is_there else replace(row, box=box, port=port)


def _wrong(
    move: Move, own: Sequence[UnitRow], rows: Mapping[str, list[UnitRow]], boxes: Mapping[str, str]
) -> Iterator[Problem]:
    """Why a move cannot be tried: a unit that is not there or there twice, a box that is not there."""
    where = Where("move")
    if not own:
        tags = [each[0].tag for each in rows.values()]
        message = f"no unit {move.unit!r} of a box of this job is read"
        yield error("value-wrong", message, where, did_you_mean(move.unit, tags))
    elif len(own) > 1:
        hint = f"see {own[0].where}; give each unit its own tag first"
        message = f"unit {move.unit} is listed twice: which of the two is moved is not clear"
        yield error("unit-twice", message, own[1].where, hint, tuple(each.box.upper() for each in own))
    if move.box.upper() not in boxes:
        message = f"the job has no box {move.box!r}"
        yield error("box-unknown", message, where, did_you_mean(move.box, boxes.values()))
    if not move.port.strip():
        hint = "name one letter, or a pair: C or G+H"
        yield error("value-wrong", f"no port is named for {move.unit}", where, hint)


def _moves(before: KeptPlan, after: KeptPlan) -> Iterator[UnitMoved]:
    """The units that are somewhere else, in the job's order."""
    for was, now in zip(before.job.units, after.job.units, strict=True):
        if was is not now:
            yield UnitMoved(now.tag, was.box, was.port, now.box, now.port)


def _switches(before: KeptPlan, after: KeptPlan) -> Iterator[BoxSwitches]:
    for key in after.touched:
        was, now = before.box(key), after.box(key)
        if was and now and (found := switch_moves(was, now)):
            yield BoxSwitches(key, found)


def _printed(after: KeptPlan, baseline: Baseline) -> Iterator[BoxPrinted]:
    """What of the boxes that differ is not as it was printed."""
    for key in after.touched:
        box = after.issued_box(key)
        if box:
            there = baseline.on_site(box)
            yield BoxPrinted(
                box=key,
                tags=tuple(tag.code for tag in box.tags if tag.code not in there),
                gone=tuple(sorted(baseline.codes.get(key, set()) - there)),
                placard=not baseline.has_placard(box),
                walk=baseline.touches(box),
                bands=not baseline.has_bands(box),
            )


def _work(after: KeptPlan, earlier: Issued) -> Work:
    """The work of the boxes that differ by the moves, both sets compared whole."""
    touched, revision = set(after.touched), earlier.job.revision
    errors = tuple(
        problem
        for problem in after.problems
        if problem.severity is Severity.ERROR and (not problem.boxes or touched.intersection(problem.boxes))
    )
    changes = compare(earlier, after.issued)
    others = tuple(box.now.upper() or box.was.upper() for box in changes.boxes)
    others = tuple(key for key in others if key not in touched)
    if errors:
        return Work(revision, (), errors, others)
    outline = Compared(changes.of_boxes(touched), ()).outline if touched else None
    return Work(revision, outline.steps if outline else (), (), others)

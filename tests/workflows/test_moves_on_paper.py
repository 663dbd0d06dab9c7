"""The paper of moved units: what does not fit is what laying out the changed job finds."""

from pathlib import Path

from tagmaker.workflows.check import check
from tagmaker.workflows.edit_kinds import Move
from tagmaker.workflows.moves import try_moves
from tagmaker.workflows.moves_on_paper import BOXES_AT_MOST, OnPaper, moves_on_paper
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

LONG = tuple(UnitSketch(f"{'W' * 20}-{number}", "ABCD"[number], "9 kBtu/h") for number in range(4))


def tried(path: Path, *moves: Move) -> OnPaper:
    """What moves change on paper."""
    after = try_moves(path, moves).after
    assert after
    return moves_on_paper(after)


def moved(sketch: JobSketch, ports: str) -> JobSketch:
    """The job with its first box's units on these ports."""
    box = sketch.boxes[0]
    units = tuple(replace(unit, port=port) for unit, port in zip(box.units, ports, strict=True))
    return replace(sketch, boxes=(replace(box, units=units), *sketch.boxes[1:]))


def test_what_does_not_fit_is_what_check_finds(tmp_path: Path) -> None:
    """Four units of the longest tags on one port, on a small roll; back again it is gone."""
    sketch = JobSketch((BoxSketch("BB-1", 4, LONG),), stocks=(("cable", "roll-51x25-203dpi"),))
    path = sketch.write(tmp_path / "job")
    moves = [Move(unit.tag, "BB-1", "A") for unit in LONG]
    found = tried(path, *moves)
    before = set(check(path).problems)
    after = set(check(moved(sketch, "AAAA").write(tmp_path / "moved")).problems)
    codes = {"text-too-long", "code-too-long"}
    assert {each.message for each in found.new} == {p.message for p in after - before if p.code in codes}
    assert found.new


def test_what_fits_is_not_mentioned(job: Path) -> None:
    """Nor is anything laid out where no unit is moved."""
    assert tried(job, Move("FC-3", "BB-2", "B")) == OnPaper((), ())
    assert tried(job) == OnPaper((), ())


def test_of_many_boxes_the_rest_is_named(tmp_path: Path) -> None:
    """A page must not wait for all of a campus."""
    boxes = tuple(
        BoxSketch(f"BB-{number}", 4, (UnitSketch(f"FC-{number}", "A"),))
        for number in range(BOXES_AT_MOST + 2)
    )
    path = JobSketch(boxes).write(tmp_path / "job")
    found = tried(path, *(Move(f"FC-{number}", f"BB-{number}", "B") for number in range(BOXES_AT_MOST + 2)))
    assert found == OnPaper((), (), (f"BB-{BOXES_AT_MOST}", f"BB-{BOXES_AT_MOST + 1}"))

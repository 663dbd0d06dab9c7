"""Changes of a job's files: what is written, what is refused, and the way back."""

from pathlib import Path

import pytest

from tagmaker.job.read import read_job
from tagmaker.problems import Where
from tagmaker.workflows.edit import Edited, apply, digests, go_to, history, redo, undo
from tagmaker.workflows.edit_kinds import (
    AddBox,
    AddUnit,
    AnswerColumn,
    ChooseSheets,
    Edit,
    LeaveRowsOut,
    Move,
    MoveUnits,
    RemoveBox,
    RemoveUnit,
    SetBands,
    SetBox,
    SetJob,
    SetPrint,
    SetUnit,
)
from tests.job_files import BOX, HEAD, UNIT, write_files

TWO_BOXES = f'{HEAD}schedule = "ports.csv"  # from the office\n\n{BOX}\n[[box]]\ntag = "BX-2"\nports = 4\n'
CSV = """\
unit,box,port,capacity (kBtu/h),room
FC-1,BX-1,A,24,"Shop ""North\"""
FC-2,BX-1,B,12,Office
FC-3,BX-2,A,12,Store
"""


def job(folder: Path, toml: str = TWO_BOXES, csv: str | bytes = CSV) -> Path:
    """A job with a schedule beside it."""
    return write_files(folder / "job", {"job.toml": toml, "ports.csv": csv})


def edit(folder: Path, *edits: Edit) -> Edited:
    """These changes, by somebody who was shown the files as they are."""
    return apply(folder, edits, digests(folder))


def codes(edited: Edited) -> list[str]:
    """The codes of the problems that kept a change from being made."""
    return [problem.code for problem in edited.problems]


def text(folder: Path, name: str = "job.toml") -> str:
    """A file's text, its line ends as they are."""
    return (folder / name).read_bytes().decode()


# --- moves ---------------------------------------------------------------------------------------------------


def test_a_move_changes_only_its_cells(tmp_path: Path) -> None:
    """Box and port of one row; job.toml and every other byte stay."""
    folder = job(tmp_path)
    before = text(folder)
    edited = edit(folder, MoveUnits((Move("fc-2", "BX-2", "b + c"),)))
    assert (edited.problems, edited.what) == ((), "fc-2 to BX-2 B+C")
    assert text(folder, "ports.csv") == CSV.replace("FC-2,BX-1,B", "FC-2,BX-2,B+C")
    assert text(folder) == before
    assert edited.digests == digests(folder)


def test_two_units_change_places(tmp_path: Path) -> None:
    """All moves of one change are made together."""
    folder = job(tmp_path)
    edit(folder, MoveUnits((Move("FC-1", "BX-2", "A"), Move("FC-3", "BX-1", "A"))))
    expected = CSV.replace("FC-1,BX-1", "FC-1,BX-2").replace("FC-3,BX-2", "FC-3,BX-1")
    assert text(folder, "ports.csv") == expected


NAMED_ONCE = """\
Unit;Box;Port;Cap. (MBH)
FC-1;BX-1;A;24
FC-2;;B;12
FC-3;;C;12
FC-4;BX-2;A;12
FC-5;;B;12
"""


@pytest.mark.parametrize(
    ("move", "lines"),
    [
        (Move("FC-2", "BX-2", "C"), ["FC-2;BX-2;C;12", "FC-3;BX-1;C;12"]),
        (Move("FC-1", "BX-2", "C"), ["FC-1;BX-2;C;24", "FC-2;BX-1;B;12"]),
        (Move("FC-3", "BX-2", "C"), ["FC-2;BX-1;B;12", "FC-3;BX-2;C;12", "FC-5;BX-2;B;12"]),
        (Move("FC-3", "BX-1", "D"), ["FC-3;;D;12"]),
        (Move("FC-5", "BX-1", "D"), ["FC-5;BX-1;D;12"]),
    ],
)
def test_rows_below_keep_the_box_that_a_blank_means(move: Move, lines: list[str], tmp_path: Path) -> None:
    """A blank box is written out where it would follow the moved row, all where blanks mean nothing then."""
    folder = job(tmp_path, csv=NAMED_ONCE)
    before = units(folder)
    assert edit(folder, MoveUnits((move,))).problems == ()
    changed = [line for line in text(folder, "ports.csv").splitlines() if line not in NAMED_ONCE.splitlines()]
    assert changed == lines
    assert units(folder) == before | {move.unit: (move.box, move.port)}


def units(folder: Path) -> dict[str, tuple[str, str]]:
    """Box and port of each unit of a job without problems in reading it."""
    found, problems = read_job(folder)
    assert problems == ()
    assert found
    return {unit.tag: (unit.box, unit.port) for unit in found.units}

"""What the paper of a job is chosen from."""

from pathlib import Path

from tagmaker.workflows.paper import paper
from tests.job_files import HEAD, UNIT, write_files

BOXES = "".join(
    f'[[box]]\ntag = "{tag}"\nports = 4\nlevel = "{level}"\nsystem = "{system}"\n'
    for tag, level, system in (("bx-1", "2", "HR-1"), ("BX-2", "1", "HR-1"), ("BX-3", "2", "HR-2"))
)
NAMED = '[print]\nplacard = "a4"\ncable = "letter-25-wrap-38x51"\n'


def job_in(folder: Path) -> Path:
    """Three boxes of two levels and two systems."""
    return write_files(folder / "job", {"job.toml": HEAD + NAMED + BOXES + UNIT})


def test_boxes_are_found_by_level_and_system(tmp_path: Path) -> None:
    """Both, one of them, or any; by their tags in capitals, in walking order."""
    found = paper(job_in(tmp_path))
    assert (found.levels, found.systems) == (["2", "1"], ["HR-1", "HR-2"])
    assert found.boxes_of("", "") == ("BX-1", "BX-2", "BX-3")
    assert found.boxes_of("2", "") == ("BX-1", "BX-3")
    assert found.boxes_of("2", "HR-1") == ("BX-1",)
    assert found.boxes_of("3", "") == ()
    assert [each.code for each in found.problems] == ["box-empty"] * 2


def test_what_each_use_is_printed_on(tmp_path: Path) -> None:
    """Named or not; what is printed only where asked for has no stock then."""
    found = paper(job_in(tmp_path)).stocks
    assert [(each.use, each.stock.name if each.stock else "", each.is_named) for each in found] == [
        ("pipe", "letter-30-67x25", False),
        ("pipe_rough_in", "letter-30-67x25", False),
        ("cable", "letter-25-wrap-38x51", True),
        ("terminal", "letter-30-67x25", False),
        ("placard", "a4", True),
        *((use, "", False) for use in ("locator", "splitter", "unit", "isolation", "sign")),
    ]


def test_a_job_that_cannot_be_planned_has_problems_alone(tmp_path: Path) -> None:
    """No box, nothing to choose."""
    found = paper(write_files(tmp_path / "job", {"job.toml": HEAD}))
    assert (found.boxes, found.stocks, bool(found.problems)) == ((), (), True)

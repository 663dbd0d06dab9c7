"""The stages before ink: what is laid out, on which stocks, and how many sheets that takes."""

from pathlib import Path

import pytest

from tagmaker.workflows import check, make
from tagmaker.workflows.planning import StockNeed
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch
from tests.workflows.jobs import JOB, UNPROVED


def test_a_job_whose_stock_cannot_be_read_is_planned_all_the_same(tmp_path: Path) -> None:
    """Its switches can be shown; what prints on the stock is not laid out."""
    source = replace(JOB, stocks=(("cable", "no-such-stock"),)).write(tmp_path / "job")
    checked = check.check(source)
    assert [problem.code for problem in checked.problems] == ["stock-unknown"]
    assert checked.plan is not None
    assert [box.row.tag for box in checked.plan.boxes] == ["BB-1", "BB-2"]


SMALL = {"letters-small"}


@pytest.mark.parametrize(("revision", "found"), [("0", set()), ("P02", SMALL), ("C1.12", SMALL)])
def test_a_draft_fits_the_stocks_of_a_job_that_names_none(
    revision: str, found: set[str], tmp_path: Path
) -> None:
    """DRAFT and its revision are on every default label; long revisions lower some texts."""
    shared = tuple(UnitSketch(f"FC-{number}", "A", "9 kBtu/h", "Staff room") for number in range(1, 4))
    sketch = JobSketch((BoxSketch("BB-1", 4, shared),), revision=revision, is_draft=True)
    assert {each.code for each in check.check(sketch.write(tmp_path / "job")).problems} == found


def test_sheets_needed_are_the_sheets_made(job: Path, tmp_path: Path) -> None:
    """Labels and pages a stock, as `check` foretells and the set has; the placards' paper has no labels."""
    made = make.make(job, tmp_path / "out", selection=UNPROVED)
    pages = dict(made.files)
    assert check.check(job).sheets == made.checked.sheets
    assert made.checked.sheets == (
        StockNeed("letter-30-67x25", made.tags, pages["tags-letter-30-67x25.pdf"]),
        StockNeed("letter", 0, pages["placards.pdf"]),
    )

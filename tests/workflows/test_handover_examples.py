"""The examples with all that came back from their sites: the files are what they are said to be."""

from pathlib import Path

from tagmaker.workflows.handover import handover
from tests.paths import EXAMPLES
from tests.site.example_returns import RETURNED, contents


def test_the_clinics_files_are_those_of_its_plan(tmp_path: Path) -> None:
    """As `python -m tests.site.example_returns` writes them; those of another plan would not count."""
    written = {file.name: file.read_bytes() for file in RETURNED.iterdir() if file.suffix != ".pdf"}
    assert written == contents(tmp_path)


def test_the_bakery_has_nothing_open() -> None:
    """Its one box is walked, proved and signed."""
    done = handover(EXAMPLES / "bakery", [EXAMPLES / "bakery" / "returned"])
    assert (done.is_open, done.problems) == (False, ())


def test_the_clinic_has_nothing_open() -> None:
    """Five boxes, two response tests and two systems are right; its files are small."""
    done = handover(EXAMPLES / "clinic", [RETURNED])
    assert done.record is not None
    assert done.record.open == ()
    assert [(each.ports_right, each.ports) for each in done.record.response] == [(16, 16), (9, 9)]
    assert [each.result for each in done.record.systems] == ["complete", "complete"]
    assert sum(file.stat().st_size for file in RETURNED.iterdir()) < 200_000

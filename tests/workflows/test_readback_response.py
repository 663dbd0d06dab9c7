"""What `readback` prints of a response test, and what the walk and the scans found at the same letters."""

from pathlib import Path

import pytest

from tagmaker.catalog.words import load_words
from tagmaker.workflows.readback import readback
from tagmaker.workflows.readback_response import response_lines
from tests.workflows.response_site import SITE, answers, fill_csv, made


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job on disk."""
    return SITE.write(tmp_path / "job")


@pytest.fixture
def out(tmp_path: Path, job: Path) -> Path:
    """Its response test."""
    made(job, tmp_path / "out")
    return tmp_path / "out"


def test_units_alone_are_right_only_as_far_as_they_show(tmp_path: Path, job: Path, out: Path) -> None:
    """No stub was read: no unit counts as piped right, and the note says why, in JSON and in a terminal."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out), lambda row: bool(row[4]))
    result = readback([table], job)
    (system,) = result.outline.response
    assert {(unit.verdict, unit.stub_read) for unit in system.units} == {("as piped", False)}
    assert system.notes == (
        (
            "FC-1, FC-2, FC-3, FC-4, AH-1, FC-5, FC-6: they get what their ports call for, but no clear stub "
            "was read there: a cable that was moved together with its pipe does not show"
        ),
        "liquid lines that are crossed alone do not show",
    )
    lines = response_lines(result.responses[0], load_words(), has_punches=False)
    assert lines[1].endswith("0 of 7 units as piped")
    assert lines[-2:] == [f"    note {text}" for text in system.notes]

"""Photos of pages are read by as many processes as there are cores: what they give, in the files' order."""

import os
from pathlib import Path

import pytest

from tagmaker.site.paper.readings import PageFault
from tagmaker.workflows import cores, readback_pages
from tagmaker.workflows.readback_pages import PrintedSets, paper_back

PHOTOS = [Path(f"{number}.jpg") for number in range(9)]


def fault(file: Path, _sets: PrintedSets) -> list[tuple[str, PageFault]]:
    """No page, read by this process."""
    return [(file.name, PageFault(f"read by {os.getpid()}", ""))]


def test_several_photos_are_read_at_once_and_given_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first one here, the others by processes of their own; one alone begins none."""
    monkeypatch.setattr(readback_pages, "read_file", fault)
    monkeypatch.setattr(cores, "cores", lambda: 2)
    monkeypatch.setattr(cores, "start_method", lambda: "fork")
    _, problems = paper_back(PHOTOS, (), ())
    assert [problem.where.file for problem in problems] == [file.name for file in PHOTOS]
    here = [problem.message.endswith(f"read by {os.getpid()}") for problem in problems]
    assert here == [True] + [False] * (len(PHOTOS) - 1)
    _, problems = paper_back(PHOTOS[:1], (), ())
    assert [problem.message.endswith(f"read by {os.getpid()}") for problem in problems] == [True]

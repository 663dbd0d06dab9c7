"""The job that most workflows are tested on, without a fault and with one."""

from pathlib import Path

import pytest

from tagmaker.workflows import cores, readback_pages
from tests.records import replace
from tests.workflows.jobs import GOOD, JOB, OTHER, OVERLOADED


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of two boxes without a fault, on disk."""
    return JOB.write(tmp_path / "job", schedule="ports.csv")


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    """The same job with an overloaded box in between."""
    return replace(JOB, boxes=(GOOD, OVERLOADED, OTHER)).write(tmp_path / "bad")


@pytest.fixture
def user_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's configuration folder, for this test alone."""
    folder = tmp_path / "config"
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    return folder


@pytest.fixture
def once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each file is read once, however often it is handed in: what is typed changes no reading."""
    read, known = readback_pages.read_file, {}

    def read_once(file: Path, sets: readback_pages.PrintedSets) -> object:
        if file not in known:
            known[file] = read(file, sets)
        return known[file]

    monkeypatch.setattr(readback_pages, "read_file", read_once)
    monkeypatch.setattr(cores, "cores", lambda: 1)  # another process would keep it for itself

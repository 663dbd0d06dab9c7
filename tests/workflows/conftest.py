"""The job that most workflows are tested on, without a fault and with one."""

from pathlib import Path

import pytest

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

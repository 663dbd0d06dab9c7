"""Where every test of the command line runs."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.cli.commands import NEXT, Terminal
from tests.site.papers import LIBRARY


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder, a terminal wide enough that no message is broken, no printer measured."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.setenv("TERMINAL_WIDTH", "300")
    return tmp_path


@pytest.fixture
def library_job(place: Path) -> None:
    """The library's job, in the folder "job"."""
    LIBRARY.write(place / "job")


@pytest.fixture
def revisions(place: Path, library_job: None) -> None:  # noqa: ARG001 — it writes the first of the two
    """A job in the folder "job", and its next revision in "next"."""
    NEXT.write(place / "next")


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Both streams as one terminal that shows colours."""
    stream = Terminal()
    monkeypatch.delenv("NO_COLOR", raising=False)
    for module in ("show", "switches"):
        monkeypatch.setattr(f"tagmaker.cli.{module}.sys", SimpleNamespace(stdout=stream, stderr=stream))
    return stream

"""The parts of a new job's file are data: `layouts/start.toml`."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.catalog.start import start_parts


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder in the place of `layouts/`."""
    start_parts.cache_clear()
    monkeypatch.setattr("tagmaker.catalog.start.layouts", lambda: tmp_path)
    yield tmp_path
    start_parts.cache_clear()


def test_parts_are_texts(elsewhere: Path) -> None:
    """By name; the words in them are still to be filled in."""
    (elsewhere / "start.toml").write_text("head = 'name = $name'\nversion = 1\n", encoding="utf-8")
    assert start_parts() == {"head": "name = $name"}


@pytest.mark.usefixtures("elsewhere")
def test_no_file_of_parts_is_a_bug() -> None:
    """A program without it stops with the file's name."""
    with pytest.raises(FileNotFoundError, match=r"layouts/start\.toml is not there"):
        start_parts()

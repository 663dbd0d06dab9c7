"""One lock for all that is written: others are refused or wait, and nothing of it stays."""

import threading
from pathlib import Path

import pytest

from tagmaker.files.lock import locked
from tagmaker.files.refused import OutputRefused


def test_a_second_run_is_refused(tmp_path: Path) -> None:
    """With the place that is being written; what is beside it has a lock of its own."""
    with locked(tmp_path / "out"):
        with pytest.raises(OutputRefused, match="another run is writing"), locked(tmp_path / "out"):
            pass
        with locked(tmp_path / "other"):
            assert sorted(each.name for each in tmp_path.iterdir()) == [
                ".other.tagmaker-lock",
                ".out.tagmaker-lock",
            ]
    assert list(tmp_path.iterdir()) == []


def test_who_waits_comes_after(tmp_path: Path) -> None:
    """The second one begins when the first has ended, although its lock file was deleted meanwhile."""
    done: list[str] = []

    def second() -> None:
        with locked(tmp_path / "out", waits=True):
            done.append("second")

    other = threading.Thread(target=second)
    with locked(tmp_path / "out"):
        other.start()
        other.join(timeout=0.2)
        done.append("first")
    other.join()
    assert done == ["first", "second"]
    assert list(tmp_path.iterdir()) == []

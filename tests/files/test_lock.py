"""One lock for all that is written: others are refused or wait, and nothing of it stays."""

import importlib.util
import os
import sys
import threading
from pathlib import Path

import pytest

from tagmaker.files import lock as lock_module
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


def test_a_system_without_locks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where Python has no fcntl the module loads all the same, and nobody is kept out."""
    monkeypatch.setitem(sys.modules, "fcntl", None)
    spec = importlib.util.spec_from_file_location("lock_without_locks", lock_module.__file__)
    assert spec
    assert spec.loader
    without = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(without)
    assert without.fcntl is None
    with without.locked(tmp_path / "out"), without.locked(tmp_path / "out"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_without_file_locks_the_lock_file_is_closed_before_it_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A system without them (Windows) removes no file that is open, be it in another run."""
    monkeypatch.setattr(lock_module, "fcntl", None)
    steps: list[str] = []
    close = os.close

    def closing(handle: int) -> None:
        steps.append("closed")
        close(handle)

    def unlinking(_path: Path, *, missing_ok: bool = False) -> None:
        steps.append(f"removed {missing_ok}")
        raise PermissionError

    monkeypatch.setattr(os, "close", closing)
    monkeypatch.setattr(Path, "unlink", unlinking)
    with locked(tmp_path / "out"):
        assert steps == []
    assert steps == ["closed", "removed True"]

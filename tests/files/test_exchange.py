"""Two folders change places in one step, or the system is known not to be able to."""

import ctypes
import errno
import sys
from pathlib import Path

import pytest

from tagmaker.files.exchange import exchange
from tests.files.sets import contents, put


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """Two folders with a file each."""
    put(tmp_path / "one", {"a": "1"})
    put(tmp_path / "other", {"b": "2"})
    return tmp_path / "one", tmp_path / "other"


class Library:
    """A C library whose call ends with an error of that number (0 for none)."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.calls: list[tuple[object, ...]] = []

    def renameat2(self, *arguments: object) -> int:
        """Linux's name of it."""
        self.calls.append(arguments)
        ctypes.set_errno(self.number)
        return -1 if self.number else 0

    def renamex_np(self, *arguments: object) -> int:
        """The name on macOS."""
        return self.renameat2(*arguments)


def test_two_folders_change_places_or_stay(folders: tuple[Path, Path]) -> None:
    """True where they did, as on any Linux of today; False where nothing happened."""
    one, other = folders
    did = exchange(one, other)
    first, second = {"a": "1"}, {"b": "2"}
    assert ((second, first) if did else (first, second)) == (contents(one), contents(other))
    assert did or sys.platform != "linux"


def test_a_folder_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    """Not being able to is one thing, a wrong path another."""
    put(tmp_path / "one", {"a": "1"})
    with pytest.raises(FileNotFoundError):
        exchange(tmp_path / "one", tmp_path / "absent")
    assert contents(tmp_path / "one") == {"a": "1"}


@pytest.mark.parametrize("number", [errno.ENOSYS, errno.EINVAL, errno.ENOTSUP])
def test_a_system_that_cannot_says_so(
    folders: tuple[Path, Path], number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An old kernel, or a file system without it."""
    monkeypatch.setattr(ctypes, "CDLL", lambda *_names, **_options: Library(number))
    assert not exchange(*folders)


def test_a_library_without_the_call_cannot(
    folders: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An old C library, or Windows."""
    monkeypatch.setattr(ctypes, "CDLL", lambda *_names, **_options: object())
    assert not exchange(*folders)


def test_macos_is_asked_by_its_own_name(folders: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """Two paths and RENAME_SWAP, which is 2 in sys/stdio.h [memory]."""
    library = Library(0)
    monkeypatch.setattr(ctypes, "CDLL", lambda *_names, **_options: library)
    monkeypatch.setattr(sys, "platform", "darwin")
    assert exchange(*folders)
    assert library.calls == [(*(str(path).encode() for path in folders), 2)]

"""What a system offers is used, and where it offers less there is another way: exchange, locks, moves."""

import ctypes
import errno
import importlib.util
import os
import sys
from pathlib import Path

import pytest

from tagmaker.files import system
from tagmaker.files.system import exchange, is_device, lock_file, names_in_use, patiently, unlock_file
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


class OtherLibrary(Library):
    """The C library of macOS."""

    def renamex_np(self, *arguments: object) -> int:
        """Its name of the call."""
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


def test_a_library_that_has_the_other_call_is_asked_by_its_name(
    folders: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two paths and RENAME_SWAP, which is 2 in sys/stdio.h [memory]."""
    library = OtherLibrary(0)
    monkeypatch.setattr(ctypes, "CDLL", lambda *_names, **_options: library)
    assert exchange(*folders)
    assert library.calls == [(*(str(path).encode() for path in folders), 2)]


# --- locks --------------------------------------------------------------------------------------------------


@pytest.fixture
def no_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A system whose Python has no fcntl."""
    monkeypatch.setattr(system, "fcntl", None)


def test_where_python_has_no_locks_the_module_loads(monkeypatch: pytest.MonkeyPatch) -> None:
    """It asks for them, and goes on without."""
    monkeypatch.setitem(sys.modules, "fcntl", None)
    spec = importlib.util.spec_from_file_location("system_without_locks", system.__file__)
    assert spec
    assert spec.loader
    without = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(without)
    assert without.fcntl is None


@pytest.mark.usefixtures("no_locks")
def test_without_locks_a_file_that_stays_is_held_by_another_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such a system removes no file that is open; one that a killed run left is nobody's."""
    lock = tmp_path / "lock"
    lock.touch()
    handle = lock_file(lock, waits=False)
    assert handle is not None

    def refused(_path: Path, *, missing_ok: bool = False) -> None:
        assert missing_ok
        raise PermissionError

    with monkeypatch.context() as patch:
        patch.setattr(Path, "unlink", refused)
        assert lock_file(lock, waits=False) is None
    unlock_file(lock, handle)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("no_locks")
def test_without_locks_the_file_is_closed_before_it_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that another run has taken meanwhile is left to it."""
    steps: list[str] = []
    handle = lock_file(tmp_path / "lock", waits=False)
    assert handle is not None
    close = os.close

    def closing(each: int) -> None:
        steps.append("closed")
        close(each)

    def unlinking(_path: Path, *, missing_ok: bool = False) -> None:
        steps.append(f"removed {missing_ok}")
        raise PermissionError

    monkeypatch.setattr(os, "close", closing)
    monkeypatch.setattr(Path, "unlink", unlinking)
    unlock_file(tmp_path / "lock", handle)
    assert steps == ["closed", "removed True"]


@pytest.mark.usefixtures("no_locks")
def test_without_locks_who_waits_tries_until_the_file_is_free(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another run creates its own in between once, then it is free."""
    tries: list[int] = []
    create = os.open

    def created(path: Path, flags: int, mode: int = 0o777) -> int:
        tries.append(flags & os.O_EXCL)
        if len(tries) == 1:
            raise FileExistsError
        return create(path, flags, mode)

    monkeypatch.setattr(os, "open", created)
    handle = lock_file(tmp_path / "lock", waits=True)
    assert tries == [os.O_EXCL, os.O_EXCL]
    assert handle is not None
    unlock_file(tmp_path / "lock", handle)


@pytest.mark.usefixtures("no_locks")
def test_a_place_that_takes_no_file_is_no_other_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's own reason is raised."""

    def refused(*_words: object) -> int:
        raise PermissionError

    monkeypatch.setattr(os, "open", refused)
    with pytest.raises(PermissionError):
        lock_file(tmp_path / "lock", waits=False)


# --- moves --------------------------------------------------------------------------------------------------


def test_a_file_that_cannot_be_moved_is_in_use(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By its name below the folder; a file that can be is as it was."""
    put(tmp_path / "out", {"a.pdf": "1", "b.pdf": "2"})
    put(tmp_path / "out" / "png", {"c.png": "3"})
    assert names_in_use(tmp_path / "out") == []
    rename = Path.rename

    def refused(path: Path, target: Path) -> Path:
        if path.name in {"b.pdf", "c.png"}:
            raise PermissionError
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", refused)
    assert names_in_use(tmp_path / "out") == ["b.pdf", "png/c.png"]
    assert (tmp_path / "out" / "a.pdf").read_text(encoding="utf-8") == "1"


@pytest.mark.parametrize("refusals", [0, 1, system.TRIES, system.TRIES + 1])
def test_a_move_is_tried_again_for_a_while(refusals: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A virus scanner lets go; another program does not, and then the system's reason is raised."""
    left = [PermissionError()] * refusals
    monkeypatch.setattr(system, "WAIT_SECONDS", 0)

    def move() -> None:
        if left:
            raise left.pop()

    if refusals > system.TRIES:
        with pytest.raises(PermissionError):
            patiently(move)
    else:
        patiently(move)
    assert left == []


@pytest.mark.parametrize("name", ["CON", "aux", "Nul.pdf", "com1.tar.gz", "LPT9", "PRN ", "con .d"])
def test_a_device_is_known_by_its_name(name: str) -> None:
    """In any case, with any ending."""
    assert is_device(name)


@pytest.mark.parametrize("name", ["CONTROL", "auxiliary", "com", "COM10", ".aux", "a.con", ""])
def test_a_name_that_only_looks_so_is_none(name: str) -> None:
    """Another name is a name."""
    assert not is_device(name)

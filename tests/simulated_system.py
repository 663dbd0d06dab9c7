"""A plugin of pytest: the tests run as on a system that offers less, or something else, than Linux does.

Python there has no `fcntl`, `fork`, `sched_getaffinity` and signal masks, and the C library no exchange of
folders. A file that is open is neither removed nor moved, nor is a folder with one in it. A rename replaces
nothing. Names differ not by case alone, and some (CON, aux.pdf) are devices. Terminals take code page 1252.
What Windows documents is simulated so [memory]; no other system was run.

Run: python -m pytest -p tests.simulated_system FILES. The files under the folder for temporary ones behave so,
in the process of the tests: a program that a test starts runs on the real system.
"""

import builtins
import ctypes
import errno
import io
import multiprocessing
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

PLACE = os.path.realpath(tempfile.gettempdir()) + os.sep
DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)),
}
ONE_PATH = (
    "access",
    "chdir",
    "chmod",
    "listdir",
    "lstat",
    "mkdir",
    "open",
    "readlink",
    "scandir",
    "stat",
    "utime",
)
REMOVED = ("remove", "rmdir", "unlink")
CODE_PAGE = "cp1252"
BUSY = "another program has the file open"
real = {name: getattr(os, name) for name in (*ONE_PATH, *REMOVED, "link", "rename", "replace", "symlink")}


def found(path: Any) -> Any:
    """A path below `PLACE` as it is on disk, in whatever case it was written; any other as it is."""
    if isinstance(path, int) or path is None:
        return path
    text = os.fsdecode(path)
    whole = os.path.join(os.getcwd(), text)  # noqa: PTH109, PTH118 — pathlib is what is simulated
    if not whole.startswith(PLACE):
        return path
    parts = whole[len(PLACE) :].split(os.sep)
    for part in parts:
        if part.partition(".")[0].rstrip().lower() in DEVICES:
            raise OSError(errno.EINVAL, "the name of a device", text)
    if _is_there(whole):
        return path
    at = PLACE.rstrip(os.sep)
    for part in parts:
        at = f"{at}{os.sep}{_in_its_case(at, part)}"
    return os.fsencode(at) if isinstance(path, bytes) else at


def _is_there(path: str) -> bool:
    try:
        real["lstat"](path)
    except OSError:
        return False
    return True


def _in_its_case(folder: str, name: str) -> str:
    """The name of a folder's entry that differs by case alone, if there is one."""
    if name in {"", ".", ".."} or _is_there(f"{folder}{os.sep}{name}"):
        return name
    try:
        names = real["listdir"](folder)
    except OSError:
        return name
    return next((each for each in names if each.casefold() == name.casefold()), name)


def check_free(path: Any) -> None:
    """Refuse to touch what is open in this process, or holds something open, or the current folder."""
    whole = os.path.realpath(path)
    if not whole.startswith(PLACE):
        return
    taken = [os.getcwd()]  # noqa: PTH109 — pathlib is what is simulated
    for number in real["listdir"]("/proc/self/fd"):
        try:
            taken.append(real["readlink"](f"/proc/self/fd/{number}"))
        except OSError:  # that of the list itself
            continue
    if any(f"{each}{os.sep}".startswith(f"{whole}{os.sep}") for each in taken):
        raise PermissionError(errno.EACCES, BUSY, os.fsdecode(path))


def _one(name: str) -> Callable[..., Any]:
    def call(path: Any = ".", *words: Any, **options: Any) -> Any:
        return real[name](found(path), *words, **options)

    return call


def _removing(name: str) -> Callable[..., Any]:
    def call(path: Any, *words: Any, **options: Any) -> Any:
        path = found(path)
        check_free(path)
        return real[name](path, *words, **options)

    return call


def _rename(source: Any, target: Any, **options: Any) -> None:
    """What is there already is not replaced, unless it is the same file."""
    source, target = found(source), found(target)
    check_free(source)
    if os.path.lexists(target) and not os.path.samefile(source, target):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), os.fsdecode(target))
    real["rename"](source, target, **options)


def _replace(source: Any, target: Any, **options: Any) -> None:
    """A file is replaced, if it is not open; a folder is not."""
    source, target = found(source), found(target)
    check_free(source)
    check_free(target)
    if os.path.isdir(target):  # noqa: PTH112 — pathlib is what is simulated
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), os.fsdecode(target))
    real["replace"](source, target, **options)


def _opened(file: Any, *words: Any, **options: Any) -> Any:
    return _real_open(file if isinstance(file, int) else found(file), *words, **options)


_real_open = io.open


class _Library(ctypes.CDLL):
    """A C library that is opened by its name alone."""

    def __init__(self, name: str | None, *words: Any, **options: Any) -> None:
        if name is None:
            raise TypeError("a library must be named")
        super().__init__(name, *words, **options)


def _context(method: str | None = None) -> Any:
    if method not in {None, "spawn"}:
        raise ValueError(method)
    return _real_context("spawn")


_real_context = multiprocessing.get_context


class _Stream(io.TextIOWrapper):
    """A stream of the code page; what it lacks is printed as its code, as the program asks of its own."""

    def __init__(self, buffer: Any, *words: Any, **options: Any) -> None:
        super().__init__(buffer, *words, **{**options, "encoding": CODE_PAGE, "errors": "backslashreplace"})


def install() -> None:
    """Make this process one of such a system."""
    sys.modules["fcntl"] = None  # type: ignore[assignment]
    for module, names in ((os, ("fork", "sched_getaffinity")), (signal, ("pthread_sigmask", "SIGHUP"))):
        for name in names:
            delattr(module, name)
    for name in ONE_PATH:
        setattr(os, name, _one(name))
    for name in REMOVED:
        setattr(os, name, _removing(name))
    for name, call in (("rename", _rename), ("replace", _replace)):
        setattr(os, name, call)
    builtins.open = io.open = _opened  # type: ignore[assignment]
    ctypes.CDLL = _Library  # type: ignore[misc]
    shutil._use_fd_functions = False  # type: ignore[attr-defined]
    tempfile.TemporaryFile = tempfile.NamedTemporaryFile  # type: ignore[assignment, misc]
    multiprocessing.get_context = _context
    multiprocessing.get_all_start_methods = lambda: ["spawn"]
    CliRunner.charset = CODE_PAGE
    if Path(PLACE, "NUL").parent != Path(PLACE):
        raise AssertionError


install()

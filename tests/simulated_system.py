"""A plugin of pytest: the tests run as on a system that offers less, or something else, than Linux does.

Python there has no `fcntl`, `fork`, `sched_getaffinity` and signal masks, and the C library no exchange of
folders. A file that is open is neither removed nor moved, nor is a folder with one in it. A rename replaces
nothing. Names differ not by case alone, and some (CON, aux.pdf) are devices. Terminals take code page 1252.
What Windows documents is simulated so [memory]; no other system was run.

Run: python -m pytest -p tests.simulated_system FILES. Files below the folder for temporary ones behave so, in
the process of the tests: a program that a test starts runs on the real system.
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

from typer import testing
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
SPELT_OUT = "spelt-out"  # of tagmaker.cli.printing, which must not be loaded before all is in place
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
    parts = whole.removeprefix(PLACE).split("/")
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
    if os.path.lexists(target) and not Path(source).samefile(target):
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


class _Stream(testing._NamedTextIOWrapper):
    """A stream as the program sets its own: output spelt out for the code page, input UTF-8."""

    def __init__(self, buffer: Any, *words: Any, **options: Any) -> None:
        set_as = (
            {"errors": SPELT_OUT} if options["mode"] == "w" else {"encoding": "utf-8", "errors": "replace"}
        )
        super().__init__(buffer, *words, **{**options, **set_as})


def _of_code_page(runner: CliRunner, *_words: object) -> None:
    runner.charset, runner.env = CODE_PAGE, {}


def _typed(text: bytes | str | None, _charset: str) -> io.BytesIO:
    """What comes through a pipe: other programs write UTF-8."""
    return io.BytesIO(text.encode() if isinstance(text, str) else text or b"")


def install() -> None:
    """Make this process one of such a system."""
    sys.modules["fcntl"] = None  # type: ignore[assignment]
    for module, names in ((os, ("fork", "sched_getaffinity")), (signal, ("pthread_sigmask", "SIGHUP"))):
        for name in names:
            delattr(module, name)
    calls: tuple[tuple[Any, str, Any], ...] = (
        *((os, name, _one(name)) for name in ONE_PATH),
        *((os, name, _removing(name)) for name in REMOVED),
        (os, "rename", _rename),
        (os, "replace", _replace),
        (builtins, "open", _opened),
        (io, "open", _opened),
        (ctypes, "CDLL", _Library),
        (shutil, "_use_fd_functions", False),
        (tempfile, "TemporaryFile", tempfile.NamedTemporaryFile),
        (multiprocessing, "get_context", _context),
        (multiprocessing, "get_all_start_methods", lambda: ["spawn"]),
        (testing, "make_input_stream", _typed),
        (testing, "_NamedTextIOWrapper", _Stream),
        (CliRunner, "__init__", _of_code_page),
    )
    for place, name, instead in calls:
        setattr(place, name, instead)


install()

"""Files from elsewhere that are kept for a while: a folder that ends with the program, safe names."""

import contextlib
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from tagmaker.files.system import is_device

__all__ = ["Place", "new_place", "temporary_folder"]

UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')
NAME_AT_MOST = 100  # bytes
ENDING_AT_MOST = 12


@contextlib.contextmanager
def temporary_folder() -> Iterator[Path]:
    """A folder that nobody else can read, removed with all that is in it at the end."""
    with tempfile.TemporaryDirectory(prefix="tagmaker-", ignore_cleanup_errors=True) as folder:
        yield Path(folder)


class Place:
    """A folder for the files of one request."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._names: set[str] = set()

    @contextlib.contextmanager
    def file(self, name: str) -> Iterator[tuple[Path, Callable[[bytes], int]]]:
        """A new file under a safe form of its name, and what writes to it."""
        path = self.folder / self._own(_safe(name))
        with path.open("xb") as file:
            yield path, file.write

    def _own(self, name: str) -> str:
        """The name, numbered where it is taken; names that differ in case alone are one on some systems."""
        stem, dot, ending = name.rpartition(".")
        number, own = 1, name
        while own.casefold() in self._names:
            number += 1
            own = f"{stem}-{number}{dot}{ending}" if dot else f"{name}-{number}"
        self._names.add(own.casefold())
        return own


def new_place(folder: Path) -> Place:
    """A place of its own within a folder."""
    return Place(Path(tempfile.mkdtemp(dir=folder)))


def _safe(name: str) -> str:
    """The last part of a name as another system wrote it, with nothing that a file system takes amiss."""
    last = re.split(r"[/\\]", name)[-1]
    safe = UNSAFE.sub("_", last).strip(" .")
    if len(os.fsencode(safe)) > NAME_AT_MOST:
        stem, ending = Path(safe).stem, Path(safe).suffix
        ending = _cut(ending, ENDING_AT_MOST)
        safe = f"{_cut(stem, NAME_AT_MOST - ENDING_AT_MOST)}{ending}".strip(" .")
    return f"_{safe}" if is_device(safe) else safe or "file"


def _cut(text: str, count: int) -> str:
    """As much of a text as so many bytes of a name on disk hold."""
    return os.fsencode(text)[:count].decode(errors="ignore")

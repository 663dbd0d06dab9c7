"""Files taken into a folder for good: each whole or not at all, nothing replaced, the same content once.

Takes files that were received elsewhere; gives under which name each is kept. A name that is taken by other
content gets a number, so that what a person put there stays as it is.
"""

import itertools
import os
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import files_below, plain_digest

__all__ = ["Kept", "keep_files"]

NEW = ".tagmaker-new"


class Kept(Struct, frozen=True):
    """A file's name as it came, and under which name below the folder it is kept; `is_new` if it was not."""

    came_as: str
    name: str
    is_new: bool


def keep_files(sources: Iterable[Path], folder: Path) -> list[Kept]:
    """Copy files into a folder, which is made where it is missing; OSError where that fails.

    One at a time: two runs at once would meet at the copy that is not complete.
    """
    folder.mkdir(exist_ok=True)
    of_size: dict[int, list[Path]] = {}
    for file in files_below(folder):
        of_size.setdefault(file.stat().st_size, []).append(file)
    kept: list[Kept] = []
    for source in sources:
        alike = of_size.setdefault(source.stat().st_size, [])
        digest = plain_digest(source) if alike else ""
        same = next((file for file in alike if plain_digest(file) == digest), None)
        path = same or _copied(source, folder)
        if same is None:
            alike.append(path)
        kept.append(Kept(source.name, path.relative_to(folder).as_posix(), is_new=same is None))
    return kept


def _copied(source: Path, folder: Path) -> Path:
    """The new file in the folder: on disk as a hidden one before it gets its name."""
    new = folder / NEW
    new.unlink(missing_ok=True)  # a killed run's
    try:
        shutil.copyfile(source, new)
        with new.open("rb+") as file:
            os.fsync(file.fileno())
        return next(filter(None, (_named(new, path) for path in _free_names(folder, source.name))))
    finally:
        new.unlink(missing_ok=True)


def _free_names(folder: Path, name: str) -> Iterator[Path]:
    """The name, then the name with numbers, as far as they are free; in any case of letters."""
    taken = {each.name.casefold() for each in folder.iterdir()}
    stem, ending = Path(name).stem, Path(name).suffix
    names = itertools.chain([name], (f"{stem}-{number}{ending}" for number in itertools.count(2)))
    return (folder / each for each in names if each.casefold() not in taken)


def _named(new: Path, path: Path) -> Path | None:
    """Give a file its name; None where another got it in between, which is never replaced."""
    try:
        os.link(new, path)
    except FileExistsError:
        return None
    except OSError:  # a file system without links
        if path.exists():
            return None
        new.rename(path)
    return path

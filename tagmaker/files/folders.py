"""Folders below a folder, as far as they are looked into; links are not followed.

Takes a folder and which folders to pass over; gives folders by depth and name, and whether that was all: what
a person names may hold a whole disk.
"""

from collections import deque
from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

__all__ = ["DEPTH_AT_MOST", "FOLDERS_AT_MOST", "FoldersFound", "changed_at", "entries", "folders_below"]

DEPTH_AT_MOST = 4  # below the given folder; deeper ones are not looked into
FOLDERS_AT_MOST = 3_000


class FoldersFound(Struct, frozen=True):
    """The folders found, the given one first; `is_cut` where there are more than are looked into."""

    folders: tuple[Path, ...]
    is_cut: bool = False


def folders_below(folder: Path, skips: Callable[[Path], bool]) -> FoldersFound:
    """The folder and those below it, level by level; hidden ones, links and those that `skips` left out."""
    found: list[Path] = []
    waiting = deque([(folder, 0)])
    while waiting and len(found) < FOLDERS_AT_MOST:
        place, depth = waiting.popleft()
        found.append(place)
        if depth < DEPTH_AT_MOST and len(waiting) < FOLDERS_AT_MOST:
            waiting.extend((each, depth + 1) for each in _folders_in(place) if not skips(each))
    return FoldersFound(tuple(found), is_cut=bool(waiting))


def _folders_in(folder: Path) -> list[Path]:
    """The folders directly in a folder, sorted by name."""
    return [each for each in entries(folder) if each.is_dir() and not each.is_symlink()]


def entries(folder: Path) -> list[Path]:
    """What is directly in a folder, sorted by name, hidden entries skipped; nothing if it cannot be read."""
    try:
        return sorted(each for each in folder.iterdir() if not each.name.startswith("."))
    except OSError:
        return []


def changed_at(path: Path) -> float:
    """When a file was last written, in seconds since 1970; 0 where it is not there."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0

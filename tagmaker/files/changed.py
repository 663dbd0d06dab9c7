"""Which files of a set changed since they were written: filled in, edited, or replaced by others."""

from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import plain_digest

__all__ = ["Manifest", "changed_files"]

SLACK_SECONDS = 2  # a file system may round the time of a change: FAT to two seconds


class Manifest(Struct, frozen=True):
    """What a set consists of: names of its files, `plan_name` the one that lists them, and their digests.

    Digests are None where the set is of a version that kept none. A list that was altered itself is not
    `is_intact`. All of it is empty where there is no set.
    """

    names: frozenset[str] = frozenset()
    is_whole: bool = False
    plan_name: str = ""
    digests: Mapping[str, str] | None = None
    is_intact: bool = True


def changed_files(folder: Path, manifest: Manifest) -> list[str]:
    """Names of the files that are not as they were written; one that is no longer there is none of them.

    Without digests it is those that were changed after the list of files, which is written last. A file that
    cannot be read is in the list: nobody knows what is in it.
    """
    there = {entry.relative_to(folder).as_posix() for entry in folder.rglob("*")}
    return [name for name in sorted(there & manifest.names) if _has_changed(folder, name, manifest)]


def _has_changed(folder: Path, name: str, manifest: Manifest) -> bool:
    if name == manifest.plan_name:
        return not manifest.is_intact
    try:
        if manifest.digests is not None:
            return plain_digest(folder / name) != manifest.digests.get(name)
        written = (folder / manifest.plan_name).stat().st_mtime
        return (folder / name).stat().st_mtime > written + SLACK_SECONDS
    except OSError:
        return True

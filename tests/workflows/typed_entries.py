"""Files of what persons typed beside pictures of paper, for tests of what follows from it."""

from pathlib import Path

import msgspec

from tagmaker.site.paper.typed import TYPED_FORMAT, TypedEntry, TypedFile
from tagmaker.workflows.readback import Readback

__all__ = ["NOTED", "typed"]

NOTED = "2026-06-03T09:30:00Z"


def typed(path: Path, result: Readback, values: dict[str, str], by: str = "J. Moss") -> Path:
    """A file of entries for the pictures of a reading, as the desk keeps them."""
    entries = tuple(
        TypedEntry(cut.picture, cut.field, values[cut.field], by, NOTED)
        for cut in result.paper.places.values()
        if cut.field in values
    )
    path.write_bytes(msgspec.json.encode(TypedFile(TYPED_FORMAT, entries)))
    return path

"""Printer offset and scale per stock, measured once and stored in the user's config folder.

Takes two readings of a printed page with cross-hairs; gives what must be undone when pages are drawn. The
file is a convenience: one that is missing, broken or edited to nonsense counts as no measurement.
"""

import json
import math
from pathlib import Path

from msgspec import Struct
from msgspec.structs import asdict

from tagmaker.files.lock import locked
from tagmaker.files.plain import read_plain
from tagmaker.files.write import make_folder, write_whole

__all__ = ["Alignment", "alignment_file", "alignment_of", "keep_alignment", "measured"]

BYTES_AT_MOST = 1_000_000


class Alignment(Struct, frozen=True):
    """Where a printer puts a point: x is printed at `scale_x` * x + `shift_x`, y likewise; mm."""

    scale_x: float = 1.0
    scale_y: float = 1.0
    shift_x: float = 0.0
    shift_y: float = 0.0

    def undo(self, x: float, y: float) -> tuple[float, float]:
        """Where a point must be drawn so that the printer puts it at x, y."""
        return (x - self.shift_x) / self.scale_x, (y - self.shift_y) / self.scale_y

    def adjust(self, size: tuple[float, float], dots_per_mm: float) -> tuple[float, float, float, float]:
        """What undoes it on a page of that size: scales of x and y, then shifts in mm.

        On a dot grid a page is moved by whole dots and not scaled, or modules would be a dot wider here and
        there; what its middle is off by is undone.
        """
        if not dots_per_mm:
            return 1 / self.scale_x, 1 / self.scale_y, *self.undo(0.0, 0.0)
        x, y = size[0] / 2, size[1] / 2
        drawn_x, drawn_y = self.undo(x, y)
        right, down = round((drawn_x - x) * dots_per_mm), round((drawn_y - y) * dots_per_mm)
        return 1.0, 1.0, right / dots_per_mm, down / dots_per_mm


def measured(
    points: tuple[tuple[float, float], tuple[float, float]],
    readings: tuple[tuple[float, float], tuple[float, float]],
) -> Alignment:
    """The alignment of a printer that put these two points where they were read."""
    (x1, y1), (x2, y2) = points
    (read_x1, read_y1), (read_x2, read_y2) = readings
    scale_x, scale_y = (read_x2 - read_x1) / (x2 - x1), (read_y2 - read_y1) / (y2 - y1)
    return Alignment(scale_x, scale_y, read_x1 - scale_x * x1, read_y1 - scale_y * y1)


def alignment_file() -> Path:
    """The file in which the alignments of this user's printers are kept."""
    from platformdirs import user_config_path  # noqa: PLC0415 — only runs that draw or align need it

    return user_config_path("tagmaker") / "alignment.json"


def _kept() -> dict[str, dict[str, float]]:
    """All alignments by stock; none where the file is missing or broken."""
    try:
        kept = json.loads(read_plain(alignment_file(), BYTES_AT_MOST))
    except (OSError, ValueError, RecursionError):
        return {}
    return kept if isinstance(kept, dict) else {}


def alignment_of(stock: str) -> Alignment | None:
    """The alignment stored for a stock; None where none was measured, or none that a printer can have."""
    try:
        found = Alignment(**_kept()[stock])
        is_sound = all(map(math.isfinite, (found.shift_x, found.shift_y)))
        is_sound &= all(0.5 < scale < 2 for scale in (found.scale_x, found.scale_y))
    except (KeyError, TypeError):
        return None
    return found if is_sound else None


def keep_alignment(stock: str, alignment: Alignment | None) -> Path:
    """Store a stock's alignment, or with None remove it; the file that it is stored in."""
    file = alignment_file()
    make_folder(file.parent)
    with locked(file, waits=True):  # read and write under one lock, or another run's entry is lost
        kept = {name: value for name, value in _kept().items() if name != stock}
        if alignment:
            kept[stock] = asdict(alignment)
        write_whole(file, f"{json.dumps(kept, indent=1, sort_keys=True)}\n".encode())
    return file

"""Rectangles to divide a page with, so that layouts read as the page does: from the top, from the left.

Each division gives new frames; a frame itself never changes.
"""

from collections.abc import Sequence

from msgspec import Struct

__all__ = ["Frame"]


class Frame(Struct, frozen=True):
    """A rectangle in mm from the page's top left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def inset(self, dx: float, dy: float | None = None) -> "Frame":
        """The frame less a margin on every side."""
        dy = dx if dy is None else dy
        return Frame(self.x + dx, self.y + dy, self.width - 2 * dx, self.height - 2 * dy)

    def top(self, height: float) -> "tuple[Frame, Frame]":
        """A strip of that height at the top, and the rest."""
        return (
            Frame(self.x, self.y, self.width, height),
            Frame(self.x, self.y + height, self.width, self.height - height),
        )

    def left(self, width: float) -> "tuple[Frame, Frame]":
        """A strip of that width at the left, and the rest."""
        return (
            Frame(self.x, self.y, width, self.height),
            Frame(self.x + width, self.y, self.width - width, self.height),
        )

    def columns(self, shares: Sequence[float], gap: float = 0.0) -> "list[Frame]":
        """Side by side strips whose widths are in these proportions."""
        unit = (self.width - gap * (len(shares) - 1)) / sum(shares)
        frames: list[Frame] = []
        x = self.x
        for share in shares:
            frames.append(Frame(x, self.y, share * unit, self.height))
            x += share * unit + gap
        return frames

    def rows(self, shares: Sequence[float], gap: float = 0.0) -> "list[Frame]":
        """Strips one above the other whose heights are in these proportions."""
        unit = (self.height - gap * (len(shares) - 1)) / sum(shares)
        frames: list[Frame] = []
        y = self.y
        for share in shares:
            frames.append(Frame(self.x, y, self.width, share * unit))
            y += share * unit + gap
        return frames

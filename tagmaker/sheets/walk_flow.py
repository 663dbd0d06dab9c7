"""Parts of a sheet over as many pages as they need, every page filled evenly.

Takes sections of parts, each with the least and the most height that it may have; gives them page by page.
Pages are as few as the least heights allow, about equally full, and what is left of a page is shared by its
parts, so that no page has a crowded top and an empty foot.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame

__all__ = ["Part", "Section", "fill", "paged"]

STEPS = 24  # halvings of the height to which pages are filled: less than 0.001 mm


class Part(Struct, frozen=True):
    """What draws into a frame, and how high in mm that may be; a part is never divided."""

    least: float
    most: float
    draw: Draw


class Section(Struct, frozen=True):
    """Parts under a head, which is repeated on each page where the section goes on."""

    rows: tuple[Part, ...]
    head: Part | None = None

    @property
    def head_height(self) -> float:
        """The least height of its head, 0 without one."""
        return self.head.least if self.head else 0.0


def paged(sections: Sequence[Section], height: float) -> list[list[Part]]:
    """The parts in pages of that height, as few as can be and about equally full."""
    pages = _filled(sections, height)
    count, low, high = len(pages), 0.0, height
    for _ in range(STEPS if count > 1 else 0):
        middle = (low + high) / 2
        trial = _filled(sections, middle)
        if len(trial) > count or any(_least(page) > middle + 1e-6 for page in trial):
            low = middle
        else:
            pages, high = trial, middle
    return pages


def _least(page: Sequence[Part]) -> float:
    return sum(part.least for part in page)


def _filled(sections: Sequence[Section], height: float) -> list[list[Part]]:
    """Parts in order, each page filled as far as their least heights go."""
    pages: list[list[Part]] = [[]]
    left = height
    for section in sections:
        is_headed = False
        for row in section.rows:
            need = row.least + (0.0 if is_headed else section.head_height)
            if need > left + 1e-6 and pages[-1]:
                pages.append([])
                left, is_headed = height, False
            if not is_headed:
                pages[-1] += [section.head] if section.head else []
                left -= section.head_height
                is_headed = True
            pages[-1].append(row)
            left -= row.least
    return pages


def fill(page: Sequence[Part], frame: Frame) -> Iterator[tuple[Part, Frame]]:
    """Each part of a page with its frame: what is left is shared by how much they may grow."""
    growth = sum(part.most - part.least for part in page)
    extra = max(0.0, frame.height - _least(page))
    share = min(1.0, extra / growth) if growth else 0.0
    for part in page:
        place, frame = frame.top(part.least + share * (part.most - part.least))
        yield part, place

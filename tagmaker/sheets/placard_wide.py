"""A placard on letter or A4 paper: one page holds all of a common box.

Codes are at opposite corners, as large as boards and table leave them room. Where a table over the whole
width leaves too little, the page is dense: the table is beside the lower code, the cautions beside the upper.
"""

from msgspec import Struct

from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard_codes import LEVEL_USUAL, MODULE_FAR, MODULE_LEAST
from tagmaker.sheets.placard_pages import GAP, SIGN, PlacardPages
from tagmaker.sheets.placard_ports import PortTable, port_table
from tagmaker.symbols.encode import Level
from tagmaker.typeset.frame import Frame

__all__ = ["WidePlacard"]

CODE = 43.4  # mm, the least place of a code with its quiet zone, where a page has the room
TABLE_CAPS = (3.6, 3.2, 2.9, 2.6, PAGE_CAPS)
"""Text of the table, tried in turn beside boards of their usual sizes."""


class _Size(Struct, frozen=True):
    """A size of a wide page's codes: modules of the shorter and the longer one at a level.

    It is taken where boards, and a table with such capitals, are on the page; a dense page has the table
    beside the lower code.
    """

    short: float
    long: float
    caps: float
    is_dense: bool
    level: Level = LEVEL_USUAL


SIZES = (
    *(
        _Size(module, module, caps, is_dense=False)
        for module, caps in ((0.7, 3.2), (0.66, 2.9), (MODULE_FAR, 2.6))
    ),
    *(
        _Size(module, module, caps, is_dense=True)
        for module, caps in ((0.7, 2.9), (0.66, 2.6), (MODULE_FAR, PAGE_CAPS))
    ),
    _Size(MODULE_FAR, MODULE_FAR, PAGE_CAPS, is_dense=True, level="L"),
    *(
        _Size(MODULE_FAR, module, PAGE_CAPS, is_dense=True, level="L")
        for module in (0.58, 0.54, MODULE_LEAST)
    ),
    _Size(MODULE_LEAST, MODULE_LEAST, PAGE_CAPS, is_dense=False, level="L"),
    _Size(MODULE_LEAST, MODULE_LEAST, PAGE_CAPS, is_dense=True, level="L"),
)
"""Tried in turn; mm."""


class _Wide(Struct, frozen=True):
    """How a wide page is laid out: the places of both codes, and whether its table is beside the lower one.

    The cautions are then beside the upper one. `caps` is the least height of the table's capitals.
    """

    upper: float
    lower: float
    is_dense: bool
    caps: float = PAGE_CAPS


class WidePlacard(PlacardPages):
    """On letter or A4 paper: codes at opposite corners of the first page: a torn corner leaves one."""

    is_wide = True

    def lay_out(self) -> None:
        """Boards, then ports, as high as they need to be and no higher."""
        wide = self._arranged()
        beside = self._beside(wide.upper)
        self._begin(beside)
        head = self.heads[0]
        place = Frame(head.x, head.bottom + 1.0, beside, self.room.height)
        facts, place = place.top(self.parts.facts_height(beside))
        self.parts.facts(facts)
        if wide.is_dense:
            self.parts.cautions(place.top(1.0)[1].top(self.parts.cautions_height(beside))[0])
        place = Frame(self.room.right - wide.upper, self.room.y, wide.upper, self.upper.height(wide.upper))
        self.upper.draw(self.layout, place)
        below = self.room.top(self._top_height(wide) + GAP)[1]
        foot_height = self._foot_height(wide)
        middle, foot = below.top(below.height - foot_height - GAP)
        foot = foot.top(GAP)[1]
        self.left = middle
        if wide.is_dense:
            self._boards(self._grid(middle.height).taller(0.0))
            self._foot(foot, wide)
        else:
            self._foot(foot, wide)
            self._middle(middle)

    def _arranged(self) -> _Wide:
        """The first of `SIZES` with which boards and table are on the page."""
        boards = self._boards_least
        is_upper_longer = len(self.upper.text) > len(self.lower.text)
        for size in SIZES:
            wide = self._wide(size, is_upper_longer=is_upper_longer)
            needed = self._top_height(wide) + boards + self._foot_height(wide) + 2 * GAP
            if needed + (0.0 if size.is_dense else GAP + self.table.height(size.caps)) <= self.room.height:
                return wide
        overleaf = _Size(MODULE_FAR, MODULE_FAR, PAGE_CAPS, is_dense=False)
        return self._wide(overleaf, is_upper_longer=is_upper_longer)

    def _wide(self, size: _Size, *, is_upper_longer: bool) -> _Wide:
        modules = (size.long, size.short) if is_upper_longer else (size.short, size.long)
        upper, lower = (
            min(max(CODE, code.side(module, size.level)), self.room.width / 2)
            for code, module in zip(self._codes, modules, strict=True)
        )
        return _Wide(upper, lower, size.is_dense, size.caps)

    def _beside(self, side: float) -> float:
        """The width beside a code."""
        return self.room.width - side - GAP

    def _top_height(self, wide: _Wide) -> float:
        """The upper code, or what is beside it: heading and facts, cautions too where the page is dense."""
        parts, width = self.parts, self._beside(wide.upper)
        words = parts.head_height(width) + 1.0 + parts.facts_height(width)
        return max(self.upper.height(wide.upper), words + self._cautions_height(width, is_here=wide.is_dense))

    def _cautions_height(self, width: float, *, is_here: bool) -> float:
        return self.parts.cautions_height(width) + 1.0 if is_here else 0.0

    def _middle(self, middle: Frame) -> None:
        """Boards as large as the table leaves them room; on pages of their own where both do not fit."""
        least = self._boards_least
        rooms = (middle.height - self.table.height(caps) - GAP for caps in TABLE_CAPS)
        for_boards = next((room for room in rooms if least <= room), middle.height)
        grid = self._grid(for_boards)
        table = self.table.height_most + GAP if for_boards < middle.height else 0.0
        self._boards(grid.taller(middle.height - grid.height - table))
        if self.left.height < self.table.height() <= self._next_room:
            self._next()
        self._ports(self.table.caps_within(self.left.height), self.left.height)

    def _foot_height(self, wide: _Wide) -> float:
        """The lower code, or what is beside it."""
        width = self._beside(wide.lower)
        words = self._cautions_height(width, is_here=not wide.is_dense) + self._signs_height(width)
        table = self._narrow(width).height(wide.caps) + GAP if wide.is_dense else 0.0
        return max(self.lower.height(wide.lower), table + words)

    def _signs_height(self, width: float) -> float:
        return self.parts.rules_height(width) + 1.0 + 2 * SIGN

    def _narrow(self, width: float) -> PortTable:
        """The table beside the lower code."""
        return port_table(self.parts.job, self.box, self.words, width, with_bars=True)

    def _foot(self, frame: Frame, wide: _Wide) -> None:
        """The second code; beside it cautions or the table, whose rules are assumed, and lines to sign."""
        height = self.lower.height(wide.lower)
        self.lower.draw(self.layout, Frame(frame.x, frame.bottom - height, wide.lower, height))
        beside = Frame(frame.x + wide.lower + GAP, frame.y, self._beside(wide.lower), frame.height)
        if wide.is_dense:
            self.table = self._narrow(beside.width)
            self.left, rest = beside.top(beside.height - self._signs_height(beside.width) - GAP)
            self._ports(self.table.caps_within(self.left.height), self.left.height)
        else:
            cautions, rest = beside.top(self.parts.cautions_height(beside.width))
            self.parts.cautions(cautions)
        signs = Frame(rest.x, rest.bottom - 2 * SIGN, rest.width, 2 * SIGN)
        self.parts.rules(Frame(rest.x, rest.y + 1.0, rest.width, rest.height - 2 * SIGN - 1.0))
        upper, lower = signs.rows((1, 1))
        self.parts.sign_lines([upper, *lower.columns((1, 1), 3)])

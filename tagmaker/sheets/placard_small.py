"""A placard on a page narrower than letter and A4: a label, or half a sheet.

Settings and cautions come first; ports, both codes and signatures follow on the next page.
"""

from functools import cached_property

from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard_codes import MODULE_FAR, MODULE_LEAST, MODULE_MOST, apart
from tagmaker.sheets.placard_pages import GAP, SIGN, PlacardPages
from tagmaker.symbols.encode import Level
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.paragraphs import Paragraph, draw_paragraphs, paragraphs_height

__all__ = ["SmallPlacard"]

Size = tuple[float, Level, Level]
"""Modules of both codes in mm, the levels of the longer and of the shorter one."""
BESIDE_EACH_OTHER: tuple[Size, ...] = (
    (MODULE_FAR, "H", "H"), (MODULE_MOST, "M", "M"), (MODULE_FAR, "Q", "Q"), (MODULE_FAR, "M", "Q"),
    (MODULE_FAR, "M", "M"),
)  # fmt: skip
ONE_BELOW_THE_OTHER: tuple[Size, ...] = (
    (MODULE_FAR, "H", "H"), (MODULE_FAR, "Q", "Q"), (MODULE_FAR, "M", "Q"), (MODULE_FAR, "M", "M"),
    (MODULE_FAR, "L", "L"),
)  # fmt: skip
SMALLER: tuple[Size, ...] = ((0.56, "L", "L"), (MODULE_LEAST, "L", "L"))
"""Sizes tried in turn."""
BESIDE = 1.5  # mm beside a code
STAGGER = 22.0  # mm, more than a thumb: how far apart in height two codes side by side begin
BLANK_MOST = 12.0  # mm between boards and cautions; with more the blank is at the page's foot
CLEAR = 6.0  # mm between places side by side: one blot hits both of nearer ones (measured: 2 scans in 100)
LABEL_WIDTH = 110.0  # mm: what is left of a page that narrow keeps its codes apart, for blots and scratches
SIGN_LEAST, SIGN_MOST = 7.3, 11.0  # mm of a line to write on, with its name below


class SmallPlacard(PlacardPages):
    """On a small page: settings and cautions first; ports, both codes and signatures after them."""

    is_wide = False

    def lay_out(self) -> None:
        """Boards from below the facts down to the cautions, then on."""
        below = self._begin(self.room.width)
        facts, below = below.top(self.parts.facts_height(below.width))
        self.parts.facts(facts)
        cautions = self.parts.cautions_height(below.width)
        room = below.top(below.height - cautions - GAP)[0].top(1.0)[1]
        self.left = room
        grid = self._grid(room.height)
        first = grid.height_of(grid.pages(room.height, self._next_room)[0])
        y = room.y + first + GAP if room.height - first > BLANK_MOST else below.bottom - cautions
        self.parts.cautions(Frame(below.x, y, below.width, cautions))
        self._boards(grid)
        rest = self.table.height() + self._foot_height + GAP
        if rest <= self._next_room and (len(self.heads) == 1 or rest > self.left.height):
            self._next()
        if self._is_stacked and self.left.height < self.table.height() <= self._next_room:
            self._next()
        for_table = self.left.height - (0.0 if self._is_stacked else self._foot_height + GAP)
        if self.room.width > LABEL_WIDTH:
            self._ports(self.table.caps_within(for_table), for_table)
        else:
            self._ports(PAGE_CAPS, self.table.height())
        self._foot()

    @cached_property
    def _sides(self) -> tuple[float, float]:
        """The places of both codes, the first that there is room for.

        Side by side and clear of each other; side by side; one below the other on a page of their own; side
        by side and smaller; a page each.
        """
        beside = [*map(self._sized, BESIDE_EACH_OTHER)]
        found = (
            [sides for sides in beside if self._is_beside(*sides, CLEAR)]
            or [sides for sides in reversed(beside) if self._is_beside(*sides)]
            or [sides for sides in map(self._sized, ONE_BELOW_THE_OTHER) if self._is_on_a_page(*sides)]
            or [sides for sides in map(self._sized, SMALLER) if self._is_beside(*sides)]
        )
        return found[0] if found else (self.room.width, self.room.width)

    def _sized(self, size: Size) -> tuple[float, float]:
        """The places of both codes in that size."""
        module, long, short = size
        is_upper_longer = len(self.upper.text) > len(self.lower.text)
        upper, lower = (long, short) if is_upper_longer else (short, long)
        return self.upper.side(module, upper), self.lower.side(module, lower)

    def _is_beside(self, upper: float, lower: float, clear: float = 0.0) -> bool:
        return upper + lower + clear <= self.room.width

    def _is_on_a_page(self, upper: float, lower: float) -> bool:
        height = self.upper.height(upper) + GAP + self.lower.height(lower)
        return height <= self._next_room and max(upper, lower) <= self.room.width

    @property
    def _is_stacked(self) -> bool:
        return not self._is_beside(*self._sides)

    @property
    def _foot_height(self) -> float:
        """The codes and what is between them: words beside the upper one, lines to sign below it."""
        upper, lower = (code.height(side) for code, side in zip(self._codes, self._sides, strict=True))
        if self._is_stacked:
            return upper + GAP + lower
        return max(upper + GAP + 3 * SIGN_LEAST, self._down(*self._sides, self._stagger) + lower)

    @property
    def _stagger(self) -> float:
        """How far the lower code begins below the upper one, at least."""
        width = self.room.width - self._sides[0] - BESIDE
        return max(STAGGER, self.parts.rules_height(width) + self._warnings_height(width) + 2 * GAP)

    def _warnings_height(self, width: float) -> float:
        return paragraphs_height(self._warnings, width)

    @cached_property
    def _warnings(self) -> list[Paragraph]:
        """That a contact card is not to be saved; once, where both codes are one.

        It is beside the upper code and above the lower one: an arrow shows which of two forms it is about.
        """
        upper, lower = self._codes
        if upper.form == lower.form:
            return upper.warning_beside("right")
        right, below = (self.parts.words(f"placard.towards_{key}") for key in ("right", "below"))
        return upper.warning_beside("right", right) or lower.warning_beside("left", below)

    def _foot(self) -> None:
        """The codes at opposite corners of what is left, or of a new page; large ones on a page each."""
        if self._foot_height > self._next_room:
            for code in self._codes:
                self._next()
                code.draw(self.layout, self.left)
            self._next()
            self._words(self.left.top(40.0)[0])
            self._signs(self.left.top(44.0)[1].top(3 * SIGN)[0])
            return
        if self.left.height < self._foot_height:
            self._next()
        frame, (upper, lower) = self.left, self._sides
        high, low = self.upper.height(upper), self.lower.height(lower)
        down = frame.height - low if self._is_stacked else self._down(upper, lower, frame.height - low)
        top = frame.bottom - max(high, down + low)
        one = Frame(frame.right - upper, top, upper, high)
        other = Frame(frame.x, top + down, lower, low)
        self.upper.draw(self.layout, one)
        self.lower.draw(self.layout, other)
        self._words(Frame(frame.x, one.y + 0.5, one.x - frame.x - BESIDE, down - 1.0))
        signs = min(frame.bottom - one.bottom - GAP, 3 * SIGN_MOST)
        left = other.right + BESIDE
        self._signs(Frame(left, frame.bottom - signs, frame.right - left, signs))

    def _down(self, upper: float, lower: float, most: float) -> float:
        """How far the lower place is below the upper one's top, both side by side; at most so far."""
        one, other = self.upper.sized(upper), self.lower.sized(lower)
        if one is None or other is None:
            return most
        shift = other.quiet - one.quiet
        return apart(one, other, self._stagger + shift, most + shift) - shift

    def _words(self, frame: Frame) -> None:
        """Whose rules are assumed, and that a contact card is not to be saved, beside the upper code."""
        rules, rest = frame.top(self.parts.rules_height(frame.width))
        self.parts.rules(rules)
        draw_paragraphs(self.layout, self._warnings, rest.top(GAP)[1])

    def _signs(self, frame: Frame) -> None:
        """Lines to sign."""
        self.parts.sign_lines(frame.rows((1, 1, 1)))

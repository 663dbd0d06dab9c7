"""A page or label being laid out: marks so far, and the texts that did not fit.

Takes texts with their frames; gives marks, and a problem for each text that does not fit or has a character
that the typeface lacks. Nothing is ever cut: a shortened tag would be another tag.
"""

from collections.abc import Sequence
from contextlib import AbstractContextManager

from msgspec import Struct

from tagmaker.draw.marks import Bars, Begin, End, Line, Mark, Rect, Role, Text
from tagmaker.problems import Problem, Where, error
from tagmaker.symbols.encode import Symbol
from tagmaker.typeset.fonts import PLAIN, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, Unfit, fit, fit_stack

__all__ = ["Layout"]

CELLS = frozenset({"TD", "TH"})  # parts that are there though nothing is in them
END = End()


class Layout(Struct):
    """Collects marks and problems.

    A text that cannot be set becomes a problem that names `what` is being laid out, at `where`.
    """

    what: str
    where: Where
    box: str
    marks: list[Mark] = []
    problems: list[Problem] = []

    def part(self, role: Role, alt: str = "") -> AbstractContextManager[None]:
        """What is laid out within this is read aloud as one thing of that role.

        Outside of parts each text is a paragraph, each symbol a figure, and all else is decoration.
        """
        return _Part(self, Begin(role, alt))

    def figure(self, alt: str) -> AbstractContextManager[None]:
        """What is laid out within this is a picture, in place of which a screen reader says `alt`."""
        return self.part("Figure", alt)

    def text(self, text: str, frame: Frame, style: Style) -> bool:
        """Set a text in a frame; whether it fits. An empty text always does."""
        if not text:
            return True
        return self._add(fit(text, frame, style), style.least)

    def check_signs(self, text: str) -> None:
        """Report the characters of a text that the typeface lacks, though the text may not be printed."""
        if missing := face(PLAIN).missing(text):
            self._unfit(Unfit(text, missing), 0.0)

    def stack(self, paragraphs: Sequence[tuple[str, Style]], frame: Frame, *, alike: bool = False) -> bool:
        """Set paragraphs one below the other; whether they fit. Empty ones are left out."""
        present = [(text, style) for text, style in paragraphs if text]
        if not present:
            return True
        return self._add(fit_stack(present, frame, alike=alike), min(style.least for _, style in present))

    def _add(self, lines: tuple[Text, ...] | Unfit, least: float) -> bool:
        """Keep the lines of a text, or report why there are none."""
        if isinstance(lines, Unfit):
            self._unfit(lines, least)
            return False
        self.marks += lines
        return True

    def _unfit(self, unfit: Unfit, least: float) -> None:
        """Report a text that cannot be set."""
        if unfit.missing:
            signs = ", ".join(f"U+{ord(sign):04X}" for sign in unfit.missing)
            message = f"{self.what}: the typeface has no character {signs} for {unfit.text!r}"
            problem = error("character-missing", message, self.where, "use other characters", (self.box,))
        else:
            message = f"{self.what}: {unfit.text!r} does not fit with capitals {least:g} mm high"
            hint = "shorten it, or choose a larger stock in [print]"
            problem = error("text-too-long", message, self.where, hint, (self.box,))
        self.problems.append(problem)

    def rect(
        self, frame: Frame, *, fill: float | None = None, line: float = 0.0, radius: float = 0.0
    ) -> None:
        """A rectangle."""
        self.marks.append(
            Rect(frame.x, frame.y, frame.width, frame.height, fill=fill, line=line, radius=radius)
        )

    def dashed(self, frame: Frame, line: float) -> None:
        """A rectangle with a dashed outline."""
        self.marks.append(Rect(frame.x, frame.y, frame.width, frame.height, line=line, dash=(1.2, 0.7)))

    def rule(self, x1: float, y1: float, x2: float, y2: float, width: float = 0.25) -> None:
        """A straight line."""
        self.marks.append(Line(x1, y1, x2, y2, width))

    def symbol(self, symbol: Symbol, x: float, y: float, cell: float, height: float | None = None) -> None:
        """A symbol whose first cell's corner is at x, y; bars are `height` mm high."""
        rows = height if height is not None else cell
        self.marks.append(Bars(x, y, cell, rows, symbol.runs, symbol.text))


class _Part(AbstractContextManager[None]):
    """A part being laid out: its begin and end among the marks, or neither where nothing is in it.

    A campus has 250,000: a generator in this place took three times as long.
    """

    __slots__ = ("begin", "count", "layout")

    def __init__(self, layout: Layout, begin: Begin) -> None:
        self.layout, self.begin = layout, begin

    def __enter__(self) -> None:
        self.layout.marks.append(self.begin)
        self.count = len(self.layout.marks)

    def __exit__(self, *_: object) -> None:
        marks = self.layout.marks
        if len(marks) > self.count or self.begin.role in CELLS:
            marks.append(END)
        else:
            marks.pop()

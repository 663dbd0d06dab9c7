"""The stages of `align`: print a page of two crosses → read where they came out → keep the difference.

Takes two readings in millimetres from the left and top edge of the printed page; keeps shift and scale for
that stock in the user's config folder, where `make` finds them and prints against them.
"""

import re
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.alignment import Alignment, alignment_file, alignment_of, keep_alignment, measured
from tagmaker.catalog.stock import load_stock
from tagmaker.catalog.words import load_words
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.sample import align_page, align_points
from tagmaker.workflows.stocks import write_picture

__all__ = ["Aligned", "align", "forget", "print_page"]

READING = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*[, ;]\s*(-?\d+(?:\.\d+)?)\s*", re.ASCII)
FAR_OFF_MM = 15.0
"""A reading farther than this from its cross is a slip of the pen, not a printer."""
FAR_OFF_SCALE = 0.1
"""No printer is off by more than a tenth: such a page was printed "to fit"."""

Point = tuple[float, float]


class Aligned(Struct, frozen=True):
    """What was done for a stock: its alignment as kept, None where it was forgotten or there are problems."""

    stock: str
    file: Path
    alignment: Alignment | None = None
    problems: tuple[Problem, ...] = ()


def print_page(stock: str, out: Path) -> tuple[Problem, ...]:
    """Write the page of crosses for a stock, PDF or PNG."""
    found, problems = load_stock(stock, "", None, Where("STOCK"))
    if found is None:
        return tuple(problems)
    return write_picture(out, f"alignment of {stock}", align_page(found, load_words()))


def align(name: str, first: str, second: str) -> Aligned:
    """Keep what two readings ("25.2,25.1") give for a stock; nothing is kept where one cannot be right."""
    stock, problems = load_stock(name, "", None, Where("STOCK"))
    if stock is None:
        return _refused(name, *problems)
    points = align_points(stock)
    readings: list[Point] = []
    for text, point in zip((first, second), points, strict=True):
        read = _reading(text, point)
        if isinstance(read, Problem):
            return _refused(name, read)
        readings.append(read)
    kept = measured(points, (readings[0], readings[1]))
    if max(abs(kept.scale_x - 1), abs(kept.scale_y - 1)) > FAR_OFF_SCALE:
        message = f"these readings give scale {kept.scale_x:.2%}, {kept.scale_y:.2%}, which is not plausible"
        hint = "print at 100 % and measure again"
        return _refused(name, error("value-wrong", message, Where("align"), hint))
    return _keep(name, kept)


def forget(name: str) -> Aligned:
    """Forget what was measured for a stock; one that was never measured is no problem, a wrong name is."""
    if alignment_of(name) is None:
        stock, problems = load_stock(name, "", None, Where("STOCK"))
        if stock is None:
            return _refused(name, *problems)
    return _keep(name, None)


def _reading(text: str, point: Point) -> Point | Problem:
    """A reading in mm; a problem where it is not a pair of numbers, or is far from its cross."""
    match = READING.fullmatch(text)
    hint = f"write X,Y in mm; the cross should be at {point[0]:g},{point[1]:g}"
    if match is None:
        return error("value-wrong", f"{text!r} is not two numbers", Where("align"), hint)
    read = (float(match[1]), float(match[2]))
    if max(abs(read[0] - point[0]), abs(read[1] - point[1])) > FAR_OFF_MM:
        return error("value-wrong", f"{text!r} is too far from its cross", Where("align"), hint)
    return read


def _keep(name: str, alignment: Alignment | None) -> Aligned:
    """Keep an alignment, or forget it where None is given."""
    try:
        return Aligned(name, keep_alignment(name, alignment), alignment)
    except OSError as reason:
        message = f"the alignment cannot be saved: {reason.strerror}"
        return _refused(
            name,
            error("output-blocked", message, Where(alignment_file().as_posix()), "make the folder writable"),
        )


def _refused(name: str, *problems: Problem) -> Aligned:
    return Aligned(name, alignment_file(), problems=problems)

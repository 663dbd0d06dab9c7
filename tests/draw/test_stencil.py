"""What is drawn once and filled in is the ink of what is drawn by itself."""

from tagmaker.draw.fonts import CODES, numbered
from tagmaker.draw.ink import drawn
from tagmaker.draw.marks import Bars, Line, Mark, Rect, Text, part
from tagmaker.draw.stencil import stencil
from tagmaker.typeset.fonts import BOLD, PLAIN, all_faces

Runs = tuple[tuple[int, int, int, int], ...]
ONE_CELL: Runs = ((0, 0, 1, 1),)
DIFFERING = (2, 3, 5, 6)  # of a label's marks in their part


def label(first: str, second: str, runs: Runs, code: str) -> tuple[Mark, ...]:
    """A label with two texts that are read as one, a symbol, and a text in the middle of its place."""
    return part(
        "P",
        (
            Rect(0, 0, 30, 20, line=0.3),
            Text(3, 4, first, BOLD, 3, role="main"),
            Text(3, 8, second, BOLD, 3),
            Line(0, 10, 30, 10),
            Bars(20, 4, 0.5, 0.5, runs, code),
            Text(15, 18, first, PLAIN, 2.5, "center"),
            Text(3, 18, "ÅÖ (1)", PLAIN, 2.5),
        ),
    )


ONE = label("FC-1", "room 1", ((0, 0, 1, 1), (0, 1, 3, 3)), "BB-1/A")
OTHER = label("FC-2W", "room (2)", ((1, 0, 1, 1), (0, 1, 3, 3), (4, 1, 1, 1)), "BB-22/WW")


def test_filled_in_it_is_the_ink_of_the_others_marks() -> None:
    """Operators, signs, what is kept and how it is read, whichever of both it was made for."""
    for made_for in (ONE, OTHER):
        found = stencil(made_for, DIFFERING, all_faces())
        assert found
        for marks, code in ((ONE, "BB-1/A"), (OTHER, "BB-22/WW")):
            own = [marks[at] for at in DIFFERING]
            assert (found.filled(own, code),) == drawn(marks, all_faces())


def test_a_text_in_two_fonts_has_no_stencil() -> None:
    """Digits are in a face's first font, rare signs in its second."""
    rare = chr(next(sign for sign, code in numbered(all_faces()[1]).numbers.items() if code >= CODES))
    assert stencil(label(f"{rare} 1", "room 1", ONE_CELL, "X"), DIFFERING, all_faces()) is None

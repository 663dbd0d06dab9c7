"""A page being laid out: its marks, and what could not be set."""

from tagmaker.draw.marks import Bars, Line, Rect, Text
from tagmaker.problems import Severity, Where
from tagmaker.symbols.encode import qr
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style


def layout() -> Layout:
    """An empty page of a box."""
    return Layout("placard of BB-1", Where("job.toml", 7), "BB-1")


def test_a_text_that_fits_becomes_marks() -> None:
    """It is set, and nothing is told."""
    page = layout()
    assert page.text("Hall", Frame(0, 0, 40, 10), Style(3))
    assert [mark.text for mark in page.marks if isinstance(mark, Text)] == ["Hall"]
    assert page.problems == []


def test_a_text_that_does_not_fit_becomes_a_problem() -> None:
    """It is not drawn at all; the problem names what is laid out, the text, the size, the box and the row."""
    page = layout()
    assert not page.text("Conservatory", Frame(0, 0, 5, 10), Style(3))
    (problem,) = page.problems
    assert page.marks == []
    assert problem.message == "placard of BB-1: 'Conservatory' does not fit with capitals 1.5 mm high"
    assert (problem.severity, problem.code) == (Severity.ERROR, "text-too-long")
    assert (problem.boxes, str(problem.where)) == (("BB-1",), "job.toml:7")


def test_a_missing_character_is_told_by_its_number() -> None:
    """The character itself could not be printed in the message's reader either."""
    page = layout()
    assert not page.stack([("Hall", Style(3)), ("茶室", Style(3))], Frame(0, 0, 40, 20))
    (problem,) = page.problems
    assert problem.code == "character-missing"
    assert problem.message == "placard of BB-1: the typeface has no character U+8336, U+5BA4 for '茶室'"


def test_empty_texts_take_no_room() -> None:
    """Nothing to say is neither a mark nor a problem; in a stack the others take its room."""
    page = layout()
    assert page.text("", Frame(0, 0, 1, 1), Style(3))
    assert page.stack([("", Style(3))], Frame(0, 0, 1, 1))
    assert (page.marks, page.problems) == ([], [])
    assert page.stack([("", Style(3)), ("Hall", Style(3))], Frame(0, 0, 40, 4.3))
    assert [mark.text for mark in page.marks if isinstance(mark, Text)] == ["Hall"]


def test_a_stack_that_does_not_fit_is_one_problem() -> None:
    """The paragraph that is too long is named, none is drawn."""
    page = layout()
    assert not page.stack([("Hall", Style(3)), ("Conservatory", Style(3))], Frame(0, 0, 5, 9), alike=True)
    (problem,) = page.problems
    assert (page.marks, problem.code) == ([], "text-too-long")
    assert "'Conservatory'" in problem.message


def test_shapes() -> None:
    """Rectangles, dashed ones, rules and symbols lie where they are asked to."""
    page = layout()
    frame = Frame(1, 2, 3, 4)
    page.rect(frame, fill=0.5, line=0.2, radius=1)
    page.dashed(frame, 0.3)
    page.rule(0, 1, 2, 3, 0.4)
    symbol = qr("BB-1/A/LIQ")
    page.symbol(symbol, 5, 6, 0.5)
    page.symbol(symbol, 5, 6, 0.5, 8)
    filled, dashed, rule, square, bars = page.marks
    assert filled == Rect(1, 2, 3, 4, 0.5, 0.2, 0.0, 1)
    assert isinstance(dashed, Rect)
    assert (dashed.x, dashed.y, dashed.line, bool(dashed.dash)) == (1, 2, 0.3, True)
    assert rule == Line(0, 1, 2, 3, 0.4)
    assert square == Bars(5, 6, 0.5, 0.5, symbol.runs, "BB-1/A/LIQ")
    assert bars == Bars(5, 6, 0.5, 8, symbol.runs, "BB-1/A/LIQ")

"""How a page is read aloud: what belongs to what, in which order, whatever it is drawn in."""

import zlib

import pytest

from tagmaker.draw.ink import drawn, ink_page
from tagmaker.draw.marks import (
    Bars,
    Begin,
    Drawn,
    Element,
    End,
    Field,
    Group,
    Line,
    Mark,
    Page,
    Reading,
    Rect,
    Role,
    Text,
    flat,
    moved,
    part,
)
from tagmaker.draw.reading import Kid, unpacked
from tagmaker.problems import Where
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import BOLD, PLAIN, all_faces

CODE = Bars(40, 4, 0.5, 0.5, ((0, 0, 2, 1), (1, 1, 1, 3)), "BB-1/A/LIQ")
RULE = Line(0, 20, 50, 20)
TICK = Field(1, 30, 4, 4, "check", "BB-1/left/seen", "seen")


def text(words: str, y: float, x: float = 2.0, face: str = PLAIN) -> Text:
    """A line of text of 2 mm em."""
    return Text(x, y, words, face, 2.0)


def read(*marks: Mark) -> tuple[Kid, ...]:
    """How a page of these marks is read."""
    return ink_page(Page(60, 40, marks), all_faces()).kids


def outline(kids: tuple[Kid, ...]) -> list[object]:
    """Elements as their roles with what they hold; a stretch or field as its number."""
    return [[kid.role, *outline(kid.kids)] if isinstance(kid, Element) else kid for kid in kids]


def operators(*marks: Mark) -> str:
    """The operators of these marks, packed as ink is."""
    return zlib.decompress(ink_page(Page(60, 40, marks), all_faces()).stream).decode("latin-1")


# --- outside of parts ---------------------------------------------------------------------------------------


def test_a_text_is_a_paragraph_a_symbol_a_figure_and_a_rule_is_not_read() -> None:
    """The figure says the text of its symbol."""
    assert outline(read(text("A", 5), RULE, CODE, text("B", 30))) == [["P", 0], ["Figure", 1], ["P", 2]]
    (figure,) = read(CODE)
    assert isinstance(figure, Element)
    assert figure.alt == "BB-1/A/LIQ"


def test_lines_of_one_paragraph_are_one_paragraph() -> None:
    """Set alike and right below each other; with a space between their words."""
    lines = (text("upper", 5), text("lower", 7.2))
    assert outline(read(*lines)) == [["P", 0]]
    assert "(upper )" in operators(*lines)
    assert "(lower)" in operators(*lines)


@pytest.mark.parametrize(
    "other",
    [text("b", 7.2, x=3), text("b", 9), text("b", 5), text("b", 7.2, face=BOLD), Text(2, 7, "b", PLAIN, 2.5)],
    ids=["beside", "far below", "on it", "bold", "larger"],
)
def test_other_texts_are_paragraphs_of_their_own(other: Text) -> None:
    """One that is elsewhere or set otherwise begins anew."""
    assert outline(read(text("a", 5), other)) == [["P", 0], ["P", 1]]


def test_a_field_is_read_where_it_is() -> None:
    """Between the texts around it; a hidden one is not read."""
    kept = Field(0, 0, 5, 5, "kept", "BB-1/printed", "", "text")
    assert outline(read(text("a", 5), kept, TICK, text("b", 30))) == [["P", 0], -2, ["P", 1]]


# --- parts --------------------------------------------------------------------------------------------------


def test_a_part_takes_in_all_that_is_drawn_in_it() -> None:
    """Texts and shapes; a symbol in it is a figure of its own."""
    marks = part("P", (text("a", 5), RULE, CODE, text("b", 30)))
    assert outline(read(*marks)) == [["P", 0, ["Figure", 1], 2]]
    assert "(a )" in operators(*marks)


def test_a_figure_is_one_thing_whose_fields_follow_it() -> None:
    """A screen reader says its alternate text in place of all in it, and a field must not be lost in that."""
    inside = (text("ON", 5), RULE, CODE, TICK, *part("TD", [text("OFF", 9)]))
    kids = read(*part("Figure", inside, "board left"), text("b", 30))
    assert outline(kids) == [["Figure", 0], -1, ["P", 1]]
    assert isinstance(kids[0], Element)
    assert kids[0].alt == "board left"


def test_an_artifact_is_not_read() -> None:
    """Whatever is in it."""
    assert read(*part("Artifact", (text("a", 5), CODE, RULE, *part("H1", [text("b", 9)])))) == ()


@pytest.mark.parametrize("role", ["H1", "H2", "P", "TD"])
def test_a_part_with_nothing_in_it_is_left_out_unless_it_is_a_cell(role: Role) -> None:
    """A row of a table has a cell for each of its columns."""
    assert outline(read(Begin(role), End())) == ([["TD"]] if role == "TD" else [])


def test_rows_that_follow_each_other_are_a_table() -> None:
    """Rules between them do not part them, a heading does; a short row's last cell goes on to the end."""
    one, two = part("TD", [text("a", 5)]), part("TD", [text("b", 5, x=20)])
    rows = (*part("TR", part("TH", [text("h", 2)])), RULE, *part("TR", (*one, *two)))
    kids = read(*rows, *part("H2", [text("title", 30)]), *part("TR", one))
    assert outline(kids) == [
        ["Table", ["TR", ["TH", 0]], ["TR", ["TD", 1], ["TD", 2]]],
        ["H2", 3],
        ["Table", ["TR", ["TD", 4]]],
    ]
    table = kids[0]
    assert isinstance(table, Element)
    spans = [cell.columns for row in table.kids if isinstance(row, Element) for cell in row.kids
             if isinstance(cell, Element)]  # fmt: skip
    assert spans == [2, 1, 1]


def test_a_part_that_is_left_open_is_a_bug() -> None:
    """It would take in what is no part of it."""
    with pytest.raises(ValueError, match="a part is not ended"):
        read(Begin("H1"), text("a", 5))
    with pytest.raises(IndexError):
        read(text("a", 5), End())


# --- ink that is made ahead ---------------------------------------------------------------------------------


def test_ink_made_ahead_is_read_the_same() -> None:
    """Its stretches and fields are counted on from those before it on its page."""
    label = part("P", (CODE, text("BB-1 A", 30)))
    (ahead,) = drawn(label, all_faces())
    marks = (Group(0, 0, label), Group(30, 0, label))
    ready: tuple[Mark, ...] = (Group(0, 0, (ahead,)), Group(30, 0, (ahead,)))
    assert operators(*ready) == operators(*marks)
    first, second = read(*ready)
    assert isinstance(ahead, Drawn)
    own = unpacked(ahead.kids)
    assert (first, second) == (Reading(0, 0, own), Reading(2, 0, own))
    assert outline(own) == [["P", ["Figure", 0], 1]]


def test_fields_of_ink_made_ahead_are_read_where_they_were() -> None:
    """They follow the ink on the page, and are read among its texts."""
    page = (text("a", 5), TICK, text("b", 30))
    (reading,) = read(*drawn(page, all_faces()))
    assert isinstance(reading, Reading)
    assert outline(reading.kids) == [["P", 0], -1, ["P", 1]]


def test_ends_of_parts_are_no_marks() -> None:
    """They are not among the marks one by one, and lie nowhere."""
    marks = part("H1", [text("a", 5)])
    assert list(flat(marks)) == [text("a", 5)]
    assert moved(marks, 1, 1) == part("H1", [text("a", 6, x=3)])


# --- laid out -----------------------------------------------------------------------------------------------


def test_a_layout_says_what_its_marks_are() -> None:
    """Nothing is left of a part in which nothing was laid out."""
    layout = Layout("page", Where("job.toml"), "")
    with layout.part("H1"):
        pass
    assert layout.marks == []
    with layout.figure("board left"):
        layout.rule(0, 0, 10, 0)
    with layout.part("TD"):
        pass
    assert layout.marks == [Begin("Figure", "board left"), Line(0, 0, 10, 0), End(), Begin("TD"), End()]


def test_shapes_alone_are_read_as_nothing() -> None:
    """A page of frames has no element."""
    assert read(Rect(0, 0, 5, 5, line=0.2), RULE) == ()

"""Marks as SVG: well-formed, at the same places as in the PDF, read aloud, and never code."""

import xml.etree.ElementTree as ET

import pytest

from tagmaker.draw.marks import (
    Bars,
    Begin,
    Drawn,
    End,
    Field,
    Group,
    Line,
    Mark,
    Page,
    Picture,
    Polygon,
    Rect,
    Text,
)
from tagmaker.draw.svg import svg
from tagmaker.typeset.fonts import all_faces, face

NAME = "{http://www.w3.org/2000/svg}"
HOSTILE = "</title><script>alert(1)</script>\" onload='x' &amp; \x00\ud800"


def drawn(*marks: Mark, label: str = "") -> ET.Element:
    """The page of 60 x 40 mm with these marks, read as XML."""
    return ET.fromstring(svg(Page(60, 40, marks), all_faces(), label))  # noqa: S314 — the program's own


def test_a_page_is_measured_in_millimetres() -> None:
    """Its size is the view box; its ground is white paper."""
    root = drawn()
    assert (root.tag, root.get("viewBox")) == (f"{NAME}svg", "0 0 60 40")
    assert [(each.get("d"), each.get("fill")) for each in root] == [("M0 0H60V40H0Z", "#fff")]


@pytest.mark.parametrize(("align", "share"), [("left", 0.0), ("center", 0.5), ("right", 1.0)])
def test_a_text_is_as_wide_as_the_face_says(align: str, share: float) -> None:
    """Its left end and its length do not depend on the browser's face."""
    (text,) = drawn(Text(30, 20, "FC-101", "bold", 4.0, align)).iter(f"{NAME}text")  # type: ignore[arg-type]
    wide = face("bold").width("FC-101", 4.0)
    assert float(text.get("textLength", "")) == pytest.approx(wide, abs=1e-4)
    assert float(text.get("x", "")) == pytest.approx(30 - share * wide, abs=1e-4)
    assert (text.get("y"), text.get("font-size"), text.get("font-weight")) == ("20", "4", "700")


def test_no_space_is_lost() -> None:
    """A browser shows one space of a row, and none at an end."""
    (text,) = drawn(Text(5, 20, " 2  Loads ", "plain", 4.0)).iter(f"{NAME}text")
    assert text.text == "\u00a02\u00a0 Loads\u00a0"


def test_a_figure_has_its_alternate_text() -> None:
    """And decoration is not read; what is within a figure is part of it."""
    symbol = Bars(5, 5, 1, 1, ((0, 0, 2, 1),), "BB-1/C/LIQ")
    marks = (Begin("Figure", "LEFT BOARD"), symbol, End(), Begin("Artifact"), Line(1, 1, 9, 1), End(), symbol)
    groups = list(drawn(*marks).iter(f"{NAME}g"))
    assert [(each.get("role"), each.get("aria-hidden")) for each in groups] == [
        ("img", None),
        (None, "true"),
        ("img", None),
    ]
    assert [each.text for each in drawn(*marks).iter(f"{NAME}title")] == ["LEFT BOARD", "BB-1/C/LIQ"]


def test_names_are_text_and_nothing_else() -> None:
    """In a text, in a figure's words, in the page's name: no element, no attribute, no invalid character."""
    marks = (Begin("Figure", HOSTILE), Text(5, 5, "<b>&'\"", "plain", 3.0), End())
    root = drawn(*marks, label=HOSTILE)
    assert {each.tag.removeprefix(NAME) for each in root.iter()} == {"svg", "g", "path", "text", "title"}
    assert [each.text for each in root.iter(f"{NAME}text")] == ["<b>&'\""]
    shown = HOSTILE.replace("\x00", "\ufffd").replace("\ud800", "\ufffd")
    assert [each.text for each in root.iter(f"{NAME}title")] == [shown]
    assert root.get("aria-label") == shown


def test_nothing_is_styled_inline() -> None:
    """A strict policy of a page refuses style attributes, handlers and links."""
    every: tuple[Mark, ...] = (
        Text(5, 5, "A", "bold", 3.0, ink=0.5),
        Rect(1, 1, 5, 5, fill=0.9, line=0.2, radius=1, dash=(1, 1)),
        Line(0, 0, 5, 5, dash=(1, 2)),
        Polygon(((0, 0), (1, 0), (1, 1))),
        Bars(5, 5, 1, 2, ((0, 0, 1, 1),), "X"),
        Group(3, 4, (Rect(0, 0, 1, 1, fill=0),)),
        Field(0, 0, 5, 5, "check", "BB-1/left/1/1", "on"),
    )
    names = {name for each in drawn(*every).iter() for name in each.attrib}
    assert names.isdisjoint({"style", "href", "class", "id"})
    assert not [name for name in names if name.startswith("on")]


def test_what_prints_nothing_is_not_there() -> None:
    """A rectangle without fill and line, a form field, a text of no width."""
    field = Field(0, 0, 5, 5, "text", "note", "note")
    assert len(drawn(Rect(1, 1, 5, 5), field, Text(1, 1, "", "plain", 3.0))) == 1


def test_a_bug_is_an_exception() -> None:
    """Ink that is made already, and a part without an end."""
    with pytest.raises(TypeError, match="ink already"):
        drawn(Drawn(b"", ()))
    with pytest.raises(ValueError, match="not ended"):
        drawn(Begin("Figure", "x"))


def test_a_picture_is_within_the_text() -> None:
    """At its place, as its own bytes: a page asks for no other file."""
    (image,) = drawn(Picture(2, 3, 24, 12, b"\x89PNG")).iter(f"{NAME}image")
    assert [image.get(key) for key in ("x", "y", "width", "height")] == ["2", "3", "24", "12"]
    assert image.get("href") == "data:image/png;base64,iVBORw=="

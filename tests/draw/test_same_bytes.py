"""The same pages give the same bytes: today, tomorrow, elsewhere."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tagmaker.draw.ink import drawn, ink_page
from tagmaker.draw.marks import Bars, Field, Group, Line, Mark, Page, Polygon, Rect, Text, flat, moved
from tagmaker.draw.pdf import draw_pdf
from tagmaker.typeset.fonts import BOLD, PLAIN, all_faces
from tests.paths import ROOT
from tests.records import replace

PRINT_SUM = "from tests.draw.test_same_bytes import sum_of_pages; print(sum_of_pages())"


def sum_of_pages(first: str = "BB-1 · G") -> str:
    """The SHA-256 of a document with every sort of mark, in two faces."""
    marks = (
        Rect(10, 10, 30, 20, fill=0.5, line=0.3, radius=2),
        Line(10, 40, 90, 40, 0.5, dash=(1.0, 2.0)),
        Polygon(((50, 10), (60, 10), (55, 20))),
        Bars(70, 10, 0.5, 0.5, ((0, 0, 3, 1), (1, 1, 1, 1)), "X"),
        Text(10, 50, "LIQUID 0123", PLAIN, 4),
    )
    pages = [Page(100, 60, (Text(10, 8, first, BOLD, 5), *marks)), Page(100, 60, marks)]
    return hashlib.sha256(draw_pdf("Title", "Author", pages, all_faces())).hexdigest()


def test_drawn_twice_it_is_the_same() -> None:
    """A second document of the same process is not touched by the first."""
    assert sum_of_pages() == sum_of_pages()


def test_what_was_drawn_before_leaves_no_trace() -> None:
    """Another document's characters do not renumber this one's."""
    before = sum_of_pages()
    assert sum_of_pages("zyxwv ÄÖÜ") != before
    assert sum_of_pages() == before


@pytest.mark.parametrize(
    "settings",
    [
        {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "LANG": "C"},
        {"PYTHONHASHSEED": "4242", "TZ": "America/St_Johns", "LANG": "de_DE.UTF-8", "LC_ALL": "C"},
        {"PYTHONHASHSEED": "7", "PYTHONUTF8": "0", "LC_ALL": "POSIX"},
    ],
)
def test_another_process_draws_the_same(settings: dict[str, str], tmp_path: Path) -> None:
    """Hash seed, time zone, language and working folder change nothing."""
    run = subprocess.run(
        [sys.executable, "-c", PRINT_SUM],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), **settings},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == sum_of_pages()


def test_pages_drawn_in_another_order_are_the_same() -> None:
    """A page's operators do not depend on what was drawn before, whatever signs it had."""
    pages = [Page(100, 60, (Text(10, 8, text, BOLD, 5),)) for text in ("BB-1 · G", "zyxwv ÄÖÜ", "Ł ‘” №")]
    ahead = [ink_page(page, all_faces()) for page in pages]
    back = [ink_page(page, all_faces()) for page in reversed(pages)]
    assert ahead == back[::-1]


MARKS: tuple[Mark, ...] = (
    Rect(1, 1, 20, 8, fill=0.8, line=0.3),
    Text(2, 5, "BB-1 – Läden", PLAIN, 4.0),
    Line(0, 0, 5, 5, 0.4, dash=(1.0, 0.5)),
    Bars(4, 4, 0.5, 0.5, ((0, 0, 2, 1), (1, 1, 1, 3)), "BB-1/A/LIQ"),
)


def test_what_is_drawn_already_is_drawn_the_same() -> None:
    """As a page, in a group, and beside its fields."""
    field = Field(1, 20, 4, 4, "check", "BB-1/left/seen", "seen")
    page = Page(60, 40, (Group(5, 6, MARKS), Group(30, 6, MARKS)))
    ready = tuple(Group(x, 6, drawn(MARKS, all_faces())) for x in (5, 30))
    assert draw_pdf("", "", [replace(page, marks=ready)], all_faces()) == draw_pdf(
        "", "", [page], all_faces()
    )
    whole = Page(60, 40, (*MARKS, field))
    again = replace(whole, marks=drawn(whole.marks, all_faces()))
    assert draw_pdf("", "", [again], all_faces()) == draw_pdf("", "", [whole], all_faces())


def test_of_what_is_drawn_symbols_and_main_texts_are_kept() -> None:
    """A symbol as the one square that covers it, bars as one rectangle: by the last of their runs."""
    strip = Bars(4, 20, 0.5, 6.0, ((0, 0, 2, 1), (3, 0, 1, 1)), "BB-1/A/GAS")
    big = Text(2, 9, "G", PLAIN, 9.0, role="main")
    (ready,) = drawn((*MARKS, strip, big), all_faces())
    square, whole, letter = flat([ready])
    assert square == Bars(4, 4, 0.5, 0.5, ((0, 0, 4, 4),), "BB-1/A/LIQ")
    assert whole == Bars(4, 20, 0.5, 6.0, ((0, 0, 4, 1),), "BB-1/A/GAS")
    assert letter == big


def test_what_is_drawn_needs_a_page_or_group_of_its_own() -> None:
    """It begins with nothing set."""
    page = Page(60, 40, (Rect(1, 1, 2, 2, fill=0.5), *drawn(MARKS, all_faces())))
    with pytest.raises(ValueError, match="group of their own"):
        draw_pdf("", "", [page], all_faces())
    with pytest.raises(TypeError, match="a group moves it"):
        moved(drawn(MARKS, all_faces()), 1, 1)

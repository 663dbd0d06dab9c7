"""Finished pages read whole and in places: the same dots, the same codes; what could be a code is counted."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial

import pytest

from tagmaker.draw.marks import Bars, Field, Group, Line, Mark, Page, Polygon, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.symbols import finished
from tagmaker.symbols.encode import Symbol, SymbolKind, code128, qr
from tagmaker.symbols.finished import FinishedFile, FinishedPage
from tagmaker.symbols.read import Decoded, Place, page_pictures, read_print
from tagmaker.typeset.fonts import all_faces

WIDTH, HEIGHT = 101.6, 50.9  # no whole dots
DPI = 203.2
QR: list[SymbolKind] = ["qr"]


def bars(symbol: Symbol, x: float, y: float, cell: float, height: float = 0.0) -> Bars:
    """A symbol on a page."""
    return Bars(x, y, cell, height or cell, symbol.runs, symbol.text)


NEAR = partial(pytest.approx, abs=0.3)  # mm
ONE, OTHER = bars(qr("ONE"), 10.3, 12.7, 0.5), bars(qr("OTHER"), 60.0, 20.0, 0.5)


def pdf_with(*marks: Mark) -> bytes:
    """A PDF of one page with these marks."""
    return draw_pdf("", "", [Page(WIDTH, HEIGHT, marks)], all_faces())


@contextmanager
def opened(*marks: Mark) -> Iterator[FinishedPage]:
    """That page, to be read."""
    with closing(FinishedFile(pdf_with(*marks), DPI)) as file, file.page(1) as page:
        yield page


def texts(codes: list[Decoded]) -> list[str]:
    """What they say, in order of their texts."""
    return sorted(code.text for code in codes)


def test_a_whole_page_reads_as_its_picture_does() -> None:
    """The same codes in the same places, without the picture."""
    (picture,) = page_pictures(pdf_with(ONE, OTHER), DPI)
    with opened(ONE, OTHER) as page:
        assert page.whole(QR) == read_print(picture, DPI, QR)


def test_a_place_has_the_very_dots_of_the_whole_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """What reads there is what a coarse printer prints: no dot differs, the page's last ones included."""
    seen: list[tuple[tuple[int, int], list[bytes]]] = []

    def keep(dots: memoryview, _dpi: float, *how: tuple[int, int]) -> list[Decoded]:
        rows, columns = dots.shape or (0, 0)
        flat = dots.tobytes()
        seen.append((how[-1], [flat[row * columns : (row + 1) * columns] for row in range(rows)]))
        return []

    monkeypatch.setattr(finished, "read_print", keep)
    monkeypatch.setattr(finished, "read_alone", keep)
    places: list[Place] = [(10.3, 12.7, 10.5, 10.5), (60.1, 20.3, 10.2, 10.7), (90.0, 40.0, 11.6, 10.9)]
    with opened(ONE, OTHER, Rect(95.0, 45.0, 6.6, 5.9, fill=0.3), Text(90, 44, "Abg", "bold", 5)) as page:
        page.whole(QR)
        for place in places:
            page.file.are_alone = True
            page.within(place, QR)
    (_, whole), *parts = seen
    assert len(parts) == 2 * len(places)
    for (left, top), dots in parts:
        for number, row in enumerate(dots[: len(whole) - top]):
            there = whole[top + number][left : left + len(row)]
            assert row[: len(there)] == there


def test_a_place_gives_the_codes_whose_middle_is_there() -> None:
    """In millimetres of the page; what is only near is not given."""
    with opened(ONE, OTHER) as page:
        (found,) = page.within((10.3, 12.7, 10.5, 10.5), QR)
        assert found.text == "ONE"
        assert [found.x, found.y] == NEAR([10.3, 12.7])
        assert texts(page.within((0, 0, WIDTH, HEIGHT), QR)) == ["ONE", "OTHER"]
        assert page.within((21.5, 12.7, 30.0, 10.5), QR) == []
        assert page.within((200.0, 12.7, 30.0, 10.5), QR) == []  # beside the page


def test_a_code_that_is_alone_reads_as_one_that_is_looked_for() -> None:
    """One that is not, or is turned, is looked for, and so are the other codes of its file after it."""
    place, far, near = (10.3, 12.7, 10.5, 10.5), Line(22.5, 12, 22.5, 24), Line(21.6, 12, 21.6, 24)
    turned = bars(qr("ONE", quarters=1), 10.3, 12.7, 0.5)
    for marks, is_alone in (((ONE, far), True), ((ONE, near), False), ((turned,), False)):
        with opened(OTHER, *marks) as page:
            (found,) = page.within(place, QR)
            assert page.file.are_alone == is_alone
            assert found.text == "ONE"
            assert [found.x, found.y] == NEAR([10.3, 12.7])
            assert [found.width, found.height] == NEAR([10.5, 10.5])
            assert texts(page.within((60.0, 20.0, 10.5, 10.5), QR)) == ["OTHER"]


def test_what_could_be_a_code_is_counted() -> None:
    """Codes of either kind, in groups too, and no text, line, frame or filled shape."""
    plain: list[Mark] = [Text(5, 5 + each, "Supply air", "plain", 3) for each in range(40)]
    plain += [Rect(5, 5, 5, each / 10, line=0.2, radius=0.02) for each in range(1, 60)]
    plain += [Rect(5, 5, 5, 4, fill=0.0) for _ in range(60)]
    plain += [Line(5, 5, 5 + each, 9) for each in range(60)]
    plain += [Polygon(((5, 5), (9, 5), (7, 9)))]
    strip = bars(code128("BARS"), 5, 40, 0.25, 6.0)
    with opened(*plain) as page:
        assert page.code_like() == 0
    with opened(ONE, Group(3.0, 4.0, (OTHER, strip)), *plain) as page:
        assert page.code_like() == 3


def test_a_heap_of_modules_counts_as_a_code() -> None:
    """A code that is drawn as rectangles one by one."""
    heap = [
        Rect(5 + column * 0.5, 5 + row * 0.5, columns * 0.5, rows * 0.5, fill=0.0)
        for column, row, columns, rows in ONE.runs
    ]
    with opened(*heap) as page:
        assert page.code_like() == 1
        assert texts(page.whole(QR)) == ["ONE"]


@pytest.mark.parametrize(
    ("marks", "times"), [((ONE,), 1), ((ONE, Field(40, 5, 5, 5, "check", "box", "")), 3)]
)
def test_only_a_document_of_forms_is_opened_again(
    marks: tuple[Mark, ...], times: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The renderer keeps memory of each page with a form, none of others; opening takes long."""
    opens: list[FinishedFile] = []
    really = FinishedFile._open

    def counted(file: FinishedFile) -> None:
        opens.append(file)
        really(file)

    monkeypatch.setattr(finished, "FORMS_HELD", 2)
    monkeypatch.setattr(FinishedFile, "_open", counted)
    pdf = draw_pdf("", "", [Page(WIDTH, HEIGHT, marks)] * 5, all_faces())
    with closing(FinishedFile(pdf, DPI)) as file:
        for number in range(1, 6):
            with file.page(number) as page:
                assert texts(page.within((10.3, 12.7, 10.5, 10.5), QR)) == ["ONE"]
    assert len(opens) == times

"""A cell of a CSV file gets another text, and no other byte changes."""

import codecs
import csv
import io

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tagmaker.job.schedule.csv_edit import csv_of, edited_csv
from tagmaker.job.schedule.csv_sheet import csv_sheets
from tagmaker.problems import Problem

HEAD = ["unit", "box", "port", "room"]
ENCODINGS = {
    "utf-8": b"",
    "utf-8-sig": codecs.BOM_UTF8,
    "utf-16-le": codecs.BOM_UTF16_LE,
    "utf-16-be": codecs.BOM_UTF16_BE,
}
TEXTS = st.text(alphabet=st.sampled_from("AB1-+ ,;\t'\"éč½\n"), max_size=8)
ROWS = st.lists(st.lists(TEXTS, min_size=4, max_size=4), min_size=1, max_size=5)


def encoded(text: str, encoding: str) -> bytes:
    """A text in an encoding, with its mark."""
    mark = ENCODINGS[encoding]
    return mark + text.encode("utf-8" if encoding == "utf-8-sig" else encoding)


def written(rows: list[list[str]], sign: str, end: str, *, quotes: bool) -> str:
    """Rows as a spreadsheet program writes them."""
    out = io.StringIO(newline="")
    # csv.writer does not quote a line feed where lines end with a carriage return alone
    if quotes or end == "\r":
        csv.writer(out, delimiter=sign, lineterminator=end, quoting=csv.QUOTE_ALL).writerows(rows)
    else:
        csv.writer(out, delimiter=sign, lineterminator=end).writerows(rows)
    return out.getvalue()


def grid(content: bytes) -> list[tuple[int, list[str]]]:
    """What the reader sees: each record's line and texts."""
    sheets = csv_sheets(content, "a.csv")
    assert not isinstance(sheets, Problem), sheets.message
    return [(row.line, [value.text for value in row.values]) for row in sheets[0].rows]


def changed(before: bytes, after: bytes) -> tuple[bytes, bytes]:
    """What differs: the bytes that are gone and those in their place, without what is alike around them."""
    least = min(len(before), len(after))
    head = next((at for at in range(least) if before[at] != after[at]), least)
    most = least - head
    tail = next((at for at in range(most) if before[-1 - at] != after[-1 - at]), most)
    return before[head : len(before) - tail], after[head : len(after) - tail]


@given(
    rows=ROWS,
    new=TEXTS,
    sign=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(sorted(ENCODINGS)),
    pick=st.data(),
)
@settings(max_examples=300, deadline=None)
def test_that_cell_alone_changes(
    *, rows: list[list[str]], new: str, sign: str, end: str, encoding: str, pick: st.DataObject
) -> None:
    """Whatever sign, line end, encoding and quotes: the same elsewhere, the new text there."""
    first = pick.draw(st.sampled_from(["", f"sep={sign}{end}"]))
    quotes = pick.draw(st.booleans())
    content = encoded(first + written([HEAD, *rows], sign, end, quotes=quotes), encoding)
    before = grid(content)
    at = pick.draw(st.integers(1, len(before) - 1))
    line, values = before[at]
    assume(values)
    column = pick.draw(st.integers(0, len(values) - 1))
    after = edited_csv(content, {(line, column): new}, "a.csv")
    assert not isinstance(after, Problem), after.message
    gone, put = changed(content, after)
    codec = "utf-8" if encoding == "utf-8-sig" else encoding
    cells = written([[rows[at - 1][column], new]], sign, end, quotes=True).encode(codec)
    assert len(gone) <= len(cells)
    assert len(put) <= len(cells)
    read = grid(after)
    assert [texts for _, texts in read[:at]] == [texts for _, texts in before[:at]]
    assert [texts for _, texts in read[at + 1 :]] == [texts for _, texts in before[at + 1 :]]
    expected = [*values]
    expected[column] = " ".join(new.split())
    assert read[at][1] == expected


QUOTED = 'unit,box,port,room\r\n"FC-1","BX-1",A,"Shop ""North"""\r\nFC-2,BX-1,B,Store'


@pytest.mark.parametrize(
    ("place", "text", "was", "now"),
    [
        ((2, 1), "BX-2", '"BX-1",A', '"BX-2",A'),
        ((2, 2), "B", ",A,", ",B,"),
        ((2, 3), "A, B", '"Shop ""North"""', '"A, B"'),
        ((3, 3), 'a "b"', "Store", '"a ""b"""'),
        ((3, 5), "new", "Store", "Store,,new"),
        ((3, 2), "B", "", ""),
    ],
)
def test_quotes_stay_as_the_cell_had_them(place: tuple[int, int], text: str, was: str, now: str) -> None:
    """Or come where the text needs them; a short record grows; the same text changes nothing."""
    assert edited_csv(QUOTED.encode(), {place: text}, "a.csv") == QUOTED.replace(was, now, 1).encode()


def test_several_cells_change_at_once() -> None:
    """Of one record and of others, in any order."""
    after = edited_csv(QUOTED.encode(), {(3, 2): "C", (2, 1): "BX-3", (3, 1): "BX-4"}, "a.csv")
    assert after == QUOTED.replace('"BX-1"', '"BX-3"').replace("FC-2,BX-1,B", "FC-2,BX-4,C").encode()


def test_windows_text_stays_windows_text() -> None:
    """Its other bytes stay; a sign that it has not is refused and named."""
    content = "unit,box,port,room\nFC-1,BX-1,A,Café 20 °C\n".encode("cp1252")
    assert edited_csv(content, {(2, 2): "B"}, "a.csv") == content.replace(b",A,", b",B,")
    refused = edited_csv(content, {(2, 3): "Čajovna"}, "a.csv")
    assert isinstance(refused, Problem)
    assert (refused.code, "'Č'" in refused.message) == ("edit-refused", True)


@pytest.mark.parametrize(
    ("content", "place", "text", "code"),
    [
        (b'unit,box\n"FC-1,BX-1\n', (2, 0), "A", "file-unreadable"),
        (b"unit,box\nFC-1,BX-1\n", (9, 0), "A", "edit-refused"),
        (b"unit,box\nFC-1,BX-1\n", (2, 0), "a\x07", "file-encoding"),
        (b"unit,box\nFC-1,BX-1\n", (1, 1), "x;y;z;unit", "edit-refused"),
        (b"PK\x03\x04", (1, 1), "x", "file-unreadable"),
    ],
)
def test_what_cannot_be_read_is_not_written(
    content: bytes, place: tuple[int, int], text: str, code: str
) -> None:
    """Before the change or after it, or a line that begins no record."""
    found = edited_csv(content, {place: text}, "a.csv")
    assert isinstance(found, Problem)
    assert found.code == code


def test_a_file_of_the_programs_own_reads_back() -> None:
    """With quotes where a cell needs them."""
    rows = [["unit", "room"], ["FC-1", 'a, "b"'], ["FC-2", "é"]]
    assert [texts for _, texts in grid(csv_of(rows))] == rows

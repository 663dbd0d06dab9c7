"""How much what comes back from site may be, and how it may be built; no file of it stops the program."""

import io
import json
import os
import zlib
from collections.abc import Mapping
from pathlib import Path

import pytest
from PIL import Image

from tagmaker.problems import Problem
from tagmaker.site.scans import sources
from tagmaker.site.scans.session import keeping, kept_lines, refused
from tagmaker.site.scans.sources import read_file
from tagmaker.site.walk.forms import PAGES_AT_MOST
from tagmaker.site.walk.returns import Return, read_returns
from tagmaker.symbols import read as read_module
from tagmaker.tags.placard_text import BadPlacard, read_placard

LEAF = "<</Type/Page/Parent 2 0 R/MediaBox[0 0 72 72]/Annots[9 0 R]>>"
WIDGET = "<</Type/Annot/Subtype/Widget/FT/Tx/T(BX-1/port/A/note)/V(x)/Rect[0 0 9 9]>>"
FORM = "/AcroForm<</Fields[9 0 R]>>"


def pdf(objects: Mapping[int, str | bytes], pages: int = 1) -> bytes:
    """A PDF by hand: a form of one field on so many pages, some of its objects replaced."""
    kids = " ".join(f"{number} 0 R" for number in range(1000, 1000 + pages))
    whole: dict[int, str | bytes] = {
        1: f"<</Type/Catalog/Pages 2 0 R{FORM}>>",
        2: f"<</Type/Pages/Kids[{kids}]/Count {pages}>>",
        9: WIDGET,
        **dict.fromkeys(range(1000, 1000 + pages), LEAF),
        **objects,
    }
    out, table = bytearray(b"%PDF-1.7\n"), bytearray(b"xref\n0 1\n0000000000 65535 f \n")
    for number, body in sorted(whole.items()):
        table += b"%d 1\n%010d 00000 n \n" % (number, len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body.encode() if isinstance(body, str) else body)
    end = b"trailer\n<</Root 1 0 R/Size %d>>\nstartxref\n%d\n%%%%EOF\n" % (max(whole) + 1, len(out))
    return bytes(out + table + end)


def stream(content: bytes, head: bytes = b"") -> bytes:
    """A packed stream."""
    packed = zlib.compress(content, 9)
    return b"<<%b/Filter/FlateDecode/Length %d>>\nstream\n%b\nendstream" % (head, len(packed), packed)


def returned(content: bytes, folder: Path, name: str = "walk.pdf") -> Return | Problem:
    """A file that came back, as it is read."""
    (folder / name).write_bytes(content)
    (found,) = read_returns([folder / name])
    return found


def told(path: Path) -> list[str]:
    """What is told of a scanned file."""
    return [each.message for each in read_file(path) if isinstance(each, Problem)]


# --- PDFs that came back ------------------------------------------------------------------------------------


def test_the_form_that_the_others_are_made_of_is_read(tmp_path: Path) -> None:
    """So that what is refused below is refused for what is wrong with it."""
    found = returned(pdf({}), tmp_path)
    assert isinstance(found, Return)
    assert found.values == {"BX-1/port/A/note": "x"}


LINE = {n: f"<</FT/Tx/T(a)/Kids[{n + 1} 0 R]/Parent {max(100, n - 1)} 0 R>>" for n in range(100, 3000)}
FAN = {n: f"<</FT/Tx/T(a{n})/Kids[{n + 1} 0 R {n + 1} 0 R]>>" for n in range(100, 140)}
PAGES = {n: f"<</Type/Pages/Count 1/Kids[{n + 1} 0 R {n + 1} 0 R]>>" for n in range(100, 140)}
BOMB = b"0" * 100_000_000


@pytest.mark.parametrize(
    "objects",
    [
        {9: "<</Subtype/Widget/FT/Tx/T(a/b)/V 9 0 R/Kids[9 0 R]/Parent 9 0 R>>"},
        {1: "<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[100 0 R]>>>>", **LINE},
        {1: "<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[100 0 R]>>>>", **FAN, 140: "<</FT/Tx/T(z)>>"},
        {2: "<</Type/Pages/Kids[100 0 R]/Count 1>>", **PAGES, 140: LEAF},
        {2: "<</Type/Pages/Kids[2 0 R]/Count 1>>"},
        {9: "<</Subtype/Widget/FT/Tx/T(a/b)/V 8 0 R>>", 8: stream(BOMB)},
        {9: "<</Subtype/Widget/FT/Tx/T(a/b)/V " + "[" * 20_000 + "]" * 20_000 + ">>"},
        {1: "<</Type/Catalog/Pages 1 0 R/AcroForm 1 0 R>>"},
        {9: "9 0 R"},
    ],
    ids=["loop", "line", "fan", "pages", "page loop", "bomb", "nest", "one for all", "itself"],
)
def test_a_form_that_leads_its_reader_round_is_told(objects: dict[int, str | bytes], tmp_path: Path) -> None:
    """Rings, trees whose every branch is the same, what unpacks to a thousand times its size."""
    found = returned(pdf(objects), tmp_path)
    assert isinstance(found, Problem)
    assert found.code in {"return-unreadable", "return-flattened"}


def test_an_index_that_unpacks_to_gigabytes_is_told(tmp_path: Path) -> None:
    """A PDF's own table of its objects."""
    head = b"/Type/XRef/W[1 2 1]/Index[0 99999999]/Size 99999999/Root 1 0 R"
    content = b"%PDF-1.7\n1 0 obj\n" + stream(BOMB, head) + b"\nendobj\nstartxref\n9\n%%EOF"
    assert isinstance(returned(content, tmp_path), Problem)
    assert told(tmp_path / "walk.pdf")


def test_too_many_pages(tmp_path: Path) -> None:
    """Of a form, and of what is scanned."""
    found = returned(pdf({}, PAGES_AT_MOST + 1), tmp_path)
    assert isinstance(found, Problem)
    assert found.message == "walk.pdf is not a readable PDF: it has more than 5,000 pages"
    assert told(tmp_path / "walk.pdf") == ["it cannot be read: it has more than 5,000 pages"]


# --- phones' files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["[" * 100_000, '{"a":' * 100_000, "1" * 5000, '{"format": ' + "9" * 5000 + "}", '"\\ud800"', "NaN", ""],
)
def test_a_phones_file_that_is_none_is_told(text: str, tmp_path: Path) -> None:
    """Nested without end, or with a number without end."""
    assert isinstance(returned(text.encode(), tmp_path, "walk.json"), Problem)


def test_a_phones_file_that_is_too_large_is_told(tmp_path: Path) -> None:
    """Over 20 MB; a walk of 500 boxes has one."""
    found = returned(b'{"format": "' + b"x" * 20_000_000, tmp_path, "walk.json")
    assert isinstance(found, Problem)
    assert found.message == "walk.json cannot be read: it is larger than 20 MB"


# --- photos and lines ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "mode", "side"),
    [
        *(("photo.png", "L", 11), ("photo.png", "RGB", 11), ("photo.png", "RGBA", 8), ("photo.png", "LA", 8)),
        *(("photo.bmp", "RGB", 11), ("photo.webp", "RGB", 11), ("photo.webp", "RGBA", 8)),
    ],
)
def test_a_photo_of_too_many_pixels_is_told(
    name: str, mode: str, side: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before they are unpacked; one that shows through takes twice as much. Here the limit is a millionth."""
    monkeypatch.setattr(read_module, "PHOTO_PIXELS_AT_MOST", 110)
    for size, expected in ((side, ["it cannot be read: it has too many pixels"]), (side - 1, [])):
        Image.new(mode, (size, size)).save(tmp_path / name)
        assert told(tmp_path / name) == expected


@pytest.mark.parametrize("kind", ["gif", "tiff", "eps", "ppm", "ico", "tga", "avif"])
def test_only_photos_are_opened_as_photos(kind: str, tmp_path: Path) -> None:
    """Whatever a file is called: for some kinds another program would be started to read them."""
    Image.new("L", (9, 9)).save(tmp_path / f"a.{kind}")
    (tmp_path / f"a.{kind}").rename(tmp_path / "photo.png")
    (message,) = told(tmp_path / "photo.png")
    assert message.startswith(("it is a", "it is not what its name says", "it is neither a photo"))


@pytest.mark.parametrize("kind", ["gif", "tiff", "eps", "ppm"])
def test_pictures_of_other_kinds_are_not_opened(kind: str) -> None:
    """Not even where their first bytes were taken for those of a photo."""
    out = io.BytesIO()
    Image.new("L", (9, 9)).save(out, kind)
    with pytest.raises(ValueError, match="not a photo of a known kind"):
        read_module.open_picture(out.getvalue())


def test_too_many_lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a file of scans; here the limit is a thousandth."""
    monkeypatch.setattr(sources, "LINES_AT_MOST", 100)
    for count, expected in ((101, ["it cannot be read: it has more than 100 lines"]), (100, [])):
        (tmp_path / "scans.txt").write_text("BB-1/A/LIQ\n" * count, encoding="utf-8")
        assert told(tmp_path / "scans.txt") == expected


@pytest.mark.parametrize("name", ["photo.jpg", "scan.pdf", "scans.txt", "walk.json", "walk.pdf"])
def test_a_pipe_among_what_came_back_holds_nobody_up(name: str, tmp_path: Path) -> None:
    """Named, or found in a folder."""
    os.mkfifo(tmp_path / name)
    assert told(tmp_path / name) == ["it is a folder, or not a regular file"]
    (found,) = read_returns([tmp_path / name])
    assert isinstance(found, Problem)
    assert list(read_returns([tmp_path])) == []


@pytest.mark.parametrize("number", ["9" * 5000, "٣", "1" * 13, "1.2345"])
@pytest.mark.parametrize("line", ["LEFT A-B: BANK 1 ON {}", "kBtu/h: A {}/54 | B spare"])
def test_a_placards_numbers_are_numbers_that_a_placard_has(line: str, number: str) -> None:
    """With a right CRC; no other digits than those that are printed."""
    lines = {"LEFT": "LEFT A-B: BANK 1 ON none", "kBtu/h:": "kBtu/h: A 24/54 | B spare"}
    lines[line.partition(" ")[0]] = line.format(number)
    body = "".join(f"{each}\n" for each in ("BOX BX-1 REV 0", *lines.values()))
    text = f"{body}CRC {zlib.crc32(body.encode()):08X}\n"
    assert isinstance(read_placard(text), BadPlacard)


# --- sessions -----------------------------------------------------------------------------------------------


def test_a_line_that_was_cut_off_is_no_part_of_the_next(tmp_path: Path) -> None:
    """A disk was full, or a plug pulled, in the middle of a line: it is marked, and the next one is whole."""
    path = tmp_path / "session.txt"
    path.write_bytes(b"BB-1/A/TRM\nBB-1/A/L")
    assert list(keeping(["BB-1/A/LIQ\n", "BB-1/A/GAS\r\n"], path)) == ["BB-1/A/LIQ\n", "BB-1/A/GAS\r\n"]
    assert kept_lines(path) == ["BB-1/A/TRM", "BB-1/A/L (cut off: scan it again)", "BB-1/A/LIQ", "BB-1/A/GAS"]


def test_a_session_is_kept_in_plain_files_only(tmp_path: Path) -> None:
    """A pipe, a device, a folder: refused at once, and nothing is made there."""
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path / "pipe", Path("/dev/null"), tmp_path):
        problem = refused(place)
        assert problem
        assert problem.code == "output-blocked"
    assert [each.name for each in tmp_path.iterdir()] == ["pipe"]


def test_texts_that_are_no_unicode_are_kept_all_the_same(tmp_path: Path) -> None:
    """A scanner's byte that nobody can read stops no session."""
    list(keeping(["a\udcffb\n"], tmp_path / "session.txt"))
    assert json.dumps(kept_lines(tmp_path / "session.txt")) == '["a?b"]'

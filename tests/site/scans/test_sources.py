"""Texts out of real files: photos, PDFs, lines; a broken file is a problem, never a traceback."""

import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tagmaker.problems import Problem
from tagmaker.site.scans.kinds import KINDS_HINT, file_kind
from tagmaker.site.scans.sources import is_lines, read_file, read_files
from tagmaker.symbols.encode import qr
from tests.site.papers import LIBRARY, library, made, placards, tags_by_code
from tests.site.photos import page_picture, saved, taken
from tests.symbols.pictures import picture
from tests.tags.facts import code_texts

FIRST, SECOND = placards(library())
FIRST_CODES = {*code_texts(library().job, library().boxes[0])}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library's finished set."""
    return made(LIBRARY, tmp_path_factory.mktemp("sources"))


@pytest.fixture(scope="module")
def placard(out: Path) -> Image.Image:
    """The first box's placard as a picture."""
    return page_picture(out / "placards.pdf")


def texts(path: Path) -> list[str]:
    """The texts in a file that has no problem."""
    found = list(read_file(path))
    assert [each for each in found if isinstance(each, Problem)] == []
    return [each[0] for each in found if isinstance(each, tuple)]


def problem(path: Path) -> Problem:
    """The only thing that is found in a broken file."""
    (found,) = read_file(path)
    assert isinstance(found, Problem)
    return found


def test_several_files_give_what_each_alone_gives(tmp_path: Path) -> None:
    """In the order in which they are named; broken ones, lines and what is missing among the photos."""
    for number in range(5):
        picture(qr(f"BB-1/{number}/LIQ")).save(tmp_path / f"{number}.png")
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff" + bytes(99))
    (tmp_path / "lines.txt").write_text("BB-1/A/GAS\nBB-1/B/GAS\n", encoding="utf-8")
    names = ["3.png", "0.png", "broken.jpg", "4.png", "lines.txt", "gone.jpg", "1.png", "2.png", "1.png"]
    paths = [tmp_path / name for name in names]
    found = [(path, list(each)) for path, each in read_files(paths)]
    assert found == [(path, list(read_file(path))) for path in paths]
    assert [len(each) for _, each in found] == [1, 1, 1, 1, 2, 1, 1, 1, 1]


# --- photos -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [0, -12, 100, 180])
def test_a_photo_of_a_placard_gives_its_text(degrees: int, placard: Image.Image, tmp_path: Path) -> None:
    """A JPEG of the page however it lies, seen askew, blurred and unevenly lit."""
    photo = saved(taken(placard, degrees), tmp_path / "photo.jpg")
    assert set(texts(photo)) == FIRST_CODES


@pytest.mark.parametrize("ending", ["jpg", "png", "bmp", "webp"])
@pytest.mark.parametrize("name", ["PHOTO.JPEG", "photo.png", "photo.heic", "photo.txt", "photo.pdf", "photo"])
def test_photos_are_known_by_their_content(
    name: str, ending: str, placard: Image.Image, tmp_path: Path
) -> None:
    """Whatever they are called: programs that send photos name them wrongly."""
    photo = saved(placard.resize((900, 1165)), tmp_path / f"a.{ending}").rename(tmp_path / name)
    assert not is_lines(photo)
    assert set(texts(photo)) == FIRST_CODES


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_cameras_orientation_is_heeded(orientation: int, out: Path, tmp_path: Path) -> None:
    """All eight of Exif, the mirrored ones too, of a part of a page of tags."""
    page = page_picture(next(out.glob("tags-*.pdf"))).crop((0, 0, 1700, 500))
    undone = {2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}  # the transposition of Pillow that a reader undoes
    seen = page.transpose(Image.Transpose(undone[orientation])) if orientation > 1 else page
    assert texts(saved(seen, tmp_path / "tags.jpg", orientation)) == list(tags_by_code(library()))[:6]


def test_a_photo_of_many_tags_gives_them_row_by_row(out: Path, tmp_path: Path) -> None:
    """From top to bottom, from left to right, as one reads; all that are on the page."""
    photo = saved(page_picture(next(out.glob("tags-*.pdf"))), tmp_path / "sheet.jpg")
    assert texts(photo) == list(tags_by_code(library()))[:30]


def test_a_picture_without_a_background_is_read_on_white(placard: Image.Image, tmp_path: Path) -> None:
    """Black on nothing, as drawing programs export it."""
    cut_out = Image.new("RGBA", placard.size, (0, 0, 0, 0))
    cut_out.putalpha(placard.point(lambda grey: 255 - grey))
    assert set(texts(saved(cut_out, tmp_path / "export.png"))) == FIRST_CODES


@pytest.mark.parametrize("mode", ["1", "P", "RGB", "RGBA", "LA", "I;16"])
def test_a_picture_of_any_depth_is_read(mode: str, placard: Image.Image, tmp_path: Path) -> None:
    """One bit, a palette, sixteen bits."""
    picture = (
        placard.convert("I").point(lambda grey: grey * 257).convert("I;16")
        if mode == "I;16"
        else placard.convert(mode)
    )
    assert set(texts(saved(picture, tmp_path / "scan.png"))) == FIRST_CODES


def test_a_photo_without_a_code_gives_nothing(tmp_path: Path) -> None:
    """And is no mistake."""
    assert texts(saved(Image.new("RGB", (640, 480), "grey"), tmp_path / "floor.jpg")) == []


def test_codes_of_one_row_come_from_left_to_right(tmp_path: Path) -> None:
    """Wherever the row lies on the page, and though a small code stands a little lower than a large one."""
    page = Image.new("L", (1600, 2400), 255)
    names = [f"ROW-{row}/{letter}/LIQ" for row in range(10) for letter in "ABCD"]
    for number, name in enumerate(names):
        code = picture(qr(name)).resize((150, 150) if number % 2 else (190, 190))
        page.paste(
            code, (number % 4 * 400 + 20, number // 4 * 233 + 20 + number % 2 * 40 - number % 4 // 2 * 9)
        )
    assert texts(saved(page, tmp_path / "rows.png")) == names


# --- PDFs ---------------------------------------------------------------------------------------------------


def test_a_pdf_gives_every_code_with_its_page(out: Path) -> None:
    """Both codes of both placards."""
    found = list(read_file(out / "placards.pdf"))
    assert found == [
        *[(code, "placards.pdf page 1") for code in code_texts(library().job, library().boxes[0])],
        *[(code, "placards.pdf page 2") for code in code_texts(library().job, library().boxes[1])],
    ]


def test_label_sheets_give_every_tag_page_by_page(out: Path) -> None:
    """All pages of the only label file; on a page the codes of flags are lower than those beside them."""
    (sheets,) = out.glob("tags-*.pdf")
    found, printed = texts(sheets), list(tags_by_code(library()))
    pages = ((0, 30), (30, 40), (40, len(printed)))
    assert [sorted(found[start:end]) for start, end in pages] == [sorted(printed[a:b]) for a, b in pages]


@pytest.mark.parametrize("name", ["placards.txt", "placards.jpg", "placards"])
@pytest.mark.parametrize("before", [b"", b"\n", b"\xef\xbb\xbf"])
def test_a_pdf_is_known_by_its_content(name: str, before: bytes, out: Path, tmp_path: Path) -> None:
    """Whatever it is called, with its pages."""
    (tmp_path / name).write_bytes(before + (out / "placards.pdf").read_bytes())
    assert not is_lines(tmp_path / name)
    assert list(read_file(tmp_path / name))[1::2] == [(FIRST, f"{name} page 1"), (SECOND, f"{name} page 2")]


def test_photos_gathered_in_a_pdf_are_read(placard: Image.Image, tmp_path: Path) -> None:
    """As phones' scanning programs save them."""
    taken(placard, 2).save(tmp_path / "scan.pdf", "PDF", resolution=203.2)
    assert set(texts(tmp_path / "scan.pdf")) == FIRST_CODES


# --- lines --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_lines_of_any_system_are_read(mark: str, end: str, tmp_path: Path) -> None:
    """With or without a byte order mark, a last line end or not; a placard's lines are one text."""
    lines = ["BB-1/A/TRM", *FIRST.splitlines(), "", "4006381333931"]
    (tmp_path / "scans.txt").write_bytes(f"{mark}{end.join(lines)}".encode())
    assert list(read_file(tmp_path / "scans.txt")) == [
        ("BB-1/A/TRM", "scans.txt:1"),
        (FIRST, f"scans.txt:{len(FIRST.splitlines()) + 1}"),
        ("4006381333931", f"scans.txt:{len(lines)}"),
    ]


@pytest.mark.parametrize(
    "name", ["scans.txt", "scans.csv", "scans", "walk.session", "scans.pdf", "scans.png"]
)
def test_any_other_file_holds_lines(name: str, tmp_path: Path) -> None:
    """Whatever it is called."""
    (tmp_path / name).write_text("BB-1/A/LIQ\n", encoding="utf-8")
    assert is_lines(tmp_path / name)
    assert texts(tmp_path / name) == ["BB-1/A/LIQ"]


def test_a_placard_that_the_file_ends_in_is_told(tmp_path: Path) -> None:
    """As far as it goes."""
    (tmp_path / "scans.txt").write_text("\n".join(FIRST.splitlines()[:2]), encoding="utf-8")
    assert texts(tmp_path / "scans.txt") == ["".join(FIRST.splitlines(keepends=True)[:2])]


def test_an_empty_file_gives_nothing(tmp_path: Path) -> None:
    """And is no mistake."""
    (tmp_path / "scans.txt").touch()
    assert texts(tmp_path / "scans.txt") == []


def test_bytes_that_are_no_text_are_told_as_they_can_be(tmp_path: Path) -> None:
    """A line in another encoding does not hide the others."""
    (tmp_path / "scans.txt").write_bytes("BB-1/A/TRM\nGröße\nBB-1/A/COM\n".encode("latin-1"))
    assert texts(tmp_path / "scans.txt") == ["BB-1/A/TRM", "Gr\ufffd\ufffde", "BB-1/A/COM"]


# --- broken files -------------------------------------------------------------------------------------------


def png_of(width: int, height: int) -> bytes:
    """A PNG that says that it has so many pixels, and holds next to none."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(bytes(100))), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        for kind, content in chunks
    )


def empty_page(width: int, height: int) -> bytes:
    """A PDF of one bare page of so many points."""
    parts = (
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {width} {height}]>>",
    )
    body = "%PDF-1.4\n" + "".join(f"{n} 0 obj{part}endobj\n" for n, part in enumerate(parts, start=1))
    return f"{body}trailer<</Root 1 0 R/Size 4>>\n".encode()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.png", b""),
        ("empty.jpg", b""),
        ("empty.pdf", b""),
        ("text.png", b"BB-1/A/TRM\xff\n"),
        ("text.jpg", b"BB-1/A/TRM\x01\n"),
        ("text.pdf", b" \n"),
        ("head-only.pdf", b"%PDF-1.7\n"),
        ("head-only.png", png_of(8, 8)[:30]),
        ("little.png", png_of(5000, 5000)),
        ("large.png", png_of(12_000, 9_000)),
        ("huge.png", png_of(60_000, 60_000)),
        ("wide.png", png_of(2_000_000_000, 1)),
        ("huge.pdf", empty_page(14_400, 14_400)),
        ("letters.txt", b"BB-1/A/TRM\0\n"),
        ("wide-letters.txt", "BB-1/A/TRM\n".encode("utf-16")),
    ],
)
def test_a_broken_file_is_a_problem(name: str, content: bytes, tmp_path: Path) -> None:
    """Cut, wrongly named, too large, of another kind: told with its name and what can be read instead."""
    (tmp_path / name).write_bytes(content)
    found = problem(tmp_path / name)
    assert (found.code, found.severity) == ("file-unreadable", "error")
    assert found.where.file.endswith(name)
    assert "UTF-8" in found.hint
    assert list(read_file(tmp_path / name)) == [found]


PHONES = "set the phone's camera to the most compatible format, or share the photo as JPEG"
OTHERS = "save or share it as JPEG or PNG"


@pytest.mark.parametrize("name", ["photo.heic", "photo.jpg", "photo.txt", "photo"])
@pytest.mark.parametrize(
    ("head", "fault", "hint"),
    [
        *((b"\0\0\0\x18ftyp" + brand, "it is a HEIC photo", PHONES) for brand in (b"heic", b"heix", b"hevc")),
        *((b"\0\0\0\x18ftyp" + brand, "it is a HEIC photo", PHONES) for brand in (b"mif1", b"msf1", b"heim")),
        (b"\0\0\0\x1cftypavif", "it is an AVIF picture", OTHERS),
        (b"\0\0\0\x18ftypmp42", "it is a video", "take photos instead"),
        (b"GIF89a", "it is a GIF picture", OTHERS),
        (b"II*\0", "it is a TIFF or raw picture", OTHERS),
        (b"MM\0*", "it is a TIFF or raw picture", OTHERS),
        (b"\xff\x0a", "it is a JPEG XL picture", OTHERS),
        (b"\0\0\0\x0cjP  \r\n", "it is a JPEG 2000 picture", OTHERS),
        (b"PK\x03\x04", "it is a ZIP file or an office document", KINDS_HINT),
        ("BB-1/A/TRM\n".encode("utf-16"), "it is text in UTF-16", "save it as UTF-8 text"),
    ],
)
def test_what_is_not_read_is_refused_with_what_to_do(
    name: str, head: bytes, fault: str, hint: str, tmp_path: Path
) -> None:
    """By its first bytes, whatever it is called."""
    (tmp_path / name).write_bytes(head + bytes(100))
    found = problem(tmp_path / name)
    assert (found.code, found.message, found.hint) == ("file-unreadable", fault, hint)


def test_a_tag_may_begin_as_a_picture_does() -> None:
    """Each of these is text."""
    for text in (
        b"BM-1/A/TRM\nBM-1/A/COM\n",
        b"GIF/A/TRM\n",
        b"PK-1/A/TRM\n",
        b"II/A/TRM\n",
        b"RIFF-1/A/TRM\n",
    ):
        assert file_kind(text, ".txt") == "lines"


def test_the_page_of_the_broken_pdfs_above_is_read_where_it_is_small(tmp_path: Path) -> None:
    """The huge one is refused for its size, not for how it is made."""
    (tmp_path / "small.pdf").write_bytes(empty_page(100, 100))
    assert texts(tmp_path / "small.pdf") == []


def test_a_pdf_that_was_cut_is_a_problem(out: Path, tmp_path: Path) -> None:
    """Half of a download."""
    content = (out / "placards.pdf").read_bytes()
    (tmp_path / "half.pdf").write_bytes(content[: len(content) // 2])
    assert problem(tmp_path / "half.pdf").code == "file-unreadable"


def test_a_photo_that_was_cut_is_a_problem(placard: Image.Image, tmp_path: Path) -> None:
    """Half of a download."""
    photo = saved(placard, tmp_path / "half.jpg")
    photo.write_bytes(photo.read_bytes()[:20_000])
    assert problem(photo).code == "file-unreadable"


def test_a_pdf_behind_a_password_is_a_problem(tmp_path: Path) -> None:
    """Named as one that cannot be opened."""
    (tmp_path / "closed.pdf").write_bytes(closed_pdf())
    assert "password" in problem(tmp_path / "closed.pdf").message.lower()


def closed_pdf() -> bytes:
    """A PDF that asks for a password: its dictionary of encryption fits none."""
    entry = f"/Filter/Standard/V 1/R 2/Length 40/P -4/O({'o' * 32})/U({'u' * 32})"
    content = empty_page(100, 100).decode()
    return content.replace(
        "trailer<<", f"4 0 obj<<{entry}>>endobj\ntrailer<</Encrypt 4 0 R/ID[(a)(a)]"
    ).encode()


@pytest.mark.parametrize("name", ["nosuch.jpg", "nosuch.pdf", "nosuch.txt", "."])
def test_a_file_that_is_not_there_is_a_problem(name: str, tmp_path: Path) -> None:
    """A folder is no file either."""
    assert problem(tmp_path / name).where.file == str(tmp_path / name)


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_no_damage_to_a_file_is_a_traceback(small_files: dict[Path, bytes], data: st.DataObject) -> None:
    """A PNG, a JPEG, a PDF with any bytes changed, or cut anywhere: texts, or one problem."""
    path = data.draw(st.sampled_from(list(small_files)))
    content = bytearray(small_files[path])
    for at in data.draw(st.lists(st.integers(0, min(len(content), 600) - 1), max_size=8)):
        content[at] = data.draw(st.integers(0, 255))
    path.write_bytes(content[: data.draw(st.integers(0, len(content)))])
    assert len([each for each in read_file(path) if isinstance(each, Problem)]) <= 1


@pytest.fixture(scope="module")
def small_files(tmp_path_factory: pytest.TempPathFactory) -> dict[Path, bytes]:
    """A small whole file of each kind."""
    folder = tmp_path_factory.mktemp("small")
    picture = Image.linear_gradient("L").resize((64, 64))
    paths = [saved(picture, folder / f"a.{ending}", 6) for ending in ("png", "jpg", "bmp", "webp")]
    paths.append(folder / "a.pdf")
    paths[-1].write_bytes(empty_page(200, 100))
    return {path: path.read_bytes() for path in paths}


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"BB-1/A/TRM\nBB-1/A/GAS", ["BB-1/A/GAS may be the beginning of a longer code"]),
        (b"BB-1/A/TRM\nbb-1/a/ga ", ["BB-1/A/GA may be the beginning of a longer code"]),
        (b"BB-1/A/TRM\nBB-1/A/GAS\n", []),
        (b"BB-1/A/TRM\nBB-1/A/GAS\r\n", []),
        (b"BB-1/A/GAS/FC-1", []),
        (b"BB-1/A/GAS/FC-1\n ", []),
        (b"", []),
    ],
)
def test_a_last_line_that_may_have_been_cut_off_is_told(
    content: bytes, told: list[str], tmp_path: Path
) -> None:
    """Only where a longer code of the job begins so: a whole file may lack the last line's end."""
    (tmp_path / "scans.txt").write_bytes(content)
    found = read_file(tmp_path / "scans.txt", known={"BB-1/A/TRM", "BB-1/A/GAS", "BB-1/A/GAS/FC-1"})
    problems = [each for each in found if isinstance(each, Problem)]
    assert [each.message.partition(": ")[2].partition(",")[0] for each in problems] == told

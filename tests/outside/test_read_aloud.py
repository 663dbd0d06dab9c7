"""Documents read aloud: the tree of elements walked by qpdf's library, and read by poppler's own programs.

What PDF/UA-1 (ISO 14289-1 [memory]) asks of a file and a program can see: all content is an element's or
decoration, each element has its way back, figures have alternate texts, fields have elements and names, fonts
are in the file. Whether the order makes sense to a listener is for a person.
"""

import io
import subprocess
from collections.abc import Iterator
from pathlib import Path

import page
import pikepdf
import pytest
from fontTools.ttLib import TTFont
from pdfua import validate
from PIL import Image
from pypdfium2 import PdfDocument

from tagmaker.draw.marks import Field, Page, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.revisions.selection import Selection
from tagmaker.typeset.fonts import PLAIN, all_faces
from tagmaker.workflows import make as workflow
from tagmaker.workflows.handover import handover, write_handover
from tagmaker.workflows.response import ResponseRequest, response
from tagmaker.workflows.stocks import draw as draw_stock
from tests.outside.finished import make
from tests.paths import ROOT
from tests.records import replace
from tests.site.handed_over import all_right
from tests.site.walks import hand_in, plan_of
from tests.strategies import one_box

ROLES = {"/Document", "/Sect", "/H1", "/H2", "/H3", "/P", "/Figure", "/Table", "/TR", "/TH", "/TD", "/Form"}
PAINTS = frozenset({"Tj", "TJ", "f", "F", "f*", "S", "s", "B", "b", "B*", "b*", "Do", "sh"})
HIDDEN = 2
DARK = 128
Owners = dict[tuple[int, int], int]


@pytest.fixture(scope="module")
def documents(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every kind of document: a set's, an update's list of changes, a response test, a picture of a stock."""
    folder = tmp_path_factory.mktemp("aloud")
    found: list[Path] = []
    for name in ("clinic", "quay-hotel"):
        found += sorted(make(name, folder / name).out.glob("*.pdf"))
    found.append(changes_of(folder / "changes"))
    assert response(ROOT / "example_jobs" / "clinic", folder / "response", ResponseRequest()).files
    found.append(folder / "response" / "response.pdf")
    found.append(record_of(folder / "handover.pdf"))
    assert draw_stock("letter-30-67x25", folder / "stock.pdf", None) == ()
    names = {path.name for path in found}
    assert {"placards.pdf", "walk.pdf", "kits.pdf", "bands.pdf", "summary.pdf"} <= names
    return [*found, folder / "stock.pdf"]


def record_of(file: Path) -> Path:
    """The handover record of a job with systems, and of a walk of which all but one thing is right."""
    job = ROOT / "example_jobs" / "clinic"
    values = all_right(plan_of(job))
    del values["BB-11/item/tested"]
    assert write_handover(handover(job, hand_in(file.parent / "in", plan_of(job), values)), file).pages > 3
    return file


def changes_of(folder: Path) -> Path:
    """The list of changes of a job in which a unit comes to another port."""
    sketch = one_box(("FC-1", "A", "12 kBtu/h"), ("FC-2", "B", "12 kBtu/h"))
    later = one_box(("FC-1", "C", "12 kBtu/h"), ("FC-2", "B", "12 kBtu/h"))
    for job, out, since in (
        (sketch, folder / "one", None),
        (replace(later, revision="2"), folder / "two", folder / "one" / "plan.json"),
    ):
        selection = Selection(proof=False, since=since)
        assert workflow.make(job.write(folder / f"job-{out.name}"), out, selection).files
    return folder / "two" / "changes.pdf"


def elements(node: pikepdf.Object) -> Iterator[pikepdf.Object]:
    """Every element below one, each after what is above it; its kids name it as what is above them."""
    for kid in kids(node):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            assert kid.P.objgen == node.objgen
            yield kid
            yield from elements(kid)


def kids(node: pikepdf.Object) -> list[pikepdf.Object]:
    """What an element holds, one or several."""
    held = node.get("/K", pikepdf.Array())
    return list(held) if isinstance(held, pikepdf.Array) else [held]


def ways_back(node: pikepdf.Object) -> dict[int, pikepdf.Object]:
    """The tree of the ways back, flat."""
    found = {int(key): value for key, value in zip(*[iter(node.get("/Nums", []))] * 2, strict=True)}
    for kid in node.get("/Kids", []):
        own = ways_back(kid)
        low, high = (int(limit) for limit in kid.Limits)
        assert all(low <= key <= high for key in own)
        found |= own
    return found


def stretches(sheet: pikepdf.Page) -> list[int]:
    """The numbers of a page's stretches in order; all that is painted is in one, or decoration."""
    depth, found = 0, []
    for step in pikepdf.parse_content_stream(sheet):
        assert isinstance(step, pikepdf.ContentStreamInstruction)
        operands = step.operands
        match str(step.operator):
            case "BDC" | "BMC":
                depth += 1
                if len(operands) > 1:
                    found.append(int(operands[1].MCID))
            case "EMC":
                depth -= 1
            case paint if paint in PAINTS:
                assert depth == 1, paint
        assert depth in (0, 1)
    assert depth == 0
    return found


# --- the tree -----------------------------------------------------------------------------------------------


def test_every_stretch_and_every_field_is_of_one_element_and_has_its_way_back(documents: list[Path]) -> None:
    """Each page's stretches are in the tree once, each visible field too, and the way back leads there."""
    for path in documents:
        with pikepdf.open(path) as document:
            back = ways_back(document.Root.StructTreeRoot.ParentTree)
            owners, forms = owned(document)
            for sheet in document.pages:
                own = stretches(sheet)
                assert own == list(range(len(own))), path
                there = [way.objgen[0] for way in back[int(sheet.StructParents)]]
                assert there == [owners.pop((sheet.obj.objgen[0], number)) for number in own], path
                for note in sheet.get("/Annots", []):
                    if not int(note.F) & HIDDEN:
                        assert back[int(note.StructParent)].objgen[0] == forms.pop(note.objgen[0]), path
                        assert str(note.TU)
            assert (owners, forms) == ({}, {}), path


def owned(document: pikepdf.Pdf) -> tuple[Owners, dict[int, int]]:
    """Which element holds a stretch, by page and number, and which a field."""
    owners: Owners = {}
    forms: dict[int, int] = {}
    for each in elements(document.Root.StructTreeRoot):
        for kid in kids(each):
            if isinstance(kid, int):
                assert owners.setdefault((each.Pg.objgen[0], kid), each.objgen[0]) == each.objgen[0]
            elif kid.get("/Type") == "/OBJR":
                assert each.S == "/Form"
                assert forms.setdefault(kid.Obj.objgen[0], each.objgen[0]) == each.objgen[0]
    return owners, forms


def test_elements_are_what_the_standard_knows_and_figures_are_described(documents: list[Path]) -> None:
    """Standard roles only, so that no map of roles is needed; no figure is without a text."""
    for path in documents:
        with pikepdf.open(path) as document:
            found = list(elements(document.Root.StructTreeRoot))
            assert {str(each.S) for each in found} <= ROLES, path
            assert all(str(each.Alt).strip() for each in found if each.S == "/Figure"), path


def test_tables_have_heads_and_rows_of_one_width(documents: list[Path]) -> None:
    """Each row has as many columns as its table, and a table with cells has heads that say what they head."""
    tables = 0
    for path in documents:
        with pikepdf.open(path) as document:
            for each in elements(document.Root.StructTreeRoot):
                if each.S == "/Table":
                    tables += 1
                    rows = [kids(row) for row in kids(each)]
                    assert len({sum(columns(cell) for cell in row) for row in rows}) == 1, path
                    heads = [cell for row in rows for cell in row if cell.S == "/TH"]
                    assert heads, path
                    assert all(head.A.Scope == "/Column" for head in heads), path
    assert tables > 5


def columns(cell: pikepdf.Object) -> int:
    """How many columns a cell goes over."""
    return int(cell.A.get("/ColSpan", 1)) if "/A" in cell else 1


# --- the document -------------------------------------------------------------------------------------------


def test_a_document_has_language_title_and_order_of_fields(documents: list[Path]) -> None:
    """In the catalog, in its information and in its XML alike; fields are in the order of reading."""
    titles = []
    for path in documents:
        with pikepdf.open(path) as document:
            root = document.Root
            assert (str(root.Lang), bool(root.MarkInfo.Marked)) == ("en", True)
            assert bool(root.ViewerPreferences.DisplayDocTitle)
            assert all(sheet.Tabs == "/S" for sheet in document.pages)
            titles.append(str(document.docinfo["/Title"]))
            with document.open_metadata() as metadata:
                assert (metadata["dc:title"], metadata["pdfuaid:part"]) == (titles[-1], "1")
    assert len(set(titles)) == len(titles)


def test_two_checkers_find_nothing(documents: list[Path]) -> None:
    """The 16 rules of PDF/UA-1 that pdfua knows, and the 104 that page-validation applies to a document."""
    for path in documents:
        assert validate(str(path)).findings == (), path
        report = page.validate_pdf(path, profile="ua1", limits=page.SafetyLimits.unlimited())
        assert [(each.rule_id, each.message) for each in report.failures] == [], path
        assert report.rules.total > 100


def test_all_fonts_are_in_the_file(documents: list[Path]) -> None:
    """Those of what is typed into a form too, as poppler lists them."""
    for path in documents:
        lines = subprocess.run(["pdffonts", path], capture_output=True, text=True, check=True).stdout
        assert {line.split()[-5] for line in lines.splitlines()[2:]} == {"yes"}, path


def test_files_are_in_order(documents: list[Path]) -> None:
    """Qpdf finds no fault in their tables and streams."""
    for path in documents:
        run = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True, check=False)
        assert (run.returncode, run.stderr) == (0, ""), path


def aloud(path: Path, number: int) -> str:
    """A page's texts as poppler's reader of structure gives them, in their order."""
    command = ["pdfinfo", "-struct-text", "-f", str(number), "-l", str(number), str(path)]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_a_board_is_read_with_each_bank_beside_its_own_settings(documents: list[Path]) -> None:
    """In place of the picture: which board, which letters, and what is ON on which bank; as on paper."""
    path = next(path for path in documents if path.name == "placards.pdf")
    with pikepdf.open(path) as document:
        root = document.Root.StructTreeRoot
        told = [str(each.Alt) for each in elements(root) if each.S == "/Figure"]
    boards = [text for text in told if "Bank 1: " in text]
    assert boards[0] == "ONLY BOARD A B C D. Bank 1: all OFF. Bank 2: ON 1, leave 3 as found, rest OFF"
    copied = " ".join(PdfDocument(path)[0].get_textpage().get_text_range().split())
    assert "Bank 1 all OFF" in copied
    assert "Bank 2 ON 1" in copied


def test_headings_and_titles_begin_each_page(documents: list[Path]) -> None:
    """The first heading of a page of text is its title; none skips a level. Bands have none."""
    for path in documents:
        if not path.name.startswith(("tags-", "stock", "bands")):
            with pikepdf.open(path) as document:
                (top,) = kids(document.Root.StructTreeRoot)
                for section in kids(top):
                    levels = [str(each.S) for each in elements(section) if str(each.S).startswith("/H")]
                    assert levels[0] == "/H1", path
                    assert set(levels) <= {"/H1", "/H2"}


def test_a_label_is_read_in_one_go(documents: list[Path]) -> None:
    """Port, box, end, kind and unit in one paragraph, its words apart."""
    path = next(path for path in documents if path.name == "tags-letter-30-67x25.pdf")
    lines = [line.strip(' "').split() for line in aloud(path, 1).splitlines() if "LIQUID" in line]
    labels = [line for line in lines if "MAIN" not in line]
    assert {"A", "BB-11", "LIQUID", "AH-101", "AT", "THE", "BOX", "REV", "2"} <= set(labels[0])
    assert all("REV" in label and label.count("LIQUID") == 1 for label in labels)


# --- forms --------------------------------------------------------------------------------------------------


def test_a_field_has_no_frame_of_its_own_and_its_cross_is_black(tmp_path: Path) -> None:
    """The page has the box, so that a print without the form has it too; at any size."""
    sides = (3.0, 5.0, 9.0)
    ticks = [Field(10 + 20 * at, 10, side, side, "check", f"t{at}", "tick") for at, side in enumerate(sides)]
    pdf = draw_pdf("t", "", [Page(80, 30, (*ticks, Field(10, 22, 60, 7, "text", "w", "write")))], all_faces())
    assert picture(pdf).getextrema() == (255, 255)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for note in document.pages[0].Annots:
            if note.FT == "/Btn":
                note.AS = note.V = pikepdf.Name("/Yes")
        document.save(tmp_path / "ticked.pdf")
    ticked = picture((tmp_path / "ticked.pdf").read_bytes())
    for at, side in enumerate(sides):
        left, top, right, bottom = (
            round(length * 300 / 25.4) for length in (10 + 20 * at, 10, 10 + 20 * at + side, 10 + side)
        )
        assert ticked.getpixel(((left + right) // 2, (top + bottom) // 2)) == 0
        greys = ticked.crop((left, top, right, bottom)).tobytes()
        assert sum(grey < DARK for grey in greys) / len(greys) > 0.15


def test_a_field_of_screens_alone_has_its_frame_and_words_and_is_not_printed() -> None:
    """The page has neither: a print must not ask for what only a screen takes."""
    field = Field(10, 10, 40, 5, "screen", "BB-1/left/seen", "seen", "rest OFF")
    pdf = draw_pdf("t", "", [Page(80, 30, (field,))], all_faces())
    with pikepdf.open(io.BytesIO(pdf)) as document:
        note = document.pages[0].Annots[0]
        assert int(note.F) == 0
        assert b"rest OFF".hex().upper().encode() in note.AP.N.Off.read_bytes()
    assert min(picture(pdf).tobytes()) < DARK


def picture(pdf: bytes) -> Image.Image:
    """A form's page in greys at 300 dpi, as pdfium shows it."""
    document = PdfDocument(pdf)
    document.init_forms()
    image: Image.Image = document[0].render(scale=300 / 72, grayscale=True, may_draw_forms=True).to_pil()
    document.close()
    return image


def test_what_is_typed_is_set_in_a_whole_face_that_is_in_the_file() -> None:
    """Its codes are Windows' Latin ones, its widths the face's own, so that what is typed is what shows."""
    field = Field(10, 10, 40, 7, "text", "w", "write")
    pdf = draw_pdf("t", "", [Page(80, 30, (Text(2, 5, "a", PLAIN, 3), field))], all_faces())
    with pikepdf.open(io.BytesIO(pdf)) as document:
        form = document.Root.AcroForm
        note = document.pages[0].Annots[0]
        name = str(note.DA).split()[0]
        font = form.DR.Font[name]
        assert font.Encoding == "/WinAnsiEncoding"
        file = TTFont(io.BytesIO(font.FontDescriptor.FontFile2.read_bytes()))
        widths = [int(width) for width in font.Widths]
    glyphs, metrics, em = file.getBestCmap(), file["hmtx"].metrics, file["head"].unitsPerEm
    for code in range(32, 256):
        sign = bytes([code]).decode("cp1252", "ignore")
        if sign and ord(sign) in glyphs:
            assert widths[code - 32] == pytest.approx(metrics[glyphs[ord(sign)]][0] * 1000 / em, abs=1), sign

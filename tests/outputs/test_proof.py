"""Proof before print: one code that does not read back where it was meant refuses the whole set."""

import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from tagmaker.cli import app as cli
from tagmaker.draw.marks import Bars, FaceFile, Mark, Page, Picture, Rect, flat, moved
from tagmaker.draw.pdf import draw_pdf, pdf_pieces
from tagmaker.outputs import proof as proof_module
from tagmaker.outputs.proof import Expected, Parts, Proof, expected_of_labels, expected_of_page, prove
from tagmaker.problems import Where
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.place import Placed, place_labels, tag_pages
from tagmaker.symbols.encode import code128, qr
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows import make, printing
from tests.files.sets import OLD, beside, contents, whole
from tests.files.sets import put as put_files
from tests.records import replace
from tests.site.papers import plan_of, tags_by_code
from tests.strategies import PAGE_STOCKS, BoxSketch, JobSketch, UnitSketch, first_box, stock_named, words

JOB = JobSketch(
    (
        BoxSketch(
            "BB-1",
            4,
            (UnitSketch("FC-1", "A"), UnitSketch("FC-3", "B"), UnitSketch("AH-1", "C+D", "72 kBtu/h")),
        ),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A"),)),
        BoxSketch("BB-3", 4, (UnitSketch("FC-4", "A"),)),
    ),
    number="ML-24",
)
SHEET, BARS, ROLL = "letter-30-67x25", "letter-10-102x51", "roll-51x25-203dpi"
MIDDLE = 1  # of the sheets, from 0: one of three, and neither the first nor the last
WHERE = Where("job.toml", 1)
Spoil = Callable[[Page], Page]


# --- spoiling a page ----------------------------------------------------------------------------------------


def flattened(page: Page) -> Page:
    """A page with its marks one by one."""
    return replace(page, marks=tuple(flat(page.marks)))


def first_bars(page: Page) -> int:
    """Which mark of a page is its first code."""
    return next(number for number, mark in enumerate(page.marks) if isinstance(mark, Bars))


def put(page: Page, *marks: Mark) -> Page:
    """A page with these marks in place of its first code."""
    at = first_bars(page)
    return replace(page, marks=(*page.marks[:at], *marks, *page.marks[at + 1 :]))


def code(page: Page) -> Bars:
    """The first code of a page."""
    mark = page.marks[first_bars(page)]
    assert isinstance(mark, Bars)
    return mark


def missing(page: Page) -> Page:
    """The first code is not printed."""
    return put(page)


def wrong(page: Page) -> Page:
    """The first code says something else, and its mark does not know it."""
    return put(page, replace(code(page), runs=qr("BB-1/B/TRM/").runs))


def displaced(page: Page) -> Page:
    """The first code is printed 10 mm further right, over its label's edge."""
    return put(page, *moved([code(page)], 10.0, 0.0))


def damaged(page: Page) -> Page:
    """A blot on the first code, of a third of its side."""
    mark = code(page)
    side = max(column + columns for column, _, columns, _ in mark.runs) * mark.cell_width
    return put(page, mark, Rect(mark.x, mark.y, side, side / 3, fill=0.0))


def faint(page: Page) -> Page:
    """The first code's modules are gone but for every third run."""
    return put(page, replace(code(page), runs=code(page).runs[::3]))


SPOILS = (missing, wrong, displaced, damaged, faint)


# --- one file -----------------------------------------------------------------------------------------------


@cache
def placed_on(stock: str) -> list[Placed]:
    """The job's labels on one stock, each in its place."""
    plan = plan_of(replace(JOB, stocks=tuple((use, stock) for use in ("pipe", "cable", "terminal"))))
    job, tags = plan.job, tags_by_code(plan).values()
    fitted = [fit_label(tag, stock_named(stock), words())[0] for tag in tags]
    return place_labels((label for label in fitted if label), job)


def placed_of(stock: str, number: int) -> list[Placed]:
    """The labels of one page, from 0."""
    return [each for each in placed_on(stock) if each.page == number + 1]


def proof_of(stock: str, spoil: Spoil | None = None, *, number: int = 0, of: Sequence[Placed] = ()) -> Proof:
    """The proof of a label file, one page of it spoilt before it was drawn."""
    placed = placed_on(stock)
    meant = [flattened(page) for page in tag_pages(placed)]
    drawn = list(meant)
    if spoil:
        drawn[number] = spoil(drawn[number])
    pdf = draw_pdf("", "", drawn, all_faces())
    expected = expected_of_labels(of or placed)
    return prove("tags.pdf", pdf, expected, meant, stock_named(stock).dots_per_mm)


@pytest.mark.parametrize("stock", [SHEET, BARS, ROLL])
def test_a_right_file_reads_back(stock: str) -> None:
    """Every label's code, at the dots of its stock; QR codes and bars alike."""
    labels = len(placed_on(stock))
    assert proof_of(stock) == Proof(labels, labels, ())


@pytest.mark.parametrize("spoil", SPOILS)
@pytest.mark.parametrize(("stock", "number"), [(SHEET, 0), (SHEET, 1), (ROLL, 3)])
def test_a_spoilt_code_is_found_and_named(spoil: Spoil, stock: str, number: int) -> None:
    """On the first page or a later one: its text, its page, the row of the job that it comes from."""
    placed = placed_on(stock)
    tag = next(each.label.tag for each in placed if each.page == number + 1)
    proof = proof_of(stock, spoil, number=number)
    first = proof.problems[0]
    assert (proof.read, proof.of) == (len(placed) - 1, len(placed))
    assert (first.code, first.severity, first.where) == ("code-unreadable", "error", tag.where)
    assert first.message == (
        f"tags.pdf page {number + 1}: the code {tag.code!r} does not read back where it was printed"
    )


def test_a_wrong_bar_code_is_found() -> None:
    """One of the same length, with a right check digit."""

    def other(page: Page) -> Page:
        return put(page, replace(code(page), runs=code128("BB-1/B/TRM").runs))

    proof = proof_of(BARS, other)
    assert (proof.of - proof.read, len(proof.problems)) == (1, 2)


def in_turn(page: Page, numbers: Sequence[int]) -> Page:
    """A page whose codes of these numbers are each printed where the next of them belongs."""
    bars = [number for number, mark in enumerate(page.marks) if isinstance(mark, Bars)]
    marks = list(page.marks)
    for number, after in zip(numbers, (*numbers[1:], numbers[0]), strict=True):
        one, place = page.marks[bars[number]], page.marks[bars[after]]
        assert isinstance(one, Bars)
        assert isinstance(place, Bars)
        marks[bars[after]] = replace(place, runs=one.runs)
    return replace(page, marks=tuple(marks))


@pytest.mark.parametrize("number", [0, MIDDLE])
def test_two_codes_that_changed_places_are_both_found(number: int) -> None:
    """Both read, neither where it belongs; on a page that is read whole, and on one read by places."""
    proof = proof_of(SHEET, lambda page: in_turn(page, (0, 5)), number=number)
    assert (proof.of - proof.read, len(proof.problems)) == (2, 2)


def test_codes_moved_on_by_one_label_are_all_found() -> None:
    """As by a label too many or too few: every code of a page reads, on its neighbour."""
    on_page = range(len(placed_of(SHEET, MIDDLE)))
    proof = proof_of(SHEET, lambda page: in_turn(page, on_page), number=MIDDLE)
    assert (proof.of - proof.read, len(proof.problems)) == (len(on_page), len(on_page))


STRANGE, CELL, PIXELS = qr("ZZ-9/A/LIQ"), 0.4, 8


def as_a_path(x: float, y: float) -> list[Mark]:
    """A code as every code is drawn."""
    return [Bars(x, y, CELL, CELL, STRANGE.runs, "")]


def as_modules(x: float, y: float) -> list[Mark]:
    """A code as rectangles one by one."""
    return [
        Rect(x + CELL * column, y + CELL * row, CELL * columns, CELL * rows, fill=0.0)
        for column, row, columns, rows in STRANGE.runs
    ]


def as_a_picture(x: float, y: float) -> list[Mark]:
    """A code as a picture, its quiet zone with it."""
    picture = Image.new("L", ((STRANGE.columns + 2) * PIXELS, (STRANGE.rows + 2) * PIXELS), "white")
    for column, row, columns, rows in STRANGE.runs:
        left, top = PIXELS * (column + 1), PIXELS * (row + 1)
        picture.paste(0, (left, top, left + PIXELS * columns, top + PIXELS * rows))
    out = io.BytesIO()
    picture.save(out, "PNG")
    side = (STRANGE.columns + 2) * CELL
    return [Picture(x, y, side, side, out.getvalue())]


@pytest.mark.parametrize("number", [0, MIDDLE])
@pytest.mark.parametrize("drawn", [as_a_path, as_modules, as_a_picture])
def test_a_code_that_nobody_meant_is_found(drawn: Callable[[float, float], list[Mark]], number: int) -> None:
    """All that was meant reads back, and still the file is refused, however the code was drawn.

    It is between two labels, where no place of a code is looked at: that more is drawn than was meant has the
    page read whole.
    """

    def added(page: Page) -> Page:
        return replace(page, marks=(*page.marks, *drawn(150.0, 262.0)))

    proof = proof_of(SHEET, added, number=number)
    assert proof.read == proof.of
    assert [problem.message for problem in proof.problems] == [
        f"tags.pdf page {number + 1}: a code reads 'ZZ-9/A/LIQ' where none was expected"
    ]


def test_a_code_that_nobody_meant_is_found_in_the_place_of_another() -> None:
    """One for one: as much is drawn as was meant, and the page is not read whole for it."""

    def exchanged(page: Page) -> Page:
        return put(page, *as_a_path(150.0, 262.0))

    proof = proof_of(SHEET, exchanged, number=MIDDLE)
    assert (proof.of - proof.read, len(proof.problems)) == (1, 1)


def test_a_code_over_its_labels_edge_is_not_taken_for_placed() -> None:
    """Where the layout itself put it: it would be cut with its label."""
    placed = placed_on(SHEET)
    spoilt = [
        replace(each, label=replace(each.label, marks=moved(each.label.marks, 0.0, 20.0))) for each in placed
    ]
    pages = list(tag_pages(spoilt))
    proof = prove("tags.pdf", draw_pdf("", "", pages, all_faces()), expected_of_labels(spoilt), pages, 0)
    assert (proof.read, proof.of) == (0, len(placed))


def test_a_page_that_is_not_there_is_found() -> None:
    """Its codes count as unread, each by its name."""
    placed = placed_on(ROLL)
    pages = list(tag_pages(placed))
    proof = prove("tags.pdf", draw_pdf("", "", pages[:-1], all_faces()), expected_of_labels(placed), pages, 8)
    assert (proof.of - proof.read, len(proof.problems)) == (1, 1)
    assert f"page {len(pages)}, which does not exist" in proof.problems[0].message


def test_a_code_a_little_off_still_counts() -> None:
    """What a reader's corners are uncertain by is no fault: a third of a millimetre."""

    def nudged(page: Page) -> Page:
        return put(page, *moved([code(page)], 0.3, -0.3))

    assert proof_of(SHEET, nudged).problems == ()


def test_pages_that_make_up_for_a_printer_are_proved_where_they_lie() -> None:
    """Stretched by 1 % and moved by 3 mm: the codes are looked for there, and nowhere else."""
    placed = placed_on(SHEET)
    plain = list(tag_pages(placed))
    moved_pages = [replace(page, adjust=(1.01, 0.99, 3.0, -2.0)) for page in plain]
    pdf = draw_pdf("", "", moved_pages, all_faces())
    expected = expected_of_labels(placed)
    assert prove("tags.pdf", pdf, expected, moved_pages, 0).problems == ()
    far = [replace(page, adjust=(1.01, 0.99, 63.0, -2.0)) for page in plain]
    assert prove("tags.pdf", pdf, expected, far, 0).read < len(placed)


def test_parts_of_a_file_are_read_as_the_whole_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page and code is of one part, and a fault counts on its own page, whichever part that is."""
    placed = placed_on(SHEET)
    meant = list(tag_pages(placed))
    drawn = [flattened(page) for page in meant]
    drawn[MIDDLE] = damaged(drawn[MIDDLE])
    pdf, dots = draw_pdf("", "", drawn, all_faces()), stock_named(SHEET).dots_per_mm
    monkeypatch.setattr(proof_module, "PART_CODES", 1)
    codes = Parts(cores=2)
    parts = [
        part
        for number, page in enumerate(meant, start=1)
        for part in codes.add(page, expected_of_labels(each for each in placed if each.page == number))
    ]
    parts.append(codes.end())
    assert [part.numbers.start for part in parts] == list(range(1, len(meant) + 1))
    assert [page.marks for part in parts for page in part.pages] == [()] * len(meant)
    proofs = [prove("tags.pdf", pdf, part.expected, part.pages, dots, part.numbers) for part in parts]
    assert [each.of - each.read for each in proofs] == [int(at == MIDDLE) for at in range(len(meant))]
    assert sum(each.of for each in proofs) == len(placed)
    assert codes.first == expected_of_labels(placed)[0]


def test_a_file_of_ten_times_the_pages_is_not_opened_ten_times_as_often() -> None:
    """A part opens the whole file: as many parts as pages would take the square of the time."""
    code = Expected(1, "A", 0, 0, 1, 1, WHERE)
    few, many = (count_of_parts(pages, [code] * 28, cores=2) for pages in (600, 6_000))
    assert few > 20
    assert many < 3 * few
    assert count_of_parts(600, [code] * 28, cores=1) < few / 5


def count_of_parts(pages: int, codes: list[Expected], cores: int) -> int:
    """In how many parts so many pages with these codes each are read; each page is in one of them."""
    parts = Parts(cores)
    found = [part for _ in range(pages) for part in parts.add(Page(1, 1, ()), codes)]
    found.append(parts.end())
    assert [part.numbers.start for part in found[1:]] == [part.numbers.stop for part in found[:-1]]
    assert sum(len(part.pages) for part in found) == pages
    return len(found)


@pytest.mark.parametrize("paper", PAGE_STOCKS)
def test_both_codes_of_a_placard_must_read(paper: str) -> None:
    """One of the two spoilt is one unread, though the other says the same."""
    job = JOB.record()
    pages, _ = placard_pages(job, first_box(job), stock_named(paper), words())
    dots = stock_named(paper).dots_per_mm
    expected = [code for at, page in enumerate(pages, start=1) for code in expected_of_page(at, page, WHERE)]
    assert len(expected) == 2
    at = next(number for number, page in enumerate(pages) if any(isinstance(m, Bars) for m in page.marks))
    for spoil in (None, missing, displaced):
        drawn = [spoil(page) if spoil and number == at else page for number, page in enumerate(pages)]
        proof = prove("placards.pdf", draw_pdf("", "", drawn, all_faces()), expected, pages, dots)
        assert (proof.read, proof.of, len(proof.problems)) == ((1, 2, 1) if spoil else (2, 2, 0))


# --- a whole set --------------------------------------------------------------------------------------------


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job on disk."""
    return JOB.write(tmp_path / "job")


def spoil_file(part: str, spoil: Spoil, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first page of every file whose title holds this is spoilt before it is drawn."""

    def draw(title: str, author: str, pages: Iterable[Page], faces: tuple[FaceFile, ...]) -> Iterator[bytes]:
        first, *others = pages
        drawn = spoil(flattened(first)) if part in title else first
        return pdf_pieces(title, author, [drawn, *others], faces)

    monkeypatch.setattr(printing, "pdf_pieces", draw)


@pytest.mark.parametrize("spoil", SPOILS)
@pytest.mark.parametrize("part", ["Labels", "Placards"])
def test_one_unread_code_refuses_the_whole_set(
    part: str, spoil: Spoil, job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The old set stays whole; nothing is left beside it; the problem is an error."""
    put_files(tmp_path / "out", whole(OLD))
    spoil_file(part, spoil, monkeypatch)
    made = make.make(job, tmp_path / "out")
    assert (made.files, made.tags, made.codes_read) == ((), 0, -1)
    assert {problem.code for problem in made.checked.problems} == {"code-unreadable"}
    assert contents(tmp_path / "out") == whole(OLD)
    assert beside(tmp_path / "out") == ["job"]


def test_a_first_set_that_is_refused_leaves_no_folder(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The command says what did not read, that nothing was written, and ends with 1."""
    spoil_file("Placards", missing, monkeypatch)
    done = CliRunner().invoke(cli.app, ["make", str(job), "-o", str(tmp_path / "out")])
    assert done.exit_code == 1
    assert "does not read back where it was printed [code-unreadable]" in done.stderr
    assert done.stdout.splitlines()[-1].endswith("nothing was written")
    assert not (tmp_path / "out").exists()


def test_without_proof_a_spoilt_set_is_written_and_says_so(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is the user's own wish: plan.json keeps it, and the last line tells it."""
    spoil_file("Labels", missing, monkeypatch)
    done = CliRunner().invoke(cli.app, ["make", str(job), "-o", str(tmp_path / "out"), "--no-proof"])
    assert done.exit_code == 0
    assert done.stdout.splitlines()[-1] == "the codes were not read back (--no-proof)"
    assert json.loads((tmp_path / "out" / "plan.json").read_bytes())["proof"] is False


def test_a_proved_set_counts_every_code(job: Path, tmp_path: Path) -> None:
    """Every tag once, a placard twice, a page of a walk once; the last line says how many of how many."""
    done = CliRunner().invoke(cli.app, ["make", str(job), "-o", str(tmp_path / "out")])
    rows = (tmp_path / "out" / "register.csv").read_text(encoding="utf-8").splitlines()[1:]
    codes = len(rows) + 3 * len(JOB.boxes)
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1] == f"{codes} of {codes} codes read back"
    assert json.loads((tmp_path / "out" / "plan.json").read_bytes())["proof"] is True


def test_the_same_bytes_are_written_with_and_without_proof(job: Path, tmp_path: Path) -> None:
    """Proof only looks; plan.json aside, which says whether it did."""
    for name, proof in (("with", True), ("without", False)):
        make.make(job, tmp_path / name, selection=Selection(proof=proof))
    pairs = [(path, tmp_path / "without" / path.name) for path in (tmp_path / "with").iterdir()]
    assert [one.name for one, other in pairs if one.read_bytes() != other.read_bytes()] == ["plan.json"]

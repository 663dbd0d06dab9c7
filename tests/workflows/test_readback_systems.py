"""Systems' sheets through the whole of `readback`: forms, paper, walks beside them; what is printed."""

import json
import shutil
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tagmaker.catalog.words import Words
from tagmaker.cli.readback import readback_lines
from tagmaker.draw.pdf import draw_pdf
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.system import system_pages, system_screen
from tagmaker.tags.system import system_field
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows import make
from tagmaker.workflows.as_json import json_object
from tagmaker.workflows.handover import handover
from tagmaker.workflows.punch_list import write_punch_list
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.readback_pages import PrintedSets
from tests.bench.pen_camera import Photo, photographed, scanned
from tests.bench.pen_strokes import PENS, Field, Ink, draw, write
from tests.site.systems import CLINIC, Sheet, clinic, named, rightly, without, write_form
from tests.site.walks import Values, as_planned, filled, hand_in
from tests.strategies import words
from tests.workflows.typed_entries import typed

ONE, TWO = clinic().systems
RENDERED_DPI = 300
Picture = NDArray[np.uint8]


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example's finished set."""
    folder = tmp_path_factory.mktemp("systems")
    made = make.make(CLINIC, folder / "set", Selection(proof=False))
    assert made.files
    return folder / "set"


def states(result: Readback) -> list[str]:
    """What each system comes to."""
    return [system.state for system in result.systems]


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def pdf_text(file: Path) -> str:
    """The text of a PDF."""
    done = subprocess.run(["pdftotext", "-layout", file, "-"], check=True, capture_output=True, text=True)
    return " ".join(done.stdout.split())


# --- forms --------------------------------------------------------------------------------------------------


def test_a_form_as_printed_and_filled_in(out: Path, tmp_path: Path) -> None:
    """The set's own systems.pdf, one system filled in: complete; the other is not seen."""
    content = (out / "systems.pdf").read_bytes()
    (tmp_path / "back.pdf").write_bytes(filled(content, named(ONE, rightly(ONE))))
    result = readback([tmp_path], CLINIC)
    assert result.problems == ()
    assert states(result) == ["complete", "not seen"]
    assert not result.is_walked
    assert result.is_wrong


def test_all_systems_complete_is_right(tmp_path: Path) -> None:
    """With nothing else handed in there is nothing wrong."""
    write_form(tmp_path / "back.pdf", clinic(), [(each, rightly(each)) for each in (ONE, TWO)])
    result = readback([tmp_path], CLINIC)
    assert states(result) == ["complete", "complete"]
    assert not result.is_wrong
    assert readback_lines(result) == [
        "system HR-1: complete", "system HR-2: complete", "2 of 2 systems complete"
    ]  # fmt: skip


def test_walks_and_systems_in_one_folder(tmp_path: Path) -> None:
    """In any order; a walk with a box not as planned makes the gate of that system wrong."""
    walked = as_planned(clinic())
    walked["BB-12/left/1/1"] = not walked.get("BB-12/left/1/1", False)
    hand_in(tmp_path, clinic(), walked)
    write_form(tmp_path / "0.pdf", clinic(), [(ONE, rightly(ONE))])
    write_form(tmp_path / "z.pdf", clinic(), [(TWO, rightly(TWO))])
    result = readback([tmp_path], CLINIC)
    assert result.is_walked
    assert [box.box for box in result.boxes if box.state != "as planned"] == ["BB-12"]
    assert states(result) == ["differs", "complete"]
    numbers = [punch.number for box in result.boxes for punch in box.punches]
    numbers += [item.number for system in result.systems for item in system.wrong]
    assert numbers == list(range(1, len(numbers) + 1))


def test_walks_alone_ask_for_no_system(tmp_path: Path) -> None:
    """Systems are tested after the walk: their sheets are not missed before one comes back."""
    hand_in(tmp_path, clinic(), as_planned(clinic()))
    result = readback([tmp_path], CLINIC)
    assert states(result) == ["not seen", "not seen"]
    assert not result.is_tested
    assert not result.is_wrong
    assert not any("system" in line for line in readback_lines(result))


def test_a_form_of_another_job_is_refused(tmp_path: Path) -> None:
    """A job with another number has systems of the same tags."""
    job = tmp_path / "job"
    shutil.copytree(CLINIC, job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace('"ARC-7"', '"ARC-8"'), encoding="utf-8")
    file = write_form(tmp_path / "back.pdf", clinic(), [(ONE, rightly(ONE))])
    result = readback([file], job)
    assert codes(result) == ["return-foreign"]
    assert states(result) == ["not seen", "not seen"]


@pytest.mark.parametrize(("number", "expected"), [("ARC-7", "complete"), ("ARC-8", "not seen")])
def test_a_phones_file_whose_head_is_of_another_job_is_refused(
    tmp_path: Path, number: str, expected: str
) -> None:
    """Whatever its sheets were printed for, as that of a walk is."""
    screen = system_screen(clinic().job, ONE, words())
    fields = named(ONE, rightly(ONE))
    system = {"system": ONE.row.key, "printed_for": screen.printed_for, "fields": fields}
    head = {"name": clinic().job.name, "number": number}
    file = tmp_path / "walk.json"
    content = {"format": "tagmaker walk 1", "job": head, "boxes": [], "systems": [system]}
    file.write_text(json.dumps(content), encoding="utf-8")
    assert states(readback([file], CLINIC)) == [expected, "not seen"]


def test_a_form_of_an_earlier_plan_counts_as_far_as_it_can(tmp_path: Path) -> None:
    """A unit's run was changed since: readings and lengths count, ticks do not."""
    job = tmp_path / "job"
    shutil.copytree(CLINIC, job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace('run = "112 ft"', 'run = "113 ft"'), encoding="utf-8")
    file = write_form(tmp_path / "back.pdf", clinic(), [(ONE, rightly(ONE))])
    result = readback([file], job)
    assert codes(result) == ["return-older"]
    (one, _) = result.systems
    assert one.state == "open"
    assert one.hold.verdict == "holds"
    assert one.charge.total is not None
    assert not any(gate.is_done for gate in one.gates)


def test_a_form_with_other_words_is_of_the_same_plan(tmp_path: Path) -> None:
    """Ticks and names of sheets in the field count on, however a later version words what it asks."""
    file, printed = tmp_path / "back.pdf", words()
    other = Words({**printed.texts, "system.list": "Each line is a section. Tick how it is read."})
    pages, _ = system_pages(clinic().job, clinic().systems, other)
    content = filled(draw_pdf("systems", "tests", pages, all_faces()), named(ONE, rightly(ONE)))
    file.write_bytes(content)
    result = readback([file], CLINIC)
    assert (codes(result), states(result)) == ([], ["complete", "not seen"])


def test_pages_of_two_sheets_are_refused(tmp_path: Path) -> None:
    """The first page of one plan and the second of another in one file, fields and all."""
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415 — this test alone

    job = tmp_path / "job"
    shutil.copytree(CLINIC, job)
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace('run = "112 ft"', 'run = "113 ft"'), encoding="utf-8")
    made = make.make(job, tmp_path / "set", Selection(proof=False))
    assert made.files
    old = write_form(tmp_path / "old.pdf", clinic(), [(ONE, rightly(ONE))])
    writer = PdfWriter()
    writer.append(PdfReader(tmp_path / "set" / "systems.pdf"), pages=(0, 1))
    writer.append(PdfReader(old), pages=(1, 2))
    writer.write(tmp_path / "mixed.pdf")
    result = readback([tmp_path / "mixed.pdf"], job)
    assert codes(result) == ["return-merged"]
    assert states(result) == ["not seen", "not seen"]


def test_a_file_that_is_there_twice_changes_nothing(tmp_path: Path) -> None:
    """The same sheet under two names."""
    for name in ("a.pdf", "b.pdf"):
        write_form(tmp_path / name, clinic(), [(ONE, rightly(ONE))])
    assert states(readback([tmp_path], CLINIC)) == ["complete", "not seen"]


# --- what is printed of it ----------------------------------------------------------------------------------


def test_the_json_has_every_system(tmp_path: Path) -> None:
    """The hold as `hold --json` has it, the charge in grams, the names of boxes."""
    write_form(tmp_path / "back.pdf", clinic(), [(ONE, rightly(ONE))])
    result = readback([tmp_path], CLINIC)
    one, two = json.loads(json_object(result.outline, result.problems))["systems"]
    assert (one["system"], one["result"], two["result"]) == ("HR-1", "complete", "not seen")
    assert one["hold"]["computed"]["verdict"] == "holds"
    assert one["hold"]["ticked"] == ["holds"]
    assert one["hold"]["hours"] == 24
    assert one["vacuum"]["readings"][0] == [0, 250]
    assert one["vacuum"]["verdict"] == "within"
    assert one["charge"]["built_g"] == pytest.approx(102.168 * 453.59237, abs=0.001)
    assert one["charge"]["weighed_g"] == pytest.approx(102.2 * 453.59237, abs=0.001)
    assert "system/HR-1/gate/started/ok" in one["ticked"]
    assert two["hold"]["computed"] is None


def test_the_punch_list_has_what_is_wrong_and_open(tmp_path: Path) -> None:
    """System by system, after the boxes; only what came back."""
    sheet = without({**rightly(ONE), ("hold", "end", "pressure"): "520"}, ("gate", "started", "by"))
    write_form(tmp_path / "back.pdf", clinic(), [(ONE, sheet)])
    result = readback([tmp_path / "back.pdf"], CLINIC)
    assert write_punch_list(result, tmp_path / "punch.pdf") is None
    text = pdf_text(tmp_path / "punch.pdf")
    assert "the pressure falls" in text
    assert "System started: by: not written" in text
    assert "System HR-2" in text
    assert "BB-21" not in text
    lines = readback_lines(result)
    assert "system HR-1: differs" in lines
    assert any(line.startswith("    1. Pressure test: the pressure falls") for line in lines)


# --- paper --------------------------------------------------------------------------------------------------


class Paper:
    """The set's system sheets as pictures to be written on."""

    def __init__(self, out: Path, folder: Path) -> None:
        dots = ["-r", str(RENDERED_DPI), "-hide-annotations", "-png"]
        subprocess.run(["pdftoppm", *dots, out / "systems.pdf", folder / "page"], check=True)
        files = sorted(folder.glob("page-*.png"))
        self.pictures: list[Picture] = [cv2.imread(str(file)) for file in files]  # type: ignore[misc]
        sets = PrintedSets()
        assert sets.add(out) is None
        codes = sets.pages.by_code.values()
        self.pages = [page for (page,) in codes if page.file == "systems.pdf"]

    def filled(self, number: int, values: Values) -> Picture:
        """A page with what is ticked and written of these fields."""
        ink = Ink(self.pictures[number].copy(), RENDERED_DPI / 25.4, np.random.default_rng(number))
        places = places_of(self.pages[number])
        for name, place in places.items():
            if values.get(name) is True:
                draw(ink, "cross", place, PENS["ball pen, blue"])
        texts = [place for name, place in places.items() if isinstance(values.get(name), str)]
        write(ink, texts, PENS["ball pen, blue"])
        return ink.page


def places_of(page: FormPage) -> dict[str, Field]:
    """Where fields are."""
    return {
        name: Field(place.x_mm, place.y_mm, place.width_mm, place.height_mm)
        for name, place in page.fields.items()
    }


@pytest.fixture(scope="module")
def paper(out: Path, tmp_path_factory: pytest.TempPathFactory) -> Paper:
    """Both systems' sheets."""
    return Paper(out, tmp_path_factory.mktemp("paper"))


def test_pen_on_paper_is_read_and_what_is_written_is_to_be_typed(
    out: Path, paper: Paper, tmp_path: Path
) -> None:
    """A photo of one page, a scan of the other: ticks as in a form, handwriting listed and cut out."""
    values = named(ONE, rightly(ONE))
    size, chance = paper.pages[0].size_mm, np.random.default_rng(7)
    photo = photographed(paper.filled(0, values), size, Photo(), chance)
    (tmp_path / "1.jpg").write_bytes(photo)
    (tmp_path / "2.pdf").write_bytes(scanned([paper.filled(1, values)], size, [1], chance))
    result = readback([tmp_path], CLINIC, [out])
    (one, _) = result.systems
    ticks = {name for name, value in values.items() if value is True}
    ticked, unclear = (
        {system_field(ONE.row, *parts) for parts in found}
        for found in (one.filled.ticked, one.filled.unclear)
    )
    assert ticked | unclear == ticks
    assert len(unclear) <= 3
    written = {name for name, value in values.items() if isinstance(value, str)}
    assert {system_field(ONE.row, *parts) for parts in one.filled.written} == written
    assert {f"{name.replace('/', '_')}.png" for name in written | unclear} == set(result.paper.cuts)
    assert one.hold.answer is None
    assert one.charge.total is None
    assert "Pressure test: Start of hold, pressure: handwriting to be typed" in one.open
    assert set(codes(result)) <= {"paper-handwriting", "paper-unclear"}


def test_paper_and_what_was_typed_of_it_are_complete(out: Path, paper: Paper, tmp_path: Path) -> None:
    """Ticks from paper; texts, and what is not clearly ticked, from a form: the two together."""
    sheet = rightly(ONE)
    values, size = named(ONE, sheet), paper.pages[0].size_mm
    pages = [paper.filled(number, values) for number in (0, 1)]
    (tmp_path / "scan.pdf").write_bytes(scanned(pages, size, [0, 2], np.random.default_rng(8)))
    (one, _) = readback([tmp_path], CLINIC, [out]).systems
    unclear = one.filled.unclear
    typed: Sheet = {parts: value for parts, value in sheet.items() if value is not True or parts in unclear}
    write_form(tmp_path / "typed.pdf", clinic(), [(ONE, typed)])
    result = readback([tmp_path], CLINIC, [out])
    assert result.systems[0].points == ()
    assert states(result) == ["complete", "not seen"]


def test_a_blank_page_of_paper_is_nothing(out: Path, paper: Paper, tmp_path: Path) -> None:
    """Printed, photographed, and nothing on it: not seen, and no tick."""
    size = paper.pages[1].size_mm
    (tmp_path / "2.pdf").write_bytes(scanned([paper.filled(1, {})], size, [0], np.random.default_rng(9)))
    result = readback([tmp_path], CLINIC, [out])
    assert states(result) == ["not seen", "not seen"]
    assert codes(result) == ["paper-missing"]
    assert words()("system_found.not_seen") in result.systems[0].open


WALKED = system_field(ONE.row, "gate", "walked", "ok")


@pytest.fixture(scope="module")
def doubtful(paper: Paper, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scan of one page with a line that begins beside a gate's box and ends in it."""
    number = next(at for at, page in enumerate(paper.pages) if WALKED in page.fields)
    page, place, dots = paper.filled(number, {}), paper.pages[number].fields[WALKED], RENDERED_DPI / 25.4
    x, y = round((place.x_mm - 2) * dots), round((place.y_mm + place.height_mm / 2) * dots)
    cv2.line(page, (x, y), (x + 55, y), (60, 40, 30), 5)
    file = tmp_path_factory.mktemp("doubtful") / "scan.pdf"
    file.write_bytes(scanned([page], paper.pages[number].size_mm, [0], np.random.default_rng(3)))
    return file


@pytest.mark.usefixtures("once")
def test_a_doubtful_box_is_what_a_person_found_in_its_picture(
    out: Path, doubtful: Path, tmp_path: Path
) -> None:
    """Ticked or not, with a note of whose finding it is; the files' own boxes stay as they were read."""
    first = readback([doubtful], CLINIC, [out])
    assert codes(first) == ["paper-missing", "paper-unclear"]
    gate = f"{words()('system.gates')}: {words()('system.gate_walked')}"
    not_clear, not_ticked = f"{gate}: not clear whether ticked", f"{gate}: not ticked"
    for findings, ticks, point in (
        (["ticked"], {("gate", "walked", "ok")}, ""),
        (["ticked", "ticked"], {("gate", "walked", "ok")}, ""),
        (["blank", "ticked"], set(), not_clear),
        (["blank"], set(), ""),  # nothing is on the page: not seen
        (["not seen"], set(), not_clear),
    ):
        entries = [
            typed(tmp_path / f"{by}.json", first, {WALKED: finding}, by)
            for finding, by in zip(findings, ("J. Moss", "R. Hale"), strict=False)
        ]
        result = readback([doubtful, *entries], CLINIC, [out])
        one, back = result.systems[0], result.outline.systems[0]
        assert one.filled.ticked == ticks
        assert [text for text in one.open if text in {not_clear, not_ticked}] == [point] * bool(point)
        assert (back.ticked, back.unclear) == ((), (WALKED,))
        assert [each.by for each in back.typed] == ["J. Moss", "R. Hale"][: len(findings)]
        note = f"gate/walked/ok: {findings[0]}, confirmed by J. Moss from the picture"
        assert any(note in line for line in readback_lines(result))


@pytest.mark.usefixtures("once")
def test_the_handover_record_names_whose_finding_a_tick_is(out: Path, doubtful: Path, tmp_path: Path) -> None:
    """Among its remarks, with the system."""
    entries = typed(tmp_path / "typed.json", readback([doubtful], CLINIC, [out]), {WALKED: "ticked"})
    record = handover(CLINIC, [doubtful, entries], [out]).record
    assert record is not None
    note = (
        "System HR-1: gate/walked/ok: ticked, confirmed by J. Moss from the picture, 2026-06-03 09:30:00 UTC"
    )
    assert any(each.startswith(note) for each in record.remarks)

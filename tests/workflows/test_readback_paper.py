"""Walk sheets that come back on paper, through the whole of `readback`: the same result as forms give."""

import pickle
import shutil
from pathlib import Path

import cv2
import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray

from tagmaker.plan.model import Plan
from tagmaker.revisions.selection import Selection
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.walk.gather import Returned
from tagmaker.tags.fields import read_field
from tagmaker.workflows import make, readback_paper
from tagmaker.workflows.handover import handover
from tagmaker.workflows.punch_list import write_punch_list
from tagmaker.workflows.readback import Readback, readback, write_cuts
from tagmaker.workflows.readback_pages import PrintedSets
from tagmaker.workflows.readback_typed import TypedBack
from tests.bench.pen import Printed, is_box, print_set
from tests.bench.pen_camera import Photo, photographed, scanned
from tests.bench.pen_strokes import PENS, Field, Ink, draw, write
from tests.site.found import walk_of
from tests.site.walks import SITE, Values, as_planned, filled, form, hand_in, plan_of
from tests.strategies import words
from tests.workflows.typed_entries import NOTED, typed

Picture = NDArray[np.uint8]
RENDERED = 300 / 25.4
PEN = PENS["ball pen, blue"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the job and, in `set`, its printed set."""
    folder = tmp_path_factory.mktemp("site")
    SITE.write(folder / "job")
    return folder


@pytest.fixture(scope="module")
def printed(folder: Path) -> Printed:
    """The walk sheets of a site of two boxes."""
    return print_set(folder / "job", folder)


@pytest.fixture(scope="module")
def plan(folder: Path) -> Plan:
    """What is planned."""
    return plan_of(folder / "job")


@pytest.fixture(scope="module")
def right(plan: Plan, printed: Printed) -> set[str]:
    """The boxes to mark where all is as planned: on paper each switch is marked ON or OFF."""
    found = {name for name, value in as_planned(plan).items() if value is True}
    boxes = {name for page in printed.pages for name, place in page.fields.items() if is_box(place)}
    return (found & boxes) | {name for name in boxes if name.endswith("/off") and name[:-4] not in found}


def paper(printed: Printed, number: int, marked: set[str], written: tuple[str, ...] = ()) -> Picture:
    """A page with these boxes marked and these lines written on."""
    ink = Ink(printed.pictures[number].copy(), RENDERED, np.random.default_rng(number))
    places = {
        name: Field(place.x_mm, place.y_mm, place.width_mm, place.height_mm)
        for name, place in printed.pages[number].fields.items()
    }
    for name in sorted(marked & places.keys()):
        draw(ink, "cross", places[name], PEN)
    write(ink, [places[name] for name in written], PEN)
    return ink.page


def scan(path: Path, printed: Printed, *pages: Picture) -> Path:
    """A scanner's PDF of pages, each another way round."""
    size = printed.pages[0].size_mm
    path.write_bytes(scanned(list(pages), size, list(range(len(pages))), np.random.default_rng(5)))
    return path


def photo(path: Path, printed: Printed, page: Picture) -> Path:
    """A phone's photo of a page."""
    path.write_bytes(photographed(page, printed.pages[0].size_mm, Photo(), np.random.default_rng(6)))
    return path


def back(folder: Path, *files: Path) -> Readback:
    """What `readback` makes of files."""
    return readback(list(files), folder / "job", [folder / "set"])


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def test_a_unit_in_handwriting_is_unknown_though_another_file_has_it_as_correct(plan: Plan) -> None:
    """It may be the name of another unit: typed, it is compared; until then nobody knows."""
    values = as_planned(plan, "BB-1")
    walked = walk_of(plan, "BB-1", values)
    shown = readback_paper.with_paper(
        walked, (), Returned(values, ()), ["BB-1/port/A/pipe/found", "BB-1/port/A/note"], words()
    )
    assert (walked.state, shown.state) == ("as planned", "not seen")
    assert shown.unknown == ["not clear on paper whether marked: port/A/pipe/found"]


def test_paper_gives_what_a_form_gives(
    folder: Path, printed: Printed, plan: Plan, right: set[str], tmp_path: Path
) -> None:
    """Box by box the same, from a photo of one page and a scan of the other in one folder."""
    photo(tmp_path / "b.jpg", printed, paper(printed, 0, right))
    scan(tmp_path / "a.pdf", printed, paper(printed, 1, right))
    on_paper = back(folder, tmp_path)
    (tmp_path / "form.pdf").write_bytes(filled(form(plan), dict.fromkeys(right, True)))
    in_form = back(folder, tmp_path / "form.pdf")
    assert on_paper.problems == ()
    assert [box.state for box in on_paper.boxes] == ["as planned", "as planned"]
    assert on_paper.outline == in_form.outline


def test_a_switch_without_a_mark_is_unknown(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """Neither OFF nor right."""
    less = right - {"BB-1/left/1/1/off"}
    file = scan(tmp_path / "a.pdf", printed, *(paper(printed, number, less) for number in (0, 1)))
    result = back(folder, file)
    assert [box.state for box in result.boxes] == ["not seen", "as planned"]
    assert result.boxes[0].unknown == ["left board: Bank 1 switch 1 not seen"]


def test_what_is_written_is_to_be_typed(
    folder: Path, printed: Printed, plan: Plan, right: set[str], tmp_path: Path
) -> None:
    """Listed with a picture until a form or a phone's file has it; then it is what was typed."""
    name = "BB-1/port/A/cable/found"
    marked = right - {"BB-1/port/A/cable/ok"}
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, marked, (name,)), paper(printed, 1, right))
    result = back(folder, file)
    assert codes(result) == ["paper-handwriting"]
    assert (result.outline.boxes[0].to_type, result.boxes[0].state) == ((name,), "not seen")
    assert list(result.paper.cuts) == ["BB-1_port_A_cable_found.png"]
    typed: Values = {name: "FC-5"}
    again = back(folder, file, *hand_in(tmp_path / "typed", plan, typed))
    assert (again.outline.boxes[0].to_type, again.boxes[0].state) == ((), "differs")


def test_unclear_marks_are_named_and_cut_out(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """In the JSON, in the punch list's unknowns, and as pictures in a folder that is new."""
    page = struck(printed, right, "BB-1/port/A/pipe/ok")
    result = back(folder, scan(tmp_path / "a.pdf", printed, page))
    assert codes(result) == ["paper-unclear"]
    assert result.outline.boxes[0].unclear == ("BB-1/port/A/pipe/ok",)
    assert result.boxes[0].unknown[0] == "not clear on paper whether marked: port/A/pipe/ok"
    cuts = tmp_path / "cuts"
    assert write_cuts(result.paper, cuts) is None
    assert [path.name for path in cuts.iterdir()] == ["BB-1_port_A_pipe_ok.png"]
    again = write_cuts(result.paper, cuts)
    assert again is not None
    assert again.code == "output-foreign"


# --- what persons type beside pictures ----------------------------------------------------------------------


def struck(printed: Printed, right: set[str], name: str) -> Picture:
    """The first page with a line that begins beside a box and ends in it: unclear."""
    page = paper(printed, 0, right)
    place = printed.pages[0].fields[name]
    x, y = round((place.x_mm - 2) * RENDERED), round((place.y_mm + place.height_mm / 2) * RENDERED)
    cv2.line(page, (x, y), (x + 110, y), (60, 40, 30), 5)
    return page


@pytest.mark.usefixtures("once")
def test_what_is_typed_beside_a_picture_counts_as_typed(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """For the punch list as a form's text would, and shown everywhere with who typed it, and when."""
    found = "BB-1/port/A/cable/found"
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, right, (found,)))
    first = back(folder, file)
    assert first.outline.boxes[0].to_type == (found,)
    again = back(folder, file, typed(tmp_path / "typed.json", first, {found: "FC-5"}))
    box, source = again.outline.boxes[0], f"{file} page 1"
    assert (codes(again), box.to_type, box.result) == ([], (), "differs")
    assert box.typed == (TypedBack(found, "FC-5", "J. Moss", NOTED, source),)
    assert box.notes == ("port/A/cable/found: “FC-5”, typed from paper by J. Moss, 2026-06-03 09:30:00 UTC",)
    sources = {name for part in again.parts["BB-1"] for name in part.sources}
    assert f"typed by J. Moss from paper ({source})" in sources
    assert box.ticked == first.outline.boxes[0].ticked
    assert write_punch_list(again, tmp_path / "punch.pdf") is None


@pytest.mark.usefixtures("once")
def test_the_handover_record_marks_what_was_typed(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """A signature that is typed from paper never looks like one that a form had."""
    sign, note = "BB-1/sign/installer", "BB-1/port/A/note"
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, right, (sign, note)))
    entries = typed(tmp_path / "typed.json", back(folder, file), {sign: "R. Hale", note: "wet"})
    record = handover(folder / "job", [file, entries], [folder / "set"]).record
    assert record is not None
    box = record.boxes[0]
    assert (box.signatures[0].name, box.ports[0].note) == (
        "R. Hale (typed from paper)", "wet (typed from paper)",
    )  # fmt: skip
    assert any("“R. Hale”, typed from paper by J. Moss" in remark for remark in record.remarks)
    assert "typed.json" in {each.name for each in record.files}


@pytest.mark.usefixtures("once")
def test_an_entry_counts_for_its_own_picture_alone(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """Of another photo, another place, or without its paper it counts for nothing, and is reported."""
    name = "BB-1/port/A/note"
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, right, (name,)))
    entries = typed(tmp_path / "typed.json", back(folder, file), {name: "wet"})
    moved = tmp_path / "moved.json"
    moved.write_text(entries.read_text("utf-8").replace("port/A/note", "port/C/note"), "utf-8")
    other = scan(tmp_path / "b.pdf", printed, paper(printed, 0, right, ("BB-1/port/B/note",)))
    for given in ([other, entries], [entries], [file, moved]):
        result = back(folder, *given)
        assert "paper-typed" in codes(result)
        assert not any(box.typed for box in result.outline.boxes)


@pytest.mark.usefixtures("once")
def test_an_unclear_mark_is_confirmed_as_a_finding_and_never_a_tick(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """Shown as a person's finding from the picture; the tick stays unclear."""
    name = "BB-1/left/1/1/off"
    file = scan(tmp_path / "a.pdf", printed, struck(printed, right, name))
    first = back(folder, file)
    states = {"planned": "as planned", "differs": "differs", "not seen": "not seen"}
    for finding, state in states.items():
        result = back(folder, file, typed(tmp_path / "typed.json", first, {name: finding}))
        box = result.outline.boxes[0]
        assert (box.result, box.unclear) == (state, (name,))
        assert box.ticked == first.outline.boxes[0].ticked
        assert ("paper-unclear" in codes(result)) is bool(box.unknown) is (finding == "not seen")
        note = f"left/1/1/off: {finding}, confirmed by J. Moss from the picture, 2026-06-03 09:30:00 UTC"
        assert note in box.notes


@pytest.mark.usefixtures("once")
def test_a_tick_that_is_found_to_differ_is_on_the_punch_list(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """A tick has no other value: what is wrong is for whoever goes there."""
    name = "BB-1/port/A/pipe/ok"
    file = scan(tmp_path / "a.pdf", printed, struck(printed, right, name))
    entries = typed(tmp_path / "typed.json", back(folder, file), {name: "differs"})
    (punch,) = back(folder, file, entries).outline.boxes[0].punch_list
    wrong = "differs on paper, confirmed by J. Moss from the picture"
    assert (punch.place, punch.wrong) == ("port/A/pipe/ok", wrong)


def test_a_broken_file_of_entries_is_refused_whole(folder: Path, tmp_path: Path) -> None:
    """With a value that is too long, a picture that is none, or cut off."""
    good = {"picture": "0" * 64, "field": "BB-1/note", "value": "x", "by": "A", "at": NOTED}
    broken = [good | {"value": "x" * 301}, good | {"picture": "1"}, good | {"by": ""}, good | {"at": "now"}]
    texts = [msgspec.json.encode({"format": "tagmaker typed 1", "entries": [good, each]}) for each in broken]
    for text in (*texts, b'{"format": "tagmaker typed 1", "entries": ['):
        file = tmp_path / "typed.json"
        file.write_bytes(text)
        assert codes(back(folder, file)) == ["return-unreadable"]


def test_another_jobs_sheet_is_refused(folder: Path, printed: Printed, tmp_path: Path) -> None:
    """Its set is at hand, its job is not this one."""
    other = shutil.copytree(folder / "job", tmp_path / "job") / "job.toml"
    other.write_text(other.read_text("utf-8").replace("ML-24", "ML-25"), "utf-8")
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, {"BB-1/left/1/1"}))
    result = readback([file], tmp_path / "job", [folder / "set"])
    assert codes(result) == ["return-foreign"]


def test_a_page_of_a_set_that_is_not_at_hand_is_an_error(
    folder: Path, printed: Printed, tmp_path: Path
) -> None:
    """It is never read by today's job; a set that cannot be read is reported too."""
    file = scan(tmp_path / "a.pdf", printed, paper(printed, 0, set()))
    assert codes(readback([file], folder / "job", [])) == ["paper-unread"]
    assert codes(readback([file], folder / "job", [tmp_path])) == ["plan-unreadable", "paper-unread"]


def test_pictures_that_show_no_page_are_errors(folder: Path, tmp_path: Path) -> None:
    """White, cut off, or of a kind that is not read: a problem that names each file, never an exception."""
    _, png = cv2.imencode(".png", np.full((300, 200), 255, np.uint8))
    (tmp_path / "a.png").write_bytes(png.tobytes())
    (tmp_path / "b.png").write_bytes(png.tobytes()[:90])
    (tmp_path / "c.heic").write_bytes(b"\0\0\0\x18ftypheic" + bytes(40))
    result = back(folder, tmp_path)
    assert sorted(codes(result)) == ["paper-unread", "return-unreadable", "return-unreadable"]
    assert {Path(problem.where.file).name for problem in result.problems} == {"a.png", "b.png", "c.heic"}


def test_a_walk_that_was_filled_in_is_no_empty_page(
    folder: Path, printed: Printed, plan: Plan, right: set[str], tmp_path: Path
) -> None:
    """The set's own walk.pdf was filled in on a screen since: paper is read without it."""
    changed = shutil.copytree(folder / "set", tmp_path / "set")
    (changed / "walk.pdf").write_bytes(filled(form(plan), {"BB-1/left/1/1": True}))
    file = scan(tmp_path / "a.pdf", printed, *(paper(printed, number, right) for number in (0, 1)))
    result = readback([file], folder / "job", [changed])
    assert [box.state for box in result.boxes] == ["as planned", "as planned"]


def test_a_blind_sheet_of_the_same_revision_is_read_by_its_own_set(
    folder: Path, printed: Printed, right: set[str], tmp_path: Path
) -> None:
    """Its code is the same, its boxes are elsewhere: with both sets at hand each page finds its own."""
    blind = tmp_path / "blind"
    assert make.make(folder / "job", blind, Selection(proof=False, blind=True)).files
    file = scan(tmp_path / "a.pdf", printed, *(paper(printed, number, right) for number in (0, 1)))
    alone = readback([file], folder / "job", [blind])
    assert codes(alone) == ["paper-unread", "paper-unread"]
    for sets in ([blind, folder / "set"], [folder / "set", blind]):
        both = readback([file], folder / "job", sets)
        assert [box.state for box in both.boxes] == ["as planned", "as planned"]


def test_without_paper_no_set_is_opened(folder: Path, tmp_path: Path) -> None:
    """A set that is broken is no problem of forms."""
    assert back(folder, tmp_path).paper == PaperReturns()
    (tmp_path / "plan.json").write_text("broken", encoding="utf-8")
    assert readback([], folder / "job", [tmp_path]).problems == ()


def test_every_box_of_a_page_is_read(printed: Printed, right: set[str]) -> None:
    """Each square field of plan.json is a box that findings know."""
    boxes = [name for page in printed.pages for name, place in page.fields.items() if is_box(place)]
    kinds = {field.kind for name in boxes if (field := read_field(name))}
    assert kinds == {"switch", "switch_off", "tick"}
    assert right < set(boxes)


def test_another_process_has_the_same_sets(printed: Printed) -> None:
    """Every page by its code, and its picture as it was printed."""
    sent: PrintedSets = pickle.loads(pickle.dumps(printed.sets))  # noqa: S301 — made here
    assert sent.pages.by_code == printed.sets.pages.by_code
    for code, pages in printed.sets.pages.by_code.items():
        for page, other in zip(pages, sent.pages.by_code[code], strict=True):
            drawn = sent.pages.empty(other)
            assert drawn
            assert drawn == printed.sets.pages.empty(page)

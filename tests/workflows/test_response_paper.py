"""Response tests that come back on paper: pages are known, each written cell is cut out, none is read."""

import io
import json
from pathlib import Path

import msgspec
import numpy as np
import pytest
from PIL import Image

from tagmaker.problems import Severity
from tagmaker.revisions.response_file import read_test
from tagmaker.site.paper.typed import TYPED_FORMAT, TypedEntry, TypedFile
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.response import ResponseRequest, response
from tests.bench.pen import Printed, print_set
from tests.workflows.response_paper import Paper, on_paper, reading
from tests.workflows.response_site import SITE, answers, fill_csv, made

LETTERS = "HC0?"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the job and, in `out`, its response test."""
    folder = tmp_path_factory.mktemp("response")
    made(SITE.write(folder / "job"), folder / "out")
    return folder


@pytest.fixture(scope="module")
def paper(folder: Path) -> Paper:
    """The sheets of the test."""
    return on_paper(folder / "out", folder / "pages")


@pytest.fixture(scope="module")
def stubs(paper: Paper) -> int:
    """The page of the gas stubs, from 0."""
    return paper.cells[0]


@pytest.fixture(scope="module")
def units(paper: Paper) -> int:
    """The page of the units, from 0."""
    return paper.cells[1]


def back(folder: Path, *files: Path, test: bool = True) -> Readback:
    """What `readback` makes of files, with the test's response.json or without it."""
    more = [folder / "out" / "response.json"] if test else []
    return readback([*files, *more], folder / "job", [folder / "set"] if (folder / "set").exists() else [])


def some(paper: Paper, number: int, share: float, seed: int) -> dict[str, str]:
    """Letters for a share of a page's cells."""
    chance = np.random.default_rng(seed)
    cells = [name for name in paper.fields[number] if "/response/" in name]
    return {name: LETTERS[int(chance.integers(4))] for name in cells if chance.random() < share}


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def test_every_page_is_found_and_two_have_cells(paper: Paper) -> None:
    """The response.json has each page of the form; cells are on the sheets of stubs and units."""
    assert len(paper.fields) == len(paper.pictures)
    assert len(paper.cells) == 2


@pytest.mark.parametrize("turn", range(4))
def test_written_cells_are_listed_and_empty_ones_are_not(
    folder: Path, paper: Paper, tmp_path: Path, turn: int
) -> None:
    """A scan of both sheets, any way round: exactly what is written, and nothing of it is read."""
    letters = [some(paper, number, 0.4, turn) for number in paper.cells]
    pages = [paper.written(number, own, turn) for number, own in zip(paper.cells, letters, strict=True)]
    result = back(folder, paper.scan(tmp_path / "a.pdf", *pages, turn=turn))
    (system,) = result.outline.response
    assert set(system.to_type) == {name for own in letters for name in own}
    assert {port.verdict for port in system.ports} == {"not seen"}
    assert {unit.verdict for unit in system.units} == {"not seen"}
    assert codes(result) == ["paper-handwriting"]
    assert result.is_wrong
    assert not result.is_walked


@pytest.mark.parametrize("seed", range(3))
def test_a_photo_gives_the_same(folder: Path, paper: Paper, units: int, tmp_path: Path, seed: int) -> None:
    """Tilted, shaded, blurred: what is written is listed, an empty cell is not."""
    letters = some(paper, units, 0.5, seed)
    result = back(folder, paper.photo(tmp_path / "a.jpg", paper.written(units, letters, seed), seed))
    (system,) = result.outline.response
    assert set(system.to_type) == set(letters)
    assert codes(result) == ["paper-missing", "paper-handwriting"]


def test_a_page_that_is_missing_is_reported(folder: Path, paper: Paper, units: int, tmp_path: Path) -> None:
    """The lists of what to set have no readings: nobody misses them."""
    page = paper.written(units, {reading("BB-1", "A", "FC-1", 1): "H"})
    result = back(folder, paper.scan(tmp_path / "a.pdf", page))
    missing = next(each for each in result.problems if each.code == "paper-missing")
    assert missing.message.startswith(f"page {units} of {len(paper.pictures)} of the sheet of response test ")


def test_empty_sheets_say_nothing(folder: Path, paper: Paper, stubs: int, units: int, tmp_path: Path) -> None:
    """Pages without handwriting are recognised and give no reading; boxes are not walked by them."""
    result = back(folder, paper.scan(tmp_path / "a.pdf", paper.pictures[stubs], paper.pictures[units]))
    assert codes(result) == []
    assert (result.outline.response, result.paper.cuts, result.is_walked) == ((), {}, False)


def test_ticks_are_for_the_person_alone(folder: Path, paper: Paper, tmp_path: Path) -> None:
    """What was set and what blew in the fan round: neither is listed."""
    pages = [
        paper.written(number, {name: "x" for name in names if "/response-" in name and "note" not in name})
        for number, names in enumerate(paper.fields)
    ]
    result = back(folder, paper.scan(tmp_path / "a.pdf", *pages))
    assert (codes(result), result.paper.cuts) == ([], {})


def test_cuts_are_named_by_system_round_and_unit(
    folder: Path, paper: Paper, stubs: int, units: int, tmp_path: Path
) -> None:
    """A picture a cell, with what is written in it; a job without systems has the test's digest."""
    first, second = reading("BB-1", "A", "FC-1", 2), reading("BB-2", "C", "", 1)
    pages = [paper.written(units, {first: "H"}), paper.written(stubs, {second: "0"})]
    result = back(folder, paper.scan(tmp_path / "a.pdf", *pages))
    plan = result.responses[0].judged.calls.plan
    names = [f"response_{plan}_round-2_BB-1_A_FC-1.png", f"response_{plan}_round-1_BB-2_C_stub.png"]
    assert sorted(result.paper.cuts) == sorted(names)
    picture = Image.open(io.BytesIO(result.paper.cuts[names[0]])).convert("L")
    wide, high = picture.width // 3, picture.height // 3
    middle = picture.crop((wide, high, 2 * wide, 2 * high))
    assert middle.getextrema()[0] < 128  # type: ignore[operator]


def test_what_is_typed_counts_and_is_to_be_typed_no_more(
    folder: Path, paper: Paper, stubs: int, units: int, tmp_path: Path
) -> None:
    """All cells are written; once the table is filled in, every port and unit is right."""
    pages = [paper.written(number, some(paper, number, 1.1, 3)) for number in (stubs, units)]
    scan = paper.scan(tmp_path / "a.pdf", *pages)
    table = folder / "out" / "response.csv"
    part = fill_csv(table, tmp_path / "part.csv", answers(folder / "out"), lambda row: row[2] == "BB-1")
    half = back(folder, scan, part)
    assert {name.partition("/")[0] for name in half.outline.response[0].to_type} == {"BB-2"}
    assert half.is_wrong
    notes = half.outline.response[0].notes
    assert notes[0].startswith("handwriting on paper, to be typed: BB-2/A round 1, BB-2/A round 2")
    whole = back(folder, scan, fill_csv(table, tmp_path / "all.csv", answers(folder / "out")))
    assert whole.outline.response[0].to_type == ()
    assert not whole.is_wrong


def test_readings_typed_beside_their_pictures_count(
    folder: Path, paper: Paper, units: int, tmp_path: Path
) -> None:
    """As those of a table would, with a note of who typed them; what is no reading counts for nothing."""
    test = read_test((folder / "out" / "response.json").read_bytes())
    assert test is not None
    called = next(each.calls for each in test.systems[0].ports if each.units == ("FC-1",))
    cells = [reading("BB-1", "A", "FC-1", number + 1) for number in range(len(called))]
    file = paper.scan(tmp_path / "a.pdf", paper.written(units, dict.fromkeys(cells, "H")))
    first = back(folder, file)
    values = dict(zip(cells, [*called[:-1].lower(), "x"], strict=True))
    entries = tuple(
        TypedEntry(cut.picture, cut.field, values[cut.field], "J. Moss", "2026-06-03T09:30:00Z")
        for cut in first.paper.places.values()
    )
    (tmp_path / "typed.json").write_bytes(msgspec.json.encode(TypedFile(TYPED_FORMAT, entries)))
    again = back(folder, file, tmp_path / "typed.json")
    (system,) = again.outline.response
    assert system.to_type == (cells[-1],)
    assert sorted(each.value for each in system.typed) == sorted(called[:-1].lower())
    assert f"readings typed from paper by J. Moss: {len(called) - 1}" in system.notes
    assert "paper-typed" in codes(again)
    assert next(each for each in system.units if each.unit == "FC-1").verdict == "as piped"


def test_pages_of_another_test_are_refused(folder: Path, paper: Paper, units: int, tmp_path: Path) -> None:
    """By the digests in the code: nothing of the page counts, and the hint says what is missing."""
    scan = paper.scan(tmp_path / "a.pdf", paper.written(units, {reading("BB-1", "A", "FC-1", 1): "H"}))
    result = back(folder, scan, test=False)
    (problem,) = result.problems
    assert (problem.code, problem.severity) == ("paper-unread", Severity.ERROR)
    assert problem.message.startswith(
        f"it is page {units + 1} of {len(paper.pictures)} of the sheet of response "
    )
    assert problem.hint == "hand in the response.json of that test with it"
    assert result.outline.response == ()


def test_places_that_were_changed_by_hand_are_not_used(
    folder: Path, paper: Paper, units: int, tmp_path: Path
) -> None:
    """A response.json that is not as it was written has no places."""
    scan = paper.scan(tmp_path / "a.pdf", paper.written(units, {reading("BB-1", "A", "FC-1", 1): "H"}))
    content = (folder / "out" / "response.json").read_text(encoding="utf-8")
    (tmp_path / "response.json").write_text(content.replace('"page": 1', '"page": 9', 1), encoding="utf-8")
    assert codes(back(folder, tmp_path / "response.json", scan, test=False)) == ["paper-unread"]


def test_another_layout_of_the_same_test_has_another_code(folder: Path, tmp_path: Path) -> None:
    """With what is called beside the cells, they are elsewhere: no page is read by the others' places."""
    done = response(folder / "job", tmp_path / "expected", ResponseRequest(expected=True))
    usual = json.loads((folder / "out" / "response.json").read_text(encoding="utf-8"))
    assert done.systems[0].plan == usual["systems"][0]["plan"]
    assert not {page.code for page in done.form_pages} & {page["code"] for page in usual["form_pages"]}


def test_pages_come_mixed_with_those_of_the_walk(
    folder: Path, paper: Paper, stubs: int, units: int, tmp_path: Path
) -> None:
    """One PDF: the walk's boxes and the response test have each their own, by the names of their fields."""
    printed: Printed = print_set(folder / "job", folder)
    letters = {reading("BB-2", "A", "FC-5", 1): "C"}
    pages = [printed.pictures[0], paper.written(units, letters), printed.pictures[1], paper.pictures[stubs]]
    result = back(folder, paper.scan(tmp_path / "mixed.pdf", *pages))
    assert result.outline.response[0].to_type == tuple(letters)
    assert [box.to_type for box in result.outline.boxes] == [(), ()]
    assert [box.result for box in result.outline.boxes] == ["not seen", "not seen"]
    assert result.is_walked

"""Anything open anywhere is a point; there is none only where everything is found as planned and proved."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.plan.model import Plan
from tagmaker.plan.response import Asked
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.walk.returns import Return
from tagmaker.tags.handover import FileRecord, OpenPoint
from tagmaker.tags.walk import printed_for
from tagmaker.workflows import readback_pages
from tagmaker.workflows.handover import handover
from tagmaker.workflows.handover_open import numbered, open_points
from tagmaker.workflows.readback import Readback, readback
from tests.records import replace
from tests.site.handed_over import all_right, wrong_switches
from tests.site.walks import SITE, Values, as_planned, hand_in, plan_of, without
from tests.strategies import words
from tests.workflows.response_site import SITE as TESTED
from tests.workflows.response_site import answers, exchange, fill_csv, made


def opened(plan: Plan, back: Readback, *files: FileRecord) -> tuple[OpenPoint, ...]:
    """What is open."""
    return numbered(open_points(plan, back, files, (), words()))


def open_of(job: Path, *files: Path) -> tuple[OpenPoint, ...]:
    """What is open where these files came back."""
    back = readback(list(files), job)
    assert back.plan is not None
    return opened(back.plan, back)


def kinds(points: tuple[OpenPoint, ...]) -> list[str]:
    """What each point is about."""
    return [point.kind for point in points]


def test_nothing_is_open_where_all_is_right(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """In one file."""
    assert open_of(site_job, *hand_in(tmp_path, site_plan, all_right(site_plan))) == ()


# --- any one thing ------------------------------------------------------------------------------------------


@given(st.data())
@settings(max_examples=150)
def test_complete_only_if_everything_is_as_planned_and_proved(
    tmp_path_factory: pytest.TempPathFactory, site_job: Path, site_plan: Plan, data: st.DataObject
) -> None:
    """Random returns: fields left out, switches ON that must be OFF, other units found; or all right."""
    right = all_right(site_plan)
    wrong = wrong_switches(site_plan)
    others = [name.replace("/ok", "/found") for name in right if name.endswith(("pipe/ok", "cable/ok"))]
    left_out = data.draw(st.sets(st.sampled_from(sorted(right)), max_size=3))
    marked = data.draw(st.sets(st.sampled_from(wrong), max_size=2))
    found = data.draw(st.sets(st.sampled_from(others), max_size=2))
    values = {name: value for name, value in right.items() if name not in left_out}
    values |= dict.fromkeys(marked, True) | dict.fromkeys(found, "FC-99")
    folder = tmp_path_factory.getbasetemp() / "open"
    points = open_of(site_job, *hand_in(folder, site_plan, values))
    assert bool(points) == bool(left_out or marked or found)
    assert [point.number for point in points] == list(range(1, len(points) + 1))


def test_each_field_left_out_is_an_open_point(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """One by one: no field of a walk is without meaning for the record."""
    right = all_right(site_plan)
    for name in right:
        values = {each: value for each, value in right.items() if each != name}
        assert open_of(site_job, *hand_in(tmp_path, site_plan, values)), name


def test_what_is_open_has_its_kind(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """A proof that is missing, and one of which nobody wrote how; a date; an item; a switch."""
    right = all_right(site_plan)
    cases = {
        "BB-1/port/A/pipe/proved": ["not proved"],
        "BB-1/port/A/proved": ["not proved"],
        "BB-1/date/verifier": ["not signed"],
        "BB-1/item/tested": ["not seen"],
        "BB-1/left/seen": ["not seen"],
    }
    for name, expected in cases.items():
        (file,) = hand_in(tmp_path, site_plan, {each: value for each, value in right.items() if each != name})
        assert kinds(open_of(site_job, file)) == expected, name
    (file,) = hand_in(tmp_path, site_plan, right | {"BB-1/left/1/1": True})
    assert kinds(open_of(site_job, file)) == ["differs"]


def test_a_blank_proof_is_none(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """Spaces are not a person's words."""
    (file,) = hand_in(tmp_path, site_plan, all_right(site_plan) | {"BB-1/port/A/proved": "  "})
    assert [point.what for point in open_of(site_job, file)] == [
        "port A: how and by whom it was proved is not written"
    ]


@pytest.mark.parametrize(
    "text",
    [
        "-",
        "no",
        "N / A",
        "K.A.?",
        "none yet",
        "tbd by 9 June",
        "ｎ／ａ",
        "\u200b",
        "\u3164",
        "n\u200bo",
        "- / none",
    ],
)
def test_a_text_that_states_nothing_signs_and_proves_nothing(
    tmp_path: Path, site_job: Path, site_plan: Plan, text: str
) -> None:
    """A dash or "not yet" fills a field; it is no name, no date, and not how a line was proved."""
    names = {"BB-1/sign/verifier": "not signed", "BB-1/date/verifier": "not signed"}
    names["BB-1/port/A/proved"] = "not proved"
    for name, kind in names.items():
        (file,) = hand_in(tmp_path, site_plan, all_right(site_plan) | {name: text})
        assert kinds(open_of(site_job, file)) == [kind], name


def test_a_proof_that_another_file_denies_is_none(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """A dash denies nothing: its person proved another port."""
    right, proof = all_right(site_plan), "BB-1/port/A/proved"
    for text, expected in {"Not proved, cable pulled again": ["not proved"], "-": []}.items():
        assert kinds(open_of(site_job, *hand_in(tmp_path, site_plan, right, {proof: text}))) == expected, text


def test_a_date_has_a_figure(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """Nobody knows the day of "tomorrow 7", and no June has 31; how a date is written is the person's."""
    for text in ("tomorrow 7", "2026-06-31", "1970-01-01", "7", "by 9 June", "3 June", "06/03/26"):
        (file,) = hand_in(tmp_path, site_plan, all_right(site_plan) | {"BB-1/date/verifier": text})
        expected = [] if text in {"3 June", "06/03/26"} else ["not signed"]
        assert kinds(open_of(site_job, file)) == expected, text


def test_nothing_handed_in_is_one_point_a_box(site_job: Path) -> None:
    """Not one for each of its hundred fields."""
    points = open_of(site_job)
    assert [(point.kind, point.where, point.what) for point in points] == [
        ("not seen", "BB-1", "no sheet of this box was handed in"),
        ("not seen", "bb-2", "no sheet of this box was handed in"),
    ]


# --- files --------------------------------------------------------------------------------------------------


def test_a_file_that_cannot_be_read_is_open(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """It may hold a finding; all else may be right."""
    files = hand_in(tmp_path, site_plan, all_right(site_plan))
    bad = tmp_path / "bad.json"
    bad.write_text("{}", encoding="utf-8")
    assert kinds(open_of(site_job, *files, bad)) == ["file"]
    back = readback(files, site_job)
    assert kinds(opened(site_plan, back, FileRecord("gone.json", ""))) == ["file"]


def test_two_files_that_contradict_each_other_are_open(
    tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """What one saw ON and the other OFF is not known."""
    right = all_right(site_plan)
    files = hand_in(tmp_path, site_plan, right, without(right, "BB-1/right/2/4"))
    assert set(kinds(open_of(site_job, *files))) == {"file", "not seen"}


def test_a_walk_of_an_earlier_plan_is_open(tmp_path: Path, site_plan: Plan) -> None:
    """Its ticks were about other units."""
    (file,) = hand_in(tmp_path, site_plan, all_right(site_plan))
    boxes = (replace(SITE.boxes[0], units=SITE.boxes[0].units[:-1]), SITE.boxes[1])
    job = replace(SITE, boxes=boxes).write(tmp_path / "job")
    assert open_of(job, file)


def test_a_draft_is_open(tmp_path: Path) -> None:
    """Whatever was found: it is not what was issued."""
    job = replace(SITE, is_draft=True).write(tmp_path / "job")
    plan = plan_of(job)
    assert kinds(open_of(job, *hand_in(tmp_path, plan, all_right(plan)))) == ["job"]


# --- paper --------------------------------------------------------------------------------------------------


def on_paper(plan: Plan, values: Values, *, unclear: str = "", written: str = "") -> PaperReturns:
    """A walk as it is read from paper, each mark in its own box."""
    texts = {box.row.key: printed_for(plan.job, box) for box in plan.boxes}
    ticks = {name: value for name, value in values.items() if name != unclear}
    one = Return("photo.jpg", ticks, texts, unclear=(unclear,) if unclear else ())
    return PaperReturns((one,), (), (written,) if written else ())


def photo(folder: Path) -> Path:
    """A file that begins as a photo does; what is on it is `on_paper`."""
    path = folder / "photo.jpg"
    path.write_bytes(b"\xff\xd8\xff")
    return path


@pytest.mark.parametrize("name", ["BB-1/port/A/pipe/proved", "BB-1/port/A/tags/ok", "BB-1/left/2/2"])
def test_a_tick_that_is_unclear_is_open(
    name: str, tmp_path: Path, site_job: Path, site_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A proof, a tag, a switch."""
    paper = on_paper(site_plan, all_right(site_plan), unclear=name)
    monkeypatch.setattr(readback_pages, "paper_back", lambda *_: (paper, []))
    assert open_of(site_job, photo(tmp_path))


def test_handwriting_that_nobody_typed_is_open(
    tmp_path: Path, site_job: Path, site_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may name another unit; once it is typed it is not open."""
    paper = on_paper(site_plan, all_right(site_plan), written="BB-1/port/A/note")
    monkeypatch.setattr(readback_pages, "paper_back", lambda *_: (paper, []))
    assert kinds(open_of(site_job, photo(tmp_path))) == ["handwriting"]
    paper = on_paper(site_plan, all_right(site_plan), written="BB-1/port/A/proved")
    monkeypatch.setattr(readback_pages, "paper_back", lambda *_: (paper, []))
    assert open_of(site_job, photo(tmp_path)) == ()


# --- response tests and scans -------------------------------------------------------------------------------


def walked_and_tested(tmp_path: Path) -> tuple[Path, Path, list[Path]]:
    """A job, its response test, and a walk on which all is right."""
    job = TESTED.write(tmp_path / "job")
    made(job, tmp_path / "out")
    plan = plan_of(job)
    return job, tmp_path / "out", hand_in(tmp_path / "in", plan, all_right(plan))


def test_a_response_test_that_is_right_leaves_nothing_open(tmp_path: Path) -> None:
    """Every stub and unit was read, and answers as called."""
    job, out, walked = walked_and_tested(tmp_path)
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    assert open_of(job, *walked, table) == ()


def test_units_of_no_response_test_are_named_as_not_covered(tmp_path: Path) -> None:
    """Left out of the test on purpose: nothing is open, and the record does not cover them."""
    job, _, walked = walked_and_tested(tmp_path)
    made(job, tmp_path / "less", Asked(without=("FC-4",)))
    table = fill_csv(
        tmp_path / "less" / "response.csv", tmp_path / "less" / "r.csv", answers(tmp_path / "less")
    )
    record = handover(job, [*walked, table, tmp_path / "less" / "response.json"]).record
    assert record
    assert record.complete
    assert "No response test that was handed in is of FC-4." in record.not_covered


def test_any_response_finding_or_reading_not_made_is_open(tmp_path: Path) -> None:
    """Cables that are crossed; stubs not read; one unit not read; one stub not read."""
    job, out, walked = walked_and_tested(tmp_path)
    calls = answers(out)
    tables = [
        fill_csv(out / "response.csv", tmp_path / "a.csv", exchange(calls, "BB-1", "A", "C")),
        fill_csv(out / "response.csv", tmp_path / "b.csv", calls, lambda row: bool(row[4])),
        fill_csv(out / "response.csv", tmp_path / "c.csv", calls, lambda row: row[4] != "FC-4"),
        fill_csv(out / "response.csv", tmp_path / "d.csv", calls, lambda row: row[3] != "A" or bool(row[4])),
    ]
    for table in tables:
        assert open_of(job, *walked, table), table.name


def test_a_crossed_scan_is_open(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """A cable's tag at another terminal, and tags that were not scanned there."""
    files = hand_in(tmp_path, site_plan, all_right(site_plan))
    scans = tmp_path / "scans.txt"
    scans.write_text("BB-1/A/TRM\nBB-1/E/COM\n", encoding="utf-8")
    points = open_of(site_job, *files, scans)
    assert "differs" in kinds(points)
    assert any("crossed" in point.what or "terminal" in point.what for point in points)


# --- systems ------------------------------------------------------------------------------------------------


def test_a_system_is_open_while_its_sheet_did_not_come_back(tmp_path: Path) -> None:
    """Its test, vacuum, charge and start are nowhere in a walk."""
    job = SITE.write(tmp_path / "job")
    text = (job / "job.toml").read_text(encoding="utf-8").replace("[[box]]\n", '[[box]]\nsystem = "HR-1"\n')
    (job / "job.toml").write_text(f'{text}\n[[system]]\ntag = "HR-1"\n', encoding="utf-8")
    plan = plan_of(job)
    points = open_of(job, *hand_in(tmp_path, plan, all_right(plan)))
    assert [(point.kind, point.where) for point in points] == [("system", "HR-1")]


def test_seen_is_not_proved(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """A walk that is as planned for `readback` is open here: nothing is proved, nobody signed."""
    (file,) = hand_in(tmp_path, site_plan, as_planned(site_plan))
    assert not readback([file], site_job).is_wrong
    assert set(kinds(open_of(site_job, file))) == {"not proved", "not signed"}

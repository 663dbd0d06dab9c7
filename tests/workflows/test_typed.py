"""What is typed beside pictures is kept in one file: replaced by what is typed again, never half written."""

import datetime as dt
import json
from pathlib import Path

import pytest

from tagmaker.plan.model import Plan
from tagmaker.site.paper.typed import Cut, TypedCut, TypedEntry, typed_returns
from tagmaker.tags.walk_code import page_code, sheet_of
from tagmaker.workflows.typed import TYPED_FILE, Place, keep_typed, place_name, typed_at

NOW = dt.datetime(2026, 6, 3, 11, 30, tzinfo=dt.timezone(dt.timedelta(hours=2)))
NOTE: Place = ("a" * 64, "BX-1/port/A/note")
TICK: Place = ("b" * 64, "BX-1/port/A/pipe/ok")


def kept(job: Path) -> dict[Place, str]:
    """The values by place."""
    return {place: entry.value for place, entry in typed_at(job).items()}


def test_a_value_is_kept_with_who_and_when(tmp_path: Path) -> None:
    """In a file that says what it is; times are UTC."""
    assert keep_typed(tmp_path, " J.  Moss\u202e ", {NOTE: "  wet \n ceiling "}, NOW) is None
    entry = typed_at(tmp_path)[NOTE]
    assert (entry.value, entry.by, entry.at) == ("wet ceiling", "J. Moss", "2026-06-03T09:30:00Z")
    file = json.loads((tmp_path / "returned" / TYPED_FILE).read_bytes())
    assert file["format"] == "tagmaker typed 1"


def test_typed_again_it_is_replaced_and_empty_it_is_taken_back(tmp_path: Path) -> None:
    """Other values stay, with who typed them."""
    keep_typed(tmp_path, "J. Moss", {NOTE: "wet", TICK: "planned"}, NOW)
    keep_typed(tmp_path, "R. Hale", {NOTE: "dry"}, NOW)
    assert kept(tmp_path) == {TICK: "planned", NOTE: "dry"}
    assert {entry.by for entry in typed_at(tmp_path).values()} == {"J. Moss", "R. Hale"}
    keep_typed(tmp_path, "R. Hale", {NOTE: " "}, NOW)
    assert kept(tmp_path) == {TICK: "planned"}


@pytest.mark.parametrize(
    ("by", "place", "value"),
    [
        ("", NOTE, "x"),
        ("\u200b", NOTE, "x"),
        ("A", NOTE, "x" * 301),
        ("A", TICK, "ticked"),
        ("A", ("1", "BX-1/port/A/note"), "x"),
        ("A", ("c" * 64, "BX-1/response/A/FC-1/1"), "warm"),
        ("A", ("c" * 64, "system/HR-1/gate/walked/ok"), "planned"),
    ],
)
def test_what_cannot_be_kept_is_refused_and_nothing_is_changed(
    tmp_path: Path, by: str, place: Place, value: str
) -> None:
    """Beside a value that could."""
    keep_typed(tmp_path, "J. Moss", {NOTE: "wet"}, NOW)
    problem = keep_typed(tmp_path, by, {("d" * 64, "BX-1/date/installer"): "2026-06-03", place: value}, NOW)
    assert problem is not None
    assert problem.code == "edit-refused"
    assert kept(tmp_path) == {NOTE: "wet"}


def test_a_file_that_is_not_its_own_is_never_replaced(tmp_path: Path) -> None:
    """Somebody's file of that name, or a broken one."""
    (tmp_path / "returned").mkdir()
    file = tmp_path / "returned" / TYPED_FILE
    file.write_text("{}", "utf-8")
    for text in ("{}", "[1"):
        file.write_text(text, "utf-8")
        assert keep_typed(tmp_path, "A", {NOTE: "x"}, NOW) is not None
        assert (file.read_text("utf-8"), typed_at(tmp_path)) == (text, {})


def test_places_are_named_in_words() -> None:
    """As a person looks for them on the sheet."""
    names = {
        "BX-1/sign/installer": "signature of the installer",
        "BX-1/date/verifier": "date of the verifier",
        "BX-1/port/A/cable/found": "port A: cable unit that was found",
        "BX-1/port/A/pipe/ok": "port A: pipe correct",
        "BX-1/port/A/proved": "port A: proved how, by whom",
        "BX-1/port/A/note": "port A: note",
        "BX-1/left/2/4/off": "left board, bank 2 switch 4: OFF",
        "BX-1/item/power": "item power",
        "BX-1/response/A/FC-1/3": "FC-1, round 3",
        "BX-1/response/A//3": "BX-1 port A, stub, round 3",
        "system/HR-1/charge/weighed": "charge weighed",
        "nothing": "nothing",
    }
    assert {field: place_name(field) for field in names} == names


def test_a_copy_of_the_file_with_an_earlier_value_is_a_source_of_its_own(site_plan: Plan) -> None:
    """In whatever order the files are read, none replaces the other: what differs is known of neither."""
    sheet = page_code(sheet_of(site_plan.job, site_plan.boxes[0], 2))
    tick, name = "BB-1/port/A/pipe/ok", "BB-1/sign/verifier"
    early, late = (
        [
            TypedCut(TypedEntry("a" * 64, field, value, "J. Moss", f"2026-06-0{day}T09:30:00Z"), cut)
            for field, value in ((tick, finding), (name, "R. Hale"))
            for cut in [Cut("a" * 64, field, sheet, "scan.pdf")]
        ]
        for day, finding in ((3, "differs"), (4, "planned"))
    )
    source = "typed by J. Moss from paper (scan.pdf)"
    for typed in (early + late, late + early):
        one, other = typed_returns(typed, {})
        assert (one.source, other.source) == (source, f"{source}, {typed[2].entry.at}")
        assert {one.confirmed[tick], other.confirmed[tick]} == {"differs", "planned"}
        assert (one.values, other.values) == ({name: "R. Hale"}, {})

"""plan.json: the whole plan of a set, for other programs and for the next run."""

import datetime as dt
import hashlib
import json
import os
import re
import tempfile
from pathlib import Path
from typing import Any, SupportsBytes

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker import __version__
from tagmaker.files.changed import Manifest
from tagmaker.job.model import Charge, SystemRow
from tagmaker.measures import Mass
from tagmaker.plan.outline import outlines, system_outlines
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where, note
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.compare import compare
from tagmaker.revisions.form_pages import FieldPlace, FormPage
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.issuing import issued_box, issued_head, issued_plan
from tagmaker.revisions.plan_file import (
    HINT,
    PLAN_FILE,
    SetHead,
    read_manifest,
    read_plan_file,
    read_whole_set,
    unproved,
)
from tagmaker.revisions.plan_pieces import listed, plan_json, plan_lists, plan_pieces
from tagmaker.revisions.selection import Selection
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.tags.kits import box_tags
from tests.measured import fitted
from tests.quantities import measure
from tests.records import plain, replace
from tests.strategies import BoxSketch, JobSketch, one_box, words

SKETCH = replace(
    one_box(("FC-1", "A", "24 kBtu/h")), number="ML-24", revision="P02", date=dt.date(2026, 4, 30)
)
WHOLE = Selection()
NOTE = note("pair-needless", "a pair – one port", Where("job.toml", 7), "leave it")


def written(sketch: JobSketch = SKETCH, part: Selection = WHOLE, *, proof: bool = True) -> dict[str, object]:
    """The plan file's content."""
    plan = plan_job(sketch.record())[0]
    content = json.loads(
        plan_json(
            issued_plan(plan, words()),
            {"walk.pdf": "5f", "register.csv": "a3"},
            [NOTE],
            replace(part, proof=proof),
        )
    )
    assert isinstance(content, dict)
    return content


def test_of_a_set_that_is_replaced_its_boxes_are_not_read(tmp_path: Path) -> None:
    """What it is is enough, as it was written; of a part, or of an edited file, the problem is reported."""
    issued = issued_plan(plan_job(SKETCH.record())[0], words())
    path = tmp_path / PLAN_FILE
    path.write_bytes(plan_json(issued, {}, [], WHOLE))
    found = read_whole_set(tmp_path)
    assert isinstance(found, SetHead)
    assert (found.digest, found.job) == (issued.digest, issued.job)
    path.write_bytes(path.read_bytes().replace(b"P02", b"P03"))
    edited = read_whole_set(tmp_path)
    assert isinstance(edited, Problem)
    assert edited.code == "plan-unreadable"
    path.write_bytes(plan_json(issued, {}, [], Selection(stage="final")))
    part = read_whole_set(tmp_path)
    assert isinstance(part, Problem)
    assert part.code == "plan-partial"


def test_the_file_is_the_same_written_piece_by_piece() -> None:
    """As one JSON text with a value a line would be, but for four numbers, which take one line."""
    pages = [
        FormPage("walk.pdf", at, f"W{at}", {"A/x": FieldPlace(1.0, 2.5, 3.0, 4.0)}, 215.9, 279.4)
        for at in (1, 2)
    ]
    plan = plan_job(replace(SKETCH, boxes=(*SKETCH.boxes, BoxSketch("BB-9", 4, ()))).record())[0]
    boxes = [issued_box(plan.job, box, box_tags(plan.job, box, words())) for box in plan.boxes]
    form_pages: list[SupportsBytes] = [piece for page in pages for piece in listed([page])]
    lists = plan_lists(boxes, form_pages)
    pieces = list(plan_pieces(issued_head(plan.job, boxes), lists, {"walk.pdf": "5f"}, [NOTE], WHOLE))
    content = b"".join(pieces)
    assert len(pieces) > 8
    assert content == plan_json(issued_plan(plan, words()), {"walk.pdf": "5f"}, [NOTE], WHOLE, pages)
    again = json.dumps(json.loads(content), ensure_ascii=False, indent=1) + "\n"
    four = re.compile(r"\[\n +([\d.]+),\n +([\d.]+),\n +([\d.]+),\n +([\d.]+)\n +\]")
    again = four.sub(r"[\1, \2, \3, \4]", again)
    assert content.decode() == again


def test_it_has_these_keys_and_no_others() -> None:
    """What is in the file is what is documented."""
    keys = [
        "program",
        "job",
        "digest",
        "proof",
        "partial",
        "part",
        "files",
        "digests",
        "boxes",
        "units",
        "placards",
        "tags",
        "form_pages",
        "systems",
        "problems",
    ]
    assert keys == list(written())


def test_it_says_which_program_wrote_it() -> None:
    """With its version."""
    assert written()["program"] == f"tagmaker {__version__}"


def test_it_heads_the_plan_with_the_job() -> None:
    """Name, number, revision as text, date in ISO 8601, status, unit of capacities."""
    assert written()["job"] == {
        "name": "Marsh Lane Library",
        "number": "ML-24",
        "revision": "P02",
        "date": "2026-04-30",
        "status": "issued",
        "capacity_unit": "kBtu/h",
        "refrigerant": "",
    }


def test_a_file_of_an_earlier_version_is_read(tmp_path: Path) -> None:
    """It has no digests, refrigerant, valves: none is known then, and nothing is taken for granted."""
    content: dict[str, Any] = written()
    del content["job"]["refrigerant"]
    del content["digests"]
    for placard in content["placards"]:
        del placard["port_valves"]
    path = tmp_path / PLAN_FILE
    path.write_text(json.dumps(content), encoding="utf-8")
    found = read_plan_file(path)
    assert isinstance(found, Issued)
    assert (found.job.refrigerant, {each.port_valves for each in found.placards}) == ("", {False})
    assert read_manifest(tmp_path).is_intact
    assert [(each.code, each.severity) for each in unproved(found, path)] == [("plan-unproved", "warning")]


def test_a_draft_without_a_date_says_so() -> None:
    """An empty date, the status draft."""
    job = written(replace(SKETCH, date=None, is_draft=True))["job"]
    assert isinstance(job, dict)
    assert (job["date"], job["status"]) == ("", "draft")


def test_it_names_every_file_of_its_set_itself_too() -> None:
    """The next run takes these names, and no others, for the program's own."""
    assert written()["files"] == ["walk.pdf", "register.csv", PLAN_FILE]


def test_its_own_digest_is_of_the_rest() -> None:
    """A file whose digest is all zeros does not take the place of the plan's own."""
    zeros = "0" * 64
    content = plan_json(issued_plan(plan_job(SKETCH.record())[0], words()), {"a.pdf": zeros}, [], WHOLE)
    digests = json.loads(content)["digests"]
    assert (list(digests), digests["a.pdf"]) == (["a.pdf", PLAN_FILE], zeros)
    blank = content.replace(digests[PLAN_FILE].encode(), zeros.encode())
    assert hashlib.sha256(blank).hexdigest() == digests[PLAN_FILE]


EMPTY = {"boxes": [], "ports": [], "stage": "", "kit": "", "since": ""}


@pytest.mark.parametrize(
    ("part", "limits"),
    [
        (Selection(boxes=("BB-1", "BB-2")), {"boxes": ["BB-1", "BB-2"]}),
        (Selection(only=("BB-1/A",)), {"ports": ["BB-1/A"]}),
        (Selection(stage="rough-in"), {"stage": "rough-in"}),
        (Selection(kit="cables"), {"kit": "cables"}),
        (
            Selection(("BB-1",), stage="final", kit="lines"),
            {"boxes": ["BB-1"], "stage": "final", "kit": "lines"},
        ),
    ],
)
def test_a_part_says_that_it_is_one_and_of_what(part: Selection, limits: dict[str, object]) -> None:
    """A set limited to boxes, ports, a stage or a kit is partial, and names its limits."""
    content = written(part=part)
    assert (content["partial"], content["part"]) == (True, EMPTY | limits)


@pytest.mark.parametrize("part", [Selection(), Selection(skip=7)])
def test_a_whole_set_is_no_part(part: Selection) -> None:
    """Labels skipped on a used sheet limit nothing."""
    content = written(part=part)
    assert (content["partial"], content["part"]) == (False, EMPTY)


@pytest.mark.parametrize("proof", [True, False])
def test_it_says_whether_its_codes_were_read_back(*, proof: bool) -> None:
    """A set that was never proved can be told from one that was."""
    assert written(proof=proof)["proof"] is proof


def test_its_boxes_are_those_that_switches_prints() -> None:
    """One shape of the plan, whoever asks."""
    assert written()["boxes"] == plain(outlines(plan_job(SKETCH.record())[0]))


def test_its_systems_are_written_and_read_back(tmp_path: Path) -> None:
    """What is not known of one is null; a set without systems has an empty list."""
    row = SystemRow("HR-1", Where("job.toml"), charge=Charge(factory=measure(Mass, "25.9 lb")))
    plan = plan_job(replace(SKETCH.record(), systems=(row,)))[0]
    content = plan_json(issued_plan(plan, words()), {}, [], WHOLE)
    unknown = dict.fromkeys(("capacity_btuh", "ratio_percent"))
    charge = {"factory": 11748.042, "lines": 0, "extras": None, "total": None}
    expected = {"tag": "HR-1", "outdoor": "", "connected_btuh": 0, "units": 0, "charge_g": charge, **unknown}
    figures = {"charge.factory": "25.9 lb", "connected": "0 Btu/h", "units": "0"}
    assert json.loads(content)["systems"] == [expected | {"figures": figures}]
    (tmp_path / PLAN_FILE).write_bytes(content)
    read = read_plan_file(tmp_path)
    assert isinstance(read, Issued)
    assert read.systems == system_outlines(plan.systems)
    assert written()["systems"] == []


def test_its_problems_are_those_that_were_told() -> None:
    """As `--json` prints them; letters beyond ASCII stand as themselves."""
    assert written()["problems"] == [
        {
            "severity": "note",
            "code": "pair-needless",
            "message": "a pair – one port",
            "where": "job.toml:7",
            "hint": "leave it",
        }
    ]
    plan = plan_job(SKETCH.record())[0]
    assert "a pair – one port".encode() in plan_json(issued_plan(plan, words()), {}, [NOTE], Selection())


def test_half_a_character_in_a_problem_is_spelled_out() -> None:
    """A file's name that is no UTF-8 brings one; the file is UTF-8 and is read as any other."""
    plan = issued_plan(plan_job(SKETCH.record())[0], words())
    content = plan_json(plan, {}, [replace(NOTE, message="no \udc80")], WHOLE)
    assert [problem["message"] for problem in json.loads(content)["problems"]] == ["no \\udc80"]


def test_it_ends_with_a_line_feed_and_has_no_other_line_ends() -> None:
    """Read on any system, compared line by line."""
    content = plan_json(issued_plan(plan_job(SKETCH.record())[0], words()), {}, [], Selection())
    assert content.endswith(b"}\n")
    assert b"\r" not in content


# --- read back ----------------------------------------------------------------------------------------------


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A plan.json on disk."""
    path = tmp_path / PLAN_FILE
    path.write_bytes(plan_json(issued_plan(plan_job(SKETCH.record())[0], words()), {}, [], WHOLE))
    return path


def refusal(path: Path) -> str:
    """Why a plan file is refused, less the way to it."""
    found = read_plan_file(path)
    assert isinstance(found, Problem)
    assert (found.code, found.where.file) == ("plan-unreadable", PLAN_FILE)
    return found.message.replace(str(path), "it")


def edited(path: Path, *way: str | int, value: object) -> Path:
    """The file with one value changed by hand, and its own digest made again."""
    content = json.loads(path.read_bytes())
    place = content
    for step in way[:-1]:
        place = place[step]
    place[way[-1]] = value
    content["digests"][PLAN_FILE] = "0" * 64
    blank = json.dumps(content)
    digest = hashlib.sha256(blank.encode()).hexdigest()
    path.write_text(blank.replace(f'"{PLAN_FILE}": "{"0" * 64}"', f'"{PLAN_FILE}": "{digest}"'))
    return path


def test_a_file_that_was_sealed_again_is_read(kept: Path) -> None:
    """So that what refuses an edit in the tests below is not its digest."""
    assert isinstance(read_plan_file(edited(kept, "job", "number", value="ML-25")), Issued)


@pytest.mark.parametrize(
    ("old", "new"),
    [(b"ML-24", b"ML-25"), (b'"P02"', b'"P03"'), (b"24000", b"18000"), (b"\n", b"\r\n"), (b"FC-1", b"FC-2")],
)
def test_a_file_that_was_changed_after_it_was_written_is_refused(kept: Path, old: bytes, new: bytes) -> None:
    """Nobody knows what of it is on site: an update from it would leave tags out."""
    content = kept.read_bytes()
    assert old in content
    kept.write_bytes(content.replace(old, new))
    assert refusal(kept).endswith(": it was changed after it was written")


@pytest.mark.parametrize("digests", [None, {}, {"walk.pdf": "5f"}])
def test_a_file_that_lost_its_digests_is_not_taken_for_an_older_one(
    kept: Path, digests: dict[str, str] | None
) -> None:
    """All of them, or its own."""
    content = json.loads(kept.read_bytes())
    if digests is None:
        del content["digests"]
    else:
        content["digests"] = digests
    kept.write_text(json.dumps(content), encoding="utf-8")
    told = refusal(kept).partition("program: ")[2]
    assert told in {"its digests were removed", "it was changed after it was written"}
    manifest = read_manifest(kept.parent)
    assert manifest == Manifest() or not manifest.is_intact


def test_what_is_written_is_read_back(kept: Path) -> None:
    """Every record as it was; the set's folder names the same."""
    issued = issued_plan(plan_job(SKETCH.record())[0], words())
    assert issued == read_plan_file(kept) == read_plan_file(kept.parent)


@pytest.mark.parametrize("size", [0, 1, 40, -40, -2])
def test_a_file_that_was_cut_short_is_refused(kept: Path, size: int) -> None:
    """Wherever it was cut."""
    kept.write_bytes(kept.read_bytes()[:size])
    assert "it is not a plan.json of this program" in refusal(kept)


@pytest.mark.parametrize(
    "content",
    [
        b"[]",
        b"null",
        b"{}",
        b'{"boxes": 3}',
        b"\xff\xfe{}",
        b"[" * 200_000,
        b'{"a":' * 100_000,
        b"%PDF-1.7",
        b'{"program": "\xed\xa0\x80"}',
    ],
)
def test_a_file_of_another_shape_is_refused(kept: Path, content: bytes) -> None:
    """With what is wrong, and no traceback, however deep it goes."""
    kept.write_bytes(content)
    assert "it is not a plan.json of this program" in refusal(kept)


@pytest.mark.parametrize(
    ("way", "value"),
    [
        (("job", "date"), "2026-13-45"),
        (("placards", 0, "date"), "yesterday"),
        (("job", "capacity_unit"), "horses"),
        (("boxes", 0, "ports", 0, "load_btuh"), -1),
        (("boxes", 0, "ports", 0, "load_btuh"), "24000"),
        (("boxes", 0, "ports", 0, "limit_btuh"), float("inf")),
        (("boxes", 0, "tag"), "ZZ-9"),
        (("units", 0, "box"), "ZZ-9"),
        (("units", 0, "capacity_btuh"), 10**400),
        (("tags", 0, "box"), "ZZ-9"),
        (("tags", 0, "kind"), "rope"),
        (("tags", 0, "end"), "middle"),
        (("tags", 1, "code"), "BB-1/A/TRM"),
        (("placards",), []),
        (("part",), None),
        (("tags", 0, "units"), "FC-1"),
    ],
)
def test_a_file_edited_by_hand_into_nonsense_is_refused(
    kept: Path, way: tuple[str | int, ...], value: object
) -> None:
    """A value of the wrong type, and one that this program never writes."""
    assert "it is not a plan.json of this program" in refusal(edited(kept, *way, value=value))


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    """A folder without a set, nothing at all, a pipe that would never end."""
    (tmp_path / PLAN_FILE).mkdir()
    os.mkfifo(tmp_path / "pipe.json")
    for path in (tmp_path, tmp_path / "nowhere" / PLAN_FILE, tmp_path / "pipe.json"):
        found = read_plan_file(path)
        assert isinstance(found, Problem)
        assert (found.code, found.hint) == ("plan-unreadable", HINT)
        assert found.message.endswith("does not exist, or is not a plan.json")


@pytest.mark.parametrize(
    "part",
    [Selection(("BB-1",)), Selection(only=("BB-1/A",)), Selection(stage="final"), Selection(kit="lines")],
)
def test_a_part_of_a_set_is_refused(kept: Path, part: Selection) -> None:
    """What it leaves out cannot be compared."""
    issued = issued_plan(plan_job(SKETCH.record())[0], words())
    kept.write_bytes(plan_json(issued, {}, [], part))
    found = read_plan_file(kept)
    assert isinstance(found, Problem)
    assert found.code == "plan-partial"


def test_an_update_knows_the_whole_set_and_is_taken(kept: Path) -> None:
    """Only what changed was printed, but all of it is in the file."""
    issued = issued_plan(plan_job(SKETCH.record())[0], words())
    kept.write_bytes(plan_json(issued, {}, [], Selection(baseline=Baseline(issued))))
    content = json.loads(kept.read_bytes())
    assert (content["partial"], content["part"]["since"]) == (True, "P02")
    assert read_plan_file(kept) == issued


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_no_edit_by_hand_is_a_traceback(data: st.DataObject) -> None:
    """Any value anywhere is refused, or is taken and can be compared, told and gone on from."""
    issued = issued_plan(plan_job(SKETCH.record())[0], words())
    content = json.loads(plan_json(issued, {}, [], WHOLE))
    place: object = content
    while isinstance(place, dict | list) and place:
        parent = place
        key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else range(len(place))))
        place = place[key]
    parent[key] = data.draw(NONSENSE)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, PLAN_FILE)
        path.write_text(json.dumps(content), encoding="utf-8")
        found = read_plan_file(path)
    if not isinstance(found, Problem):
        work_of_changes(compare(found, issued), words())
        work_of_changes(compare(issued, found), words())
        assert fitted(SKETCH.record(), Selection(baseline=Baseline(found), prints_all=True))


NONSENSE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=20),
    st.just([]),
    st.just({}),
    st.lists(st.text(max_size=3), max_size=3),
)

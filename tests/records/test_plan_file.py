"""plan.json: the whole plan of a set, for other programs and for the next run."""

import datetime as dt
import json
from dataclasses import replace

import pytest

from tagmaker import __version__
from tagmaker.plan.as_json import boxes_json
from tagmaker.plan.make import plan_job
from tagmaker.problems import Where, note
from tagmaker.records.plan_file import PLAN_FILE, plan_json
from tagmaker.tags.issued import issued_plan
from tagmaker.tags.part import Part
from tests.strategies import JobSketch, one_box, words

SKETCH = replace(
    one_box(("FC-1", "A", "24 kBtu/h")), number="ML-24", revision="P02", date=dt.date(2026, 4, 30)
)
WHOLE = Part()
NOTE = note("pair-needless", "a pair – one port", Where("job.toml", 7), "leave it")


def written(sketch: JobSketch = SKETCH, part: Part = WHOLE, *, proof: bool = True) -> dict[str, object]:
    """The plan file's content."""
    plan = plan_job(sketch.record())[0]
    content = json.loads(
        plan_json(issued_plan(plan, words()), ["walk.pdf", "register.csv"], [NOTE], part, proof=proof)
    )
    assert isinstance(content, dict)
    return content


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
        "boxes",
        "units",
        "placards",
        "tags",
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
    }


def test_a_draft_without_a_date_says_so() -> None:
    """An empty date, the status draft."""
    job = written(replace(SKETCH, date=None, is_draft=True))["job"]
    assert isinstance(job, dict)
    assert (job["date"], job["status"]) == ("", "draft")


def test_it_names_every_file_of_its_set_itself_too() -> None:
    """The next run takes these names, and no others, for the program's own."""
    assert written()["files"] == ["walk.pdf", "register.csv", PLAN_FILE]


EMPTY = {"boxes": [], "ports": [], "stage": "", "kit": "", "since": ""}


@pytest.mark.parametrize(
    ("part", "limits"),
    [
        (Part(boxes=("BB-1", "BB-2")), {"boxes": ["BB-1", "BB-2"]}),
        (Part(ports=("BB-1/A",)), {"ports": ["BB-1/A"]}),
        (Part(stage="rough-in"), {"stage": "rough-in"}),
        (Part(kit="cables"), {"kit": "cables"}),
        (Part(("BB-1",), stage="final", kit="lines"), {"boxes": ["BB-1"], "stage": "final", "kit": "lines"}),
    ],
)
def test_a_part_says_that_it_is_one_and_of_what(part: Part, limits: dict[str, object]) -> None:
    """A set limited to boxes, ports, a stage or a kit is partial, and names its limits."""
    content = written(part=part)
    assert (content["partial"], content["part"]) == (True, EMPTY | limits)


@pytest.mark.parametrize("part", [Part(), Part(skip=7)])
def test_a_whole_set_is_no_part(part: Part) -> None:
    """Labels skipped on a used sheet limit nothing."""
    content = written(part=part)
    assert (content["partial"], content["part"]) == (False, EMPTY)


@pytest.mark.parametrize("proof", [True, False])
def test_it_says_whether_its_codes_were_read_back(*, proof: bool) -> None:
    """A set that was never proved can be told from one that was."""
    assert written(proof=proof)["proof"] is proof


def test_its_boxes_are_those_that_switches_prints() -> None:
    """One shape of the plan, whoever asks."""
    assert written()["boxes"] == boxes_json(plan_job(SKETCH.record())[0])


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
    assert "a pair – one port".encode() in plan_json(
        issued_plan(plan, words()), [], [NOTE], Part(), proof=True
    )


def test_it_ends_with_a_line_feed_and_has_no_other_line_ends() -> None:
    """Read on any system, compared line by line."""
    content = plan_json(issued_plan(plan_job(SKETCH.record())[0], words()), [], [], Part(), proof=True)
    assert content.endswith(b"}\n")
    assert b"\r" not in content

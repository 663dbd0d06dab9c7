"""`room` as a person meets it: what is offered, in which order, and why nothing is."""

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.cli.commands import (
    CLINIC,
    run,
)
from tests.paths import ROOT
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

DRAFT = ROOT / "example_jobs" / "three-port-boards"
CAUTION = "Isolate the box's power and prove it dead before moving a switch. The manual for this box decides."
PRINT = "       print: the placard, the walk sheet and"
OWN = "TRM LIQ GAS COM"
UNITS = "COM/NEW LIQ/NEW GAS/NEW"
GOOD = BoxSketch(
    "BB-1", 4, (UnitSketch("FC-1", "A", "24 kBtu/h", "Library"), UnitSketch("AH-1", "C+D", "96 MBH"))
)
OTHER = BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "9 kBtu/h"),), "Lobby")
TOO_MUCH = BoxSketch("BB-3", 4, (UnitSketch("FC-3", "A", "60 kBtu/h"),))


def told(path: Path, text: str, *words: str) -> list[str]:
    """What is printed of a place that must be found."""
    done = run("room", str(path), "--capacity", text, *words)
    assert done.exit_code == 0, done.output
    return done.stdout.splitlines()


def job(folder: Path, *boxes: BoxSketch) -> Path:
    """A job of these boxes on disk."""
    return JobSketch(boxes).write(folder / "job")


def test_a_free_port_in_full(tmp_path: Path) -> None:
    """The box, the port with its headroom, the switch that moves, what is reprinted, what to mind."""
    assert told(job(tmp_path, GOOD), "36 kBtu/h") == [
        "Free, for a unit of 36 kBtu/h alone:",
        "BB-1",
        "  B    36/54 kBtu/h, 18 kBtu/h left",
        "       set: only board Bank 1 switch 2 from ON to OFF",
        f"{PRINT} 7 tags: BB-1/B/ {OWN} {UNITS}",
        "",
        CAUTION,
    ]


def test_shared_ports_stand_apart(tmp_path: Path) -> None:
    """Below the free ones; no switch moves, and the first unit gets a tag for the cable that goes on."""
    lines = told(job(tmp_path, GOOD), "12 kBtu/h")
    at = lines.index("In use, with headroom for 12 kBtu/h more:")
    assert lines[at:] == [
        "In use, with headroom for 12 kBtu/h more:",
        "BB-1",
        "  A    36/54 kBtu/h, 18 kBtu/h left",
        "       set: no switch",
        f"{PRINT} 8 tags: BB-1/A/ {OWN} COM/FC-1/ON {UNITS}",
        "  C+D  108/108 kBtu/h, 0 kBtu/h left",
        "       set: no switch",
        f"{PRINT} 11 tags: BB-1/C/ {OWN} COM/AH-1/ON {UNITS}; BB-1/D/ TRM LIQ GAS",
        "",
        CAUTION,
    ]


def test_a_pair_in_full(tmp_path: Path) -> None:
    """Three switches move; both letters' tags are new; the box's place stands beside it."""
    moved = [
        "only board Bank 1 switch 3 from ON to OFF",
        "only board Bank 1 switch 4 from ON to OFF",
        "only board Bank 2 switch 2 from OFF to ON",
    ]
    assert told(job(tmp_path, OTHER), "96 kBtu/h")[1:5] == [
        "BB-2  Lobby",
        "  C+D  96/108 kBtu/h, 12 kBtu/h left",
        f"       set: {'; '.join(moved)}",
        f"{PRINT} 10 tags: BB-2/C/ {OWN} {UNITS}; BB-2/D/ TRM LIQ GAS",
    ]


def test_in_json_everything_is_in_btu_an_hour(tmp_path: Path) -> None:
    """The same places for other programs."""
    done = run("room", str(job(tmp_path, GOOD)), "--capacity", "36 kBtu/h", "--json")
    content = json.loads(done.stdout)
    assert [problem["code"] for problem in content.pop("problems")] == ["spare-in-middle"]
    assert content == {
        "capacity_btuh": 36000,
        "free": [
            {
                "box": "BB-1",
                "system": "",
                "level": "",
                "place": "",
                "port": "B",
                "limit_btuh": 54000,
                "load_btuh": 36000,
                "headroom_btuh": 18000,
                "box_headroom_btuh": None,
                "switches": [{"board": "only", "bank": "Bank 1", "switch": 2, "from": "on", "to": "off"}],
                "placard": True,
                "tags": [f"BB-1/B/{what}" for what in f"{OWN} {UNITS}".split()],
                "questions": [],
            }
        ],
        "shared": [],
        "left_out": [],
        "not_judged": [],
        "most": [
            {"box": "BB-1", "port": "B", "shared": False, "btuh": 54000},
            {"box": "BB-1", "port": "A", "shared": True, "btuh": 30000},
        ],
    }


def test_a_question_is_told_with_its_place(tmp_path: Path) -> None:
    """Its numbers stand below the port; the load says by how much it is over."""
    lines = told(job(tmp_path, GOOD), "16 kW")
    assert lines[2] == "  B    54.594/54 kBtu/h, 0.594 kBtu/h over"
    assert lines[5].startswith("       question: port B of BB-1 carries 54.594 kBtu/h, 0.594 kBtu/h over")


def test_a_boxs_own_limit_is_told_beside_it() -> None:
    """In the job's unit; a question mark where a load is not known."""
    heads = [line for line in told(DRAFT, "3 kW") if line.startswith("HB-")]
    assert (
        heads
        == [
            "HB-1  Above the tool store, panel 2  in the box 31.9 kW left",
            "HB-2  Paint shop lobby  in the box ?",
        ]
        * 2
    )


@pytest.mark.parametrize(("option", "code"), [("--near", 1), ("--box", 1)])
def test_a_box_that_is_not_there_is_a_problem(option: str, code: int) -> None:
    """With the tags that are; nothing is offered."""
    done = run("room", str(CLINIC), "--capacity", "36 MBH", option, "BB-31")
    assert done.exit_code == code
    assert f"{option}: error: the job has no box 'BB-31' [box-unknown]\n    known: BB-11" in done.stderr
    assert done.stdout == "No box is assessed until the errors above are corrected.\n"


def test_where_none_is_the_most_is_told(tmp_path: Path) -> None:
    """Exit 1, and what could be carried instead, where; of the clinic without the limits of its systems."""
    shutil.copytree(CLINIC, tmp_path / "clinic")
    text = (tmp_path / "clinic" / "job.toml").read_text("utf-8")
    text = re.sub(r"(?m)^\[\[system\]\]\n(?:.+\n)+\n", "", text)
    (tmp_path / "clinic" / "job.toml").write_text(text, encoding="utf-8")
    done = run("room", str(tmp_path / "clinic"), "--capacity", "160 kBtu/h")
    assert (done.exit_code, done.stderr) == (1, "")
    told = """\
No port or pair can carry 160 kBtu/h.
    the most that a free port can carry is 54 kBtu/h: BB-12 G
    the most that a free pair can carry is 108 kBtu/h: BB-12 G+H
    the most that a used port can carry in addition is 48 kBtu/h: BB-13 I+J
"""
    assert done.stdout == told


def test_a_system_that_is_full_is_named() -> None:
    """579 + 160 kBtu/h on 528 are 140 %: none of its boxes is offered, and each says why."""
    done = run("room", str(CLINIC), "--capacity", "160 kBtu/h")
    why = "with one more unit, system HR-1: 739 kBtu/h are connected to 528 kBtu/h, 140 %"
    assert done.exit_code == 1
    assert [line.partition(" ")[0] for line in done.stdout.splitlines() if why in line] == [
        "BB-11", "BB-12", "BB-13",
    ]  # fmt: skip


def test_where_nothing_is_free_that_is_told(tmp_path: Path) -> None:
    """A full box has no most."""
    full = BoxSketch("BB-1", 4, (UnitSketch("AH-1", "A+B", "108 MBH"), UnitSketch("AH-2", "C+D", "108 MBH")))
    done = run("room", str(job(tmp_path, full)), "--capacity", "1 MBH")
    assert done.exit_code == 1
    assert done.stdout.splitlines()[1:] == ["    no port is free, and no used port has headroom"]


def test_a_box_with_an_error_is_named_and_not_offered(tmp_path: Path) -> None:
    """The others are; the errors are told, and the exit is that of the search."""
    done = run("room", str(job(tmp_path, GOOD, TOO_MUCH, OTHER)), "--capacity", "40 kBtu/h")
    assert done.exit_code == 0
    assert {line.split()[0] for line in done.stdout.splitlines() if line.startswith("BB-")} == {
        "BB-1",
        "BB-2",
        "BB-3",
    }
    told_of_it = [line for line in done.stdout.splitlines() if "BB-3" in line]
    places = [line.partition(": port")[0] for line in told_of_it]
    assert places == ["BB-3 offers no place: job.toml:34"]
    assert "[port-overloaded]" in done.stderr


@pytest.mark.parametrize("box", [replace(TOO_MUCH, ports=5), TOO_MUCH])
def test_alone_a_box_with_an_error_offers_nothing(box: BoxSketch, tmp_path: Path) -> None:
    """Whether it can be planned or not; nothing is said of what is free."""
    done = run("room", str(job(tmp_path, GOOD, box)), "--capacity", "9 kBtu/h", "--box", "BB-3")
    assert done.exit_code == 1
    assert [line.split(":")[0] for line in done.stdout.splitlines()] == ["BB-3 offers no place"]


def test_a_row_that_belongs_nowhere_leaves_no_box_judged(tmp_path: Path) -> None:
    """A mistyped box may be any: the port that looks free may be that row's."""
    path = job(tmp_path, GOOD, OTHER)
    text = (path / "job.toml").read_text(encoding="utf-8")
    (path / "job.toml").write_text(text.replace('box = "BB-2"', 'box = "BB-22"'), encoding="utf-8")
    done = run("room", str(path), "--capacity", "9 kBtu/h")
    assert (done.exit_code, done.stdout) == (1, "No box is assessed until the errors above are corrected.\n")


def test_a_job_that_cannot_be_read_offers_nothing(tmp_path: Path) -> None:
    """The problem is told; exit 1."""
    done = run("room", str(tmp_path), "--capacity", "9 kBtu/h")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "[job-missing]" in done.stderr


def test_a_draft_is_searched_with_its_warnings() -> None:
    """Its port of unknown load is no place, its free ones are; the warning is told."""
    done = run("room", str(DRAFT), "--capacity", "3 kW", "--json")
    content = json.loads(done.stdout)
    assert done.exit_code == 0
    assert [problem["code"] for problem in content["problems"]] == ["capacity-missing"]
    assert ("HB-2", "B") not in {(p["box"], p["port"]) for p in content["shared"]}
    assert [(p["box"], p["port"]) for p in content["free"]] == [
        *(("HB-1", "E"), ("HB-2", "C")),
        *(("HB-2", "G"), ("HB-2", "H")),
    ]


@pytest.mark.parametrize(
    ("text", "why"), [("36", "has no unit"), ("much", "is not a number"), ("0 kW", "above zero")]
)
def test_a_capacity_that_is_none_is_wrong_usage(text: str, why: str) -> None:
    """Exit 2, with the way to write one."""
    done = run("room", str(CLINIC), "--capacity", text)
    assert done.exit_code == 2
    assert why in done.stderr
    assert "72 kBtu/h" in done.stderr


def test_a_capacity_must_be_given() -> None:
    """There is no default to guess."""
    assert run("room", str(CLINIC)).exit_code == 2


def test_nearest_first() -> None:
    """The box is named in any case of its letters."""
    assert told(Path(CLINIC), "36 MBH", "--near", "bb-22")[1].startswith("BB-22  ")


def test_system_and_level_are_named_and_what_is_left_out() -> None:
    """A unit is piped to one system: others are not offered, and that is said."""
    lines = told(Path(CLINIC), "36 kBtu/h", "--near", "BB-12")
    assert any(line.startswith("BB-12  system HR-1  level 1  ") for line in lines)
    assert "Not of system HR-1, left out (2): BB-21, BB-22" in lines
    assert not any(line.startswith("BB-2") for line in lines)
    assert any(line.startswith("BB 21") for line in told(Path(CLINIC), "12 kBtu/h", "--system", "hr-2"))
